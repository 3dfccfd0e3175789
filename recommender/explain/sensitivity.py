"""What a tenth more or less of each input does to the peak and to the utilisation, with the gear kept as it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from recommender.explain.steps import require_same
from recommender.kit.fits import Fits
from recommender.kit.planning import PreparedPlan, plan_kit, prepare
from recommender.kit.result import CAUTIONS, Assignment, KitResult, State, Typed
from recommender.kit.setups import SetupRater
from recommender.kit.stock import StockItem
from recommender.physics import FrictionClass
from recommender.ratings import Policy
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.cases import load_case, piece_mass
from recommender.work.plan import Plan
from recommender.work.tables import TECHNIQUES, JobType

CHANGE = Sourced(0.10, "-", COMMON_PRACTICE, note="change of each input")
HARD_WORKED = Sourced(
    0.80, "-", COMMON_PRACTICE, note="utilisation from which a job type is looked at closely"
)


class Effect(Typed):
    """What one changed input does; ``peak`` and ``utilisation`` are the changes as shares of their values.

    ``is_valid`` says whether the formulas still hold; a change of the utilisation is that of the part that works
    hardest.
    """

    input: str
    change: float
    peak: float
    utilisation: float
    is_valid: bool


class JobSensitivity(Typed):
    """A job type with its setup: its highest line tension in N, its hardest-working part, and the effects."""

    job: str
    peak_n: float
    part: str
    state: State
    utilisation: float
    effects: tuple[Effect, ...]


class SensitivityResult(Typed):
    """The job types of a kit that decide about it, and how they answer to changed inputs."""

    plan: str
    notice: str
    jobs: tuple[JobSensitivity, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS


@dataclass(frozen=True)
class Question:
    """A job type with its gear, all that a load depends on."""

    job: JobType
    policy: Policy
    frictions: tuple[FrictionClass, ...]
    items: tuple[StockItem, ...]
    parts: Mapping[str, int]
    plan: Plan


@dataclass(frozen=True)
class Answer:
    """Highest line tension [N], the part that works hardest, its state and its utilisation."""

    peak: float
    part: str
    state: State
    utilisation: float
    is_valid: bool


def binding_jobs(kit: KitResult) -> tuple[Assignment, ...]:
    """The hardest-worked job type of each technique, and every other that is worked about as hard."""
    found = []
    for technique in TECHNIQUES:
        of_technique = [one for one in kit.assignments if one.technique == technique]
        top = max((one.highest[1] for one in of_technique), default=0.0)
        found += [one for one in of_technique if one.highest[1] >= min(top, float(HARD_WORKED))]
    return tuple(sorted(found, key=lambda one: -one.highest[1]))


def sensitivity(plan: Plan, kit: KitResult | None = None, jobs: Sequence[str] = ()) -> SensitivityResult:
    """Effects of changed inputs on the job types that decide about a kit.

    Parameters
    ----------
    plan : Plan
    kit : KitResult, optional
        The kit of this plan; planned here if left out.
    jobs : sequence of str, optional
        Job types to look at instead of those that decide.

    Returns
    -------
    SensitivityResult
        Without a job type where there is no kit.
    """
    chosen = kit or plan_kit(plan)
    prepared = prepare(plan)
    wanted = [one for one in chosen.assignments if one.job in jobs] if jobs else binding_jobs(chosen)
    notes = () if chosen.assignments else ("There is no kit for this plan, so nothing to vary.",)
    return SensitivityResult(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        jobs=tuple(_job_sensitivity(prepared, one) for one in wanted),
        notes=notes,
    )


def _job_sensitivity(prepared: PreparedPlan, one: Assignment) -> JobSensitivity:
    asked = question(prepared, one)
    before = answer(asked)
    require_same(f"the sensitivity of {one.job}", before.utilisation, one.highest[1])
    return JobSensitivity(
        job=one.job,
        peak_n=before.peak,
        part=before.part,
        state=before.state,
        utilisation=before.utilisation,
        effects=tuple(_effects(asked, before)),
    )


def question(prepared: PreparedPlan, one: Assignment) -> Question:
    """A job type with the items of its setup alone."""
    fits, plan = prepared.fits, prepared.plan
    job = next(job for job in plan.jobs if job.job == one.job)
    known = {item.id: item for item in fits.items}
    items = tuple(known[item] for item in dict.fromkeys(one.parts.values()))
    places = {item.id: place for place, item in enumerate(items)}
    parts = {part: places[item] for part, item in one.parts.items()}
    return Question(job, plan.policy, fits.frictions, items, parts, plan)


def answer(asked: Question) -> Answer:
    """Peak and utilisation by the same functions as the kit model."""
    settings = asked.plan.settings
    case = load_case(asked.job, settings.line, settings.pieces_per_season)
    fits = Fits([case], asked.items, asked.policy, settings.crew, asked.frictions)
    setup = SetupRater(fits).rate(0, dict(asked.parts))
    part = max(setup.utilisation, key=lambda name: setup.utilisation[name])
    return Answer(
        peak=float(fits.demands.line[:, 0, setup.line, setup.friction].max()),
        part=part,
        state=setup.state[part],  # type: ignore[arg-type]
        utilisation=setup.highest,
        is_valid=bool(fits.demands.valid[0, setup.line, setup.friction]),
    )


def _effects(asked: Question, before: Answer) -> Iterator[Effect]:
    for name, change in CHANGES.items():
        for step in (float(CHANGE), -float(CHANGE)):
            changed = change(asked, 1 + step)
            if changed is None:
                continue
            after = answer(changed)
            yield Effect(
                input=name,
                change=step,
                peak=after.peak / before.peak - 1,
                utilisation=after.utilisation / before.utilisation - 1,
                is_valid=after.is_valid,
            )


Change = Callable[[Question, float], Question | None]
"""The question with one input times a factor; None where the job type has no such input."""


def _of_job(*names: str) -> Change:
    """Columns of the job type that change together, if the first has a value."""

    def change(asked: Question, factor: float) -> Question | None:
        found = {name: getattr(asked.job, name) for name in names}
        if not found[names[0]]:
            return None
        scaled = {name: old * factor for name, old in found.items() if old is not None}
        return replace(asked, job=asked.job.model_copy(update=scaled))

    return change


def _only_if_weighed(change: Change, by_wood_table: bool) -> Change:
    """A size counts for the mass only where the plan states none."""
    return lambda asked, factor: change(asked, factor) if (asked.job.mass is None) == by_wood_table else None


def _density(asked: Question, factor: float) -> Question:
    mass = piece_mass(asked.job)
    weighed = {"mass": float(mass.typical) * factor, "mass_high": float(mass.design) * factor}
    return replace(asked, job=asked.job.model_copy(update=weighed))


def _stiffness(asked: Question, factor: float) -> Question:
    old = asked.policy.stiffness
    stiffer = old.model_copy(update={"high": old.high * factor, "low": old.low * factor})
    return replace(asked, policy=asked.policy.model_copy(update={"stiffness": stiffer}))


def _friction(asked: Question, factor: float) -> Question:
    """Friction of the redirect by its coefficient: a tension ratio is ``exp(-mu * angle)``."""
    names = ("r_low", "r_high", "eta_low", "eta_high")
    changed = (
        replace(kind, **{name: getattr(kind, name) ** factor for name in names}) for kind in asked.frictions
    )
    return replace(asked, frictions=tuple(changed))


CHANGES: Mapping[str, Change] = {
    "diameter": _only_if_weighed(_of_job("diameter", "diameter_high", "small_diameter"), by_wood_table=True),
    "length": _of_job("length", "length_high"),
    "density": _density,
    "rigging height": _of_job("rigging_height", "highest_redirect"),
    "slack": _of_job("slack"),
    "run": _of_job("run"),
    "cut to redirect": _of_job("cut_to_redirect"),
    "cut to knot": _of_job("tie_above_cut"),
    "rope stiffness": _stiffness,
    "friction of the redirect": _friction,
}
