"""Solving the seasons model."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.problem import Ints
from recommender.kit.reduce import choose_separable
from recommender.kit.solver import USABLE, SolverSettings, run_programme
from recommender.seasons.growth import Growth, Watch, model_of
from recommender.seasons.problem import SeasonProblem
from recommender.seasons.solution import GIVEN_AWAY, SeasonSolution, cost_of, read_solution


def solve_seasons(
    problem: SeasonProblem, settings: SolverSettings | None = None, watch: Watch | None = None
) -> SeasonSolution:
    """The cheapest purchases, cuts and hire over all seasons.

    Parameters
    ----------
    problem : SeasonProblem
    settings : SolverSettings, optional
    watch : Watch, optional
        May stop the search, which then gives the best plan so far.

    Returns
    -------
    SeasonSolution
        Status ``INFEASIBLE`` if the work can't be done within budgets, wear and age.
    """
    chosen = settings or SolverSettings()
    start = time.perf_counter()
    extras, rest = _without_extras(problem) if chosen.reduce else (np.zeros(0, dtype=np.int64), problem)
    if chosen.reduce and np.all(problem.at_once == problem.crews):
        result = Growth(rest, chosen, start, watch).solve()
    else:
        everything = np.ones((problem.seasons, len(problem.job_names)), dtype=bool)
        result = _solve_at_once(rest, everything, chosen, start, watch or Watch())
    if extras.any() and result.status in USABLE:
        bought = result.bought.copy()
        bought[0] += extras
        added = cost_of(problem, bought, result.done) - result.cost
        result = replace(result, bought=bought, cost=result.cost + added, bound=result.bound + added)
    return replace(result, seconds=time.perf_counter() - start)


def _without_extras(problem: SeasonProblem) -> tuple[Ints, SeasonProblem]:
    """The extras that touch nothing else, and the problem without them.

    They are needed from the first season on, so they are bought then, the cheapest, from the first budget.
    """
    extras, kit = choose_separable(problem.kit)
    extras = np.where(problem.buyable, extras, 0)
    budget = problem.budget.copy()
    budget[0] -= float(problem.kit.price @ extras) * problem.price_factor[0]
    return extras, replace(problem, kit=kit, budget=budget)


def _solve_at_once(
    problem: SeasonProblem,
    wanted: NDArray[np.bool_],
    settings: SolverSettings,
    start: float,
    watch: Watch,
) -> SeasonSolution:
    """One model of all job types in all seasons."""
    model = model_of(problem, wanted, settings.reduce, wear=True)
    stoppable = replace(settings, stop=watch.stop)
    status, bound, solver = run_programme(model.programme, stoppable, start, presolve=True)
    return read_solution(problem, model, status, bound, solver)


__all__ = ["GIVEN_AWAY", "SeasonSolution", "Watch", "cost_of", "solve_seasons"]
