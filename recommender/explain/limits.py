"""The limits sheet: the largest piece that a kit, or the gear that is owned, may take down at a height.

The mass is found by halving, with the very demands and ratings of the kit model. A row holds for a band of heights: it
is the worst of both ends and the middle, since a longer line is softer, but lets a swing bounce more and a lift
stretch further. It is never more than the crew of the plan holds at the brake.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from catalog_schema.units import UnitSystem, to_si
from recommender.explain.gear_at_hand import GearAtHand
from recommender.explain.limit_hold import CREWS_HOLD, CrewHold
from recommender.explain.limit_search import (
    LEAST_MASS,
    LONGEST_LOG,
    Cell,
    caught_lengths,
    cell_of,
    largest_masses,
    one_setup,
    weighing,
)
from recommender.explain.manners import Manner, usual_manners
from recommender.explain.planned_pieces import PlannedPiece, people_of, planned_pieces
from recommender.kit.result import CAUTIONS, KitResult, Typed
from recommender.sourced import DERIVED, Sourced
from recommender.wood import UnknownSpecies, density_band, find_species, mass_per_length
from recommender.work.cases import LoadCase, allowance_length
from recommender.work.plan import Plan
from recommender.work.tables import Technique

HEIGHTS = {"metric": (3.0, 5.0, 5.0, "m"), "us": (10.0, 15.0, 15.0, "ft")}
"""Lowest height, top of the first band, and width of the others."""
DIAMETERS = {"metric": (15.0, 60.0, 5.0, "cm"), "us": (6.0, 24.0, 2.0, "in")}
"""Thinnest and thickest log, and the step between."""
MOST_BANDS = Sourced(6, "-", DERIVED, note="bands of height that fit on one page")

Floats = NDArray[np.float64]


class LogLimits(Typed):
    """Longest logs of one species, one for each diameter of the sheet; None where no log is carried. [kg/m3], [m]"""

    species: str
    density_kg_m3: float
    lengths_m: tuple[float | None, ...]


class LimitRow(Typed):
    """The largest piece of one manner in one band of heights, and the gear that it holds for.

    ``largest_mass_kg`` is not rounded; 0 if nothing is carried, and ``why_not`` says why. ``held_by`` is the part that
    is fully used at the limit, or what else ends it. Stems are those that the slings go round, None without an end.
    ``gear_mass_kg`` is what the gear alone would carry, ``one_person_kg`` what one person holds with the ``wraps`` that
    fit on the brake; the last two are None without a brake.
    """

    manner: str
    technique: Technique
    height_from_m: float
    height_to_m: float
    largest_mass_kg: float
    why_not: str = ""
    parts: dict[str, str] = Field(default_factory=dict)
    held_by: str = ""
    state: str = ""
    stem_at_redirect_m: tuple[float, float | None] = (0.0, None)
    stem_at_brake_m: tuple[float, float | None] = (0.0, None)
    line_needed_m: float = 0.0
    gear_mass_kg: float = 0.0
    one_person_kg: float | None = None
    wraps: float | None = None
    logs: tuple[LogLimits, ...] = ()

    def lengths(self, species: str) -> tuple[float | None, ...]:
        """Longest logs of a species by diameter; empty if the sheet does not have it."""
        return next((one.lengths_m for one in self.logs if one.species == species), ())


class LimitsSheet(Typed):
    """What a kit may carry, by manner and height. ``heaviest`` is the species that is safe for all the others.

    ``hold_n`` is what the policy gives to the hand of each of the ``ground_workers``, all of whom may be on the tail.
    """

    plan: str
    notice: str
    gear: str
    wet: bool
    diameters_m: tuple[float, ...]
    species: tuple[str, ...]
    heaviest: str
    manners: tuple[Manner, ...]
    rows: tuple[LimitRow, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS
    climbers: int = 1
    ground_workers: int = 1
    hold_n: float = 0.0
    planned: tuple[PlannedPiece, ...] = ()

    @property
    def wraps(self) -> dict[str, float]:
        """All wraps that fit on each brake that the sheet uses, by its id."""
        return {row.parts["brake"]: row.wraps for row in self.rows if row.wraps is not None}


def limits_sheet(plan: Plan, result: KitResult | None, system: UnitSystem | None = None) -> LimitsSheet:
    """The largest pieces that a kit, or the gear that is owned, may take down.

    Parameters
    ----------
    plan : Plan
    result : KitResult or None
        The kit; None for all owned gear that is not retired.
    system : {'metric', 'us'}, optional
        In whose round figures heights and diameters are; those of the plan if left out.

    Returns
    -------
    LimitsSheet

    Raises
    ------
    ValueError
        If the result has no kit.
    """
    system = system or plan.settings.units
    if result is not None and not result.items:
        raise ValueError(f"result must hold a kit, not {result.status!r}")
    gear = GearAtHand.of_plan(
        plan, None if result is None else {one.id: one.quantity for one in result.items}
    )
    manners = usual_manners(plan, system)
    wet = any(job.wet for job in plan.jobs)
    diameters, woods = _diameters(system), _woods(plan)
    cells = [
        cell_of(plan, gear, manner, band, wet=wet)
        for manner in manners
        for band in _bands(plan, gear, system)
    ]
    masses, best = largest_masses(gear, cells)
    rows = [
        _row(gear, cell, float(mass), int(stems), diameters, woods)
        for cell, mass, stems in zip(cells, masses, best, strict=True)
    ]
    return LimitsSheet(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        gear="the gear that is owned" if result is None else "the kit",
        climbers=plan.settings.crew.climbers,
        ground_workers=people_of(plan),
        hold_n=plan.policy.hand.hold,
        planned=planned_pieces(plan, gear, () if result is None else result.assignments),
        wet=wet,
        diameters_m=tuple(diameters.tolist()),
        species=tuple(woods),
        heaviest=max(woods, key=lambda name: woods[name], default=""),
        manners=manners,
        rows=tuple(rows),
        notes=tuple(_notes(plan, gear, woods)),
    )


def _diameters(system: UnitSystem) -> Floats:
    low, high, step, unit = DIAMETERS[system]
    return np.arange(low, high + step / 2, step) * to_si(1.0, unit, "stem")


def _bands(plan: Plan, gear: GearAtHand, system: UnitSystem) -> list[tuple[float, float]]:
    """Bands of heights that the longest line reaches; the lowest one at least. [m]"""
    low, first, step, unit = HEIGHTS[system]
    edges = np.array([low, *(first + step * np.arange(int(MOST_BANDS.value)))]) * to_si(1.0, unit, "length")
    used_up = allowance_length(plan.settings.line)
    reach = [high for high in edges[1:] if gear.longest_line >= 2 * high + used_up]
    count = max(1, len(reach))
    return [(float(a), float(b)) for a, b in pairwise(edges[: count + 1])]


def _woods(plan: Plan) -> dict[str, float]:
    """Upper density of each species of the plan that the wood table has. [kg/m3]"""
    woods: dict[str, float] = {}
    for job in plan.jobs:
        try:
            band = density_band(find_species(job.species), young_conifer=job.young_conifer)
        except UnknownSpecies:
            continue
        woods[job.species] = max(woods.get(job.species, 0.0), float(band.high))
    return woods


def _row(
    gear: GearAtHand, cell: Cell, mass: float, stems: int, diameters: Floats, woods: dict[str, float]
) -> LimitRow:
    row = LimitRow(
        manner=cell.manner.name,
        technique=cell.manner.technique,
        height_from_m=cell.low,
        height_to_m=cell.high,
        largest_mass_kg=mass,
    )
    if mass == 0.0:
        return row.model_copy(update={"why_not": _why_not(gear, cell)})
    carried, chosen = one_setup(gear, cell.cases[stems], mass)
    if carried == 0.0:
        nothing = {"largest_mass_kg": 0.0, "why_not": "no one setup does for the whole band of heights"}
        return row.model_copy(update=nothing)
    hold, people = CrewHold(gear, chosen), people_of(gear.plan)
    mass = hold.largest(cell.cases[stems], people, carried, weighing)
    if mass < float(LEAST_MASS):
        nothing = {
            "largest_mass_kg": 0.0,
            "why_not": "this crew can't hold even the smallest piece at the brake",
        }
        return row.model_copy(update=nothing)
    variants = [weighing(case, mass) for case in cell.cases[stems]]
    setup, held_by, state = gear.hardest(variants, chosen)
    if mass < carried:
        held_by, state = CREWS_HOLD, ""
    parts = {part: gear.items[item].id for part, item in setup.parts.items()}
    anchor = "brake" if "brake" in setup.parts else "lifter"
    return row.model_copy(
        update={
            "largest_mass_kg": mass,
            "parts": parts,
            "held_by": held_by,
            "state": state,
            "stem_at_redirect_m": gear.stem_range(setup.parts, "redirect"),
            "stem_at_brake_m": gear.stem_range(setup.parts, anchor),
            "line_needed_m": max(case.line_needed for case in variants),
            "gear_mass_kg": carried,
            "one_person_kg": hold.largest(variants, 1, mass, weighing) if hold.wraps is not None else None,
            "wraps": hold.wraps,
            "logs": _logs(hold, people, cell, variants, mass, diameters, woods),
        }
    )


def _why_not(gear: GearAtHand, cell: Cell) -> str:
    needed = max(case.line_needed for group in cell.cases for case in group)
    if gear.longest_line < needed:
        return "no line is long enough"
    lacking = gear.missing(cell.manner.technique)
    if lacking:
        return lacking
    unbounded = [replace(case, clearance=float("inf")) for group in cell.cases for case in group]
    if gear.carries(unbounded).any():
        return "too low to stop a piece above the ground"
    return "no setup of this gear carries even the smallest piece"


def _logs(
    hold: CrewHold,
    people: int,
    cell: Cell,
    variants: Sequence[LoadCase],
    mass: float,
    diameters: Floats,
    woods: dict[str, float],
) -> tuple[LogLimits, ...]:
    """Longest logs of every species by diameter, rigged with the gear of the row's setup alone."""
    density = np.array(list(woods.values()))[:, None]
    line_mass = (
        np.asarray(mass_per_length(density, diameters[None, :])) if woods else np.zeros((0, len(diameters)))
    )
    if cell.manner.technique == "catch":
        alone = hold.gear.only(hold.parts)
        lengths = caught_lengths(
            alone, cell.manner, variants, line_mass.ravel(), lambda cases: hold.holds(cases, people)
        ).reshape(line_mass.shape)
    else:
        lengths = np.minimum(mass / line_mass, min(float(LONGEST_LOG), cell.low - cell.manner.lead_m))
    return tuple(
        LogLimits(
            species=name,
            density_kg_m3=woods[name],
            lengths_m=tuple(None if np.isnan(length) else float(length) for length in row),
        )
        for name, row in zip(woods, lengths, strict=True)
    )


def _notes(plan: Plan, gear: GearAtHand, woods: dict[str, float]) -> list[str]:
    unknown = sorted({job.species for job in plan.jobs} - woods.keys())
    notes = [f"No log lengths for {', '.join(unknown)}: the wood table does not have it."] if unknown else []
    return [*plan.policy.notes, *gear.left_out, *notes]
