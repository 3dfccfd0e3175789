"""The invented plans and the breadth of the invented catalogue: readable, marked as invented, and carriable."""

from __future__ import annotations

import csv
from collections import Counter
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.gear import TABLES
from catalog_schema.units import from_si
from recommender.kit.fits import Fits
from recommender.kit.problem import KitProblem, Ways
from recommender.kit.solve import Status, solve
from recommender.kit.stock import StockItem, stock
from recommender.ratings.parts import retired
from recommender.ratings.policy import default_policy
from recommender.work.cases import LoadCase, load_cases
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


@cache
def _cases(folder: Path) -> tuple[LoadCase, ...]:
    settings = _plan(folder).settings
    return load_cases(_plan(folder).jobs, settings.line, settings.pieces_per_season)


@cache
def _items(folder: Path) -> list[StockItem]:
    plan = _plan(folder)
    return stock(plan.catalogue, plan.owned, plan.policy)[0]


@cache
def _problem(folder: Path) -> KitProblem:
    plan, items = _plan(folder), _items(folder)
    return KitProblem(
        tuple(item.id for item in items),
        np.array([item.price for item in items]),
        np.array([item.mass for item in items]),
        np.array([item.limit for item in items]),
        tuple(case.job for case in _cases(folder)),
        Fits(_cases(folder), items, plan.policy, plan.settings.crew.ground_workers),
    )


@cache
def _ways(folder: Path) -> Ways:
    return _problem(folder).ways()


def _may_serve(folder: Path, case: int, part: str) -> set[str]:
    """Catalogue ids of the items that serve as a part in some way to rig a load case."""
    ways, items = _ways(folder), _items(folder)
    sets = ways.needs[ways.case == case, ways.parts.index(part)]
    return {items[member].gear.id for words in sets for member in ways.members(words)}


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
    ways = Counter(_ways(folder).case.tolist())
    assert [case.job for number, case in enumerate(_cases(folder)) if not ways[number]] == []


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


def test_one_average_double_braid_carries_every_ordinary_lower_of_the_new_owner() -> None:
    """Half-inch double braid does most of the lowering: common practice, no source."""
    folder = CATALOGUE / "new_owner"
    lowered = [k for k, case in enumerate(_cases(folder)) if case.technique == "lower"]
    assert sum(_plan(folder).jobs[k].share for k in lowered) > 0.5
    assert all(any(id.startswith("DB127") for id in _may_serve(folder, k, "line")) for k in lowered)


def test_low_butt_logs_need_more_than_that_rope() -> None:
    """Short rope low down is stiff: the piece that 12.7 mm lowers with ease can't be caught with it."""
    folder = CATALOGUE / "new_owner"
    names = [case.job for case in _cases(folder)]
    ropes = _may_serve(folder, names.index("pine butt logs"), "line")
    assert ropes and not any(id.startswith("DB127") for id in ropes)


@pytest.mark.parametrize("name", DEMO_PLANS)
def test_lifting_needs_a_sheave(name: str) -> None:
    """Rings lose half the pull or more when hoisting: slow tests on bars, Delaney 2022, p. 88."""
    folder = CATALOGUE / name
    with_sheave = {row.id for row in _catalogue().redirects if row.bearing != "none"}
    lifts = [k for k, case in enumerate(_cases(folder)) if case.technique == "lift"]
    assert lifts
    assert all(_may_serve(folder, k, "redirect") <= with_sheave for k in lifts)


def test_two_ropes_are_cheapest_for_a_tall_tree() -> None:
    """Long and thinner for the top, short and thick for the butt: common practice, no source."""
    solution = solve(_problem(TALL_TREE))
    assert solution.status is Status.PROVEN_OPTIMAL
    ropes = [
        item
        for item, pieces in zip(_items(TALL_TREE), solution.pieces, strict=True)
        for _ in range(int(pieces))
        if item.table == "ropes"
    ]
    assert len(ropes) == 2
    long, short = sorted(ropes, key=lambda item: -item.length)
    assert long.length > short.length
    assert long.gear.diameter < short.gear.diameter  # type: ignore[attr-defined]
