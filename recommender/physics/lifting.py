"""Hoisting over redirects, tip-tied lifts, and the stretch to be pulled in.

Hoisting reverses friction: the fall leg carries more than the lead leg. Safe side: LOW efficiency for the
pull that is needed and for the redirect, HIGH efficiency (or none lost) for what must be held.
"""

from __future__ import annotations

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
from recommender.physics.lowering import hinge_break_peak
from recommender.physics.redirect import redirect_reaction
from recommender.sourced import COMMON_PRACTICE, Sourced

SMOOTH = Sourced(1.1, "x W", COMMON_PRACTICE, note="lead tension, smooth hand winch")
JERKY = Sourced(
    1.25, "x W", COMMON_PRACTICE, note="lead tension, jerky pull, or freeing a piece from a crown"
)
SNATCHED = Sourced(1.5, "x W", COMMON_PRACTICE, note="lead tension, rope that can be snatched by hand")
HITCH_SET_LOW = Sourced(
    0.05, "m", COMMON_PRACTICE, note="tightening of hitches before the piece moves, low end"
)
HITCH_SET_HIGH = Sourced(
    0.2, "m", COMMON_PRACTICE, note="tightening of hitches before the piece moves, high end"
)


def hoist_lead_tension(weight: Values, jerk_factor: Values = SMOOTH.value) -> Values:
    """Lead tension while hoisting: ``T_lead = phi * W``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    jerk_factor : float or array
        phi, >= 1: ``SMOOTH``, ``JERKY`` or ``SNATCHED``. [-]

    Returns
    -------
    float or array
        Lead tension, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> hoist_lead_tension(1000.0, JERKY.value)
    1250.0
    """
    require_positive(weight=weight)
    require_within(1.0, np.inf, jerk_factor=jerk_factor)
    return plain(np.multiply(jerk_factor, weight))


def hoist_efficiency(load_tension: Values, haul_tension: Values) -> Values:
    """Efficiency of a redirect from tensions measured while hoisting: ``eta = T_load / T_haul``.

    Parameters
    ----------
    load_tension : float or array
        On the load's side, > 0. [N]
    haul_tension : float or array
        On the hauling side, at least ``load_tension``. [N]

    Returns
    -------
    float or array
        Efficiency, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    A bushed pulley over 180 degrees (Delaney, Physics for Roping Technicians, raise test): 1.25 kN lift 1 kN.

    >>> hoist_efficiency(1.0, 1.25)
    0.8
    """
    require_positive(load_tension=load_tension, haul_tension=haul_tension)
    efficiency = np.divide(load_tension, haul_tension)
    require_share(efficiency=plain(efficiency))
    return plain(efficiency)


def hoist_fall_tension(lead_tension: Values, efficiency: Values, redirects: Values = 1) -> Values:
    """Tension behind the redirects while hoisting: ``T_fall = T_lead / eta^redirects``.

    Parameters
    ----------
    lead_tension : float or array
        T_lead, >= 0. [N]
    efficiency : float or array
        eta of one redirect, above 0 and at most 1. [-]
    redirects : int or array of int
        Redirects of this kind that the rope passes, >= 0. [-]

    Returns
    -------
    float or array
        Tension towards the lifter, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> hoist_fall_tension(1000.0, 0.8)
    1250.0
    """
    require_non_negative(lead_tension=lead_tension, redirects=redirects)
    require_share(efficiency=efficiency)
    return plain(lead_tension / np.power(np.asarray(efficiency, dtype=float), redirects))


def hoist_redirect_reaction(
    lead_tension: Values, efficiency: Values, angle_between_legs: Values = 0.0
) -> Values:
    """Force on a redirect while hoisting: the vector sum of ``T_lead`` and ``T_lead / eta``.

    Parameters
    ----------
    lead_tension : float or array
        T_lead, >= 0. [N]
    efficiency : float or array
        eta, above 0 and at most 1; the low end is on the safe side. [-]
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
    >>> round(hoist_redirect_reaction(250 * 9.80665, 0.9), 1)
    5175.7
    """
    return redirect_reaction(lead_tension, hoist_fall_tension(lead_tension, efficiency), angle_between_legs)


