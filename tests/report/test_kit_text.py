"""The kit as text: complete, narrow enough, in agreement with the typed result."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from catalog_schema.units import UnitSystem
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.report.checking import checked_catalogue_text, checked_plan_text
from recommender.report.figures import amount, force, percent, state_words
from recommender.report.kit_text import kit_text
from recommender.report.layout import WIDTH, columns_of
from recommender.report.loads import plan_loads
from recommender.report.loads_text import loads_text
from recommender.report.specification import catalogue_id
from recommender.work.plan import Plan, load_plan

TESTS = Path(__file__).parents[1]
PLANS = [
    *(TESTS.parent / "demo_catalog" / name for name in ("new_owner", "company", "training_ground")),
    TESTS / "demo" / "tall_tree_plan",
]
SYSTEMS: tuple[UnitSystem, ...] = ("metric", "us")


@cache
def planned(folder: Path) -> tuple[Plan, KitResult]:
    plan = load_plan(folder)
    return plan, plan_kit(plan)


def too_long(text: str) -> list[str]:
    return [line for line in text.split("\n") if columns_of(line) > WIDTH or line != line.rstrip()]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("folder", PLANS, ids=lambda path: path.name)
def test_lines_fit_a_plain_terminal(folder: Path, system: UnitSystem) -> None:
    plan, result = planned(folder)
    assert too_long(kit_text(result, plan.catalogue, system)) == []
    assert too_long(loads_text(plan_loads(plan), system)) == []
    assert too_long(checked_plan_text(plan, result.notes)) == []
    assert too_long(checked_catalogue_text(plan.catalogue)) == []


@pytest.mark.parametrize("folder", PLANS, ids=lambda path: path.name)
def test_the_shopping_list_adds_up(folder: Path) -> None:
    plan, result = planned(folder)
    text = kit_text(result, plan.catalogue, "metric")
    together = re.findall(r"^ *\d+  .*?  +([\d,]+\.\d\d)  +([\d,]+\.\d\d)  ", text, re.MULTILINE)
    assert sum(float(price.replace(",", "")) for _, price in together) == pytest.approx(result.purchase_cost)
    assert len(together) == sum(not item.owned for item in result.items)
    for item in result.items:
        assert catalogue_id(item.id) in text


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_table_shows_each_job_type_as_planned(system: UnitSystem) -> None:
    plan, result = planned(PLANS[0])
    text = kit_text(result, plan.catalogue, system)
    lines = [line for line in text.split("\n") if not line.startswith("-")]
    for one in result.assignments:
        part, used = one.highest
        wanted = [force(one.line_tension_n, system), percent(used), state_words(one.governing[part])]
        wanted += [force(one.line_tension_jam_n, system)] if one.technique == "catch" else []
        rows = [line for line in lines if line.startswith(one.job.split()[0])]
        assert any(all(shown in row for shown in wanted) for row in rows), one.job


def test_jam_stands_with_catches_only() -> None:
    plan, result = planned(PLANS[0])
    lowered, caught = kit_text(result, plan.catalogue, "metric").split("\nLifted\n")
    assert "locked" not in lowered and "  locked  " in caught.split("\nCaught\n")[1]


def test_owned_gear_is_not_to_be_bought() -> None:
    plan, result = planned(PLANS[1])
    text = kit_text(result, plan.catalogue, "us")
    to_buy, used = text.split("\nUsed of what is owned\n")
    for item in result.items:
        if item.owned:
            assert catalogue_id(item.id) in used.split("\nTotal to buy")[0]
    assert "owned:" not in text and amount(result.purchase_cost) in used and to_buy


def test_texts_of_other_people_do_not_break_the_layout() -> None:
    plan, result = planned(PLANS[2])
    hostile = "縄" * 90 + "\x1b[31m" + "x" * 200 + "\n\ttail"
    items = tuple(item.model_copy(update={"name": hostile}) for item in result.items)
    jobs = tuple(one.model_copy(update={"job": hostile}) for one in result.assignments)
    changed = result.model_copy(
        update={"items": items, "assignments": jobs, "plan": hostile, "notice": hostile}
    )
    text = kit_text(changed, plan.catalogue, "us")
    assert too_long(text) == [] and "\x1b" not in text and "\t" not in text


def test_a_kit_that_is_not_proven_says_so() -> None:
    plan, result = planned(PLANS[2])
    changed = result.model_copy(
        update={"status": "planned, optimum not proven", "bound": 0.75 * result.purchase_cost, "gap": 0.25}
    )
    text = " ".join(kit_text(changed, plan.catalogue, "metric").split())
    assert f"no kit costs less than EUR {0.75 * result.purchase_cost:,.2f}" in text and "gap 25.0 %" in text
