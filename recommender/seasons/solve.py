"""Solving the seasons model."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recommender.kit.problem import Ints
from recommender.kit.reduce import tidy_ways, useful_items
from recommender.kit.solver import HALF, SolverSettings, Status, run_programme
from recommender.seasons.formulation import SeasonModel, build
from recommender.seasons.problem import Floats, SeasonProblem

GIVEN_AWAY = -1


@dataclass(frozen=True)
class SeasonSolution:
    """What to buy in which season, and how every job type is done.

    Attributes
    ----------
    status : Status
    bought : array of int, shape (seasons, items)
    done : array of int, shape (seasons, jobs)
        The load case (piece plan) of each job type, ``GIVEN_AWAY`` where it is hired out.
    worked : array, shape (seasons, cases, items)
        Share of a load case's season that each line does; empty without wear.
    cost, bound : float
        Discounted cost in the smallest unit of money, and its proven lower bound.
    seconds : float
    solver : str
    """

    status: Status
    bought: Ints
    done: Ints
    worked: Floats
    cost: float
    bound: float
    seconds: float
    solver: str

    @property
    def gap(self) -> float:
        """(cost - bound) / cost."""
        return max(0.0, (self.cost - self.bound) / self.cost) if self.cost > 0 else 0.0


def solve_seasons(problem: SeasonProblem, settings: SolverSettings | None = None) -> SeasonSolution:
    """The cheapest purchases, cuts and hire over all seasons.

    Parameters
    ----------
    problem : SeasonProblem
    settings : SolverSettings, optional

    Returns
    -------
    SeasonSolution
        Status ``INFEASIBLE`` if the work can't be done within budgets, wear and age.
    """
    chosen = settings or SolverSettings()
    start = time.perf_counter()
    ways = tidy_ways(problem.kit.ways())
    items = np.ones(problem.kit.item_count, dtype=bool)
    if chosen.reduce:
        items = useful_items(problem.kit, ways, no_worse(problem))
    model = build(problem, ways, items)
    status, bound, solver = run_programme(model.programme, chosen, start)
    return _read(problem, model, status, bound, solver, time.perf_counter() - start)


def no_worse(problem: SeasonProblem) -> NDArray[np.bool_]:
    """Entry (a, b): item b may be used as long as item a, and wears no faster in any load case and season."""
    result = problem.life[None, :] >= problem.life[:, None]
    if problem.has_wear:
        use = problem.use.reshape(-1, problem.kit.item_count)
        lines = np.flatnonzero(use.any(axis=0))
        for a in lines:
            result[a] &= (use <= use[:, a, None]).all(axis=0)
    return np.asarray(result)


def _read(
    problem: SeasonProblem, model: SeasonModel, status: Status, bound: float, solver: str, seconds: float
) -> SeasonSolution:
    items, jobs = problem.kit.item_count, len(problem.job_names)
    bought = np.zeros((problem.seasons, items), dtype=np.int64)
    done = np.full((problem.seasons, jobs), GIVEN_AWAY, dtype=np.int64)
    worked = np.zeros(
        (problem.seasons, len(problem.kit.case_names), items) if problem.has_wear else (0, 0, 0)
    )
    cost = 0.0
    if status in (Status.PROVEN_OPTIMAL, Status.FEASIBLE_ONLY):
        for place, variable in model.bought.items():
            bought[place] = int((variable.value() or 0.0) + HALF)
        for (season, way), variable in model.chosen.items():
            if (variable.value() or 0.0) > HALF:
                case = int(model.ways.case[way])
                done[season, problem.case_job[case]] = case
        for place, variable in model.worked.items():
            worked[place] = max(0.0, variable.value() or 0.0)
        cost = cost_of(problem, bought, done)
    known = cost if status is Status.PROVEN_OPTIMAL else min(bound, cost)
    return SeasonSolution(status, bought, done, worked, cost, known, seconds, solver)


def cost_of(problem: SeasonProblem, bought: Ints, done: Ints) -> float:
    """Discounted cost of purchases, extra cuts and hire."""
    running = np.zeros(problem.seasons)
    for season in range(problem.seasons):
        for job, case in enumerate(done[season]):
            running[season] += (
                problem.hire_cost[season, job] if case == GIVEN_AWAY else problem.case_cost[season, case]
            )
    return float(problem.discount @ (problem.purchase_cost(bought) + running))


__all__ = ["GIVEN_AWAY", "SeasonSolution", "cost_of", "solve_seasons"]
