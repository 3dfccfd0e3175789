"""Who holds the line on the brake: wraps and people that are needed against wraps that fit and people that are there.

A brake that needs more is reported, and refused where the plan asks for that (``Crew.holds_every_piece``). A hold is a
person's choice and no dependable limit of force, which is why a catch is judged with the line locked as well. To be
silent about it would leave a crew with a line that runs away. What hands must hold is the hanging piece; in a catch
with a stated run the hold that this run needs: with less the line runs further, and the piece comes lower.

Low friction is the safe side for holding: half of the usual figure on wet gear. Wraps that are needed with high
friction say from how few on the line can be held at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, exp, pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from catalog_schema.gear import Brake
from recommender.kit.result import Holding
from recommender.loads.demands import LOW_BOLLARD_FRICTION
from recommender.physics import wraps_needed
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.cases import LoadCase
from recommender.work.settings import Crew

if TYPE_CHECKING:
    from recommender.kit.fits import Fits
    from recommender.kit.setups import Setup

Floats = NDArray[np.float64]
SPARE = 1e-9
"""Share of a person that is rounding."""

DRY_BOLLARD_FRICTION = Sourced(
    0.15, "-", COMMON_PRACTICE, note="rope on a metal bollard, for holding; aluminium measured 0.14 to 0.21"
)
HIGH_BOLLARD_FRICTION = Sourced(0.25, "-", "delaney_2022", "p. 88", "steel bars 0.19 to 0.25")


def holding(fits: Fits, setup: Setup) -> Holding | None:
    """What one ground worker needs on the brake of a setup; None without a brake."""
    if "brake" not in setup.parts:
        return None
    brake: Brake = fits.items[setup.parts["brake"]].gear  # type: ignore[assignment]
    return held_by_one(fits, setup.case, setup.line, setup.friction, brake.wraps_max)


def held_by_one(fits: Fits, case: int, line: int, friction: int, wraps_max: float) -> Holding:
    """What people need on a brake that takes ``wraps_max`` wraps, for a line over a kind of redirect."""
    hand, load_case = fits.policy.hand.hold, fits.cases[case]
    low = slippery(load_case.wet)
    hanging, peak = tail_loads(fits, case, line, friction)
    held = peak if is_run(load_case) else hanging
    return Holding(
        hanging_n=hanging,
        wraps_hanging=float(wraps_needed(hanging, hand, low)),
        wraps_peak=float(wraps_needed(peak, hand, low)),
        wraps_peak_dry=float(wraps_needed(peak, hand, float(HIGH_BOLLARD_FRICTION))),
        wraps_max=wraps_max,
        wraps_one=float(wraps_needed(held, hand, low)),
        people=people_for(held / (hand * exp(2 * pi * low * wraps_max))),
        there=people_there(fits.crew),
    )


def crew_holds(
    crew: Crew, cases: Sequence[LoadCase], hanging: Floats, peak: Floats, wraps: Floats, hand: float
) -> NDArray[np.bool_]:
    """Whether all people on the ground together hold load cases (j) with brakes (i), slippery line and all wraps.

    Parameters
    ----------
    crew : Crew
    cases : sequence of LoadCase
    hanging : array, shape (j, frictions)
        Tension at the brake while the piece hangs still. [N]
    peak : array, shape (j, lines, frictions)
        Tension at the brake in the working state. [N]
    wraps : array, shape (i,)
        That fit on each brake.
    hand : float
        What one person holds. [N]

    Returns
    -------
    array of bool, shape (j, lines, frictions, i)
    """
    runs = np.array([is_run(case) for case in cases], dtype=bool)
    held = np.where(runs[:, None, None], peak, hanging[:, None, :])
    low = np.array([slippery(case.wet) for case in cases])[:, None, None, None]
    people = held[..., None] / (hand * np.exp(2 * pi * low * wraps))
    return np.asarray(people <= people_there(crew) + SPARE)


def people_there(crew: Crew) -> int:
    """Who may be on the tail: the people on the ground, or the one who comes down where there are none."""
    return max(1, crew.ground_workers)


def is_run(case: LoadCase) -> bool:
    """Whether the hold of a catch decides how far the line runs; otherwise hands hold what hangs."""
    return case.technique == "catch" and case.run > 0


def people_for(share: float) -> int:
    """How many people hold a tension, by what one of them would have to do as a share of what one can; 1 at least."""
    return max(1, ceil(share - SPARE))


def tail_loads(fits: Fits, case: int, line: int, friction: int) -> tuple[float, float]:
    """Tension at the brake while the piece hangs still, with the least friction at the redirect, and the peak. [N]"""
    hanging = fits.frictions[friction].r_high * fits.cases[case].weight
    return hanging, float(fits.demands.brake[0, case, line, friction])


def slippery(wet: bool) -> float:
    """The low friction on a brake that holding is reckoned with."""
    return float(LOW_BOLLARD_FRICTION if wet else DRY_BOLLARD_FRICTION)
