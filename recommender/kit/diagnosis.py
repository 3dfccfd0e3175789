"""Why a load case can't be carried by anything in the catalogue, and the smallest changes that would help."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from catalog_schema.units import UnitSystem, show
from recommender.kit.fits import Fits, TableFits
from recommender.kit.problem import Ints
from recommender.kit.result import Uncovered
from recommender.kit.way_builder import FULL, WayBuilder, friction_name
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.cases import LoadCase, load_cases
from recommender.work.plan import Plan
from recommender.work.tables import JobType

Floats = Any
SHORTER = tuple(np.round(np.arange(0.95, 0.15, -0.05), 2).tolist())
NO_CHANGE_HELPS = "No single change that was tried helps: give this job type away"
MOST_PULLING = Sourced(4, "-", COMMON_PRACTICE, note="people who get a hand on one tail")
MORE_RUN = tuple(np.round(np.arange(0.25, 4.01, 0.25), 2).tolist())


@dataclass(frozen=True)
class Shortfall:
    """The part that falls short in the best setup there is.

    ``ratio`` is demand over rating, infinite where nothing fits at all; ``demand`` in N. ``people`` is how many would
    have to pull, where a lifter is strong enough and the people on the ground are not; 0 elsewhere.
    """

    part: str
    ratio: float
    demand: float
    people: int = 0


def explain_uncovered(plan: Plan, fits: Fits, cases: Sequence[int]) -> tuple[Uncovered, ...]:
    """One explanation for each load case that nothing can carry.

    Parameters
    ----------
    plan : Plan
    fits : Fits
        Of the plan's load cases.
    cases : sequence of int
        Positions of the load cases.

    Returns
    -------
    tuple of Uncovered
    """
    return tuple(_explain(plan, fits, case) for case in cases)


def _explain(plan: Plan, fits: Fits, case: int) -> Uncovered:
    units: UnitSystem = plan.settings.units
    load_case = fits.cases[case]
    short = shortfall(fits, case)
    drops = drops_of_strong_lines(fits, case)
    found = [
        *_remedies(plan, fits, plan.jobs[case], load_case, short, units),
        *_more_room(plan, fits, case, drops, units),
    ]
    remedies = sorted(found, key=lambda pair: pair[0])
    sentences = [sentence for _, sentence in remedies] or [
        NO_CHANGE_HELPS
        + (", or lower the piece instead of catching it" if load_case.technique == "catch" else "")
    ]
    return Uncovered(
        job=load_case.job,
        technique=load_case.technique,
        part=short.part,
        shortfall=_all_in_words(fits, case, short, drops, units),
        remedy=sentences[0],
        other_remedies=tuple(sentences[1:]),
    )


def shortfall(fits: Fits, case: int) -> Shortfall:
    """The worst part of the best setup for a load case: over all lines and kinds of redirect."""
    builder = WayBuilder(fits, np.array([case]), np.ones(len(fits.items), dtype=bool))
    ratios = part_ratios(builder)
    if not ratios or not ratios["line"].size:
        return Shortfall("line", float("inf"), 0.0)
    together = np.stack([np.broadcast_to(ratio, ratios["line"].shape) for ratio in ratios.values()])
    finite = np.where(np.isfinite(together), together, 1e6)
    best = int(np.argmin(finite.sum(axis=0) + finite.max(axis=0) * 1e3))
    kind, friction = (int(place) for place in np.unravel_index(best, finite.shape[1:]))
    part = list(ratios)[int(np.argmax(finite[:, kind, friction]))]
    ratio = float(together[list(ratios).index(part), kind, friction])
    line = int(builder.kinds[kind])
    force = FORCE_OF[part]
    demand = float(getattr(fits.demands, force)[:, case, line, friction].max())
    return Shortfall(
        part, ratio, demand, _people_needed(fits, case, kind, friction) if part == "lifter" else 0
    )


def _people_needed(fits: Fits, case: int, kind: int, friction: int) -> int:
    """With how many people on the tail a tackle set would do on a line and a redirect; 0 if that is not it."""
    for people in range(fits.ground_workers + 1, int(MOST_PULLING.value) + 1):
        more = Fits([fits.cases[case]], fits.items, fits.policy, people, fits.frictions)
        builder = WayBuilder(more, np.array([0]), np.ones(len(more.items), dtype=bool))
        if _lifter_ratios(builder)[kind, friction] <= FULL:
            return people
    return 0


def drops_of_strong_lines(fits: Fits, case: int) -> list[float]:
    """How low the piece comes with each line that is long and strong enough but refused by the clearance, rising. [m]

    A line that stretches far keeps the force low and lets the piece come lower; one for each kind of redirect.
    """
    builder = WayBuilder(fits, np.array([case]), np.ones(len(fits.items), dtype=bool))
    if not len(builder.kinds):
        return []
    strong = builder.strength_ratio()[0] <= FULL
    strong &= builder.line_words()[0].any(axis=1)[:, None]
    drop = builder.flat("drop")[0]
    lower: list[float] = np.unique(drop[strong & (drop > fits.cases[case].clearance)]).tolist()
    return lower


def _all_in_words(fits: Fits, case: int, short: Shortfall, drops: Sequence[float], units: UnitSystem) -> str:
    """What falls short; with lines that are strong enough but let the piece come too low, that too or that alone."""
    if not drops:
        return _in_words(fits, case, short, units)
    too_low = _too_low(fits.cases[case], drops, units)
    only = short.part == "line" and not np.isfinite(short.ratio)
    return too_low if only else f"{_in_words(fits, case, short, units)}; {too_low}"


def _too_low(case: LoadCase, drops: Sequence[float], units: UnitSystem) -> str:
    """That lines which are strong enough let the piece come too low."""
    least, free = (
        show(value, "length", units, rounding=way)  # type: ignore[arg-type]
        for value, way in ((drops[0], "up"), (case.clearance, "down"))
    )
    return (
        f"lines that are strong enough stretch or fall too far: the lowest wood would come {least} or more below the "
        f"cut, {free} are free"
    )


def _more_room(
    plan: Plan, fits: Fits, case: int, drops: Sequence[float], units: UnitSystem
) -> Iterator[tuple[float, str]]:
    """The least free height under the cut that would help, with its size as a share of the one there is."""
    job, free = plan.jobs[case], fits.cases[case].clearance
    for room in _first(plan, fits, [(drop, job.model_copy(update={"clearance": drop})) for drop in drops]):
        yield room / free - 1, f"Make {show(room, 'length', units, rounding='up')} free under the cut"


FORCE_OF = {
    "line": "line",
    "redirect": "reaction",
    "redirect_sling": "reaction",
    "brake": "brake",
    "brake_sling": "brake_anchor",
    "lifter": "lifter",
    "lifter_sling": "lifter",
}


def part_ratios(builder: WayBuilder) -> dict[str, Floats]:
    """Utilisation of the best item for each part of the builder's only load case: (lines, frictions) each."""
    fits = builder.fits
    long_enough = builder.line_words()[0].any(axis=1)
    line = np.where(long_enough[:, None], builder.line_ratio()[0], np.inf)
    frictions = range(len(fits.frictions))
    redirects, owned_slings = _redirect_ratios(builder, frictions)
    ratios = {"line": line, "redirect": redirects}
    slings = _best(builder, fits.slings, "reaction", "stem_at_redirect")
    ratios["redirect_sling"] = np.minimum(slings, owned_slings)
    lifting = bool(builder.lifting[0])
    brakes = _brake_ratios(builder)
    if lifting:
        ratios["lifter"] = _lifter_ratios(builder)
    ratios["brake"], ratios["brake_sling"] = brakes
    return ratios


