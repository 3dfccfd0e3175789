"""Kits planned for pieces larger than stated: what each costs, and how many drawn seasons it carries.

The cheapest kit for the sizes of a plan has nothing to spare: in a season whose largest piece comes a little larger
than stated, the part that works hardest is over its rating. Room for that can be bought. Each kit here is the cheapest
for the plan with all of its pieces larger by one share, and all kits are judged by the same drawn seasons. None of them
is fitted to these seasons, so that no kit looks better than it is; a dearer or a cheaper kit that carries as many may
exist, since the same share is added to every job type.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from pydantic import Field, ValidationError

from recommender.kit.planning import plan_kit, whole_spools
from recommender.kit.result import CAUTIONS, Typed
from recommender.sweep.draws import resized
from recommender.sweep.kits import JudgedKit, kit_of
from recommender.sweep.outcomes import DrawOutcome, SeasonJudge
from recommender.sweep.result import NOTES, Coverage, coverage
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan
from recommender.work.tables import JobType

PERCENTS = (0, 5, 10, 15, 20, 25, 30)
"""By how much larger the pieces are that kits are planned for."""


class TooLarge(ValueError):
    """Job types that leave the limits of their table if their pieces are that much larger."""

    def __init__(self, percent: float, jobs: tuple[str, ...]) -> None:
        names = ", ".join(repr(job) for job in jobs)
        super().__init__(f"with pieces {percent:g} % larger, {names} would leave the limits of the table")
        self.jobs = jobs


class LargerKit(Typed):
    """The cheapest kit for pieces ``percent`` larger in diameter and in length than stated.

    ``items`` are its pieces by id. ``purchase_cost`` and ``gear_cost`` (without what the crew needs) are in units of
    the currency. Cost and ``coverage`` are None where there is no kit: ``beyond`` are the job types that nothing in the
    catalogue carries then, or whose sizes leave the limits of their table.
    """

    percent: float
    purchase_cost: float | None = None
    gear_cost: float | None = None
    coverage: Coverage | None = None
    items: dict[str, int] = Field(default_factory=dict)
    beyond: tuple[str, ...] = ()


class LargerResult(Typed):
    """What room for larger pieces costs, and how many drawn seasons it carries.

    ``draws`` were judged, of ``settings.draws``: fewer only where it was stopped.
    """

    plan: str
    notice: str
    currency: str
    settings: SweepSettings
    draws: int
    kits: tuple[LargerKit, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS


def larger_plan(plan: Plan, percent: float) -> Plan:
    """The plan with all pieces, and the stems where the gear sits, larger in diameter and length, with a note.

    Parameters
    ----------
    plan : Plan
    percent : float
        >= 0.

    Raises
    ------
    TooLarge
        If a job type leaves the limits of its table.
    """
    if not percent:
        return plan
    factor = 1 + percent / 100
    jobs: list[JobType] = []
    beyond: list[str] = []
    for job in plan.jobs:
        try:
            jobs.append(resized(job, factor, factor))
        except ValidationError:
            beyond.append(job.job)
    if beyond:
        raise TooLarge(percent, tuple(beyond))
    mass = 100 * (factor**3 - 1)
    note = f"Planned for pieces {percent:g} % larger in diameter and in length than stated, {mass:.0f} % heavier."
    return replace(plan, jobs=tuple(jobs), notes=(note, *plan.notes))


def larger_kits(
    plan: Plan, settings: SweepSettings | None = None, *, progress: Callable[[int, int], None] | None = None
) -> LargerResult:
    """The cheapest kits for pieces as stated and larger, judged by drawn seasons.

    Parameters
    ----------
    plan : Plan
    settings : SweepSettings, optional
    progress : callable, optional
        Told the kits and seasons that are done, and how many there are in all.

    Returns
    -------
    LargerResult
        From the seasons that were judged until then where it is stopped by Ctrl-C; without any, from none.
    """
    settings = settings or SweepSettings()
    plan = whole_spools(plan)
    total, done = len(PERCENTS) + settings.draws, 0
    kits: list[LargerKit] = []
    judged: list[list[DrawOutcome]] = [[] for _ in PERCENTS]
    notes: tuple[str, ...] = plan.notes
    try:
        for percent in PERCENTS:
            kits.append(_planned(plan, percent))
            done += 1
            if progress is not None:
                progress(done, total)
        for outcomes in _judged(plan, settings, kits):
            for own, outcome in zip(judged, outcomes, strict=True):
                own.append(outcome)
            done += 1
            if progress is not None:
                progress(done, total)
    except KeyboardInterrupt:
        pass
    draws = min((len(own) for own in judged), default=0)
    return LargerResult(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        currency=plan.catalogue.currency,
        settings=settings,
        draws=draws,
        kits=tuple(
            kit.model_copy(update={"coverage": coverage(own[:draws]) if draws and kit.items else None})
            for kit, own in zip(kits, judged, strict=False)
        ),
        notes=(*NOTES, *notes),
    )


def _planned(plan: Plan, percent: float) -> LargerKit:
    try:
        result = plan_kit(larger_plan(plan, percent))
    except TooLarge as error:
        return LargerKit(percent=percent, beyond=error.jobs)
    if not result.status.startswith("planned"):
        return LargerKit(percent=percent, beyond=tuple(one.job for one in result.uncovered))
    gear = sum(item.price for item in result.items if item.table != "extras" and not item.owned)
    items = dict(kit_of(result).pieces)
    return LargerKit(percent=percent, purchase_cost=result.purchase_cost, gear_cost=gear, items=items)


def _judged(plan: Plan, settings: SweepSettings, kits: list[LargerKit]) -> Iterator[list[DrawOutcome]]:
    """What comes of each season with every kit."""
    judge = SeasonJudge(plan, settings, JudgedKit("none", {}))
    counts = [JudgedKit("", kit.items).counts(judge.prepared.fits.items) for kit in kits]
    for number in range(1, settings.draws + 1):
        season = judge.season(number)
        problem = judge.problem(season)
        yield [judge.judged(season, problem, pieces) for pieces in counts]
