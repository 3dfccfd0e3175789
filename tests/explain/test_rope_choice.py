"""The ropes that are set side by side first, and the gear beside them."""

from functools import cache
from pathlib import Path

import pytest

from recommender.explain.rope_choice import telling_ropes
from recommender.explain.rope_gear import FROM_ALOFT, kit_takes
from recommender.explain.rope_match import compare_ropes
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
PLANS = ("new_owner", "company", "training_ground")


@cache
def planned(name: str) -> tuple[Plan, KitResult]:
    plan = load_plan(DEMO / name)
    return plan, plan_kit(plan)


@pytest.mark.parametrize("name", PLANS)
def test_a_mid_size_rope_stands_beside_a_thick_one_and_may_be_used(name):
    plan, kit = planned(name)
    for one in kit.assignments:
        if one.technique != "catch":
            continue
        thin, thick = telling_ropes(plan, one.job, kit)
        match = compare_ropes(plan, [thin, thick], one.job)
        assert match.ropes[0].diameter_m < match.ropes[1].diameter_m == 0.022
        assert match.ropes[0].carries and match.ropes[0].hardest_n < match.ropes[1].hardest_n
        assert all(rope.length_m >= match.line_needed_m for rope in match.ropes)


def test_gear_that_has_to_be_put_up_is_told_where_none_from_the_ground_takes_the_ropes():
    plan, kit = planned("training_ground")
    job = next(one.job for one in kit.assignments if one.technique == "catch")
    assert FROM_ALOFT in compare_ropes(plan, ["NL16", "DB22-30"], job).notes
    thin = compare_ropes(plan, ["KN11", "DB11-30"], job)
    assert FROM_ALOFT not in thin.notes
    assert plan.catalogue.item(thin.parts["redirect"]).set_from_ground
    assert any(rope.carries for rope in thin.ropes)


def test_a_kit_takes_ropes_that_fit_all_that_the_line_runs_over():
    plan, kit = planned("new_owner")
    for one in kit.assignments:
        gear = [plan.catalogue.item(one.parts[part]) for part in ("redirect", "brake") if part in one.parts]
        for id in ("DB10-30", "DB127-60", "NL16", "DB22-45"):
            rope = plan.catalogue.item(id)
            fits = all(part.rope_min <= rope.diameter <= part.rope_max for part in gear)
            if "lifter" not in one.parts:
                assert kit_takes(plan.catalogue, kit, one.job, [rope]) == fits
    company, own = planned("company")
    assert kit_takes(company.catalogue, own, "oak limbs", [company.catalogue.item("DB22-45")])
    assert not kit_takes(company.catalogue, own, "nothing of it", [])
