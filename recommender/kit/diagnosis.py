"""Why a load case can't be carried by anything in the catalogue, and the smallest changes that would help."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from catalog_schema.units import UnitSystem, show
from recommender.kit.fits import Fits
from recommender.kit.holding import people_there
from recommender.kit.result import Uncovered
from recommender.kit.shortfall import Shortfall, drops_of_strong_lines, shortfall
from recommender.work.cases import LoadCase, load_cases
from recommender.work.plan import Plan
from recommender.work.tables import JobType

SHORTER = tuple(np.round(np.arange(0.95, 0.15, -0.05), 2).tolist())
NO_CHANGE_HELPS = "No single change that was tried helps: give this job type away"
MORE_RUN = tuple(np.round(np.arange(0.25, 4.01, 0.25), 2).tolist())


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


def _in_words(fits: Fits, case: int, short: Shortfall, units: UnitSystem) -> str:
    part = short.part.replace("_", " ")
    if short.wraps:
        there = people_there(fits.crew)
        who = f"the {there} people" if there > 1 else "the one person"
        return (
            f"brakes of the catalogue are strong enough, but {who} on the ground can't hold the line with all their "
            f"wraps (slippery line; {_wraps(short)} wraps would do)"
        )
    if short.people:
        return (
            f"a lifter of the catalogue is strong enough, but to pull "
            f"{show(short.demand, 'force', units, rounding='up')} into the line takes more people on the tail than the "
            f"{fits.crew.ground_workers} on the ground"
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


def _wraps(short: Shortfall) -> str:
    return f"{np.ceil(10 * short.wraps - 1e-9) / 10:.1f}"


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
    if short.wraps:
        if short.people:
            yield 0.0, f"Have {short.people} people on the ground"
        yield 0.0, f"Add a brake to the catalogue that takes {_wraps(short)} wraps and carries as much"
    elif short.people:
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
    again = Fits(cases, fits.items, plan.policy, settings.crew)
    everything = np.ones(len(fits.items), dtype=bool)
    rigged = set(again.restricted(np.arange(len(cases)), everything).case.tolist())
    return [change for k, (change, _) in enumerate(tries) if k in rigged][:1]