def _redirect_ratios(builder: WayBuilder, frictions: range) -> tuple[Floats, Floats]:
    """Best redirect for each line and friction; and 0 where one with its own sling carries, else infinite."""
    fits = builder.fits
    shape = (len(builder.kinds), len(frictions))
    best, own = np.full(shape, np.inf), np.full(shape, np.inf)
    rows = np.arange(len(fits.redirects.positions))
    gear = fits.gear(fits.redirects, rows)
    for friction in frictions:
        name = fits.frictions[friction].name
        chosen: Ints = np.array(
            [k for k, item in enumerate(gear) if friction_name(item) == name], dtype=np.int64
        )
        ratio = builder.redirect_ratio(chosen, [gear[k] for k in chosen], friction)[0]
        best[:, friction] = ratio.min(axis=-1, initial=np.inf)
        with_own = np.array([gear[k].own_sling for k in chosen], dtype=bool)
        carries = (ratio[:, with_own] <= FULL).any(axis=-1)
        own[carries, friction] = 0.0
    return best, own


def _brake_ratios(builder: WayBuilder) -> tuple[Floats, Floats]:
    """Best brake for each line and friction, and the best sling for it (0 where a stem-mounted one carries)."""
    fits = builder.fits
    rows = np.arange(len(fits.brakes.positions))
    gear = fits.gear(fits.brakes, rows)
    ratio = builder.brake_ratio(rows, gear)[0]
    own = np.array([item.own_sling for item in gear], dtype=bool)
    slings = _best(builder, fits.slings, "brake_anchor", "stem_at_brake")
    carried = (ratio[..., own] <= FULL).any(axis=-1)
    return ratio.min(axis=-1, initial=np.inf), np.where(carried, 0.0, slings)


