"""How long ropes and slings last: by loads, by age, shared between crews; and the check that finds a wrong one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult, TextileLife
from recommender.ratings import changed_policy
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def plan(name: str) -> Plan:
    return load_plan(DEMO / name)


@cache
def kit(name: str) -> KitResult:
    return plan_kit(plan(name))


def life(result: KitResult, start: str) -> TextileLife:
    return next(one for one in result.lives if one.item.startswith(start))


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_every_rope_and_sling_that_is_used_has_a_life(name: str) -> None:
    tables = {item.id: item.table for item in kit(name).items}
    used = {
        id for one in kit(name).assignments for id in one.parts.values() if tables[id] in ("ropes", "slings")
    }
    assert {one.item for one in kit(name).lives} == used
    for one in kit(name).lives:
        assert 0 < one.highest_share < 0.25, "working loads lie far below the strength: factors of 5 and more"
        assert 0 < one.seasons <= 5
        assert (one.ends_by == "age") == (one.seasons in (3.0, 5.0))


def test_one_line_worked_out_by_hand() -> None:
    """Line straight over a ring: knot 0.5, condition 0.9 of 39 kN; 1000 loads at a sixth of that, third power."""
    found = kit("new_owner")
    strength = 39e3 * 0.5 * 0.9
    used, loads = 0.0, 0.0
    for one, job in zip(found.assignments, plan("new_owner").jobs, strict=True):
        if one.parts["line"].startswith("DB127"):
            pieces = 600 * job.share
            loads += pieces
            used += pieces * (one.line_tension_n / strength / 0.1667) ** 3 / 1000
    line = life(found, "DB127")
    assert line.loads_per_season == pytest.approx(loads)
    assert line.seasons == pytest.approx(min(5.0, 1 / used))


def test_crews_share_the_work() -> None:
    crew = plan("new_owner").settings.crew.model_copy(update={"crews": 2})
    settings = plan("new_owner").settings.model_copy(update={"crew": crew})
    two = plan_kit(replace(plan("new_owner"), settings=settings))
    assert sum(
        one.loads_per_season for one in two.lives if one.item.startswith(("DB", "NL"))
    ) == pytest.approx(300)


def test_owned_gear_lasts_as_long_as_its_age_leaves() -> None:
    """Textiles are retired after 5 years (policy); the owned line is 2 years old."""
    line = life(kit("company"), "owned:DB127-45")
    assert line.seasons == pytest.approx(3.0) and line.ends_by == "age"


def test_a_stricter_rule_shortens_lives() -> None:
    policy, problems = changed_policy({"wear": {"lifts": 100.0, "reason": "own records"}})
    assert not problems and any("wear of textiles: lifts" in note for note in policy.notes)
    strict = plan_kit(replace(plan("new_owner"), policy=policy))
    for before, after in zip(kit("new_owner").lives, strict.lives, strict=True):
        assert after.seasons <= before.seasons
    assert life(strict, "DB127").seasons == pytest.approx(
        life(kit("new_owner"), "DB127").seasons / 10, rel=0.2
    )


@pytest.mark.parametrize(
    ("wrong", "words"),
    [({"seasons": 99.0}, "said to last"), ({"highest_share": 0.01}, "said to be loaded")],
)
def test_the_check_finds_a_wrong_life(wrong: dict[str, float], words: str) -> None:
    found = kit("new_owner")
    lives = (found.lives[0].model_copy(update=wrong), *found.lives[1:])
    assert any(
        words in fault for fault in check_kit(plan("new_owner"), found.model_copy(update={"lives": lives}))
    )
    missing = found.model_copy(update={"lives": found.lives[1:]})
    assert any("not those of the ropes" in fault for fault in check_kit(plan("new_owner"), missing))
