"""The next size of each item of a kit, held against kits in which it stands."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from recommender.explain.neighbours import Neighbours, neighbours
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
PLANS = ("new_owner", "company", "training_ground")


@cache
def planned(name: str) -> tuple[Plan, KitResult]:
    plan = load_plan(DEMO / name)
    return plan, plan_kit(plan)


@cache
def found(name: str) -> tuple[Neighbours, ...]:
    return neighbours(*planned(name))


@pytest.mark.parametrize("name", PLANS)
def test_every_rigged_item_is_told_with_how_hard_it_works_now(name):
    _, result = planned(name)
    rigged = {id for one in result.assignments for id in one.parts.values()}
    assert {one.id for one in found(name)} == rigged
    for item in found(name):
        shares = [
            one.utilisation[part]
            for one in result.assignments
            for part, id in one.parts.items()
            if id == item.id
        ]
        assert item.used_now == pytest.approx(max(shares))


@pytest.mark.parametrize("name", PLANS)
def test_the_next_size_lies_on_the_side_that_it_is_named_for(name):
    plan, _ = planned(name)
    for item in found(name):
        if item.table != "ropes" or item.id.startswith("owned:"):
            continue
        own = plan.catalogue.item(item.id)
        for size in item.sizes:
            other = plan.catalogue.item(size.id)
            thicknesses = [getattr(one, "rope", one).diameter for one in (own, other)]
            assert (thicknesses[1] > thicknesses[0]) == (size.direction == "up")
            assert getattr(own, "rope", own).fibre == getattr(other, "rope", other).fibre


def test_a_size_that_does_makes_a_kit_without_the_item():
    """With nothing for sale but the kit and the neighbour in the item's place the same work is still carried."""
    plan, result = planned("new_owner")
    kept, tried = {item.id for item in result.items}, 0
    for item in found("new_owner"):
        served = {one.job for one in result.assignments if item.id in one.parts.values()}
        for size in item.sizes:
            if size.fails or item.table == "ropes":
                continue
            ids = kept - {item.id} | {size.id}
            tables = {
                name: tuple(row for row in rows if row.id in ids or name in ("extras", "ropes"))
                for name, rows in plan.catalogue.tables().items()
            }
            jobs = tuple(job for job in plan.jobs if job.job in served)
            only = replace(plan, jobs=jobs, catalogue=replace(plan.catalogue, **tables))
            assert plan_kit(only).status == "planned", (item.id, size.id)
            tried += 1
    assert tried >= 4


def test_prices_are_those_of_the_catalogue_for_every_piece():
    plan, result = planned("new_owner")
    for item in found("new_owner"):
        own = next(one for one in result.items if one.id == item.id)
        for size in item.sizes:
            price = plan.catalogue.item(size.id).price
            assert size.price_change == pytest.approx(own.quantity * (price - own.unit_price))


def test_what_does_not_do_says_why():
    for item in (item for name in PLANS for item in found(name)):
        for size in item.sizes:
            assert bool(size.fails) == bool(size.misfit or (size.over or 0) > 1)
            assert (size.over is not None) == bool(size.over_part)


@pytest.mark.parametrize("name", PLANS)
def test_the_reason_that_is_told_belongs_to_the_job_type_that_is_told(name):
    """The plan with that job type alone gives the same reason."""
    plan, result = planned(name)
    places = {one.job: k for k, one in enumerate(result.assignments)}
    for item in found(name):
        for size in item.sizes:
            if len(size.fails) < 2:
                continue
            k = places[size.fails[0]]
            alone = replace(plan, jobs=(plan.jobs[k],))
            again = neighbours(alone, result.model_copy(update={"assignments": (result.assignments[k],)}))
            same = next(
                one for each in again if each.id == item.id for one in each.sizes if one.id == size.id
            )
            assert (same.misfit, same.over_part) == (size.misfit, size.over_part)
            assert same.over == (None if size.over is None else pytest.approx(size.over))
