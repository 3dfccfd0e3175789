"""Lowering under a high redirect: soft catch, hinge break, stopping a running lower, swing from the side."""

from __future__ import annotations

from math import pi

import numpy as np

from recommender.physics.catching import peak_tension_locked
from recommender.physics.domain import (
    STANDARD_GRAVITY,
    Values,
    plain,
    require_non_negative,
    require_positive,
    require_within,
)
from recommender.sourced import COMMON_PRACTICE, DERIVED, Sourced

SOFT_LOWERING_FLOOR = Sourced(
    2.5,
    "x W",
    COMMON_PRACTICE,
    note="sudden load on a rope with exponent 1.5, derived; as a floor common practice",
)
STEADY_LOWERING_FLOOR = Sourced(1.5, "x W", COMMON_PRACTICE, note="least design tension of a steady lower")
STIFF_SWING = Sourced(
    0.05, "-", DERIVED, note="W / (k * L) up to which STIFF_SWING_MARGIN covers an elastic swing"
)
SOFT_SWING = Sourced(
    0.2, "-", DERIVED, note="W / (k * L) up to which SOFT_SWING_MARGIN covers an elastic swing"
)
STIFF_SWING_MARGIN = Sourced(1.15, "-", DERIVED, note="simulated swings reach 13 % more than the closed form")
SOFT_SWING_MARGIN = Sourced(1.5, "-", DERIVED, note="simulated swings reach 33 % more than the closed form")


def soft_lowering_peak(
    weight: Values, slack_drop: Values, effective_length: Values, constant: Values, exponent: Values
) -> Values:
    """Peak lead tension of a piece let go under a high redirect: a locked catch of the slack, at least 2.5 W.

    ``max(peak_tension_locked(h = slack), SOFT_LOWERING_FLOOR * W)``

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    slack_drop : float or array
        Real drop before the rope is taut, >= 0. [m]
    effective_length, constant, exponent : float or array
        As in :func:`recommender.physics.catching.peak_tension_locked`. [m], [N], [-]

    Returns
    -------
    float or array
        Peak tension, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(soft_lowering_peak(1000.0, 0.0, 12.0, 4e6, 1.5), 6)
    2500.0
    """
    locked = peak_tension_locked(weight, slack_drop, effective_length, constant, exponent)
    return plain(np.maximum(locked, np.multiply(SOFT_LOWERING_FLOOR.value, weight)))


def hinge_break_peak(weight: Values, preload: Values, exponent: Values = 1.0) -> Values:
    """Peak lead tension when the hinge parts under a preloaded rope: ``max(T0, (1 + n) * W - n * T0)``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    preload : float or array
        T0, tension when the hinge parts, >= 0. [N]
    exponent : float or array
        n, >= 1. [-]

    Returns
    -------
    float or array
        Peak tension, broadcast shape. Exact for a linear rope, ``2 * W - T0``; for a stiffening one the
        chord of a convex curve through the exact ends T0 = 0 and T0 = W, hence on the safe side. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    A load put on at once without drop gives twice the weight.

    >>> hinge_break_peak(1000.0, 0.0), hinge_break_peak(1000.0, 400.0)
    (2000.0, 1600.0)
    """
    require_positive(weight=weight)
    require_non_negative(preload=preload)
    require_within(1.0, np.inf, exponent=exponent)
    rebound = np.add(1, exponent) * weight - np.multiply(exponent, preload)
    return plain(np.maximum(preload, rebound))


def stop_force(weight: Values, speed: Values, stop_distance: Values) -> Values:
    """Mean lead tension that stops a lowered piece: ``T = W * (1 + v^2 / (2 * g * d))``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    speed : float or array
        v, >= 0. [m/s]
    stop_distance : float or array
        d, > 0. [m]

    Returns
    -------
    float or array
        Tension, broadcast shape; design for ``STEADY_LOWERING_FLOOR`` times the weight at least. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(stop_force(150 * 9.80665, 2.0, 1.0))
    1771
    """
    require_positive(weight=weight, stop_distance=stop_distance)
    require_non_negative(speed=speed)
    head = np.square(speed) / (2 * STANDARD_GRAVITY.value)
    return plain(weight * (1 + head / stop_distance))


def swing_tension(
    weight: Values, release_angle: Values, angle: Values = 0.0, speed_number: Values = 0.0
) -> Values:
    """Tension of a swing on a rigid rope: ``T = W * (3 * cos(a) - 2 * cos(a0) + v0^2 / (g * L))``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    release_angle : float or array
        a0, rope from the vertical at release, 0 to pi/2. [rad]
    angle : float or array
        a, rope from the vertical now, 0 to pi. [rad]
    speed_number : float or array
        ``v0^2 / (g * L)`` at release, >= 0. [-]

    Returns
    -------
    float or array
        Tension, broadcast shape; below 0 the rope is slack and the formula does not hold. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Notes
    -----
    For a rope that carries its share before the release. A rope that is taut but unloaded gives up to 1.8
    times as much: :func:`swing_design_peak`.

    Examples
    --------
    Released from the horizontal, lowest point: 3 W (textbook pendulum).

    >>> from math import pi
    >>> swing_tension(1.0, pi / 2)
    3.0
    """
    require_positive(weight=weight)
    require_non_negative(speed_number=speed_number)
    require_within(0.0, pi / 2, release_angle=release_angle)
    require_within(0.0, pi, angle=angle)
    return plain(weight * (3 * np.cos(angle) - 2 * np.cos(release_angle) + speed_number))


