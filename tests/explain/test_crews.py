"""Every crew has a setup of its own: together they take no more than the kit has, and each carries its piece."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

from recommender.explain.crews import by_crew, job_of, told_apart
from recommender.kit.hold_notes import holding_notes
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.report.specification import catalogue_id
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def planned(name: str) -> tuple[Plan, KitResult]:
    plan = load_plan(DEMO / name)
    return plan, plan_kit(plan)


def test_two_crews_share_the_kit_and_every_item_has_a_place() -> None:
    plan, result = planned("company")
    every = by_crew(plan, result)
    for job in plan.jobs:
        setups = [one for one in every.assignments if job_of(one.job) == job.job]
        assert [one.job for one in setups] == [f"{job.job}, crew {k}" for k in (1, 2)]
        taken = Counter(id for one in setups for id in one.parts.values())
        assert all(result.pieces[id] >= count for id, count in taken.items())
        assert all(share <= 1 + 1e-9 for one in setups for share in one.utilisation.values())
    used = {id for one in every.assignments for id in one.parts.values()}
    assert {one.id for one in result.items if one.table != "extras"} <= used


def test_one_crew_is_told_as_it_was() -> None:
    assert by_crew(*planned("new_owner")) is planned("new_owner")[1]


def test_brakes_of_every_crew_are_warned_of_and_other_notes_stay() -> None:
    plan, result = planned("company")
    every = by_crew(plan, result)
    of_first, of_all = (
        holding_notes(plan, result.assignments),
        holding_notes(plan, told_apart(every.assignments)),
    )
    assert set(every.notes) == {*set(result.notes) - set(of_first), *of_all}
    brakes = {
        catalogue_id(one.parts["brake"])
        for one in every.assignments
        if one.holding and one.holding.verdict != "held by one"
    }
    assert brakes and all(any(note.startswith(f"Brake {one}") for note in of_all) for one in brakes)


def test_crews_with_the_same_items_are_told_once() -> None:
    plan, result = planned("company")
    told = [one.job for one in told_apart(by_crew(plan, result).assignments)]
    assert "heavy oak limbs" in told and "heavy oak limbs, crew 1" not in told
    assert {"oak limbs off a wall, crew 1", "oak limbs off a wall, crew 2"} <= set(told)
