"""When money is short: what can't go together, remedies that work, and what more money would save."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from recommender.kit.solver import SolverSettings, Status
from recommender.report.seasons_text import seasons_text
from recommender.seasons import SeasonsResult, Watch, budget_view, plan_seasons
from recommender.seasons.check import check_seasons
from recommender.seasons.completing import cheapest_cases, with_cuts
from recommender.seasons.planning import in_pieces, prepare_seasons
from recommender.seasons.solve import GIVEN_AWAY, cost_of, solve_seasons
from recommender.work.plan import Plan, load_plan

from .examples import ROOT, training, with_seasons

OWNER = ROOT / "demo_catalog" / "new_owner"


@cache
def short() -> SeasonsResult:
    return plan_seasons(with_seasons(training(), 500.0, 800.0))


def test_what_cannot_go_together_is_smallest() -> None:
    """With its jobs alone there is no plan, and without any one of them there is."""
    found = short().shortage
    assert found is not None and found.budgets == ("s0",) and found.jobs
    plan = with_seasons(training(), 500.0, None)
    these = [job for job in plan.jobs if job.job in found.jobs]
    assert plan_status(replace(plan, jobs=tuple(these))) is Status.INFEASIBLE
    for left_out in found.jobs:
        fewer = tuple(job for job in these if job.job != left_out)
        assert not fewer or plan_status(replace(plan, jobs=fewer)) is Status.PROVEN_OPTIMAL


def plan_status(plan: Plan) -> Status:
    return solve_seasons(prepare_seasons(plan).problem).status


def test_the_sum_that_lacks_is_the_least() -> None:
    found = short().shortage
    assert found is not None
    more = next(one.costs for one in found.remedies if one.kind == "more money")
    assert more is not None and more > 0
    assert plan_status(with_seasons(training(), 500.0 + more, 800.0)) is Status.PROVEN_OPTIMAL
    assert plan_status(with_seasons(training(), 500.0 + more - 1.0, 800.0)) is Status.INFEASIBLE


def test_money_brought_forward_is_named_before_more_money() -> None:
    found = short().shortage
    assert found is not None
    kinds = [one.kind for one in found.remedies]
    assert kinds.index("move money") < kinds.index("more money")
    assert "No plan" in seasons_text(short(), "metric") and "s0" in short().uncovered[0].shortfall


def test_reasons_that_were_stopped_half_way_are_none() -> None:
    asking: list[str] = []
    watch = Watch(lambda: bool(asking), lambda done, of, what: asking.extend([what] * ("why" in what)))
    stopped = plan_seasons(with_seasons(training(), 500.0, 800.0), None, watch)
    assert asking and (stopped.status, stopped.shortage, stopped.uncovered) == ("no kit", None, ())
    assert "within the budgets. The search for why" in " ".join(seasons_text(stopped, "metric").split())


def test_more_money_saves_what_a_plan_with_it_costs_less() -> None:
    plan = with_seasons(training(), 420.0, None, hire_price=20.0)
    result = plan_seasons(plan)
    view = budget_view(plan, result.cost, sums=(1.0, 300.0))
    assert view.complete and [step.more for step in view.steps] == [1.0, 300.0]
    richer = plan_seasons(with_seasons(training(), 720.0, None, hire_price=20.0))
    assert view.steps[1].saves == pytest.approx(result.cost - richer.cost) and view.steps[1].saves > 0
    assert all(step.saves <= step.saves_at_most for step in view.steps)
    text = seasons_text(result.model_copy(update={"budget_view": view}), "metric")
    assert "300.00" in text and max(map(len, text.splitlines())) <= 80


def test_a_second_solver_finds_the_same_costs() -> None:
    for budgets, changes in (
        ((None,), {}),
        ((420.0, None), {"hire_price": 20.0}),
        ((700.0, 100.0), {"hire_price": 9.0}),
    ):
        problem = prepare_seasons(with_seasons(training(), *budgets, **changes)).problem
        first = solve_seasons(problem)
        second = solve_seasons(problem, SolverSettings(solver="CBC"))
        assert second.solver == "CBC" and second.status is first.status is Status.PROVEN_OPTIMAL
        assert second.cost == pytest.approx(first.cost)


def test_what_is_left_out_is_done_in_the_piece_plan_that_costs_least() -> None:
    """With the gear of the cheapest plan at its cost; with gear for halves alone pieces are cut, and all is done."""
    plan = with_seasons(training(), None, most_pieces=2, cut_minutes=10.0)
    problem = prepare_seasons(plan).problem
    best = solve_seasons(problem)
    nothing = np.full_like(best.done, GIVEN_AWAY)
    assert cost_of(problem, best.bought, with_cuts(problem, best.bought, nothing)) == pytest.approx(best.cost)
    halves = replace(plan, jobs=tuple(in_pieces(job, 2) for job in plan.jobs))
    smaller = solve_seasons(prepare_seasons(halves).problem)
    done = with_cuts(problem, smaller.bought, nothing)
    assert (done >= 0).all() and not np.array_equal(done[0], cheapest_cases(problem))
    assert best.cost <= cost_of(problem, smaller.bought, done)


def test_stopped_at_once_gives_the_best_plan_so_far() -> None:
    plan = with_seasons(training(), 420.0, None, hire_price=20.0)
    result = plan_seasons(plan, watch=Watch(stop=lambda: True))
    assert result.status == "planned, optimum not proven" or result.seasons
    assert result.cost >= plan_seasons(plan).cost and result.gap > 0
    assert check_seasons(plan, result) == []


@pytest.mark.tools
def test_ctrl_c_shows_the_best_plan_so_far(tmp_path: Path) -> None:
    file = tmp_path / "result.json"
    command = [sys.executable, "-m", "recommender.cli", "seasons", str(OWNER), "--gap", "0"]
    process = subprocess.Popen(
        [*command, "--json", str(file)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=dict(os.environ)
    )
    assert process.stderr is not None
    assert b"Looking" in process.stderr.readline()
    time.sleep(4)
    process.send_signal(signal.SIGINT)
    output, errors = process.communicate(timeout=120)
    assert process.returncode == 130, errors
    assert b"Traceback" not in errors and b"as far as it got" in errors
    result = SeasonsResult.model_validate(json.loads(file.read_text("utf-8")))
    if result.seasons:
        assert check_seasons(load_plan(OWNER), result) == [] and b"Nobody ever hangs" in output
        assert result.gap >= 0
    else:
        assert result.status == "stopped"
