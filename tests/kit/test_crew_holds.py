"""Plans that ask for gear with which the people on the ground hold every piece."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import pytest

from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
FEW = {
    "ropes": ("DB16-45", "NL16", "NL19"),
    "redirects": ("BA-L", "RI-M", "MH-M"),
    "brakes": ("PB-M", "PB-L", "PB-MW", "SB-M"),
}
WRAPS = {"PB-M": 3.0, "PB-L": 5.5, "PB-MW": 4.5, "SB-M": 6.5}
JOBS = ("pine butt logs", "heavy maple limbs")  # a catch that is let run; lowered


@cache
def one_job(name: str, workers: int) -> Plan:
    """A job type and few items, so that every choice can be tried."""
    whole = load_plan(DEMO / "new_owner")
    few = {
        table: tuple(row for row in getattr(whole.catalogue, table) if row.id in ids)
        for table, ids in FEW.items()
    }
    few["brakes"] = tuple(row.model_copy(update={"wraps_max": WRAPS[row.id]}) for row in few["brakes"])
    catalogue = replace(whole.catalogue, **few)
    plan = replace(
        whole, catalogue=catalogue, owned=(), jobs=tuple(job for job in whole.jobs if job.job == name)
    )
    return with_crew(plan, ground_workers=workers)


def with_crew(plan: Plan, **changes: object) -> Plan:
    crew = plan.settings.crew.model_copy(update=changes)
    return replace(plan, settings=plan.settings.model_copy(update={"crew": crew, "extras": False}))


def with_wraps(plan: Plan, wraps: float) -> Plan:
    brakes = tuple(row.model_copy(update={"wraps_max": wraps}) for row in plan.catalogue.brakes)
    return replace(plan, catalogue=replace(plan.catalogue, brakes=brakes))


def held(result: KitResult) -> bool:
    return all(one.holding is None or one.holding.people <= one.holding.there for one in result.assignments)


def every_choice(plan: Plan) -> list[KitResult]:
    """The kits of every rope with every redirect and brake, each the only one of its kind."""
    catalogue = plan.catalogue
    return [
        plan_kit(
            replace(plan, catalogue=replace(catalogue, ropes=(rope,), redirects=(redirect,), brakes=(brake,)))
        )
        for rope, redirect, brake in product(catalogue.ropes, catalogue.redirects, catalogue.brakes)
    ]


@pytest.mark.parametrize("job", JOBS)
def test_the_cheapest_of_all_choices_that_the_crew_holds(job: str) -> None:
    free = with_crew(one_job(job, 1), holds_every_piece=False)
    kits = [kit for kit in every_choice(free) if kit.status == "planned"]
    cheapest = min((kit.purchase_cost for kit in kits if held(kit)), default=None)
    assert len({held(kit) for kit in kits}) == 2, "some are held, some are not"
    result = plan_kit(with_crew(free, holds_every_piece=True))
    assert result.status == "planned" and held(result)
    assert result.purchase_cost == cheapest


@pytest.mark.parametrize("job", JOBS)
def test_what_would_help_does_help(job: str) -> None:
    plan = with_wraps(with_crew(one_job(job, 1), holds_every_piece=True), 2.0)
    (found,) = plan_kit(plan).uncovered
    told = (found.remedy, *found.other_remedies)
    assert found.part == "brake" and "can't hold the line" in found.shortfall
    people = [int(m[1]) for one in told if (m := re.fullmatch(r"Have (\d) people on the ground", one))]
    for number in people:
        assert plan_kit(with_crew(plan, ground_workers=number)).status == "planned"
        assert plan_kit(with_crew(plan, ground_workers=number - 1)).uncovered
    (wraps,) = [float(m[1]) for one in told if (m := re.search(r"takes ([\d.]+) wraps", one))]
    assert plan_kit(with_wraps(plan, wraps)).status == "planned"
    assert plan_kit(with_wraps(plan, wraps - 0.1)).uncovered


def test_a_part_that_is_too_weak_is_told_before_the_hold() -> None:
    plan = with_crew(one_job("pine butt logs", 1), holds_every_piece=True)
    ropes = tuple(row.model_copy(update={"min_break": row.min_break / 20}) for row in plan.catalogue.ropes)
    (found,) = plan_kit(replace(plan, catalogue=replace(plan.catalogue, ropes=ropes))).uncovered
    assert found.part == "line"
