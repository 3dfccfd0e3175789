"""Plans over seasons on the demo's files: the plain kit, budgets, hire, cuts, wear, and a check that finds slips."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from recommender.kit.planning import plan_kit
from recommender.report.seasons_text import seasons_text
from recommender.seasons import SeasonsResult, plan_seasons
from recommender.seasons.check import check_seasons
from recommender.seasons.planning import in_pieces, prepare_seasons
from recommender.work.cases import piece_mass
from recommender.work.plan import Plan, load_plan
from recommender.work.settings import Money
from recommender.work.tables import SeasonRow

from .examples import ROOT, TRAINING, training, with_seasons

TALL = ROOT / "tests" / "demo" / "tall_tree_plan"


@cache
def tight() -> tuple[Plan, SeasonsResult]:
    """Two seasons, the first with less money than the whole kit costs, and hire allowed."""
    plan = with_seasons(training(), 420.0, None, hire_price=20.0)
    return plan, plan_seasons(plan)


@pytest.mark.parametrize("folder", [TRAINING, TALL, ROOT / "demo_catalog" / "new_owner"])
def test_one_season_without_a_budget_is_the_plain_kit(folder: Path) -> None:
    plan = replace(load_plan(folder), seasons=())
    plan = replace(
        plan, jobs=tuple(job.model_copy(update={"most_pieces": 1, "hire_price": None}) for job in plan.jobs)
    )
    result = plan_seasons(plan)
    assert result.cost == pytest.approx(plan_kit(plan).purchase_cost)


def test_too_little_money_gives_work_away_and_buys_the_rest_later() -> None:
    plan, result = tight()
    first, second = result.seasons
    assert result.status == "planned"
    assert first.purchase_cost <= 420.0
    assert first.share_with_kit < 1.0 == second.share_with_kit
    assert any(job.how == "given away" for job in first.jobs)
    assert check_seasons(plan, result) == []


def test_more_money_never_costs_more() -> None:
    costs = [
        plan_seasons(with_seasons(training(), budget, None, hire_price=20.0)).cost
        for budget in (200.0, 420.0, 700.0)
    ]
    assert costs == sorted(costs, reverse=True)


def test_without_hire_too_little_money_is_explained() -> None:
    more, moved = (
        "Raise the budget of season 's0' by EUR 517.00",
        "Spend EUR 517.00 of the budget of season 's1' in season 's0' already",
    )
    for later, expected in ((5000.0, [moved, more]), (None, [more])):
        result = plan_seasons(with_seasons(training(), 100.0, later))
        assert result.status == "no kit"
        found = result.uncovered[0]
        assert found.part == "budget"
        told = [found.remedy, *found.other_remedies]
        assert told[: len(expected)] == expected
        assert any("hire_price" in one for one in told) and (moved in told) == (later is not None)


def test_smaller_pieces_are_taken_where_crew_time_is_cheaper_than_gear() -> None:
    plan = load_plan(TALL)
    money = Money(crew_rate=1.0)
    cheap = replace(plan, settings=plan.settings.model_copy(update={"money": money}))
    cheap = replace(
        cheap, jobs=tuple(job.model_copy(update={"most_pieces": 4, "cut_minutes": 1.0}) for job in plan.jobs)
    )
    dear = replace(cheap, settings=plan.settings.model_copy(update={"money": Money(crew_rate=50_000.0)}))
    smaller, whole = plan_seasons(cheap), plan_seasons(dear)
    assert any(job.pieces_of_each > 1 for job in smaller.seasons[0].jobs)
    assert all(job.pieces_of_each == 1 for job in whole.seasons[0].jobs)
    assert smaller.cost < whole.cost == pytest.approx(plan_kit(plan).purchase_cost)


def test_hard_work_wears_lines_out_and_makes_it_buy_more() -> None:
    plan = training()
    costs = []
    for pieces in (400.0, 40_000.0, 400_000.0):
        settings = plan.settings.model_copy(update={"pieces_per_season": pieces})
        costs.append(plan_seasons(replace(plan, settings=settings)).purchase_cost)
    assert costs[0] < costs[1] < costs[2]


def test_each_crew_has_its_own_setup() -> None:
    plan = training()
    crew = plan.settings.crew.model_copy(update={"crews": 2})
    both = replace(plan, settings=plan.settings.model_copy(update={"crews": 2, "crew": crew}))
    assert plan_seasons(both).cost == pytest.approx(2 * plan_seasons(plan).cost)


def test_pieces_of_each_add_up_to_no_less_than_the_whole_piece() -> None:
    """Each is taken as thick as the piece from the big end: the safe side."""
    for job in load_plan(ROOT / "demo_catalog" / "new_owner").jobs:
        whole = float(piece_mass(job).design)
        for number in (2, 3):
            assert number * float(piece_mass(in_pieces(job, number)).design) >= whole * (1 - 1e-9)


def test_work_of_a_season_scales_its_pieces() -> None:
    plan = replace(training(), seasons=(SeasonRow(season="a"), SeasonRow(season="b", work=0.5)))
    pieces = prepare_seasons(plan).pieces
    assert np.allclose(pieces[1], pieces[0] / 2)


def test_the_text_is_narrow_and_ends_with_the_cautions() -> None:
    _, result = tight()
    for system in ("metric", "us"):
        text = seasons_text(result, system)
        assert max(len(line) for line in text.splitlines()) <= 80
        assert "Nobody ever hangs on load rigging" in text.split("Cautions")[-1]


def test_result_survives_json() -> None:
    _, result = tight()
    assert SeasonsResult.model_validate_json(result.model_dump_json()) == result


def _at_one_each(result: SeasonsResult) -> SeasonsResult:
    first, *others = result.seasons[0].purchases
    return _first(result, purchases=(first.model_copy(update={"unit_price": 1.0}), *others))


TAMPERED = {
    "price": _at_one_each,
    "purchase": lambda result: _first(result, purchases=result.seasons[0].purchases[1:]),
    "budget": lambda result: _first(result, budget=10.0),
    "job": lambda result: _first(result, jobs=result.seasons[0].jobs[1:]),
    "cost": lambda result: result.model_copy(update={"cost": result.cost - 5}),
    "bound": lambda result: result.model_copy(update={"bound": result.cost + 5}),
    "wear": lambda result: _first(result, wear_used=dict.fromkeys(result.seasons[0].wear_used, 9.0)),
}


def _first(result: SeasonsResult, **changes: object) -> SeasonsResult:
    return result.model_copy(
        update={"seasons": (result.seasons[0].model_copy(update=changes), *result.seasons[1:])}
    )


@pytest.mark.parametrize("name", TAMPERED)
def test_the_check_finds_a_slip(name: str) -> None:
    plan, result = tight()
    assert check_seasons(plan, TAMPERED[name](result))
