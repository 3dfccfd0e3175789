"""The limits sheet: the largest piece that a kit, or the gear that is owned, may take down at a height.

The mass is found by halving, with the very demands and ratings of the kit model. A row holds for a band of heights: it
is the worst of both ends and the middle, since a longer line is softer, but lets a swing bounce more and a lift
stretch further.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from catalog_schema.units import UnitSystem, to_si
from recommender.explain.gear_at_hand import GearAtHand
from recommender.explain.manners import Manner, usual_manners
from recommender.kit.result import CAUTIONS, KitResult, Typed
from recommender.physics import fall_height
from recommender.sourced import COMMON_PRACTICE, DERIVED, Sourced
from recommender.wood import PieceWeight, UnknownSpecies, density_band, find_species, mass_per_length
from recommender.work.cases import LoadCase, allowance_length, load_case
from recommender.work.plan import Plan
from recommender.work.tables import JobType, Technique

LEAST_MASS = Sourced(1.0, "kg", DERIVED, note="below it a cell says that nothing is carried")
MOST_MASS = Sourced(1e5, "kg", DERIVED, note="above what any line of the catalogue's range carries")
MASS_STEPS = Sourced(
    22, "-", DERIVED, note="halvings of a factor of 1e5: the mass is met to 3 parts in a million"
)
LENGTH_STEPS = Sourced(14, "-", DERIVED, note="halvings of a length below 10 m: met to 1 mm")
LONGEST_LOG = Sourced(
    6.0, "m", COMMON_PRACTICE, note="longer logs are cut again; thin ones bend and hit the stem"
)
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
    """

    manner: str
    technique: Technique
    height_from_m: float
    height_to_m: float
    largest_mass_kg: float
    why_not: str = ""
    parts: dict[str, str] = {}
    held_by: str = ""
    state: str = ""
    stem_at_redirect_m: tuple[float, float | None] = (0.0, None)
    stem_at_brake_m: tuple[float, float | None] = (0.0, None)
    line_needed_m: float = 0.0
    logs: tuple[LogLimits, ...] = ()

    def lengths(self, species: str) -> tuple[float | None, ...]:
        """Longest logs of a species by diameter; empty if the sheet does not have it."""
        return next((one.lengths_m for one in self.logs if one.species == species), ())


class LimitsSheet(Typed):
    """What a kit may carry, by manner and height. ``heaviest`` is the species that is safe for all the others."""

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


@dataclass(frozen=True)
class _Cell:
    """One manner in one band: its load cases, shape (stems, states of slack and height), with a mass of 1 kg."""

    manner: Manner
    low: float
    high: float
    cases: tuple[tuple[LoadCase, ...], ...]


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
    diameters, woods = _diameters(system), _woods(plan)
    cells = [
        _cell(plan, gear, manner, low, high) for manner in manners for low, high in _bands(plan, gear, system)
    ]
    masses, best = _largest_masses(gear, cells)
    rows = [
        _row(gear, cell, float(mass), int(stems), diameters, woods)
        for cell, mass, stems in zip(cells, masses, best, strict=True)
    ]
    return LimitsSheet(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        gear="the gear that is owned" if result is None else "the kit",
        wet=_wet(plan),
        diameters_m=tuple(diameters.tolist()),
        species=tuple(woods),
        heaviest=max(woods, key=lambda name: woods[name], default=""),
        manners=manners,
        rows=tuple(rows),
        notes=tuple(_notes(plan, gear, woods)),
    )


def _wet(plan: Plan) -> bool:
    return any(job.wet for job in plan.jobs)


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
    return [(float(a), float(b)) for a, b in zip(edges[:count], edges[1 : count + 1], strict=True)]


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


def _cell(plan: Plan, gear: GearAtHand, manner: Manner, low: float, high: float) -> _Cell:
    jobs = [job for job in plan.jobs if job.technique == manner.technique] or list(plan.jobs)
    stems = gear.stems_told_apart([(job.stem_at_redirect, job.stem_at_brake) for job in jobs])
    heights = (low, (low + high) / 2, high)
    cases = tuple(
        tuple(
            load_case(sheet_job(manner, height, slack, 1.0, pair, wet=_wet(plan)), plan.settings.line, 1.0)
            for slack in manner.slacks
            for height in heights
        )
        for pair in stems
    )
    return _Cell(manner, low, high, cases)


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


def _weighing(case: LoadCase, mass: float) -> LoadCase:
    return replace(case, mass=PieceWeight(mass, mass))


