"""Completing a plan: job types that it left out, done with what is on hand, and the work shared out over lines."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases
from recommender.kit.problem import Ints, KitProblem, Ways, WaySource
from recommender.kit.reduce import LINE, tidy_ways
from recommender.kit.solver import SolverSettings, Status, run_programme
from recommender.seasons.problem import Floats, SeasonProblem
from recommender.seasons.solution import GIVEN_AWAY, SeasonSolution
from recommender.seasons.wear_rows import build_wear


def whole_kit(problem: SeasonProblem, jobs: Ints | None = None) -> KitProblem:
    """The plain kit problem of all or some job types taken whole, with what is owned in the first season."""
    jobs = np.arange(len(problem.job_names)) if jobs is None else jobs
    whole = cheapest_cases(problem)[jobs]
    return replace(
        problem.kit,
        case_names=tuple(problem.kit.case_names[case] for case in whole),
        source=_SomeCases(problem.kit.source, whole),
        copies=(problem.at_once * problem.systems)[jobs],
        limit=np.where(problem.buyable, problem.kit.limit, problem.owned[0]),
    )


@dataclass(frozen=True)
class _SomeCases:
    """A ``WaySource`` of some load cases of another, numbered anew."""

    source: WaySource
    cases: Ints

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """The ways of some of the load cases."""
        ways = self.source.restricted(self.cases[cases], items)
        return replace(ways, case=np.searchsorted(self.cases, ways.case))

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """As in the other source."""
        return self.source.serving(item_count)

    def hardest_first(self, price: Ints, case_count: int) -> Ints:
        """As in the other source, of these load cases only."""
        order = self.source.hardest_first(price, int(self.cases.max()) + 1)
        return np.searchsorted(self.cases, order[np.isin(order, self.cases)])


def cheapest_cases(problem: SeasonProblem) -> Ints:
    """For every job type the first load case without a cost of its own: the piece taken whole."""
    return np.array(
        [np.flatnonzero(problem.case_job == job)[0] for job in range(len(problem.job_names))], dtype=np.int64
    )


@dataclass(frozen=True)
class Filled:
    """Which job types a plan does in which season, (seasons, jobs), and all choices with the others put in."""

    covered: NDArray[np.bool_]
    done: Ints


def with_other_jobs(problem: SeasonProblem, result: SeasonSolution, active: NDArray[np.bool_]) -> Filled:
    """Put the job types that a plan left out into it, whole, where what is on hand carries them."""
    whole = cheapest_cases(problem)
    stock, done = problem.stock(result.bought), result.done.copy()
    covered = active.copy()
    kit = replace(problem.kit, copies=(problem.at_once * problem.systems)[problem.case_job])
    for season in range(problem.seasons):
        left_out = ~active[season]
        known = np.ones(len(kit.case_names), dtype=bool)
        known[whole[left_out]] = False
        carried = covered_cases(kit, stock[season], known)[whole] & (problem.case_cost[season, whole] == 0)
        covered[season] |= carried | (problem.hire_cost[season] == 0)
        done[season, left_out] = np.where(carried, whole, GIVEN_AWAY)[left_out]
    return Filled(covered, done)


def with_cuts(problem: SeasonProblem, bought: Ints, done: Ints) -> Ints:
    """Choices in which what is given away is done with what is on hand, in the piece plan that costs least, if less."""
    stock, chosen = problem.stock(bought), done.copy()
    kit = replace(problem.kit, copies=(problem.at_once * problem.systems)[problem.case_job])
    for season in range(problem.seasons):
        left = np.flatnonzero(chosen[season] == GIVEN_AWAY)
        known = ~np.isin(problem.case_job, left)
        cost = np.where(covered_cases(kit, stock[season], known), problem.case_cost[season], np.inf)
        for job in left.tolist():
            cases = np.flatnonzero(problem.case_job == job)
            best = int(cases[np.argmin(cost[cases])])
            if cost[best] < problem.hire_cost[season, job]:
                chosen[season, job] = best
    return chosen


def use_of_jobs(problem: SeasonProblem) -> Floats:
    """Least share of a line's life that each job type uses up in each season, (seasons, jobs)."""
    use = problem.use[:, cheapest_cases(problem)]
    return np.asarray(np.where(use > 0, use, np.inf).min(axis=2))


def lines_of_cases(problem: SeasonProblem) -> NDArray[np.bool_]:
    """Lines that may be used in some way of each load case, shape (cases, items)."""
    ways = problem.kit.ways()
    flags = np.zeros((len(problem.kit.case_names), problem.kit.item_count), dtype=bool)
    may_use = ways.flags(ways.needs[:, ways.parts.index(LINE)])
    for case in np.unique(ways.case):
        flags[case, ways.universe] = may_use[ways.case == case].any(axis=0)
    return flags


def share_out(
    problem: SeasonProblem, bought: Ints, done: Ints, settings: SolverSettings, start: float
) -> Floats | None:
    """Shares of the work that each line does so that none wears out; None if purchases don't last."""
    if not problem.has_wear:
        return problem.use
    cases = np.unique(done[done >= 0])
    stock = problem.stock(bought)
    model = build_wear(
        problem, tidy_ways(problem.kit.ways(cases, np.asarray(stock.any(axis=0)))), bought, done
    )
    status, _, _ = run_programme(model.programme, replace(settings, stop=None), start)
    if status is not Status.PROVEN_OPTIMAL:
        return None
    worked = np.zeros_like(problem.use)
    for place, variable in model.worked.items():
        worked[place] = max(0.0, variable.value() or 0.0)
    return worked
