"""A search that is stopped: the best kit so far, which still carries everything, and a bound that holds."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit, prepare
from recommender.kit.solve import solve
from recommender.kit.solver import SolverSettings, Status
from recommender.work.plan import load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@pytest.mark.parametrize("name", ["new_owner", "company"])
def test_stopped_at_once(name: str) -> None:
    plan = load_plan(DEMO / name)
    best = plan_kit(plan)
    result = plan_kit(plan, SolverSettings(stop=lambda: True))
    assert result.status == "planned, optimum not proven" and not check_kit(plan, result)
    assert len(result.assignments) == len(plan.jobs)
    assert result.bound <= best.purchase_cost <= result.purchase_cost
    assert result.gap == pytest.approx((result.purchase_cost - result.bound) / result.purchase_cost)


@pytest.mark.parametrize("asked", [1, 3, 10])
def test_stopped_later_is_never_below_the_cheapest_nor_above_the_first(asked: int) -> None:
    problem = prepare(load_plan(DEMO / "company")).problem
    count = itertools.count(1)
    best, first = solve(problem), solve(problem, SolverSettings(stop=lambda: True))
    found = solve(problem, SolverSettings(stop=lambda: next(count) > asked))
    assert found.bound <= best.cost <= found.cost <= first.cost
    assert first.status is Status.FEASIBLE_ONLY


def test_a_wish_that_never_comes_changes_nothing() -> None:
    problem = prepare(load_plan(DEMO / "company")).problem
    plain, watched = solve(problem), solve(problem, SolverSettings(stop=lambda: False))
    assert watched.status is Status.PROVEN_OPTIMAL
    assert (watched.cost, watched.pieces.tolist()) == (plain.cost, plain.pieces.tolist())
