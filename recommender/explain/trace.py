"""The chain from what a plan states to the utilisation of every part, for a job type and the gear that serves it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from recommender.explain.catch_steps import catch_steps
from recommender.explain.force_steps import lift_steps, lower_steps
from recommender.explain.hold_steps import hold_steps
from recommender.explain.likely import likely_peaks
from recommender.explain.piece_steps import geometry_steps, piece_steps
from recommender.explain.rating_steps import rating_steps
from recommender.explain.rigged import rigged
from recommender.explain.spring_steps import spring_steps
from recommender.explain.steps import ExplainResult, Trace, require_same
from recommender.kit.holding import holding
from recommender.kit.planning import PreparedPlan, plan_kit, prepare
from recommender.kit.result import KitResult
from recommender.kit.setups import SetupRater
from recommender.work.plan import Plan

FORCE_STEPS = {"lower": lower_steps, "lift": lift_steps, "catch": catch_steps}


class NoSetup(ValueError):
    """There is nothing to trace: no such job type, or nothing that carries it; the message says which."""


def trace(prepared: PreparedPlan, job_name: str, parts: Mapping[str, str], *, likely: bool = True) -> Trace:
    """Every step from a job type's row to the utilisation of the parts of its setup.

    Parameters
    ----------
    prepared : PreparedPlan
    job_name : str
        A job type of the plan.
    parts : mapping of str to str
        Id of the item for each part, as in :class:`recommender.kit.result.Assignment`.
    likely : bool
        Whether the likely peak of a catch is simulated too.

    Returns
    -------
    Trace
        Its utilisation is that of the kit model, not worked out by other means.

    Raises
    ------
    NoSetup
        If there is no such job type, or a part names no item.
    InternalFault
        If a step is not the figure that the kit model used.
    """
    fits, plan = prepared.fits, prepared.plan
    names = [one.job for one in plan.jobs]
    if job_name not in names:
        raise NoSetup(f"there is no job type '{job_name}'; there are: {', '.join(names)}")
    case = names.index(job_name)
    job, load_case = plan.jobs[case], fits.cases[case]
    chosen = _positions(prepared, parts)
    rater = SetupRater(fits)
    setup = rater.rate(case, chosen)
    found = rigged(fits, case, setup.line, setup.friction)
    steps = (
        *piece_steps(job, load_case),
        *geometry_steps(job, load_case, plan.settings.line),
        *spring_steps(found),
        *FORCE_STEPS[job.technique](found),
        *hold_steps(found, holding(fits, setup)),
        *(step for part in chosen for step in rating_steps(found, rater, chosen, part)),
    )
    result = Trace(
        job=job.job,
        technique=job.technique,
        parts=dict(parts),
        steps=steps,
        utilisation=setup.utilisation,
        governing=setup.state,  # type: ignore[arg-type]
        likely=likely_peaks(found, job) if likely else (),
    )
    for part, state in result.governing.items():
        require_same(f"the {part}", result.end(part, state).result.value, result.utilisation[part])
    return result


def explain_job(plan: Plan, job_name: str, kit: KitResult | None = None) -> ExplainResult:
    """The trace of a job type as it is rigged in the plan's kit.

    Parameters
    ----------
    plan : Plan
    job_name : str
    kit : KitResult, optional
        The kit of this plan; planned here if left out. Where no kit covers the whole plan, the cheapest kit for this
        job type alone is taken, and a note says so.

    Returns
    -------
    ExplainResult

    Raises
    ------
    NoSetup
        If there is no such job type, or nothing in the catalogue carries it.
    """
    names = [one.job for one in plan.jobs]
    if job_name not in names:
        raise NoSetup(f"there is no job type '{job_name}'; there are: {', '.join(names)}")
    chosen = kit or plan_kit(plan)
    notes: tuple[str, ...] = ()
    if not chosen.assignments:
        alone = replace(plan, jobs=tuple(one for one in plan.jobs if one.job == job_name))
        chosen = plan_kit(alone)
        notes = ("No kit covers the whole plan: this is the cheapest kit for this job type alone.",)
    if not chosen.assignments:
        reasons = "; ".join(one.shortfall for one in chosen.uncovered)
        raise NoSetup(f"nothing carries '{job_name}': {reasons or 'the solver stopped'}")
    parts = next(one.parts for one in chosen.assignments if one.job == job_name)
    traced = trace(prepare(plan), job_name, parts)
    return ExplainResult(plan=plan.settings.name, notice=plan.settings.notice, traces=(traced,), notes=notes)


def _positions(prepared: PreparedPlan, parts: Mapping[str, str]) -> dict[str, int]:
    known = {item.id: position for position, item in enumerate(prepared.fits.items)}
    for part, item in parts.items():
        if item not in known:
            raise NoSetup(f"{part.replace('_', ' ')}: there is no item '{item}' in the catalogue or owned")
    return {part: known[item] for part, item in parts.items()}
