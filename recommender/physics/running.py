"""A catch with a running brake, and how low a catch comes."""

from __future__ import annotations

import numpy as np

from recommender.physics.catching import require_catch
from recommender.physics.domain import (
    Values,
    plain,
    require_non_negative,
    require_positive,
    require_within,
)
from recommender.physics.rope import strain_at_tension
from recommender.sourced import COMMON_PRACTICE, Sourced

KNOT_AND_SLING_CREEP = Sourced(
    0.3, "m", COMMON_PRACTICE, note="upper end of 0.1 to 0.3 m; the safe side for clearance"
)


def slip_force(grip: Values, friction_coefficient: Values, turns: Values) -> Values:
    """Tension at the brake at which rope runs: ``F_slip = grip * exp(2 * pi * mu * turns)``.

    Parameters
    ----------
    grip : float or array
        Hand force on the tail, >= 0. [N]
    friction_coefficient : float or array
        Rope against bollard, mu, >= 0. [-]
    turns : float or array
        Wraps on the bollard, >= 0. [turn]

    Returns
    -------
    float or array
        Slip tension of the fall leg, broadcast shape. For forces take mu and grip high, for distances low.
        [N]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    >>> round(slip_force(100.0, 0.15, 2.0), 2)
    658.61
    """
    require_non_negative(grip=grip, friction_coefficient=friction_coefficient, turns=turns)
    return plain(grip * np.exp(2 * np.pi * np.multiply(friction_coefficient, turns)))


def running_force(locked_tension: Values, slip_tension: Values, r: Values) -> Values:
    """Peak lead tension with a brake that runs at a given tension: ``min(T_locked, F_slip / r)``.

    Parameters
    ----------
    locked_tension : float or array
        Of :func:`peak_tension_locked`, > 0. [N]
    slip_tension : float or array
        F_slip, tension of the fall leg at which rope runs, > 0. [N]
    r : float or array
        Fall tension over lead tension, above 0 and at most 1. [-]

    Returns
    -------
    float or array
        Peak tension of the lead leg, broadcast shape. A slip tension is a hand's choice, no dependable
        limit. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> running_force(26000.0, 4500.0, 0.6)
    7500.0
    """
    require_positive(locked_tension=locked_tension, slip_tension=slip_tension, r=r)
    require_within(0.0, 1.0, r=r)
    return plain(np.minimum(locked_tension, np.divide(slip_tension, r)))


def run_at_slip(
    weight: Values,
    fall_height: Values,
    effective_length: Values,
    constant: Values,
    exponent: Values,
    slip_tension: Values,
    r: Values,
) -> Values:
    """Rope that runs through a brake that slips at a given tension until the piece stops.

    ``F = F_slip / r``, ``x = L_eff * (F / C)^(1/n)``, ``run = (W * (h + x) - F * x / (1 + n)) / (F - W)``.

    Parameters
    ----------
    weight, fall_height, effective_length, constant, exponent
        As in :func:`peak_tension_locked`. [N], [m], [m], [N], [-]
    slip_tension : float or array
        F_slip, > 0; the LOW estimate is on the safe side here. [N]
    r : float or array
        Fall tension over lead tension, above 0 and at most 1; its HIGH end is on the safe side here. [-]

    Returns
    -------
    float or array
        Run, broadcast shape: 0 where nothing slips, infinite where ``F_slip / r <= W`` (the piece is not
        stopped). [m]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(run_at_slip(300 * 9.80665, 2.0, 1.2 + 0.6 * 12, 400e3, 1.0, 4500.0, 0.6), 3)
    1.263
    """
    require_catch(weight, fall_height, effective_length, constant, exponent)
    require_positive(slip_tension=slip_tension, r=r)
    require_within(0.0, 1.0, r=r)
    lead = np.divide(slip_tension, r)
    stretch = np.multiply(effective_length, strain_at_tension(lead, constant, exponent))
    stops = lead > weight
    excess = np.where(stops, lead - weight, 1.0)
    run = (weight * (fall_height + stretch) - lead * stretch / np.add(1, exponent)) / excess
    return plain(np.where(stops, np.maximum(run, 0.0), np.inf))


def lowest_point_drop(
    fall_height: Values,
    peak_tension: Values,
    effective_length: Values,
    constant: Values,
    exponent: Values,
    *,
    run: Values = 0.0,
    creep: Values = KNOT_AND_SLING_CREEP.value,
) -> Values:
    """Drop of the centre of mass to the lowest point of a catch: ``D = h + x + run + creep``.

    Parameters
    ----------
    fall_height : float or array
        h, >= 0. [m]
    peak_tension : float or array
        Lead tension at the lowest point, worked out with the same rope and ``r``, >= 0. [N]
    effective_length : float or array
        L_eff with the HIGH end of ``r`` and the rope's own exponent (the shorter one hides stretch), > 0. [m]
    constant, exponent : float or array
        Power law of the rope, its LOW stiffness, > 0. [N], [-]
    run : float or array
        Rope through the brake, >= 0. [m]
    creep : float or array
        Tightening of knots and slings, >= 0. [m]

    Returns
    -------
    float or array
        Drop, broadcast shape. The lowest wood hangs half the piece or more below the centre of mass. [m]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(lowest_point_drop(2.0, 7500.0, 8.4, 400e3, 1.0, run=1.263, creep=0.0), 2)
    3.42
    """
    require_non_negative(fall_height=fall_height, creep=creep)
    require_positive(effective_length=effective_length)
    if np.any(~(np.asarray(run) >= 0)):
        raise ValueError(f"run must be 0 or more, not {run!r}")
    stretch = np.multiply(effective_length, strain_at_tension(peak_tension, constant, exponent))
    return plain(fall_height + stretch + run + creep)
