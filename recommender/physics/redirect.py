"""Redirects: force on them, sheaves on plain axles, and the friction classes.

``r`` is the tension of the fall leg (to the brake) over that of the lead leg (to the piece) while the piece
pulls rope over the redirect. Which end of its range is on the safe side depends on the question; where a
result is not monotone in ``r`` both ends are tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

import numpy as np

from recommender.physics.domain import (
    Values,
    plain,
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
    source, note, place : str
        Key in ``data/sources.csv`` (or a reserved word), how the figures were chosen, and the place in the
        source.
    """

    name: str
    has_sheave: bool
    r_low: float
    r_high: float
    eta_low: float
    eta_high: float
    source: str
    note: str
    place: str = ""


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
        note=row["note"],
        place=row["place"],
    )


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

    ``max over r of T_lead(r) * sqrt(1 + r^2 + 2 * r * cos(angle))``; the force is not monotone in ``r``, and
    its maximum over a range is at an end.

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
    return redirect_reaction(line_tension, hold_force, 0.0)
