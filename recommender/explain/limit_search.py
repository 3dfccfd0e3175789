"""The search behind the limits sheet: largest mass of a cell by halving, with the demands and ratings of the kit model.

Halving needs that what carries a piece carries every lighter one too: each demand rises with the weight, and no rating
depends on it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from recommender.explain.gear_at_hand import GearAtHand
from recommender.explain.manners import Manner
from recommender.physics import fall_height
from recommender.sourced import COMMON_PRACTICE, DERIVED, Sourced
from recommender.wood import PieceWeight
from recommender.work.cases import LoadCase, load_case
from recommender.work.plan import Plan
from recommender.work.tables import JobType

LEAST_MASS = Sourced(1.0, "kg", DERIVED, note="below it a cell says that nothing is carried")
MOST_MASS = Sourced(1e5, "kg", DERIVED, note="above what any line of the catalogue's range carries")
MASS_STEPS = Sourced(
    20, "-", DERIVED, note="halvings of a factor of 1e5: the mass is met to 11 parts in a million"
)
LENGTH_STEPS = Sourced(10, "-", DERIVED, note="halvings of a length of 6 m at most: met to 6 mm")
LONGEST_LOG = Sourced(
    6.0, "m", COMMON_PRACTICE, note="longer logs are cut again; thin ones bend and hit the stem"
)

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Cell:
    """One manner in one band: its load cases, shape (stems, states of slack and height), with a mass of 1 kg."""

    manner: Manner
    low: float
    high: float
    cases: tuple[tuple[LoadCase, ...], ...]


def cell_of(plan: Plan, gear: GearAtHand, manner: Manner, band: tuple[float, float], *, wet: bool) -> Cell:
    """The load cases of one manner in one band of heights, for the stems that the plan has in that technique."""
    low, high = band
    jobs = [job for job in plan.jobs if job.technique == manner.technique] or list(plan.jobs)
    stems = gear.stems_told_apart([(job.stem_at_redirect, job.stem_at_brake) for job in jobs])
    heights = (low, (low + high) / 2, high)
    cases = tuple(
        tuple(
            load_case(sheet_job(manner, height, slack, 1.0, pair, wet=wet), plan.settings.line, 1.0)
            for slack in manner.slacks
            for height in heights
        )
        for pair in stems
    )
    return Cell(manner, low, high, cases)


def sheet_job(
    manner: Manner, height: float, slack: float, mass: float, stems: tuple[float, float], *, wet: bool
) -> JobType:
    """A job type that stands for a cell of the sheet.

    Parameters
    ----------
    manner : Manner
    height, slack : float
        [m]
    mass : float
        Of the piece to plan for. [kg]
    stems : tuple of float
        Diameters at the redirect and at the brake. [m]
    wet : bool

    Returns
    -------
    JobType
    """
    catching = manner.technique == "catch"
    return JobType(
        job=manner.name,
        technique=manner.technique,
        share=1.0,
        species="stated mass",
        diameter=0.3,
        length=manner.piece_length_m or 1.0,
        mass=mass,
        mass_high=mass,
        rigging_height=height,
        stem_at_redirect=stems[0],
        stem_at_brake=stems[1],
        leg_angle=manner.leg_angle_rad,
        slack=slack,
        swing_angle=manner.swing_angle_rad,
        cut_to_redirect=manner.lead_m,
        tie_above_cut=manner.tie_above_cut_m,
        run=manner.run_m,
        clearance=height if catching else None,
        lift_height=manner.lift_height_m,
        lift_manner=manner.lift_manner,  # type: ignore[arg-type]
        wet=wet,
    )


def weighing(case: LoadCase, mass: float) -> LoadCase:
    """A load case with another mass, usual and to plan for. [kg]"""
    return replace(case, mass=PieceWeight(mass, mass))


def largest_masses(gear: GearAtHand, cells: Sequence[Cell]) -> tuple[Floats, NDArray[np.int64]]:
    """Largest mass of each cell over its stems, and which stems those are: mass 0 where nothing is carried."""
    masses = masses_of(gear, [variants for cell in cells for variants in cell.cases])
    ends = np.cumsum([0, *(len(cell.cases) for cell in cells)])
    best = [int(np.argmax(masses[a:b])) for a, b in pairwise(ends)]
    return np.array([masses[a + k] for a, k in zip(ends, best, strict=False)]), np.array(best)


def masses_of(gear: GearAtHand, groups: Sequence[Sequence[LoadCase]]) -> Floats:
    """Largest mass that the gear carries in all load cases of each group, by halving; 0 where it carries none. [kg]"""
    sizes = [len(group) for group in groups]

    def carried(masses: Floats) -> NDArray[np.bool_]:
        cases = [weighing(one, m) for group, m in zip(groups, masses.tolist(), strict=True) for one in group]
        return _all_of_each(gear.carries(cases), sizes)

    low = np.full(len(groups), float(LEAST_MASS))
    high = np.full(len(groups), float(MOST_MASS))
    possible = carried(low)
    for _ in range(int(MASS_STEPS.value)):
        middle = np.sqrt(low * high)
        fits = carried(middle)
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return np.where(possible, low, 0.0)


def _all_of_each(flags: NDArray[np.bool_], sizes: Sequence[int]) -> NDArray[np.bool_]:
    """Whether all flags of each group are set; groups follow each other."""
    starts = np.cumsum([0, *sizes[:-1]])
    return np.logical_and.reduceat(flags, starts) if len(sizes) else np.zeros(0, dtype=bool)


def one_setup(gear: GearAtHand, cases: Sequence[LoadCase], mass: float) -> tuple[float, dict[str, int]]:
    """The setup that takes the largest mass in all states of a cell, and that mass.

    At ``mass`` something carries each state; mostly the same setup carries all. Where the states ask for different
    setups (a soft rope when the line is short, a strong one when it is long), each of them is tried alone.
    """
    best = (0.0, dict[str, int]())
    for setup in gear.best_setups([weighing(case, mass) for case in cases]):
        best = max(best, (largest_with(gear, cases, setup.parts, mass), setup.parts), key=lambda one: one[0])
        if best[0] == mass:
            break
    return best


def largest_with(gear: GearAtHand, cases: Sequence[LoadCase], parts: dict[str, int], most: float) -> float:
    """Largest mass up to ``most`` that one setup takes in all states; 0 where it takes none."""

    alone = gear.only(parts)

    def carried(mass: float) -> bool:
        return bool(alone.carries([weighing(case, mass) for case in cases]).all())

    if carried(most):
        return most
    low, high = float(LEAST_MASS), most
    if low >= high or not carried(low):
        return 0.0
    for _ in range(int(MASS_STEPS.value)):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if carried(middle) else (low, middle)
    return low


def caught_lengths(
    gear: GearAtHand,
    manner: Manner,
    variants: Sequence[LoadCase],
    line_mass: Floats,
    held: Callable[[Sequence[LoadCase]], NDArray[np.bool_]],
) -> Floats:
    """Longest caught logs by mass per length, not a number where none is carried and ``held`` at the brake.

    A longer log is heavier and falls further: halved down, from the knot to the longest piece of the manner.
    """
    tie = manner.tie_above_cut_m or 0.0

    def carried(lengths: Floats) -> NDArray[np.bool_]:
        drops = np.asarray(fall_height(manner.lead_m, lengths / 2, tie, 0.0)).tolist()
        logs = zip(lengths.tolist(), (line_mass * lengths).tolist(), drops, strict=True)
        cases = [
            _caught(case, *log, slack) for log in logs for case, slack in zip(variants, slacks, strict=True)
        ]
        return _all_of_each(gear.carries(cases) & held(cases), [len(variants)] * len(line_mass))

    slacks = [case.lead - manner.lead_m - tie for case in variants]
    low, high = (
        np.full(len(line_mass), tie),
        np.full(len(line_mass), min(manner.piece_length_m, float(LONGEST_LOG))),
    )
    if not len(line_mass):
        return low
    possible, whole, longest = carried(low), carried(high), high
    for _ in range(int(LENGTH_STEPS.value)):
        middle = (low + high) / 2
        fits = carried(middle)
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return np.where(possible, np.where(whole, longest, low), np.nan)


def _caught(case: LoadCase, length: float, mass: float, drop: float, slack: float) -> LoadCase:
    """A catch with another log: its mass, its centre and its drop."""
    return replace(
        case,
        mass=PieceWeight(mass, mass),
        piece_length=length,
        centre_above_cut=length / 2,
        drop=drop + slack,
    )
