"""The invented plans and the breadth of the invented catalogue: readable, marked as invented, and carriable."""

from __future__ import annotations

import csv
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.gear import TABLES
from catalog_schema.units import from_si
from recommender.kit.planning import prepare
from recommender.ratings.parts import retired
from recommender.ratings.policy import default_policy
from recommender.work.plan import Plan, load_plan

TESTS = Path(__file__).parents[1]
CATALOGUE = TESTS.parent / "demo_catalog"
TALL_TREE = TESTS / "demo" / "tall_tree_plan"
DEMO_PLANS = ("new_owner", "company", "training_ground")
PLANS = [*(CATALOGUE / name for name in DEMO_PLANS), TALL_TREE]
TABLE_FILES = sorted([*CATALOGUE.rglob("*.csv"), *TALL_TREE.glob("*.csv")])


def _name(path: Path) -> str:
    return f"{path.parent.name}/{path.name}"


@cache
def _catalogue() -> Catalogue:
    return load_catalogue(CATALOGUE)


@cache
def _plan(folder: Path) -> Plan:
    return load_plan(folder)


@pytest.mark.parametrize("path", TABLE_FILES, ids=_name)
def test_every_row_says_that_it_is_invented(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows
    assert [row for row in rows if not row["note"].startswith("invented")] == []


def test_the_notice_says_what_the_data_is_for() -> None:
    text = (CATALOGUE / "NOTICE.txt").read_text(encoding="utf-8")
    assert text.startswith("Everything in this folder is invented.")
    assert "What it is for:" in text and "What it is not for: buying, rating or using gear." in text


def test_the_catalogue_is_as_broad_as_a_shop() -> None:
    catalogue = _catalogue()
    least = {
        "ropes": 60,
        "redirects": 20,
        "slings": 25,
        "brakes": 8,
        "lifters": 8,
        "connectors": 8,
        "extras": 12,
    }
    assert {name: len(rows) for name, rows in catalogue.tables().items() if len(rows) < least[name]} == {}
    ropes = catalogue.ropes
    assert sorted({round(1e3 * rope.diameter, 1) for rope in ropes}) == [10, 11, 12.7, 14, 16, 19, 22]
    assert len({rope.construction for rope in ropes}) == 5
    assert {rope.break_basis for rope in ropes} == {"minimum", "average"}
    assert {rope.termination for rope in ropes} == {"cut_end", "spliced_eye", "sewn_eye"}
    assert sorted({one.length for one in catalogue.rope_lengths}) == [30, 45, 60, 90]


@pytest.mark.parametrize("table", ["redirects", "slings", "brakes", "lifters", "connectors"])
def test_every_kind_of_item_is_there(table: str) -> None:
    rows = _catalogue().tables()[table]
    offered = set(TABLES[table].model_json_schema()["properties"]["kind"]["enum"])
    assert {row.kind for row in rows} == offered  # type: ignore[attr-defined]


def test_some_items_are_rated_for_catching_and_some_are_not() -> None:
    for rows in (_catalogue().redirects, _catalogue().brakes):
        assert {row.takes_catch for row in rows} == {True, False}


def test_longer_rope_costs_more_but_not_more_per_length() -> None:
    by_rope: dict[tuple[object, ...], list[tuple[float, float]]] = {}
    for one in _catalogue().rope_lengths:
        rope = one.rope
        key = (rope.fibre, rope.construction, rope.diameter, rope.termination)
        by_rope.setdefault(key, []).append((one.length, one.price))
    for lengths in by_rope.values():
        lengths.sort()
        prices = [price for _, price in lengths]
        assert prices == sorted(set(prices))
        per_length = [price / length for length, price in lengths]
        # whole currency units, so a unit may be lost in rounding
        assert all(later <= first + 1 / 30 for first, later in pairwise(per_length))


@pytest.mark.parametrize("folder", PLANS, ids=lambda path: path.name)
def test_plan_reads_without_a_problem_and_says_that_it_is_invented(folder: Path) -> None:
    plan = _plan(folder)
    assert plan.settings.notice.startswith("Invented example")
    assert sum(job.share for job in plan.jobs) == pytest.approx(1.0)


@pytest.mark.parametrize("folder", PLANS, ids=lambda path: path.name)
def test_every_job_type_can_be_carried_with_the_catalogue(folder: Path) -> None:
    assert prepare(_plan(folder)).problem.uncovered() == ()


def test_plans_differ_in_units_techniques_and_owned_gear() -> None:
    plans = {name: _plan(CATALOGUE / name) for name in DEMO_PLANS}
    assert {name: plan.settings.units for name, plan in plans.items()} == {
        "new_owner": "metric",
        "company": "us",
        "training_ground": "metric",
    }
    for plan in plans.values():
        assert {job.technique for job in plan.jobs} == {"lower", "lift", "catch"}
    assert [name for name, plan in plans.items() if plan.owned] == ["company"]
    assert all(job.from_ground for job in plans["training_ground"].jobs)


def test_the_company_owns_sound_worn_and_too_old_gear() -> None:
    policy = default_policy()
    reasons = [
        retired(row.item[:2] not in ("BS", "RI", "PU", "PB", "LH", "SH"), from_si(row.age, "yr", "age"),
                row.condition, policy) or "kept"
        for row in _plan(CATALOGUE / "company").owned
    ]  # fmt: skip
    assert {reason.split(":")[0].split(" for")[0] for reason in reasons} == {"kept", "worn", "in use"}


def test_the_training_ground_raises_factors_and_says_why() -> None:
    policy, usual = _plan(CATALOGUE / "training_ground").policy, default_policy()
    for technique in ("lower", "catch"):
        raised = policy.design_factor.rope_explicit.at(technique)
        assert raised > usual.design_factor.rope_explicit.at(technique)
    assert policy.notes and all("reason" in note for note in policy.notes)