def tip_lift_tension(
    weight: Values,
    com_distance: Values,
    tie_distance: Values,
    rope_angle: Values = pi / 2,
    limb_angle: Values = 0.0,
    hinge_moment: Values = 0.0,
) -> Values:
    """Rope tension that starts to turn a limb: ``(W * a_c * cos(alpha) + M) / (a_t * sin(phi))``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    com_distance, tie_distance : float or array
        a_c and a_t along the limb from the hinge, >= 0 and > 0. [m]
    rope_angle : float or array
        phi, between rope and limb, above 0 and below pi. [rad]
    limb_angle : float or array
        alpha, limb above the horizontal, -pi/2 to pi/2. [rad]
    hinge_moment : float or array
        M, bending resistance of the hinge, >= 0. [N m]

    Returns
    -------
    float or array
        Lead tension, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(tip_lift_tension(180 * 9.80665, 1.8, 3.0), 1)
    1059.1
    """
    require_positive(weight=weight, tie_distance=tie_distance, rope_angle=rope_angle)
    require_non_negative(com_distance=com_distance, hinge_moment=hinge_moment)
    require_within(0.0, pi, rope_angle=rope_angle)
    require_within(-pi / 2, pi / 2, limb_angle=limb_angle)
    moment = np.multiply(weight, com_distance) * np.cos(limb_angle) + hinge_moment
    return plain(moment / np.multiply(tie_distance, np.sin(rope_angle)))


def tip_lift_peak(
    weight: Values,
    com_distance: Values,
    tie_distance: Values,
    rope_angle: Values = pi / 2,
    limb_angle: Values = 0.0,
    hinge_moment: Values = 0.0,
    exponent: Values = 1.0,
) -> Values:
    """Design lead tension of a tip-tied lift: the larger of starting to turn and of the hinge parting.

    ``max(T, hinge_break_peak(W, T0 = T))``, ``T`` of :func:`tip_lift_tension` (same arguments and refusals).

    Parameters
    ----------
    weight, com_distance, tie_distance, rope_angle, limb_angle, hinge_moment
        As in :func:`tip_lift_tension`. [N], [m], [m], [rad], [rad], [N m]
    exponent : float or array
        n of the rope, >= 1. [-]

    Returns
    -------
    float or array
        Lead tension, broadcast shape. [N]

    Examples
    --------
    >>> round(tip_lift_peak(1000.0, 1.8, 3.0), 6)
    1400.0
    """
    start = tip_lift_tension(weight, com_distance, tie_distance, rope_angle, limb_angle, hinge_moment)
    return hinge_break_peak(weight, start, exponent)


def take_up(
    lead_tension: Values,
    fall_tension: Values,
    lead_length: Values,
    fall_length: Values,
    stiffness: Values,
    hitch_set: Values = HITCH_SET_HIGH.value,
) -> Values:
    """Rope to pull in before the piece moves: ``(T_lead * L_lead + T_fall * L_fall) / EA_s + hitch set``.

    Parameters
    ----------
    lead_tension, fall_tension : float or array
        Tensions of the legs while hoisting, >= 0. [N]
    lead_length, fall_length : float or array
        Unstretched lengths of the legs, >= 0. [m]
    stiffness : float or array
        Secant stiffness EA, > 0; the LOW one (new rope) is on the safe side. [N]
    hitch_set : float or array
        Tightening of hitches, >= 0. [m]

    Returns
    -------
    float or array
        Take-up at the end of the fall leg, broadcast shape. [m]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(take_up(2500.0, 2500.0 / 0.9, 4.0, 14.0, 200e3, hitch_set=0.0), 5)
    0.24444
    """
    require_non_negative(lead_tension=lead_tension, fall_tension=fall_tension, hitch_set=hitch_set)
    require_non_negative(lead_length=lead_length, fall_length=fall_length)
    require_positive(stiffness=stiffness)
    stretch = np.multiply(lead_tension, lead_length) + np.multiply(fall_tension, fall_length)
    return plain(stretch / stiffness + hitch_set)
