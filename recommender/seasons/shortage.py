"""When budgets, wear and age leave no plan over seasons: a smallest set of what can't go together, and remedies.

The set is found by a deletion filter: a budget or a job type is left out, and stays out while there is still no plan;
what is left can't go together, and without any one of it there is a plan. Each remedy is found by planning anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from catalog_schema.units import show
from recommender.kit.result import Uncovered
from recommender.kit.solver import USABLE, SolverSettings, Status
from recommender.kit.stock import CENTS
from recommender.seasons.planning import PreparedSeasons, in_pieces, prepare_seasons
from recommender.seasons.problem import Floats, SeasonProblem
from recommender.seasons.result import SeasonRemedy, SeasonShortage
from recommender.seasons.solve import SeasonSolution, Watch, solve_seasons
from recommender.work.plan import Plan

ANY_PLAN = 0.5
"""Gap of a solve that only asks whether there is a plan."""

MORE_PIECES = (2, 3, 4)
"""Into how many pieces a job type is tried to be cut."""

MONEY, WORK = ("move money", "more money"), ("shorter pieces", "put off", "hire")


def find_shortage(
    prepared: PreparedSeasons, settings: SolverSettings | None = None, watch: Watch | None = None
) -> SeasonShortage | None:
    """What can't go together in a plan that has no solution, and what would help; None where the search was stopped."""
    try:
        return _Shortage(prepared, settings or SolverSettings(), watch or Watch()).found()
    except _Stopped:
        return None


class _Stopped(Exception):
    """Half of a search would pass for reasons: an answer that was stopped looks like one that there is a plan."""


def in_words(plan: Plan, shortage: SeasonShortage) -> Uncovered:
    """A shortage as a gap in the work, in the user's words."""
    jobs = ", ".join(f"'{job}'" for job in shortage.jobs)
    if shortage.budgets:
        which = " and ".join(f"'{name}'" for name in shortage.budgets)
        word = "budget of season" if len(shortage.budgets) == 1 else "budgets of seasons"
        what = f"gear that does {jobs}" if jobs else "what the crew needs itself"
        shortfall = f"the {word} {which} can't pay for {what}"
        part = "budget"
    else:
        shortfall = f"lines wear out or grow too old under {jobs or 'all work'}, whatever is bought"
        part = "line"
    remedies = [remedy.change for remedy in shortage.remedies] or [
        "Give a hire_price to job types that may be given away, or raise the first budget"
    ]
    return Uncovered(
        job=", ".join(shortage.jobs) or "all job types together",
        technique=plan.jobs[0].technique,
        part=part,
        shortfall=shortfall,
        remedy=remedies[0],
        other_remedies=tuple(remedies[1:]),
    )