def _lifter_ratios(builder: WayBuilder) -> Floats:
    """Best lifter for each line and friction, with or without a brake of its own."""
    fits = builder.fits
    rows = np.arange(len(fits.lifters.positions))
    gear = fits.gear(fits.lifters, rows)
    ratios = []
    for own in (False, True):
        chosen = np.array([k for k, item in enumerate(gear) if item.own_brake == own], dtype=np.int64)
        ratio = builder.lifter_ratio(chosen, [gear[k] for k in chosen], own)[0]
        ratios.append(ratio.min(axis=-1, initial=np.inf))
    return np.minimum(*ratios)


def _best(builder: WayBuilder, table: TableFits, force: str, where: str) -> Floats:
    rows = np.arange(len(table.positions))
    ratio = builder.held_ratio(table, rows, builder.fits.gear(table, rows), force, where)
    return ratio[0].min(axis=-1, initial=np.inf)


def _in_words(fits: Fits, case: int, short: Shortfall, units: UnitSystem) -> str:
    part = short.part.replace("_", " ")
    if short.people:
        return (
            f"a lifter of the catalogue is strong enough, but to pull "
            f"{show(short.demand, 'force', units, rounding='up')} into the line takes more people on the tail than the "
            f"{fits.ground_workers} on the ground"
        )
    if np.isfinite(short.ratio):
        over = f"{np.ceil(100 * (short.ratio - 1)):.0f} %"
        return (
            f"the best {part} in the catalogue is loaded {over} over its rating "
            f"(it has to carry {show(short.demand, 'force', units, rounding='up')})"
        )
    load_case = fits.cases[case]
    if _is_too_short(fits, load_case, short):
        return (
            f"the longest rope is {show(_longest(fits), 'length', units, rounding='down')}, "
            f"{show(load_case.line_needed, 'length', units, rounding='up')} are needed"
        )
    return f"no {part} in the catalogue fits: {_conditions(load_case, short.part, units)}"


def _longest(fits: Fits) -> float:
    return max((fits.items[k].length for k in fits.rope_positions), default=0.0)


def _is_too_short(fits: Fits, case: LoadCase, short: Shortfall) -> bool:
    """Whether no rope is long enough."""
    return short.part == "line" and not np.isfinite(short.ratio) and _longest(fits) < case.line_needed


