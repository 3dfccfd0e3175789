"""What a solved seasons model says: purchases, how the work is done, cost and bound."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recommender.kit.problem import Ints
from recommender.kit.solver import HALF, Status
from recommender.seasons.model import SeasonModel
from recommender.seasons.problem import Floats, SeasonProblem

GIVEN_AWAY, NOT_LOOKED_AT = -1, -2


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


def read_solution(
    problem: SeasonProblem, model: SeasonModel, status: Status, bound: float, solver: str
) -> SeasonSolution:
    """What a solved model says."""
    items, jobs = problem.kit.item_count, len(problem.job_names)
    bought = np.zeros((problem.seasons, items), dtype=np.int64)
    done = np.full((problem.seasons, jobs), NOT_LOOKED_AT, dtype=np.int64)
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
        for (season, job), variable in model.given.items():
            if (variable.value() or 0.0) > HALF:
                done[season, job] = GIVEN_AWAY
        for shared, variable in model.worked.items():
            worked[shared] = max(0.0, variable.value() or 0.0)
        cost = cost_of(problem, bought, done)
    known = min(bound, cost)
    return SeasonSolution(status, bought, done, worked, cost, known, 0.0, solver)


def cost_of(problem: SeasonProblem, bought: Ints, done: Ints) -> float:
    """Discounted cost of purchases, extra cuts and hire."""
    running = np.zeros(problem.seasons)
    for season in range(problem.seasons):
        for job, case in enumerate(done[season]):
            if case == GIVEN_AWAY:
                running[season] += problem.hire_cost[season, job]
            elif case >= 0:
                running[season] += problem.case_cost[season, case]
    return float(problem.discount @ (problem.purchase_cost(bought) + running))
