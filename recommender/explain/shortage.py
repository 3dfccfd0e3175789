"""When a sum is too small for all of the work: what to leave out or cut shorter, and the remedies ranked.

The *drops* are the smallest set of job types without which the sum pays for the rest; of several such sets the one
with the fewest pieces a season. Each of them is then looked at, the one with the most pieces first, for the longest
piece that the sum would still pay for beside the rest and what was cut before: where there is one, cutting shorter
replaces giving the job type away.

The *remedies* are single changes that each make the sum pay for everything. They are ranked by the work they make:
changes that cost none come first, then those with the fewest pieces a season more to cut or to give away; the money
that lacks stands last, since what it is worth against work is the buyer's to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from catalog_schema.units import show
from recommender.explain.answers import Drop, Remedy
from recommender.explain.programmes import Coverage
from recommender.explain.purchases import WHOLE, Purchases
from recommender.explain.questions import Flags, Found, KitQuestions, questions_about
from recommender.kit.diagnosis import shortened
from recommender.kit.stock import CENTS
from recommender.work.plan import Plan
from recommender.work.tables import JobType

CUTS = tuple(np.round(np.arange(0.9, 0.25, -0.1), 2).tolist())
"""Lengths that are tried, as shares of the planned one, longest first."""

RUNS = (0.25, 0.5, 1.0)
"""How much more line all catches could let run. [m]"""


class Shortage:
    """What to do where a sum for rigging gear is below what the cheapest kit for everything costs.

    Parameters
    ----------
    plan : Plan
    purchases : Purchases
    everything : Coverage
        The cheapest kit for all of the work.
    best : Coverage or None
        The kit that covers the largest share for the sum.
    budget : int
        For rigging gear. [cent]
    """

    def __init__(
        self, plan: Plan, purchases: Purchases, everything: Coverage, best: Coverage | None, budget: int
    ) -> None:
        self.plan, self.purchases, self.everything, self.budget = plan, purchases, everything, budget
        self.best = best
        purchases.questions.at_hand = everything.pieces + purchases.owned
        self.units = plan.settings.units
        self.jobs = np.flatnonzero(purchases.cases).tolist()

    def dropped(self) -> Flags:
        """The smallest set of load cases to drop; of several the one with the fewest pieces."""
        purchases = self.purchases
        if self.best is not None:
            left_out = purchases.cases & ~purchases.covered(self.best.pieces)
            if left_out.sum() == 1:
                return left_out
        counted = np.where(purchases.cases, 2 * WHOLE + purchases.weight, 0)
        return purchases.cases & ~purchases.sums.largest(max(0, self.budget), counted).covers

    def drops(self) -> tuple[Drop, ...]:
        """The smallest set of job types to leave out, and how short each could be cut instead."""
        dropped = self.dropped()
        pieces = self.purchases.pieces_per_season
        order = sorted(np.flatnonzero(dropped).tolist(), key=lambda case: -pieces[case])
        variants = [shortened(self.plan.jobs[case], cut) for case in order for cut in CUTS]
        questions, cases = self._questions(variants)
        kept = cases & ~_padded(dropped, len(cases))
        found = []
        for number, case in enumerate(order):
            first = len(self.plan.jobs) + number * len(CUTS)
            found_cut = self._longest(questions, kept, first)
            length = None
            if found_cut is not None:
                kept[first + found_cut[0]] = True
                longest = variants[number * len(CUTS) + found_cut[0]]
                length = longest.length_high or longest.length
            share = self.purchases.share(_padded(np.arange(len(dropped)) == case, len(dropped)))
            found.append(Drop(job=self.plan.jobs[case].job, share=share, longest_piece_m=length))
        return tuple(found)

    def remedies(self, drops: Sequence[Drop]) -> list[Remedy]:
        """Single changes that each make the sum pay for everything, those that make least work first."""
        found = [*self._easier_catches(), *self._cuts(single=len(drops) == 1), *self._dropping(drops)]
        return [*sorted(found, key=lambda one: (one.extra_pieces, one.purchase_cost)), self.more_money()]

    def more_money(self) -> Remedy:
        """The sum that lacks."""
        currency = self.plan.catalogue.currency
        missing = (self.everything.added - self.budget) / CENTS
        return Remedy(
            change=f"spend {currency} {missing:,.2f} more".replace("  ", " "),
            kind="money",
            jobs=(),
            purchase_cost=self._cost(self.everything.added),
            extra_pieces=0.0,
        )

    def _easier_catches(self) -> Iterator[Remedy]:
        """More line let run, or no slack, in all catches."""
        catches = [case for case in self.jobs if self.plan.jobs[case].technique == "catch"]
        tries: list[tuple[str, str, list[JobType]]] = []
        for more in RUNS:
            run = show(more, "length", self.units, 2, rounding="up")
            jobs = [self._job(case, run=self.plan.jobs[case].run + more) for case in catches]
            tries.append((f"let the line run {run} more in every catch", "run", jobs))
        tries.append(
            ("take out the slack before the cut", "slack", [self._job(case, slack=0.0) for case in catches])
        )
        if self._within_sum(self.purchases.questions, self._without(catches)) is None:
            return
        questions, cases = self._questions([job for _, _, jobs in tries for job in jobs])
        kinds = set()
        for number, (change, kind, _) in enumerate(tries):
            changed = cases.copy()
            changed[catches] = False
            first = len(self.plan.jobs) + number * len(catches)
            changed[first : first + len(catches)] = True
            cost = self._within_sum(questions, changed)
            if cost is not None and kind not in kinds:
                kinds.add(kind)
                yield self._remedy(change, kind, [self.plan.jobs[case].job for case in catches], cost, 0.0)

    def _cuts(self, single: bool) -> Iterator[Remedy]:
        """The longest cut of one job type, where leaving out a ``single`` one would do, or of all alike."""
        asked, pieces = self.purchases.questions, self.purchases.pieces_per_season
        for case in np.flatnonzero(self.purchases.decided).tolist() if single else ():
            if self._within_sum(asked, self._without([case])) is None:
                continue
            variants = [shortened(self.plan.jobs[case], cut) for cut in CUTS]
            questions, cases = self._questions(variants)
            found = self._longest(questions, cases & (np.arange(len(cases)) != case), len(self.plan.jobs))
            if found is None:
                continue
            cut, cost = found
            job, more = variants[cut], float(pieces[case]) * (1 / CUTS[cut] - 1)
            length = show(job.length_high or job.length, "length", self.units, rounding="down")
            yield self._remedy(f"cut '{job.job}' to at most {length}", "cut", [job.job], cost, more)
        yield from self._cut_all()

    def _cut_all(self) -> Iterator[Remedy]:
        """The longest cut of all job types alike, by halving."""
        low, high, best = -1, len(CUTS), None
        while high - low > 1:
            middle = (low + high) // 2
            questions, cases = self._questions(
                [shortened(self.plan.jobs[case], CUTS[middle]) for case in self.jobs]
            )
            alike = np.ones_like(cases)
            alike[: len(self.plan.jobs)] = False
            cost = self._within_sum(questions, alike)
            low, high, best = (middle, high, best) if cost is None else (low, middle, cost)
        if best is not None:
            cut, jobs = CUTS[high], [self.plan.jobs[case].job for case in self.jobs]
            more = float(self.purchases.pieces_per_season[self.jobs].sum()) * (1 / cut - 1)
            yield self._remedy(
                f"cut all pieces to {100 * cut:.0f} % of their length", "cut", jobs, best, more
            )

    def _without(self, jobs: Sequence[int]) -> Flags:
        cases = self.purchases.cases.copy()
        cases[list(jobs)] = False
        return cases

    def _dropping(self, drops: Sequence[Drop]) -> Iterator[Remedy]:
        names = [drop.job for drop in drops]
        rest = self.purchases.cases & np.array([job.job not in names for job in self.plan.jobs])
        cost = self._within_sum(self.purchases.questions, rest)
        if drops and cost is not None:
            given = float(self.purchases.pieces_per_season[self.purchases.cases & ~rest].sum())
            yield self._remedy(
                f"give away {', '.join(repr(name) for name in names)}", "drop", names, cost, given
            )

    def _longest(self, questions: KitQuestions, kept: Flags, first: int) -> tuple[int, int] | None:
        """The longest cut, by its number, with which the sum pays for some load cases too, and the cost; by halving."""
        low, high, best = -1, len(CUTS), 0
        while high - low > 1:
            middle = (low + high) // 2
            tried = kept.copy()
            tried[first + middle] = True
            cost = self._within_sum(questions, tried)
            low, high, best = (middle, high, best) if cost is None else (low, middle, cost)
        return (high, best) if high < len(CUTS) else None

    def _within_sum(self, questions: KitQuestions, cases: Flags) -> int | None:
        """The cost of the cheapest kit for some load cases if the sum pays for it. [cent]"""
        found = questions.within(cases, self.budget)
        return found.cost if isinstance(found, Found) else None

    def _questions(self, variants: Sequence[JobType]) -> tuple[KitQuestions, Flags]:
        """Questions about the plan's load cases and some variants."""
        _, questions, cases = questions_about(self.plan, variants, self.purchases.questions.settings)
        questions.deciding[: len(self.plan.jobs)] = self.purchases.decided
        return questions, cases & _padded(self.purchases.cases, len(cases))

    def _job(self, case: int, **update: float) -> JobType:
        return self.plan.jobs[case].model_copy(update=update)

    def _remedy(self, change: str, kind: str, jobs: Sequence[str], cost: int, more: float) -> Remedy:
        return Remedy(
            change=change,
            kind=kind,  # type: ignore[arg-type]
            jobs=tuple(jobs),
            purchase_cost=self._cost(cost),
            extra_pieces=more,
        )

    def _cost(self, gear: int) -> float:
        return (gear + self.purchases.questions.extras_cost) / CENTS


def _padded(cases: Flags, length: int) -> Flags:
    """Flags of the plan's load cases as flags of these and their variants."""
    padded = np.zeros(length, dtype=bool)
    padded[: len(cases)] = cases
    return padded