def _conditions(case: LoadCase, part: str, units: UnitSystem) -> str:
    """What an item for a part has to fit."""
    if part == "line":
        return (
            f"{show(case.line_needed, 'length', units)} long, and with the piece stopped within the clearance; "
            "the force formulas hold for a lead of at least 0.5 m and a fall of at most twice the rope in the system"
        )
    at_redirect = part.startswith("redirect")
    stem = case.stem_at_redirect if at_redirect else case.stem_at_brake
    wanted = [f"a stem of {show(stem, 'stem', units)}", "the line's diameter"]
    if at_redirect and case.from_ground:
        wanted.append("set from the ground")
    if at_redirect and case.technique == "lift":
        wanted.append("a sheave, since lifting never goes over a ring")
    if case.technique == "catch":
        wanted.append("allowed for catching")
    if part == "lifter":
        wanted.append(
            f"travel for {show(case.lift_height, 'length', units)} of lift and the stretch of the line"
        )
    return ", ".join(wanted)


def _remedies(
    plan: Plan, fits: Fits, job: JobType, case: LoadCase, short: Shortfall, units: UnitSystem
) -> Iterator[tuple[float, str]]:
    """Changes that would help, each with its size as a share of what it changes."""
    if short.people:
        yield 0.0, f"Have {short.people} people on the tail, or a tackle set with more parts of line"
    elif np.isfinite(short.ratio):
        needed = show(short.demand * 1.0, "force", units, rounding="up")
        more = 100 * (short.ratio - 1)
        yield (
            short.ratio - 1,
            (
                f"Add a {short.part.replace('_', ' ')} to the catalogue that is rated {np.ceil(more):.0f} % higher "
                f"here: for {needed} in this place"
            ),
        )
    elif _is_too_short(fits, case, short):
        needed = show(case.line_needed, "length", units, rounding="up")
        yield 0.0, f"Add a rope of at least {needed} to the catalogue, or set the redirect lower"
    elif short.part != "line":
        wanted = _conditions(case, short.part, units)
        yield 0.0, f"Add a {short.part.replace('_', ' ')} to the catalogue that fits: {wanted}"
    for share in _first(plan, fits, [(share, shortened(job, share)) for share in SHORTER]):
        longest = (job.length_high or job.length) * share
        yield (
            1 - share,
            f"Cut the pieces shorter: at most {show(longest, 'length', units, rounding='down')} long",
        )
    if job.technique == "catch":
        runs = [(extra, job.model_copy(update={"run": job.run + extra})) for extra in MORE_RUN]
        for extra in _first(plan, fits, runs):
            total = show(job.run + extra, "length", units, rounding="up")
            yield extra, f"Let the line run {total} at the brake, with the clearance that this takes"
    if job.slack > 0:
        for _ in _first(plan, fits, [(0.0, job.model_copy(update={"slack": 0.0}))]):
            yield 0.0, f"Take out the slack of {show(job.slack, 'length', units)} before the cut"


def shortened(job: JobType, share: float) -> JobType:
    """The same job type with pieces cut to a share of their length."""
    scaled: dict[str, float | None] = {}
    for name in ("length", "length_high", "mass", "mass_high"):
        value = getattr(job, name)
        scaled[name] = None if value is None else value * share
    if job.tie_above_cut is not None:
        scaled["tie_above_cut"] = min(job.tie_above_cut, job.length * share)
    return job.model_copy(update=scaled)


def _first(plan: Plan, fits: Fits, tries: Sequence[tuple[float, JobType]]) -> list[float]:
    """The first change that makes the job type carriable, as a list of none or one."""
    settings = plan.settings
    cases = load_cases([job for _, job in tries], settings.line, settings.pieces_per_season)
    again = Fits(cases, fits.items, plan.policy, settings.crew.ground_workers)
    everything = np.ones(len(fits.items), dtype=bool)
    rigged = set(again.restricted(np.arange(len(cases)), everything).case.tolist())
    return [change for k, (change, _) in enumerate(tries) if k in rigged][:1]