def swing_peak(weight: Values, release_angle: Values, slack_drop: Values, stiffness: Values) -> Values:
    """Peak lead tension of a swing on a rope that is taut but unloaded, or slack, without margin.

    ``T = W * (3 - 2 * cos(a0)) + sqrt((W * cos(a0))^2 + 2 * k * W * slack)``; without slack
    ``W * (3 - cos(a0))``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    release_angle : float or array
        a0, rope from the vertical at release, 0 to pi/2. [rad]
    slack_drop : float or array
        Drop before the rope is taut, >= 0. [m]
    stiffness : float or array
        k, secant stiffness over effective length, >= 0. [N/m]

    Returns
    -------
    float or array
        Peak tension, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from math import radians
    >>> round(swing_peak(150 * 9.80665, radians(30), 0.2, 40e3))
    6881
    """
    require_positive(weight=weight)
    require_non_negative(slack_drop=slack_drop, stiffness=stiffness)
    require_within(0.0, pi / 2, release_angle=release_angle)
    share = weight * np.cos(release_angle)
    jump = np.sqrt(np.square(share) + 2 * np.multiply(stiffness, weight) * slack_drop)
    return plain(3 * np.asarray(weight) - 2 * share + jump)


def swing_design_peak(
    weight: Values,
    release_angle: Values,
    slack_drop: Values,
    stiffness: Values,
    length: Values,
    low_stiffness: Values | None = None,
) -> Values:
    """Design lead tension of a swing from the side: :func:`swing_peak` times a margin for its elastic bounce.

    With ``q = W / (k * L)``: margin 1.15 for q <= 0.05, 1.5 for q <= 0.2. Softer ropes: the larger of margin
    1.5 and the bound of energy ``W * (1 + sqrt(1 + 2 * h * k / W))``, ``h = L * (1 - cos(a0)) + slack``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    release_angle : float or array
        a0, rope from the vertical at release, 0 to pi/2. [rad]
    slack_drop : float or array
        Drop before the rope is taut, >= 0. [m]
    stiffness : float or array
        k, > 0; for a stiffening rope the secant at the answer or above, over the effective length. [N/m]
    length : float or array
        L, from redirect to centre of mass, > 0. [m]
    low_stiffness : float or array, optional
        The least stiffness that the rope may have, > 0: a soft rope jumps less but bounces more, so the margin is
        chosen by it; ``stiffness`` if left out. [N/m]

    Returns
    -------
    float or array
        Peak tension, broadcast shape. Legs are not parallel at the peak; take them as parallel for the
        reaction. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Notes
    -----
    For q to 0.2 never below :func:`recommender.physics.simulation.simulate_swing`: one full swing of an undamped
    rope, or four swings with 5 % damping, released at 60 to 90 degrees (320 simulated swings, least ratio 1.01). An
    undamped rope released beyond 60 degrees (soft) or 80 degrees (stiff) may go slack later and fall into the line
    anew, harder than this.

    Examples
    --------
    Stiff rope, taut, released at 60 degrees: 1.15 times 2.5 W.

    >>> from math import radians
    >>> round(swing_design_peak(1000.0, radians(60), 0.0, 40e3, 6.0), 6)
    2875.0
    """
    require_positive(stiffness=stiffness, length=length)
    base = swing_peak(weight, release_angle, slack_drop, stiffness)
    softest = stiffness if low_stiffness is None else low_stiffness
    require_positive(low_stiffness=softest)
    softness = np.divide(weight, np.multiply(softest, length))
    margin = np.where(softness <= STIFF_SWING.value, STIFF_SWING_MARGIN.value, SOFT_SWING_MARGIN.value)
    height = np.multiply(length, 1 - np.cos(release_angle)) + slack_drop
    bound = weight * (1 + np.sqrt(1 + 2 * np.multiply(height, stiffness) / weight))
    design = margin * base
    return plain(np.where(softness > SOFT_SWING.value, np.maximum(design, bound), design))


def side_reach(length: Values, release_angle: Values) -> Values:
    """How far a swing reaches on the other side of its redirect: ``L * sin(a0)``.

    Parameters
    ----------
    length : float or array
        L, from redirect to centre of mass, > 0. [m]
    release_angle : float or array
        a0, 0 to pi/2. [rad]

    Returns
    -------
    float or array
        Horizontal reach, broadcast shape. [m]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> from math import radians
    >>> round(side_reach(6.0, radians(30)), 6)
    3.0
    """
    require_positive(length=length)
    require_within(0.0, pi / 2, release_angle=release_angle)
    return plain(length * np.sin(release_angle))
