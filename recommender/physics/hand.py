"""What one person on the ground can pull or hold, and what wraps leave for the hand."""

from __future__ import annotations

import numpy as np

from recommender.physics.domain import STANDARD_GRAVITY, Values, require_non_negative
from recommender.physics.friction import capstan_hold_force, wraps_needed
from recommender.sourced import COMMON_PRACTICE, FROM_MEMORY, Sourced

SUSTAINED_HOLD = Sourced(
    100.0, "N", COMMON_PRACTICE, note="one ground worker, sustained hold; planner's default"
)
SHORT_PULL = Sourced(150.0, "N", COMMON_PRACTICE, note="one ground worker, short pull; planner's default")
WHOLE_BODY_PULL = Sourced(
    225.0, "N", "ccohs_pushing_pulling", "Table 1", "horizontal, standing, not to be exceeded"
)
START_LOAD_MEN = Sourced(20.0, "kgf", "hse_rr228", "abstract", "push or pull to start or stop a load")
START_LOAD_WOMEN = Sourced(15.0, "kgf", "hse_rr228", "abstract", "push or pull to start or stop a load")
PULL_OF_AVERAGE_MAN = Sourced(
    60.0, "lbf", "us_army_field_expedients", "par. 30", "block and tackle work, old"
)
MOMENTARY_GRIP = Sourced(
    200.0, "N", "faa_hfds", "Exhibit 14.5.2.1", "5th percentile man, left hand, momentary"
)
CRANK_EFFORT = Sourced(250.0, "N", FROM_MEMORY, note="hand winch at rated load, at most; EN 13157")

START_LOAD_LIMIT = START_LOAD_MEN.value * STANDARD_GRAVITY.value
"""``START_LOAD_MEN`` in newtons."""


def hold_after_wraps(fall_tension: Values, friction_coefficient: Values, turns: Values) -> Values:
    """Hand force that holds a line after its wraps on a bollard: ``T * exp(-2 * pi * mu * turns)``.

    Parameters
    ----------
    fall_tension : float or array
        Tension of the fall leg, >= 0. [N]
    friction_coefficient : float or array
        Rope against bollard, mu, >= 0; the low end (half for a wet or glazed rope) is on the safe side. [-]
    turns : float or array
        Wraps, >= 0. [turn]

    Returns
    -------
    float or array
        Hand force, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    Delaney, Physics for Roping Technicians, 2022, p. 88: 100 kgf over one turn of aluminium tube.

    >>> round(hold_after_wraps(100.0, 0.175, 1.0), 1)
    33.3
    """
    require_non_negative(turns=turns)
    return capstan_hold_force(fall_tension, friction_coefficient, np.multiply(2 * np.pi, turns))


def wraps_for_one_person(fall_tension: Values, friction_coefficient: Values) -> Values:
    """Turns that leave no more than ``SUSTAINED_HOLD`` for the hand, not rounded.

    Parameters
    ----------
    fall_tension : float or array
        Tension of the fall leg, >= 0. [N]
    friction_coefficient : float or array
        Rope against bollard, mu, > 0; the low end is on the safe side. [-]

    Returns
    -------
    float or array
        Turns, broadcast shape. [turn]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(wraps_for_one_person(2000.0, 0.2), 2)
    2.38
    """
    return wraps_needed(fall_tension, SUSTAINED_HOLD.value, friction_coefficient)
