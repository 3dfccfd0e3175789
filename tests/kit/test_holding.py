"""Wraps for one ground worker: against the capstan equation, and as cautions that refuse nothing."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import exp, log, pi
from pathlib import Path

import pytest

from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit
from recommender.kit.result import Assignment, Holding, KitResult
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def plan(name: str = "new_owner") -> Plan:
    """A plan of the example that refuses nothing for want of hands."""
    whole = load_plan(DEMO / name)
    crew = whole.settings.crew.model_copy(update={"holds_every_piece": False})
    return replace(whole, settings=whole.settings.model_copy(update={"crew": crew}))


@cache
def kit(name: str = "new_owner") -> KitResult:
    return plan_kit(plan(name))


def rigged(result: KitResult, job: str) -> Assignment:
    return next(one for one in result.assignments if one.job == job)


def holding(result: KitResult, job: str) -> Holding:
    found = rigged(result, job).holding
    assert found is not None
    return found


def test_the_wraps_leave_the_hold_to_the_hand() -> None:
    """Capstan equation (Beer and Johnston, Statics, ch. 8): load = hold * exp(mu * angle); 0.075 wet, 100 N."""
    for one in kit().assignments:
        held = one.holding
        assert held is not None
        left = one.brake_tension_n * exp(-0.075 * 2 * pi * held.wraps_peak)
        assert left == pytest.approx(100.0)
        assert held.hanging_n * exp(-0.075 * 2 * pi * held.wraps_hanging) == pytest.approx(100.0)
        assert held.wraps_peak_dry == pytest.approx(log(one.brake_tension_n / 100.0) / (2 * pi * 0.25))
        assert held.wraps_peak_dry < held.wraps_peak and held.wraps_hanging <= held.wraps_peak
        assert held.hanging_n <= one.piece_mass_kg * 9.80665


def test_dry_gear_needs_half_the_wraps() -> None:
    """Wet or glazed rope: half the friction (common practice, no source)."""
    dry = replace(plan(), jobs=tuple(job.model_copy(update={"wet": False}) for job in plan().jobs))
    job = "heavy maple limbs"
    assert holding(plan_kit(dry), job).wraps_peak == pytest.approx(holding(kit(), job).wraps_peak / 2)


def test_more_wraps_or_a_lighter_piece_never_make_it_worse() -> None:
    order = ["too heavy for the crew", "held by several", "slips at the peak", "held by one"]
    brakes = plan().catalogue.brakes
    seen = []
    for wraps in range(1, 12):
        rows = tuple(row.model_copy(update={"wraps_max": float(wraps)}) for row in brakes)
        result = plan_kit(replace(plan(), catalogue=replace(plan().catalogue, brakes=rows)))
        seen.append(order.index(holding(result, "heavy maple limbs").verdict))
    assert seen == sorted(seen) and {seen[0], seen[-1]} == {0, 3}


def test_what_one_person_does_not_hold_is_said_and_not_refused() -> None:
    held = {one.job: one.holding for one in kit().assignments}
    slack = [job for job, one in held.items() if one and one.people > 1]
    assert kit().status == "planned" and slack
    said = [note for note in kit().notes if "slippery line" in note and " people, or " in note]
    assert said and all(any(job in note for note in said) for job in slack)
    assert all(job in note for job in slack for note in said if rigged(kit(), job).parts["brake"] in note)


def test_a_stronger_hand_says_nothing() -> None:
    stronger = plan().policy.hand.model_copy(update={"hold": 225.0})
    light = tuple(
        job.model_copy(update={"wet": False}) for job in plan().jobs if job.job == "small maple limbs"
    )
    policy = plan().policy.model_copy(update={"hand": stronger})
    result = plan_kit(replace(plan(), jobs=light, policy=policy))
    assert holding(result, "small maple limbs").verdict == "held by one"
    assert not any("ground worker" in note for note in result.notes)


def test_more_wraps_in_the_plan_than_fit_are_said() -> None:
    line = plan().settings.line.model_copy(update={"wraps": 9.0})
    result = plan_kit(replace(plan(), settings=plan().settings.model_copy(update={"line": line})))
    assert any("reckons with 9 wraps, 5 fit" in note for note in result.notes)


def test_a_brake_that_can_never_give_the_hold_of_a_catch_is_said() -> None:
    brakes = tuple(row.model_copy(update={"wraps_max": 0.5}) for row in plan().catalogue.brakes)
    result = plan_kit(replace(plan(), catalogue=replace(plan().catalogue, brakes=brakes)))
    assert any("the line runs further than stated" in " ".join(note.split()) for note in result.notes)
    assert check_kit(replace(plan(), catalogue=replace(plan().catalogue, brakes=brakes)), result) == []


def test_the_check_finds_wrong_wraps_and_a_wrong_clearance() -> None:
    one = rigged(kit(), "pine tops")
    held = one.holding
    assert held is not None
    for wrong, words in (
        ({"holding": held.model_copy(update={"wraps_peak": 1.0})}, "wraps at the peak"),
        ({"holding": held.model_copy(update={"wraps_max": 9.0})}, "wraps that fit"),
        ({"holding": None}, "wraps on the brake"),
        ({"clearance_m": 99.0}, "free height under the cut"),
        ({"clearance_m": None}, "free height under the cut"),
    ):
        changed = tuple(a.model_copy(update=wrong) if a is one else a for a in kit().assignments)
        faults = check_kit(plan(), kit().model_copy(update={"assignments": changed}))
        assert any(words in fault and "pine tops" in fault for fault in faults)


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_so_many_people_hold_it_and_one_fewer_do_not(name: str) -> None:
    """Capstan equation (Beer and Johnston, Statics, ch. 8), every person holding as much."""
    hand = plan(name).policy.hand.hold
    jobs = {job.job: job for job in plan(name).jobs}
    for one in kit(name).assignments:
        if one.holding is None:
            continue
        people, job = one.holding.people, jobs[one.job]
        friction = 0.075 if job.wet else 0.15
        held = one.brake_tension_n if job.technique == "catch" and job.run else one.holding.hanging_n
        tension = hand * exp(friction * 2 * pi * one.holding.wraps_max)
        assert people * tension >= held * (1 - 1e-9)
        assert people == 1 or (people - 1) * tension < held
        if people > 1:
            assert f"{one.job} ({people} people, or " in " ".join(kit(name).notes)
        assert one.holding.there == plan(name).settings.crew.ground_workers
