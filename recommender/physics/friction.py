"""Friction of a rope on what it bends over: wraps, redirects, sheaves, and the friction classes of redirects.

``r`` is the tension of the fall leg (to the brake) over that of the lead leg (to the piece) while the piece pulls
rope over the redirect. Which end of its range is on the safe side depends on the question; where a result is not
monotone in ``r`` both ends are tried here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

import numpy as np

from recommender.physics.domain import (
    Values,
    plain,
    require_finite,
    require_non_negative,
    require_positive,
    require_share,
    require_within,
)
from recommender.sourced import data_rows


@dataclass(frozen=True)
class FrictionClass:
    """How a kind of redirect shares the tension between its legs, as a range each way.

    Attributes
    ----------
    name : str
        ``roller``, ``plain``, ``ring`` or ``multi_hole_ring``.
    has_sheave : bool
        True if a sheave turns in it.
    r_low, r_high : float
        Fall tension over lead tension while the piece runs out, legs parallel. [-]
    eta_low, eta_high : float
        Lead tension over fall tension while hoisting, legs parallel. [-]
    source, place, note : str
        Key in ``data/sources.csv`` (or a reserved word), the place there, and how the figures were chosen.
    """

    name: str
    has_sheave: bool
    r_low: float
    r_high: float
    eta_low: float
    eta_high: float
    source: str
    place: str
    note: str


@cache
def friction_classes() -> dict[str, FrictionClass]:
    """The friction classes of ``data/friction_classes.csv`` by name, in file order.

    Examples
    --------
    >>> friction_classes()["ring"].has_sheave
    False
    """
    return {row["name"]: _friction_class(row) for row in data_rows("friction_classes.csv")}


def _friction_class(row: dict[str, str]) -> FrictionClass:
    return FrictionClass(
        name=row["name"],
        has_sheave=row["has_sheave"] == "yes",
        r_low=float(row["r_low"]),
        r_high=float(row["r_high"]),
        eta_low=float(row["eta_low"]),
        eta_high=float(row["eta_high"]),
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


def capstan_hold_force(load_force: Values, friction_coefficient: Values, wrap_angle: Values) -> Values:
    """Least tension on the hold side that keeps a wrapped rope from slipping.

    ``hold = load * exp(-mu * theta)``

    Parameters
    ----------
    load_force : float or array
        Tension on the load side, >= 0. [N]
    friction_coefficient : float or array
        Rope against surface, mu, >= 0. [-]
    wrap_angle : float or array
        Total angle of contact, theta, >= 0; one turn is 2*pi. [rad]

    Returns
    -------
    float or array
        Tension on the hold side at the point of slipping, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Notes
    -----
    For a flexible, weightless rope at rest on a round object that does not turn. Safe side: lowest credible mu for
    the hand force, highest for the peak in a stopped fall.

    Examples
    --------
    [1]_: on two turns 80 lbf hold 5000 lbf (any unit of force will do), so mu = 0.329; back again:

    >>> from math import log, pi
    >>> mu = log(5000 / 80) / (4 * pi)
    >>> round(mu, 3), round(capstan_hold_force(5000.0, mu, 4 * pi), 6)
    (0.329, 80.0)

    References
    ----------
    .. [1] Beer, Johnston et al., Vector Mechanics for Engineers: Statics, 10th ed., ch. 8, problem 8.104.
    """
    require_non_negative(
        load_force=load_force, friction_coefficient=friction_coefficient, wrap_angle=wrap_angle
    )
    return plain(load_force * np.exp(-np.multiply(friction_coefficient, wrap_angle)))


def capstan_load_force(hold_force: Values, friction_coefficient: Values, wrap_angle: Values) -> Values:
    """Tension on the load side at which a wrapped rope slips, or that is needed to pull it over against friction.

    ``load = hold * exp(mu * theta)``

    Parameters
    ----------
    hold_force : float or array
        Tension on the hold side, >= 0. [N]
    friction_coefficient : float or array
        Rope against surface, mu, >= 0. [-]
    wrap_angle : float or array
        Total angle of contact, theta, >= 0. [rad]

    Returns
    -------
    float or array
        Tension on the load side, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    One full wrap at mu 0.3 multiplies by 6.6 (capstan equation table, belt friction article).

    >>> from math import pi
    >>> round(capstan_load_force(1.0, 0.3, 2 * pi), 1)
    6.6
    """
    require_non_negative(
        hold_force=hold_force, friction_coefficient=friction_coefficient, wrap_angle=wrap_angle
    )
    return plain(hold_force * np.exp(np.multiply(friction_coefficient, wrap_angle)))


def wraps_needed(load_force: Values, hold_force: Values, friction_coefficient: Values) -> Values:
    """Turns that let a hold force keep a load: ``turns = ln(load / hold) / (2 * pi * mu)``, not rounded.

    Parameters
    ----------
    load_force : float or array
        Tension on the load side, >= 0. [N]
    hold_force : float or array
        Hand force, > 0. [N]
    friction_coefficient : float or array
        Rope against surface, mu, > 0; the lowest credible one is on the safe side. [-]

    Returns
    -------
    float or array
        Turns (0 where the hand holds the load without any), broadcast shape. [turn]

    Raises
    ------
    ValueError
        If ``load_force`` is negative, or another argument is not above 0.

    Examples
    --------
    >>> round(wraps_needed(2000.0, 100.0, 0.2), 2)
    2.38
    """
    require_non_negative(load_force=load_force)
    require_positive(hold_force=hold_force, friction_coefficient=friction_coefficient)
    ratio = np.maximum(np.divide(load_force, hold_force), 1.0)
    return plain(np.log(ratio) / np.multiply(2 * pi, friction_coefficient))


def friction_from_hold(load_force: Values, hold_force: Values, wrap_angle: Values) -> Values:
    """Coefficient of friction from the tensions on both sides: ``mu = ln(load / hold) / theta``.

    Parameters
    ----------
    load_force, hold_force : float or array
        Tensions at the point of slipping, > 0. [N]
    wrap_angle : float or array
        Total angle of contact, theta, > 0. [rad]

    Returns
    -------
    float or array
        Coefficient of friction, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Examples
    --------
    >>> from math import pi
    >>> round(friction_from_hold(5000.0, 80.0, 4 * pi), 3)
    0.329
    """
    require_positive(load_force=load_force, hold_force=hold_force, wrap_angle=wrap_angle)
    return plain(np.log(np.divide(load_force, hold_force)) / wrap_angle)


def friction_from_raise_and_lower(raise_force: Values, lower_force: Values, wrap_angle: Values) -> Values:
    """Coefficient of friction from the forces that raise and that lower the same load over the same bend.

    ``mu = ln(raise / lower) / (2 * theta)``: the load itself drops out.

    Parameters
    ----------
    raise_force, lower_force : float or array
        Hand-side tensions while the load moves up and down, > 0. [N]
    wrap_angle : float or array
        Angle of contact, theta, > 0. [rad]

    Returns
    -------
    float or array
        Coefficient of friction, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Examples
    --------
    Delaney, Physics for Roping Technicians, 2022, p. 88: low-stretch rope over a 60 mm anodised tube, 180 degrees.

    >>> from math import pi
    >>> round(friction_from_raise_and_lower(87.0, 36.0, pi), 2)
    0.14
    """
    require_positive(raise_force=raise_force, lower_force=lower_force, wrap_angle=wrap_angle)
    return plain(np.log(np.divide(raise_force, lower_force)) / np.multiply(2, wrap_angle))


def groove_friction(friction_coefficient: Values, groove_angle: Values) -> Values:
    """Apparent coefficient of friction of a rope wedged in a V groove: ``mu / sin(groove_angle / 2)``.

    Parameters
    ----------
    friction_coefficient : float or array
        Rope against the groove's wall, >= 0. [-]
    groove_angle : float or array
        Angle between the walls, > 0 and <= pi. [rad]

    Returns
    -------
    float or array
        Coefficient to use in the capstan equation, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    Kimbell, Tension relationships for steel cable on notched stumps, 1981: ratio 9.22 for one wrap.

    >>> from math import pi, radians
    >>> round(capstan_load_force(1.0, groove_friction(0.1768, radians(60)), 2 * pi), 2)
    9.22
    """
    require_non_negative(friction_coefficient=friction_coefficient)
    require_positive(groove_angle=groove_angle)
    require_within(0.0, pi, groove_angle=groove_angle)
    return plain(friction_coefficient / np.sin(np.divide(groove_angle, 2)))


def redirect_reaction(lead_tension: Values, fall_tension: Values, angle_between_legs: Values) -> Values:
    """Force of a bent rope on what it bends over: the vector sum of its two legs.

    ``R = sqrt(T1^2 + T2^2 + 2 * T1 * T2 * cos(angle))``

    Parameters
    ----------
    lead_tension, fall_tension : float or array
        Tensions of the legs, >= 0. [N]
    angle_between_legs : float or array
        0 for parallel legs (rope turns back), pi for a straight rope. [rad]

    Returns
    -------
    float or array
        Force on the redirect and its sling, broadcast shape. [N]

    Raises
    ------
    ValueError
        If a tension is negative or the angle lies outside 0 to pi.

    Examples
    --------
    >>> from math import radians
    >>> round(redirect_reaction(10.0, 6.0, radians(60)), 3)
    14.0
    """
    require_non_negative(lead_tension=lead_tension, fall_tension=fall_tension)
    require_within(0.0, pi, angle_between_legs=angle_between_legs)
    both = 2 * np.multiply(lead_tension, fall_tension) * np.cos(angle_between_legs)
    return plain(np.sqrt(np.maximum(np.square(lead_tension) + np.square(fall_tension) + both, 0.0)))


def largest_redirect_reaction(
    lead_low_r: Values, r_low: Values, lead_high_r: Values, r_high: Values, angle_between_legs: Values
) -> Values:
    """Largest force on a redirect over a range of ``r``: the larger of its two ends.

    ``max over r of T_lead(r) * sqrt(1 + r^2 + 2 * r * cos(angle))``; the force is not monotone in ``r``, and its
    maximum over a range is at an end.

    Parameters
    ----------
    lead_low_r, lead_high_r : float or array
        Lead tension worked out with the low and with the high end of ``r``, >= 0. [N]
    r_low, r_high : float or array
        Ends of the range, above 0 and at most 1. [-]
    angle_between_legs : float or array
        0 for parallel legs. [rad]

    Returns
    -------
    float or array
        Force on the redirect and its sling, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(largest_redirect_reaction(17.5, 0.3, 10.8, 1.0, 0.0), 2)
    22.75
    """
    require_share(r_low=r_low, r_high=r_high)
    low = redirect_reaction(lead_low_r, np.multiply(lead_low_r, r_low), angle_between_legs)
    high = redirect_reaction(lead_high_r, np.multiply(lead_high_r, r_high), angle_between_legs)
    return plain(np.maximum(low, high))


def sheave_ratio(
    sheave_radius: Values, axle_radius: Values, shaft_friction: Values, angle_between_legs: Values = 0.0
) -> Values:
    """Lead tension over fall tension of a turning sheave on a plain axle, by its friction circle.

    The resultant of the legs passes the axle's centre at the radius ``f = axle * sin(arctan(mu))``, so
    ``(q - 1)^2 * R^2 = f^2 * (q^2 + 1 + 2 * q * cos(angle))``, ``q`` being the ratio. Parallel legs:
    ``q = (R + f) / (R - f)``.

    Parameters
    ----------
    sheave_radius : float or array
        To the rope's centre line, > 0. [m]
    axle_radius : float or array
        Of the sliding surface, > 0 and below ``sheave_radius``. [m]
    shaft_friction : float or array
        Coefficient of friction between sheave and axle, >= 0. [-]
    angle_between_legs : float or array
        0 for parallel legs. [rad]

    Returns
    -------
    float or array
        Tension of the pulling leg over the other, >= 1, broadcast shape; ``r`` is its reciprocal. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    Radii and shaft friction of Donzelli, J. Arboriculture 25(2):61, 1999; ratio derived.

    >>> round(sheave_ratio(52.324, 9.525, 0.99), 4)
    1.2938
    """
    require_positive(sheave_radius=sheave_radius, axle_radius=axle_radius)
    require_non_negative(shaft_friction=shaft_friction)
    require_within(0.0, pi, angle_between_legs=angle_between_legs)
    circle = np.square(axle_radius * np.sin(np.arctan(shaft_friction)))
    sheave = np.square(sheave_radius)
    if np.any(np.greater_equal(axle_radius, sheave_radius)):
        raise ValueError(f"axle_radius must be below sheave_radius, not {axle_radius!r}")
    half_sum = (sheave + circle * np.cos(angle_between_legs)) / (sheave - circle)
    return plain(half_sum + np.sqrt(np.maximum(np.square(half_sum) - 1, 0.0)))


def bollard_anchor_load(line_tension: Values, hold_force: Values) -> Values:
    """Force on the sling of a friction brake, line and hold legs taken as parallel: their sum.

    Parameters
    ----------
    line_tension : float or array
        Tension of the line that comes to the brake, >= 0. [N]
    hold_force : float or array
        Tension of the tail, >= 0. [N]

    Returns
    -------
    float or array
        Force on the brake's sling, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    >>> bollard_anchor_load(4500.0, 100.0)
    4600.0
    """
    require_finite(line_tension=line_tension)
    return redirect_reaction(line_tension, hold_force, 0.0)
