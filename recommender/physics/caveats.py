"""Where the closed forms of a catch hold. Outside, the caller refuses rather than extrapolates."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from recommender.physics.domain import Values, require_non_negative, require_positive
from recommender.sourced import COMMON_PRACTICE, Sourced

LARGEST_FALL_RATIO = Sourced(
    2.0, "-", COMMON_PRACTICE, note="fall height over effective length; project limit"
)
LARGEST_TENSION_SHARE = Sourced(
    0.75, "-", COMMON_PRACTICE, note="of the minimum break; above it a rope is damaged for good"
)
SHORTEST_LEAD = Sourced(0.5, "m", COMMON_PRACTICE, note="knots and sling rule below; project limit")


class CatchCaveats(NamedTuple):
    """True where a rule is broken; every field has the broadcast shape of its arguments.

    Attributes
    ----------
    fall_too_high : array of bool
        Fall height above ``LARGEST_FALL_RATIO`` times the effective length.
    tension_too_high : array of bool
        Peak tension above ``LARGEST_TENSION_SHARE`` of the rope's minimum break.
    lead_too_short : array of bool
        Lead leg shorter than ``SHORTEST_LEAD``.
    """

    fall_too_high: NDArray[np.bool_]
    tension_too_high: NDArray[np.bool_]
    lead_too_short: NDArray[np.bool_]


def catch_caveats(
    fall_height: Values,
    effective_length: Values,
    lead_length: Values,
    peak_tension: Values,
    min_break: Values,
) -> CatchCaveats:
    """Which limits of the closed forms of a catch are passed, rule by rule.

    Parameters
    ----------
    fall_height : float or array
        h, >= 0. [m]
    effective_length : float or array
        L_eff, > 0. [m]
    lead_length : float or array
        L_lead, > 0. [m]
    peak_tension : float or array
        Of the lead leg, >= 0. [N]
    min_break : float or array
        Minimum breaking strength of the rope, > 0. [N]

    Returns
    -------
    CatchCaveats
        True where a rule is broken.

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> [bool(rule) for rule in catch_caveats(2.5, 6.75, 0.4, 26e3, 60e3)]
    [False, False, True]
    """
    require_non_negative(fall_height=fall_height, peak_tension=peak_tension)
    require_positive(effective_length=effective_length, lead_length=lead_length, min_break=min_break)
    return CatchCaveats(
        np.asarray(np.greater(fall_height, np.multiply(LARGEST_FALL_RATIO.value, effective_length))),
        np.asarray(np.greater(peak_tension, np.multiply(LARGEST_TENSION_SHARE.value, min_break))),
        np.asarray(np.less(lead_length, SHORTEST_LEAD.value)),
    )


def within_validity(
    fall_height: Values,
    effective_length: Values,
    lead_length: Values,
    peak_tension: Values,
    min_break: Values,
) -> NDArray[np.bool_]:
    """True where no rule of :func:`catch_caveats` is broken (same arguments), broadcast shape.

    Examples
    --------
    >>> bool(within_validity(2.5, 6.75, 0.75, 26e3, 60e3))
    True
    """
    broken = catch_caveats(fall_height, effective_length, lead_length, peak_tension, min_break)
    return np.asarray(~(broken.fall_too_high | broken.tension_too_high | broken.lead_too_short))
