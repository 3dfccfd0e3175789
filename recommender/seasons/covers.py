"""Job types that the budgets so far can't pay for together: rows that make the relaxed model much tighter (S10).

What is spent up to a season in which the kit does some job types is no less than their cheapest kit costs, in any piece
plan. Where that is more than the budgets up to then, one of them is given away. Job types that may not be given away
are in every such set.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from recommender.kit.problem import Ints, KitProblem, Ways, WaySource
from recommender.kit.solve import solve
from recommender.kit.solver import SolverSettings, Status
from recommender.seasons.problem import SeasonProblem

MOST = 15
"""Job types, or pairs of them, that are looked at in a season; of more, none are."""

Cover = tuple[int, tuple[int, ...]]
"""A season, and job types of which one at least is given away in it."""


def covers(problem: SeasonProblem, settings: SolverSettings) -> list[Cover]:
    """Sets of one or two job types of which one has to be given away, season by season."""
    return [cover for season in range(problem.seasons) for cover in _in_season(problem, season, settings)]


def _in_season(problem: SeasonProblem, season: int, settings: SolverSettings) -> Iterator[Cover]:
    money = float((problem.budget / problem.price_factor)[: season + 1].sum())
    may_give = np.isfinite(problem.hire_cost[season])
    if not np.isfinite(money) or not may_give.any():
        return
    kit = _any_piece_plan(problem, season)
    always = np.flatnonzero(~may_give)
    asked = np.flatnonzero(may_give & (problem.hire_cost[season] > 0))

    def too_dear(jobs: tuple[int, ...]) -> bool:
        return _cost(kit, np.array(sorted([*always.tolist(), *jobs]), dtype=np.int64), settings) > money

    if len(always) and too_dear(()):
        return  # there is no plan at all: the model finds that too
    if len(asked) > MOST:
        return
    payable = []
    for job in asked.tolist():
        if too_dear((job,)):
            yield season, (job,)
        else:
            payable.append(job)
    pairs = list(combinations(payable, 2))
    if len(pairs) <= MOST:
        yield from ((season, pair) for pair in pairs if too_dear(pair))


def _cost(kit: KitProblem, jobs: Ints, settings: SolverSettings) -> float:
    """A lower bound of the cost of a kit for some job types; infinite where there is none."""
    some = replace(
        kit,
        case_names=tuple(kit.case_names[job] for job in jobs),
        copies=kit.copies_of(jobs),
        source=replace(kit.source, jobs=jobs),  # type: ignore[type-var]
    )
    if some.uncovered():
        return np.inf
    found = solve(some, replace(settings, relative_gap=0.0))
    if found.status is Status.PROVEN_OPTIMAL:
        return float(found.cost)
    return np.inf if found.status is Status.INFEASIBLE else 0.0


def _any_piece_plan(problem: SeasonProblem, season: int) -> KitProblem:
    """The plain kit problem of a season in which every job type may be done in any of its piece plans."""
    every = np.arange(len(problem.job_names))
    return replace(
        problem.kit,
        standing=(),
        case_names=problem.job_names,
        source=_JobWays(problem.kit.source, problem.case_job, every),
        copies=problem.at_once * problem.systems,
        limit=np.where(problem.buyable, problem.kit.limit, problem.owned[: season + 1].max(axis=0)),
    )


@dataclass(frozen=True)
class _JobWays:
    """A ``WaySource`` of job types: all ways of all their piece plans, job types numbered anew."""

    source: WaySource
    case_job: Ints
    jobs: Ints

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """The ways of some of the job types."""
        ways = self.source.restricted(np.flatnonzero(np.isin(self.case_job, self.jobs[cases])), items)
        number = np.searchsorted(self.jobs, self.case_job[ways.case])
        order = np.argsort(number, kind="stable")
        return replace(ways.take(order), case=number[order])

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """As in the other source."""
        return self.source.serving(item_count)

    def hardest_first(self, price: Ints, case_count: int) -> Ints:
        """In their own order."""
        return np.arange(case_count)
