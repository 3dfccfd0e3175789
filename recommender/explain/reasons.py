"""Why each item is in the kit, what each job type adds, and what a change to it would change.

An item is *forced* by the load cases that the kit no longer covers without it when nothing is bought instead. What a
job type *adds* is the cost of the kit less that of the cheapest kit for all other work: job types share gear, so what
they add is less than the whole cost, and is 0 for most of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from catalog_schema.gear import Extra
from catalog_schema.units import show
from recommender.explain.answers import CheaperItem, ItemReason, JobReason, WhatIf, WhyResult
from recommender.explain.hardness import hardness
from recommender.explain.kits import changes
from recommender.explain.progress import Progress, silent
from recommender.explain.questions import Flags, questions_about
from recommender.explain.swaps import Swaps, as_answer, cheaper_items
from recommender.kit.diagnosis import shortened
from recommender.kit.planning import PreparedPlan
from recommender.kit.problem import Ints
from recommender.kit.setups import SetupRater
from recommender.kit.solve import KitSolution, SolverSettings
from recommender.kit.stock import CENTS
from recommender.work.plan import Plan
from recommender.work.tables import JobType

LONGER = 1.1
MORE_RUN = 0.25
"""Line let run more in a catch. [m]"""


@dataclass(frozen=True)
class _Variant:
    """A changed job type, its load case, the change in words, and whether it makes the job type harder or easier."""

    job: int
    case: int
    change: str
    harder: bool


class Reasons:
    """Reasons for a kit that is the cheapest for a plan.

    Parameters
    ----------
    plan : Plan
    best : KitSolution
        Of ``prepare(whole_spools(plan)).problem``.
    settings : SolverSettings, optional
    """

    def __init__(self, plan: Plan, best: KitSolution, settings: SolverSettings | None = None) -> None:
        self.plan, self.best = plan, best
        self.variants, jobs = _variants(plan)
        self.prepared: PreparedPlan
        self.prepared, self.questions, self.cases = questions_about(plan, jobs, settings)
        self.kit: Ints = best.pieces - self.questions.extras
        self.questions.at_hand = self.kit
        self.proven = best.gap == 0.0
        self._parts = self.questions.of_kit(self.kit, self.cases)
        self._rater = SetupRater(self.prepared.fits)
        self._decided: Flags | None = None
        self._floored = False

    def items(self, named: Sequence[int] | None = None, saves: bool = True) -> Iterator[ItemReason]:
        """Reasons for some (or all) items of the kit, by position in the stock; ``saves`` takes a solve each."""
        chosen = np.flatnonzero(self.best.pieces) if named is None else np.array(named, dtype=np.int64)
        swaps = self._swaps(chosen)
        for item in chosen.tolist():
            yield self._item(item, swaps, saves)

    def jobs(self, named: Sequence[int] | None = None) -> Iterator[JobReason]:
        """Reasons for some (or all) job types, by position in the plan."""
        for job in range(len(self.plan.jobs)) if named is None else named:
            yield self._job(job)

    def lost(self, kit: Ints) -> Flags:
        """Load cases of the plan that a part of the kit no longer covers."""
        return self.cases & ~self._parts.covered(kit)

    def decided(self) -> Flags:
        """Load cases that cost as much as all of them together: the others add nothing."""
        if self._decided is None:
            found = self.questions.cheapest(self.cases)
            self.proven &= found is not None and found.proven
            self._decided = self.cases if found is None else found.deciding
        return self._decided

    def _swaps(self, items: Ints) -> Swaps:
        """The setups of every load case that one of the items is needed for."""
        needed = np.zeros_like(self.cases)
        for item in items.tolist():
            needed |= self.lost(self._less(item, 1))
        setups = [
            self._rater.best(self._parts.problem, self.kit, int(case)) for case in np.flatnonzero(needed)
        ]
        return Swaps(self.prepared.fits, setups, self.plan.settings.units, self._parts.problem.copies)

    def _less(self, item: int, pieces: int) -> Ints:
        kit = self.kit.copy()
        kit[item] = max(0, kit[item] - pieces)
        return kit

    @cached_property
    def _lost_without(self) -> dict[int, Flags]:
        """Load cases that the kit no longer covers without each of its items, for rigging."""
        kit = np.flatnonzero(self.kit).tolist()
        return {item: self.lost(self._less(item, int(self.kit[item]))) for item in kit}

    def _item(self, item: int, swaps: Swaps, saves: bool) -> ItemReason:
        stock = self.prepared.fits.items[item]
        quantity = int(self.best.pieces[item])
        last = self.lost(self._less(item, 1))
        all_of_it = self._lost_without.get(item, np.zeros_like(self.cases))
        cheaper = self._cheaper(item, last, swaps)
        return ItemReason(
            id=stock.id,
            table=stock.table,
            name=stock.gear.name,
            quantity=quantity,
            unit_price=stock.price / CENTS,
            owned=stock.owned,
            for_crew=_for_crew(stock.gear) if self.kit[item] < quantity else "",
            forced_by=self._names(all_of_it),
            forced_by_last=self._names(last) if quantity > 1 else (),
            saves=self._saves(item) if saves and self.kit[item] else None,
            next_cheaper=cheaper[0] if cheaper else None,
            nearest=min(cheaper, key=_how_far) if cheaper else None,
        )

    def _cheaper(self, item: int, last: Flags, swaps: Swaps) -> list[CheaperItem]:
        """What every cheaper item fails at in place of the last piece; dearest first."""
        cases = np.flatnonzero(last).tolist()
        if not cases:
            return []
        others = cheaper_items(self.prepared.fits, self.kit, item)
        failures = [(other, swaps.worst(item, other, cases)) for other in others]
        failed = [(other, failure) for other, failure in failures if failure is not None]
        if not failed:
            return []
        nearest = min(failed, key=lambda pair: pair[1].ratio)
        told = [
            self._swapped(item, other, last, swaps) for other in dict.fromkeys([failed[0][0], nearest[0]])
        ]
        return [one for one in told if one is not None]

    def _swapped(self, item: int, other: int, last: Flags, swaps: Swaps) -> CheaperItem | None:
        """What the kit no longer covers with a cheaper item for one piece, and how that fails worst."""
        kit = self._less(item, 1)
        kit[other] += 1
        lost = np.flatnonzero(last & ~self.questions.covered(kit, last)).tolist()
        failure = swaps.worst(item, other, lost)
        return None if failure is None else as_answer(self.prepared.fits, other, failure, lost)

    def _saves(self, item: int) -> float | None:
        if not self._floored:
            self.questions.raise_floor(self.decided())
            self._floored = True
        allowed = np.ones(len(self.kit), dtype=bool)
        allowed[item] = False
        found = self.questions.cheapest(self.cases, allowed)
        if found is None:
            return None
        self.proven &= found.proven
        return (found.cost - self._cost) / CENTS

    @property
    def _cost(self) -> int:
        return int(self.questions.problem.price @ self.kit)

    def _job(self, job: int) -> JobReason:
        case, row = self.prepared.fits.cases[job], self.plan.jobs[job]
        others = self.cases.copy()
        others[job] = False
        pieces, cost = self.kit, self._cost
        if self.decided()[job]:
            found = self.questions.cheapest(others, near=self.kit)
            if found is not None:
                self.proven &= found.proven
                pieces, cost = found.pieces, found.cost
        stock = self.prepared.fits.items
        forces = [stock[item].id for item, lost in self._lost_without.items() if lost[job]]
        return JobReason(
            job=row.job,
            technique=row.technique,
            pieces_per_season=case.pieces,
            adds=(self._cost - cost) / CENTS,
            without=changes(stock, self.kit, pieces) if cost < self._cost else (),
            forces=tuple(forces),
            what_ifs=tuple(self._what_if(one, self._cost - cost) for one in self.variants if one.job == job),
        )

    def _changes_nothing(self, variant: _Variant, adds: int) -> bool:
        """Whether the cost stays as it is without solving for it.

        A harder job type that the kit still covers costs no less and no more; an easier one lies between the job type
        as it is and none at all, so it changes nothing where the job type adds nothing.
        """
        new, old = (hardness(self.prepared.fits, case) for case in (variant.case, variant.job))
        if variant.harder:
            alone = np.zeros_like(self.cases)
            alone[variant.case] = True
            return new.no_easier(old) and bool(self.questions.covered(self.kit, alone)[variant.case])
        return adds == 0 and old.no_easier(new)

    def _what_if(self, variant: _Variant, adds: int) -> WhatIf:
        if self._changes_nothing(variant, adds):
            return WhatIf(change=variant.change, cost_change=0.0)
        cases = self.cases.copy()
        cases[variant.job], cases[variant.case] = False, True
        found = self.questions.cheapest(cases, near=self.kit)
        if found is None:
            return WhatIf(change=variant.change, cost_change=None)
        self.proven &= found.proven
        differs = found.cost != self._cost
        return WhatIf(
            change=variant.change,
            cost_change=(found.cost - self._cost) / CENTS,
            items=changes(self.prepared.fits.items, self.kit, found.pieces) if differs else (),
        )

    def _names(self, cases: Flags) -> tuple[str, ...]:
        return tuple(self.prepared.fits.cases[case].job for case in np.flatnonzero(cases))


def explain(
    plan: Plan,
    best: KitSolution,
    *,
    items: Sequence[int] | None = None,
    jobs: Sequence[int] | None = None,
    settings: SolverSettings | None = None,
    progress: Progress = silent,
) -> WhyResult:
    """Why the cheapest kit of a plan is as it is.

    Parameters
    ----------
    plan : Plan
    best : KitSolution
        The cheapest kit, of ``prepare(whole_spools(plan)).problem``.
    items, jobs : sequence of int, optional
        Positions in the stock and in the plan to explain; both left out explains all, without what each item saves.
    settings : SolverSettings, optional
    progress : callable, optional

    Returns
    -------
    WhyResult
        ``complete`` is false where it was interrupted: it holds what was answered until then.
    """
    reasons = Reasons(plan, best, settings)
    some = items is not None or jobs is not None
    asked_items = np.flatnonzero(best.pieces).tolist() if not some else list(items or ())
    asked_jobs = list(range(len(plan.jobs))) if not some else list(jobs or ())
    total, complete = len(asked_items) + len(asked_jobs), True
    told: list[ItemReason] = []
    told_jobs: list[JobReason] = []
    try:
        for reason in reasons.items(asked_items, saves=some):
            told.append(reason)
            progress(len(told), total, "items")
        for about in reasons.jobs(asked_jobs):
            told_jobs.append(about)
            progress(len(told) + len(told_jobs), total, "job types")
    except KeyboardInterrupt:
        complete = False
    return WhyResult(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        currency=plan.catalogue.currency,
        complete=complete,
        proven=reasons.proven,
        notes=reasons.prepared.notes,
        purchase_cost=best.cost / CENTS,
        items=tuple(told),
        jobs=tuple(told_jobs),
    )


def _variants(plan: Plan) -> tuple[list[_Variant], list[JobType]]:
    """The changes that are asked about, their load cases following those of the plan."""
    variants: list[_Variant] = []
    jobs: list[JobType] = []
    for number, job in enumerate(plan.jobs):
        for change, changed, harder in _changed(plan, job):
            variants.append(_Variant(number, len(plan.jobs) + len(jobs), change, harder))
            jobs.append(changed)
    return variants, jobs


def _changed(plan: Plan, job: JobType) -> Iterator[tuple[str, JobType, bool]]:
    units = plan.settings.units
    longer = shortened(job, LONGER)
    length = show(longer.length_high or longer.length, "length", units, rounding="up")
    yield f"pieces 10 % longer, up to {length}", longer, True
    if job.technique == "catch":
        run = job.run + MORE_RUN
        yield (
            f"line let run {show(run, 'length', units, rounding='nearest')} at the brake",
            job.model_copy(update={"run": run}),
            False,
        )
    if job.slack > 0:
        gone = show(job.slack, "length", units, rounding="nearest")
        yield f"no slack ({gone} taken out)", job.model_copy(update={"slack": 0.0}), False


def _for_crew(gear: object) -> str:
    if not isinstance(gear, Extra):
        return "standing need of the crew"
    return f"{gear.count} per {gear.per.replace('_', ' ')}"


def _how_far(cheaper: CheaperItem) -> float:
    return float("inf") if cheaper.utilisation is None else cheaper.utilisation
