"""Rope on spools from a plan to its kit: what may be cut, what is listed, and what the check finds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from math import ceil
from pathlib import Path
from typing import Any

import pytest

from recommender.kit.check import check_kit, on_hand
from recommender.kit.planning import plan_kit, prepare, whole_spools
from recommender.kit.result import KitItem, KitResult
from recommender.kit.stock import lengths_to_cut, stock
from recommender.ratings import default_policy
from recommender.report.kit_text import kit_text
from recommender.work.plan import Plan, load_plan
from recommender.work.tables import OwnedGear

DEMO = Path(__file__).parents[2] / "demo_catalog"
ROPE = "DB127-60"
"""A rope of the demo, 60 m in one piece; here it is to be had on a spool as well."""


@cache
def plan_with_spool(
    crews: int = 3, length: float = 200.0, price: float = 440.0, shortest: float | None = None
) -> Plan:
    """The new owner's demo plan with more crews and one rope on a spool."""
    plan = load_plan(DEMO / "new_owner")
    row = next(rope for rope in plan.catalogue.ropes if rope.id == ROPE)
    sold = {"id": "SP", "length": None, "price": price, "spool_length": length, "shortest_cut": shortest}
    spool = type(row)(**(row.model_dump() | sold))
    settings = plan.settings.model_copy(
        update={"crew": plan.settings.crew.model_copy(update={"crews": crews})}
    )
    return replace(
        plan, settings=settings, catalogue=replace(plan.catalogue, ropes=(*plan.catalogue.ropes, spool))
    )


@cache
def result_with_spool() -> KitResult:
    return plan_kit(plan_with_spool())


def spool_of(result: KitResult) -> KitItem:
    return next(item for item in result.items if item.id == "SP")


def test_three_crews_share_a_spool() -> None:
    """One spool at 440 in the place of three lines of 60 m that cost more; listed once, with its lines."""
    plan, result = plan_with_spool(), result_with_spool()
    assert result.status == "planned"
    assert check_kit(plan, result) == []
    alone = plan_kit(replace(plan, catalogue=replace(plan.catalogue, ropes=plan.catalogue.ropes[:-1])))
    assert result.purchase_cost < alone.purchase_cost
    spool = spool_of(result)
    assert (spool.quantity, spool.unit_price, spool.length_m) == (1, 440.0, 200.0)
    assert spool.mass_kg == pytest.approx(200 * 0.122, rel=0.1)
    assert sum(spool.cuts_m) <= 200.0
    assert not any("/cut" in item.id for item in result.items)


def test_lines_are_as_long_as_some_job_type_needs_in_whole_metres() -> None:
    result = result_with_spool()
    needed = {ceil(one.line_needed_m) for one in result.assignments}
    assert set(spool_of(result).cuts_m) <= needed
    used = {one.parts["line"] for one in result.assignments if one.parts["line"].startswith("SP")}
    assert used
    assert used <= {f"SP/cut {cut:g}m" for cut in spool_of(result).cuts_m}
    assert {life.item for life in result.lives} >= used


def test_a_spool_changes_nothing_for_one_crew_that_buys_none() -> None:
    plan = load_plan(DEMO / "new_owner")
    dear = plan_with_spool(crews=plan.settings.crew.crews, price=5000.0)
    assert plan_kit(dear).items == plan_kit(plan).items


def test_the_text_says_what_to_cut() -> None:
    text = kit_text(result_with_spool(), plan_with_spool().catalogue, "metric")
    cuts = spool_of(result_with_spool()).cuts_m
    lines = ", ".join(f"{cut:g} m" for cut in cuts)
    assert "To cut from the spools" in text
    assert f"- SP: {lines}; {200 - sum(cuts):g} m left" in text
    assert "To cut from the spools" not in kit_text(
        plan_kit(load_plan(DEMO / "new_owner")), plan_with_spool().catalogue, "metric"
    )


def test_lines_come_off_one_spool_after_the_other() -> None:
    item = spool_of(result_with_spool())
    two = item.model_copy(update={"quantity": 2, "cuts_m": (120.0, 80.0, 50.0)})
    assert two.cutting_list == ((120.0, 80.0), (50.0,))
    assert item.model_copy(update={"cuts_m": ()}).cutting_list == ()


@pytest.mark.parametrize(
    ("needed", "lengths"),
    [
        ((28.2, 28.9, 29.0, 45.1), [29.0, 46.0]),
        ((29.0 + 1e-12,), [29.0]),
        ((199.5, 200.0, 200.1), [200.0]),
        ((8.0, 31.0), [12.0, 31.0]),
        ((), []),
    ],
)
def test_lengths_to_cut(needed: tuple[float, ...], lengths: list[float]) -> None:
    """Whole metres up, never below the shortest cut of 12 m, never more than the spool of 200 m."""
    spool = plan_with_spool(shortest=12.0).catalogue.ropes[-1]
    assert lengths_to_cut(spool, needed) == lengths