def _largest_masses(gear: GearAtHand, cells: Sequence[_Cell]) -> tuple[Floats, NDArray[np.int64]]:
    """Largest mass of each cell over its stems, and which stems those are: mass 0 where nothing is carried."""
    groups = [(cell, variants) for cell in cells for variants in cell.cases]
    sizes = [len(variants) for _, variants in groups]

    def carried(masses: Floats) -> NDArray[np.bool_]:
        cases = [
            _weighing(one, m) for (_, group), m in zip(groups, masses.tolist(), strict=True) for one in group
        ]
        return _all_of_each(gear.carries(cases), sizes)

    low = np.full(len(groups), float(LEAST_MASS))
    high = np.full(len(groups), float(MOST_MASS))
    possible = carried(low)
    for _ in range(int(MASS_STEPS.value)):
        middle = np.sqrt(low * high)
        fits = carried(middle)
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    masses = np.where(possible, low, 0.0)
    ends = np.cumsum([0, *(len(cell.cases) for cell in cells)])
    best = [int(np.argmax(masses[a:b])) for a, b in zip(ends, ends[1:], strict=False)]
    return np.array([masses[a + k] for a, k in zip(ends, best, strict=False)]), np.array(best)


def _all_of_each(flags: NDArray[np.bool_], sizes: Sequence[int]) -> NDArray[np.bool_]:
    """Whether all flags of each group are set; groups follow each other."""
    starts = np.cumsum([0, *sizes[:-1]])
    return np.logical_and.reduceat(flags, starts) if len(sizes) else np.zeros(0, dtype=bool)


def _row(
    gear: GearAtHand, cell: _Cell, mass: float, stems: int, diameters: Floats, woods: dict[str, float]
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
    mass, chosen = _one_setup(gear, cell.cases[stems], mass)
    variants = [_weighing(case, mass) for case in cell.cases[stems]]
    setup, held_by, state = gear.hardest(variants, chosen)
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
            "logs": _logs(gear.only(setup.parts), cell, variants, mass, diameters, woods),
        }
    )


def _one_setup(gear: GearAtHand, cases: Sequence[LoadCase], mass: float) -> tuple[float, dict[str, int]]:
    """The setup that takes the largest mass in all states of a cell, and that mass.

    At ``mass`` something carries each state; mostly the same setup carries all. Where the states ask for different
    setups (a soft rope when the line is short, a strong one when it is long), each of them is tried alone.
    """
    best = (0.0, dict[str, int]())
    for setup in gear.best_setups([_weighing(case, mass) for case in cases]):
        best = max(best, (_largest_with(gear, cases, setup.parts, mass), setup.parts), key=lambda one: one[0])
        if best[0] == mass:
            break
    return best


def _largest_with(gear: GearAtHand, cases: Sequence[LoadCase], parts: dict[str, int], most: float) -> float:
    """Largest mass up to ``most`` that one setup takes in all states; 0 where it takes none."""

    alone = gear.only(parts)

    def carried(mass: float) -> bool:
        return bool(alone.carries([_weighing(case, mass) for case in cases]).all())

    if carried(most):
        return most
    low, high = float(LEAST_MASS), most
    if low >= high or not carried(low):
        return 0.0
    for _ in range(int(MASS_STEPS.value)):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if carried(middle) else (low, middle)
    return low


def _why_not(gear: GearAtHand, cell: _Cell) -> str:
    needed = max(case.line_needed for group in cell.cases for case in group)
    if gear.longest_line < needed:
        return "no line is long enough"
    lacking = gear.missing(cell.manner.technique)
    if lacking:
        return lacking
    unbounded = [replace(case, clearance=float("inf")) for group in cell.cases for case in group]
    if gear.carries(unbounded).any():
        return "too low to stop a piece above the ground"
    return "nothing carries even the smallest piece"


def _logs(
    gear: GearAtHand,
    cell: _Cell,
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
        lengths = _caught_lengths(gear, cell.manner, variants, line_mass.ravel()).reshape(line_mass.shape)
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


def _caught_lengths(
    gear: GearAtHand, manner: Manner, variants: Sequence[LoadCase], line_mass: Floats
) -> Floats:
    """Longest caught logs by mass per length, not a number where none is carried.

    A longer log is heavier and falls further: halved down, from the knot to the longest piece of the manner.
    """
    tie = manner.tie_above_cut_m or 0.0

    def carried(lengths: Floats) -> NDArray[np.bool_]:
        drops = np.asarray(fall_height(manner.lead_m, lengths / 2, tie, 0.0)).tolist()
        logs = zip(lengths.tolist(), (line_mass * lengths).tolist(), drops, strict=True)
        cases = [
            _caught(case, *log, slack) for log in logs for case, slack in zip(variants, slacks, strict=True)
        ]
        return _all_of_each(gear.carries(cases), [len(variants)] * len(line_mass))

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


def _notes(plan: Plan, gear: GearAtHand, woods: dict[str, float]) -> list[str]:
    unknown = sorted({job.species for job in plan.jobs} - woods.keys())
    notes = [f"No log lengths for {', '.join(unknown)}: the wood table does not have it."] if unknown else []
    return [*plan.policy.notes, *gear.left_out, *notes]
