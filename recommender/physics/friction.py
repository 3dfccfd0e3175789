"""Friction of a rope wrapped round a bollard, a bar or a stem."""

from __future__ import annotations

from math import pi

import numpy as np

from recommender.physics.domain import (
    Values,
    plain,
    require_non_negative,
    require_positive,
    require_within,
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
    For a flexible, weightless rope at rest on a round object that does not turn. Safe side: lowest credible
    mu for the hand force, highest for the peak in a stopped fall.

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
    """Tension on the load side at which a wrapped rope slips, or that pulls it over against friction.

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
    Delaney, Physics for Roping Technicians, 2022, p. 88: low-stretch rope over a 60 mm anodised tube, 180
    degrees.

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