def test_a_spool_of_a_broken_length_gives_its_end_as_the_longest_line() -> None:
    """600 ft, 182.88 m: a line of 182.5 m is cut from it though 183 m are not on it."""
    plan = plan_with_spool(length=182.88)
    items, _ = stock(plan.catalogue, (), default_policy(), [182.5])
    assert [item.id for item in items if item.cut_from] == ["SP/cut 182.88m"]


def test_without_lengths_a_spool_is_one_line_and_it_is_said_so() -> None:
    plan = plan_with_spool()
    items, notes = stock(plan.catalogue, (), plan.policy)
    (spool,) = (item for item in items if item.id.startswith("SP"))
    assert (spool.length, spool.spool_length, spool.price) == (200.0, 0.0, 44000)
    assert notes == ["Rope on spools is reckoned as one line a spool here, uncut: SP"]
    assert stock(load_plan(DEMO / "new_owner").catalogue, (), plan.policy)[1] == []


def test_whole_spools_are_plain_ropes_and_their_kit_stands() -> None:
    plan = whole_spools(plan_with_spool(price=100.0))
    assert plan.notes[-1] == "Rope on spools is reckoned as one line a spool here, uncut: SP"
    assert prepare(plan).problem.spools == ()
    few = replace(plan, jobs=plan.jobs[:1])
    assert prepare(few).problem.item_ids == prepare(plan).problem.item_ids
    result = plan_kit(plan)
    assert (spool_of(result).cuts_m, spool_of(result).length_m) == ((), 200.0)
    assert check_kit(plan, result) == []
    without = load_plan(DEMO / "new_owner")
    assert whole_spools(without) is without


def test_pieces_of_a_kit_name_its_lines() -> None:
    result = result_with_spool()
    pieces = result.pieces
    assert "SP" not in pieces
    assert sum(count for id, count in pieces.items() if id.startswith("SP")) == len(spool_of(result).cuts_m)
    assert {id for one in result.assignments for id in one.parts.values()} <= pieces.keys()
    assert all(pieces[item.id] == item.quantity for item in result.items if item.id != "SP")


def test_a_spool_taken_uncut_passes_the_check() -> None:
    plan = plan_with_spool()
    usable, _ = on_hand(plan)
    assert usable["SP"].length == 200.0
    items, _ = stock(plan.catalogue, plan.owned, plan.policy)
    assert {item.id: item.price for item in items} == {id: item.cents for id, item in usable.items()}


def test_an_owned_line_of_a_rope_on_a_spool_has_the_length_of_its_row() -> None:
    plan = plan_with_spool()
    owned = (OwnedGear(item="SP", length=41.0, age=0.0, condition="sound"),)
    for lengths in (None, [30.0]):
        items, _ = stock(plan.catalogue, owned, plan.policy, lengths)
        (line,) = (item for item in items if item.owned)
        assert (line.id, line.length, line.spool_length, line.price) == ("owned:SP", 41.0, 0.0, 0)


# --- what was tampered with is named ----------------------------------------------------------------------------


def _with_spool(**changes: Any) -> KitResult:
    result = result_with_spool()
    items = [item.model_copy(update=changes) if item.id == "SP" else item for item in result.items]
    return result.model_copy(update={"items": tuple(items)})


def _more_lines() -> KitResult:
    cuts = spool_of(result_with_spool()).cuts_m
    return _with_spool(cuts_m=(*cuts, *cuts))


def _rope_cut() -> KitResult:
    result = result_with_spool()
    items = [
        item.model_copy(update={"cuts_m": (5.0,)}) if item.table == "slings" else item
        for item in result.items
    ]
    return result.model_copy(update={"items": tuple(items)})


def _whole_spool_as_line() -> KitResult:
    result = result_with_spool()
    jobs = [
        one.model_copy(update={"parts": one.parts | {"line": "SP"}})
        if one.parts["line"].startswith("SP")
        else one
        for one in result.assignments
    ]
    return result.model_copy(update={"assignments": tuple(jobs)})


TAMPERED: dict[str, tuple[Callable[[], KitResult], str]] = {
    "cut-off sold twice": (_more_lines, "take 2 spools, the kit has 1"),
    "line longer than the spool": (lambda: _with_spool(cuts_m=(201.0,)), "a line of 201 m is cut from it"),
    "line of no length": (lambda: _with_spool(cuts_m=(0.0,)), "a line of 0 m is cut from it"),
    "lines not cut": (lambda: _with_spool(cuts_m=()), "is not in the kit"),
    "shorter lines cut": (lambda: _with_spool(cuts_m=(20.0, 20.0, 20.0)), "is not in the kit"),
    "a sling cut": (_rope_cut, "is said to be cut, it is no spool"),
    "spool used uncut as well": (_whole_spool_as_line, "is cut, and is itself used as a line"),
    "longer spool": (lambda: _with_spool(length_m=300.0), "is said to be 300.0 m long"),
    "cheaper spool": (lambda: _with_spool(unit_price=1.0), "is priced at 1.00"),
}  # fmt: skip


@pytest.mark.parametrize("name", TAMPERED)
def test_names_what_was_tampered_with(name: str) -> None:
    tamper, words = TAMPERED[name]
    faults = check_kit(plan_with_spool(), tamper())
    assert any(words in fault for fault in faults), faults
