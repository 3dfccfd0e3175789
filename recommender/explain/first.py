"""What to buy first with a sum: the steps, what a little more would add, and what to do where it is too small."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from recommender.explain.answers import Drop, FirstResult, MoneyShare, Purchase, Remedy
from recommender.explain.kits import changes, checked_kit
from recommender.explain.programmes import Coverage
from recommender.explain.progress import Progress, silent
from recommender.explain.purchases import Purchases, Step
from recommender.explain.questions import Flags, questions_about
from recommender.explain.shortage import Shortage
from recommender.kit.problem import Ints
from recommender.kit.solve import SolverSettings
from recommender.kit.stock import CENTS
from recommender.work.cases import column
from recommender.work.plan import Plan

ROUND_SUMS = (100, 500)
"""Sums that might be added, in units of the currency."""

PARTS = 5
"""Parts of the search, for its progress."""


@dataclass
class _Told:
    """What is known so far: an interrupted search tells this much. ``budget`` is for rigging gear. [cent]"""

    budget: int = 0
    best: Coverage | None = None
    everything: Coverage | None = None
    steps: list[Purchase] = field(default_factory=list)
    more: list[MoneyShare] = field(default_factory=list)
    next_gain: MoneyShare | None = None
    drops: tuple[Drop, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    proven: bool = True
    complete: bool = False


class FirstPurchases:
    """The search for the first purchases of a plan.

    Parameters
    ----------
    plan : Plan
    spend : float or None
        The sum in units of the currency; None for what everything costs.
    settings : SolverSettings, optional
    progress : callable, optional

    Raises
    ------
    ValueError
        If the sum is negative or not a number.
    """

    def __init__(
        self,
        plan: Plan,
        spend: float | None,
        settings: SolverSettings | None = None,
        progress: Progress = silent,
    ) -> None:
        if spend is not None and not (np.isfinite(spend) and spend >= 0):
            raise ValueError(f"spend must be at least 0, not {spend}")
        self.plan, self.progress = plan, progress
        self.spend = None if spend is None else round(spend * CENTS)
        self.prepared, self.questions, cases = questions_about(plan, settings=settings)
        self.purchases = Purchases(self.questions, cases, column(self.prepared.fits.cases, "pieces"))
        self.crew = self.questions.extras_cost
        self.told = _Told()

    def answer(self) -> FirstResult:
        """Everything, or what was found until an interruption.

        Raises
        ------
        InternalFault
            If the kit of a step fails its independent check.
        """
        told = self.told
        try:
            self._search()
            told.complete = True
        except KeyboardInterrupt:
            pass
        lacking = self.purchases.asked & ~self.purchases.cases
        at_once = 0 if told.everything is None else told.everything.added + self.crew
        return FirstResult(
            plan=self.plan.settings.name,
            notice=self.plan.settings.notice,
            currency=self.plan.catalogue.currency,
            complete=told.complete,
            proven=told.proven,
            notes=self.prepared.notes,
            not_carried=self._names(lacking),
            spend=(at_once if self.spend is None else self.spend) / CENTS,
            share=0.0 if told.best is None else self._share(told.best),
            cost=0.0 if told.best is None else self._cost(told.best) / CENTS,
            steps=tuple(told.steps),
            all_at_once=at_once / CENTS,
            all_in_steps=told.steps[-1].cost_so_far if told.steps else 0.0,
            more=tuple(told.more),
            next_gain=told.next_gain,
            drops=told.drops,
            remedies=told.remedies,
        )

    def _search(self) -> None:
        told, purchases = self.told, self.purchases
        self.progress(0, PARTS, "the cheapest kit for everything")
        told.everything = everything = purchases.all_of_it()
        if everything is None:
            return
        told.budget = everything.added if self.spend is None else self.spend - self.crew
        short = told.budget < everything.added
        self.progress(1, PARTS, "the largest share for the sum")
        told.best = purchases.for_sum(max(0, told.budget)) if short else everything
        told.proven &= told.best is not None and told.best.proven and everything.proven
        self.progress(2, PARTS, "the steps")
        for step in self._steps():
            told.steps.append(step)
        if not short:
            return
        self.progress(3, PARTS, "what a little more would add")
        self._more()
        self.progress(4, PARTS, "what to leave out or cut shorter")
        shortage = Shortage(self.plan, purchases, everything, told.best, told.budget)
        if told.budget < 0:  # not even what the crew needs: less work does not help
            told.remedies = (shortage.more_money(),)
            return
        told.drops = shortage.drops()
        told.remedies = tuple(shortage.remedies(told.drops))

    def _steps(self) -> Iterator[Purchase]:
        """What is owned, what the crew needs, then the gear step by step; the kit of every step is checked."""
        purchases = self.purchases
        nothing = np.zeros_like(purchases.owned)
        there = Step(nothing, purchases.covered(nothing), True)
        number = 1
        if purchases.owned.any():
            yield self._purchase(0, "owned", nothing, there, np.zeros_like(there.covers))
        extras = np.where(purchases.sold, self.questions.extras, 0)
        if self.crew:
            yield self._purchase(1, "crew", nothing - extras, there, there.covers)
            number = 2
        for step in purchases.path(self.told.best):
            self.told.proven &= step.proven
            self._check(step)
            yield self._purchase(number, "gear", there.pieces, step, there.covers)
            there, number = step, number + 1

    def _purchase(self, number: int, what: str, before: Ints, step: Step, seen: Flags) -> Purchase:
        price = self.questions.problem.price
        so_far = int(price @ step.pieces) + (0 if what == "owned" else self.crew)
        return Purchase(
            step=number,
            what=what,  # type: ignore[arg-type]
            buy=changes(self.prepared.fits.items, before, step.pieces),
            cost=int(price @ (step.pieces - before)) / CENTS,
            cost_so_far=so_far / CENTS,
            share=self.purchases.share(step.covers),
            new_jobs=self._names(step.covers & ~seen),
            within_sum=so_far <= self.told.budget + self.crew,
        )

    def _check(self, step: Step) -> None:
        """Check the kit of a step with what is owned and the crew's needs, without what nothing needs."""
        kit = self.questions.thinned(step.pieces + self.purchases.owned, step.covers)
        checked_kit(self.plan, kit + self.questions.extras, np.flatnonzero(step.covers).tolist())

    def _more(self) -> None:
        """The least sum that covers more, and the shares that round sums more can cover."""
        told, best = self.told, self.told.best
        if best is None or told.everything is None:
            return
        gain = self.purchases.next_gain(best, told.everything)
        told.next_gain = self._money_share(gain.added, gain)
        for extra in ROUND_SUMS:
            budget = max(0, told.budget + extra * CENTS)
            found: Coverage | None = best if budget < gain.added else told.everything
            if gain.added <= budget < told.everything.added:
                found = self.purchases.for_sum(budget)
            if found is not None:
                told.more.append(self._money_share(told.budget + extra * CENTS, found))

    def _money_share(self, budget: int, found: Coverage) -> MoneyShare:
        return MoneyShare(
            sum=(budget + self.crew) / CENTS, share=self._share(found), cost=self._cost(found) / CENTS
        )

    def _share(self, found: Coverage) -> float:
        return self.purchases.share(self.purchases.covered(found.pieces))

    def _cost(self, found: Coverage) -> int:
        """Cost with what the crew needs; nothing is bought for a kit that covers no more than what is owned. [cent]"""
        return found.added + self.crew if found.added else 0

    def _names(self, cases: Flags) -> tuple[str, ...]:
        return tuple(self.prepared.fits.cases[case].job for case in np.flatnonzero(cases).tolist())


def first_purchases(
    plan: Plan,
    spend: float | None = None,
    *,
    settings: SolverSettings | None = None,
    progress: Progress = silent,
) -> FirstResult:
    """What to buy first with a sum: see :mod:`recommender.explain.purchases` for the method.

    Parameters
    ----------
    plan : Plan
    spend : float, optional
        In units of the currency; left out, what the cheapest kit for everything costs.
    settings : SolverSettings, optional
    progress : callable, optional

    Returns
    -------
    FirstResult
        ``complete`` is false where it was interrupted.

    Raises
    ------
    ValueError
        If the sum is negative or not a number.
    InternalFault
        If the kit of a step fails its independent check.
    """
    return FirstPurchases(plan, spend, settings, progress).answer()
