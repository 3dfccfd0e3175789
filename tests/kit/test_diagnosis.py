"""What would help where nothing carries a job type: tried out, each remedy does help."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

from catalog_schema.gear import Rope
from recommender.kit.planning import plan_kit
from recommender.kit.result import Uncovered
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def one_job(name: str) -> Plan:
    whole = load_plan(DEMO / "new_owner")
    return replace(whole, jobs=tuple(job for job in whole.jobs if job.job == name))


def with_ropes(plan: Plan, metres: float) -> Plan:
    ropes = tuple(cut(rope, metres) for rope in plan.catalogue.ropes)
    return replace(plan, catalogue=replace(plan.catalogue, ropes=ropes))


def cut(rope: Rope, metres: float) -> Rope:
    by_length = {"price_per_length": None, "lengths_on_offer": (), "spool_length": None}
    return rope.model_copy(update={**by_length, "length": metres, "price": 100.0})


def uncovered(plan: Plan) -> Uncovered:
    (found,) = plan_kit(plan).uncovered
    return found


def test_ropes_that_are_too_short_ask_for_a_longer_one() -> None:
    plan = one_job("high pine pieces")
    found = uncovered(with_ropes(plan, 20.04))
    assert found.shortfall.startswith("the longest rope is 20.0 m, ") and found.technique == "lower"
    asked = re.match(r"Add a rope of at least ([\d.]+) m to the catalogue", found.remedy)
    assert asked, found.remedy
    assert plan_kit(with_ropes(plan, float(asked[1]))).status == "planned"
    assert plan_kit(with_ropes(plan, float(asked[1]) - 0.1)).uncovered


def test_a_piece_that_is_lowered_is_not_told_to_be_lowered() -> None:
    for name in ("high pine pieces", "pine tops"):
        found = uncovered(with_ropes(one_job(name), 1.0))
        told = " ".join((found.remedy, *found.other_remedies))
        assert ("instead of catching" in told) <= (found.technique == "catch")


def test_a_part_that_does_not_fit_is_asked_for() -> None:
    plan = one_job("pine butt logs")
    brakes = tuple(row.model_copy(update={"takes_catch": False}) for row in plan.catalogue.brakes)
    found = uncovered(replace(plan, catalogue=replace(plan.catalogue, brakes=brakes)))
    assert found.part == "brake"
    told = (found.remedy, *found.other_remedies)
    assert any(one.startswith("Add a brake to the catalogue that fits:") for one in told)
    assert "allowed for catching" in " ".join(told)