class _Shortage:
    """The search for one problem without a plan."""

    def __init__(self, prepared: PreparedSeasons, settings: SolverSettings, watch: Watch) -> None:
        self.prepared, self.problem, self.watch = prepared, prepared.problem, watch
        self.settings = replace(settings, relative_gap=ANY_PLAN)
        self.exact = settings
        self.asked = 0
        self.currency = prepared.plan.catalogue.currency

    def found(self) -> SeasonShortage:
        """The smallest set, then the remedies for it."""
        problem = self.problem
        kept: list[int] = []
        loose = problem.budget.copy()
        for season in np.flatnonzero(np.isfinite(problem.budget))[::-1].tolist():
            without = loose.copy()
            without[season] = np.inf
            if self._is_hopeless(replace(problem, budget=without)):
                loose = without
            else:
                kept.insert(0, season)
        tight = replace(problem, budget=loose)
        hire = problem.hire_cost.copy()
        jobs: list[int] = []
        for job in range(len(problem.job_names)):
            without = hire.copy()
            without[:, job] = 0.0
            if self._is_hopeless(replace(tight, hire_cost=without)):
                hire = without
            else:
                jobs.append(job)
        remedies = [*self._money(kept), *self._work(jobs)]
        return SeasonShortage(
            budgets=tuple(self.prepared.seasons[season].season for season in kept),
            jobs=tuple(problem.job_names[job] for job in jobs),
            remedies=tuple(sorted(remedies, key=_rank)),
        )

    def _solve(self, problem: SeasonProblem, exact: bool = False) -> SeasonSolution:
        self.asked += 1
        self.watch.told(self.asked, 0, "why there is no plan, and what would help")
        found = solve_seasons(problem, self.exact if exact else self.settings, Watch(self.watch.stop))
        if self.watch.stop():
            raise _Stopped
        return found

    def _is_hopeless(self, problem: SeasonProblem) -> bool:
        return self._solve(problem).status is Status.INFEASIBLE

    def _money(self, seasons: Sequence[int]) -> Iterator[SeasonRemedy]:
        """The least sum more in one season, and whether a later budget can be brought forward for it."""
        for season in seasons:
            more = self._least_more(season)
            if more is None:
                continue
            name = self.prepared.seasons[season].season
            sum_more = f"{self.currency} {more / CENTS:,.2f}".strip()
            for later in range(season + 1, self.problem.seasons):
                budget = self.problem.budget.copy()
                if not more <= budget[later] < np.inf:
                    continue  # a season without a limit has no money to give: that is more money
                budget[season] += more
                budget[later] -= more
                if self._solve(replace(self.problem, budget=budget)).status in USABLE:
                    where = self.prepared.seasons[later].season
                    change = f"Spend {sum_more} of the budget of season '{where}' in season '{name}' already"
                    yield SeasonRemedy(kind="move money", change=change, costs=0.0, pieces=0.0)
                    break
            change = f"Raise the budget of season '{name}' by {sum_more}"
            yield SeasonRemedy(kind="more money", change=change, costs=more / CENTS, pieces=0.0)

    def _least_more(self, season: int) -> float | None:
        """The least money more in a season with which there is a plan, rounded up to a whole unit. [cent]"""
        problem = self.problem
        budget = problem.budget.copy()
        budget[season] = np.inf
        only = np.zeros(problem.seasons)
        only[season] = 1.0
        asked = replace(
            problem,
            budget=budget,
            discount=only,
            case_cost=np.zeros_like(problem.case_cost),
            hire_cost=np.where(np.isfinite(problem.hire_cost), 0.0, np.inf),
        )
        found = self._solve(asked, exact=True)
        if found.status not in USABLE:
            return None
        spent = float(problem.purchase_cost(found.bought)[season])
        return float(np.ceil((spent - problem.budget[season]) / CENTS) * CENTS)

    def _work(self, jobs: Sequence[int]) -> Iterator[SeasonRemedy]:
        """Shorter pieces, work put off, or given away, of one job type at a time; or, where none helps so, of any."""
        helped = False
        for job in jobs:
            yield from self._shorter(job)
            name, pieces = self.problem.job_names[job], self.prepared.pieces[:, job]
            for season in range(1, self.problem.seasons):
                if self._with_hire(job, season, 0.0):
                    first = self.prepared.seasons[season].season
                    change = f"Put off '{name}' until season '{first}', with the gear for it"
                    left = float(pieces[:season].sum())
                    yield SeasonRemedy(kind="put off", change=change, costs=None, pieces=left)
                    break
            if not np.isfinite(self.problem.hire_cost[:, job]).all() and self._with_hire(
                job, self.problem.seasons, 0.0
            ):
                helped = True
                change = f"Let '{name}' be given away: write what that costs a piece in its hire_price"
                yield SeasonRemedy(kind="hire", change=change, costs=None, pieces=float(pieces.sum()))

        any_given = np.where(np.isfinite(self.problem.hire_cost), self.problem.hire_cost, 0.0)
        if jobs and not helped and self._solve(replace(self.problem, hire_cost=any_given)).status in USABLE:
            change = "Let more job types be given away: write what that costs a piece in their hire_price"
            every = float(self.prepared.pieces.sum())
            yield SeasonRemedy(kind="hire", change=change, costs=None, pieces=every)

    def _with_hire(self, job: int, seasons: int, price: float) -> bool:
        hire: Floats = self.problem.hire_cost.copy()
        hire[:seasons, job] = price
        return self._solve(replace(self.problem, hire_cost=hire)).status in USABLE

    def _shorter(self, job: int) -> Iterator[SeasonRemedy]:
        """The fewest pieces that a job type can be cut in to have a plan."""
        plan = self.prepared.plan
        row = plan.jobs[job]
        for number in MORE_PIECES:
            if number <= row.most_pieces:
                continue
            cut = row.model_copy(update={"most_pieces": number})
            changed = replace(plan, jobs=(*plan.jobs[:job], cut, *plan.jobs[job + 1 :]))
            prepared = prepare_seasons(changed)
            if self._solve(prepared.problem).status not in USABLE:
                continue
            shorter = in_pieces(row, number)
            length = show(
                shorter.length_high or shorter.length, "length", plan.settings.units, rounding="down"
            )
            extra = float(self.prepared.pieces[:, job].sum()) * (number - 1)
            change = f"Let '{row.job}' be cut in {number} (most_pieces): pieces of at most {length}"
            yield SeasonRemedy(kind="shorter pieces", change=change, costs=None, pieces=extra)
            return


def _rank(remedy: SeasonRemedy) -> tuple[int, float]:
    """Money that is there already, then more money, then work: the fewest pieces first."""
    order = (*MONEY, *WORK)
    if remedy.kind in MONEY:
        return order.index(remedy.kind), remedy.costs or 0.0
    return len(MONEY), remedy.pieces
