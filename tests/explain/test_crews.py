"""Every crew has a setup of its own: together they take no more than the kit has, and each carries its piece."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

from recommender.explain.crews import by_crew, job_of
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
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
