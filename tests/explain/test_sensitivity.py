"""A tenth more or less of each input: the answers begin at the kit's figures and point the way physics says."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from recommender.explain.sensitivity import Effect, SensitivityResult, binding_jobs, sensitivity
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
NAMES = ("new_owner", "company", "training_ground")
UP, DOWN = 0.10, -0.10


@cache
def plan(name: str) -> Plan:
    return load_plan(DEMO / name)


@cache
def kit(name: str) -> KitResult:
    return plan_kit(plan(name))


@cache
def result(name: str) -> SensitivityResult:
    return sensitivity(plan(name), kit(name))


@cache
def every_job(name: str) -> SensitivityResult:
    return sensitivity(plan(name), kit(name), [job.job for job in plan(name).jobs])


def by_input(name: str, job: str) -> dict[tuple[str, float], Effect]:
    found = next(one for one in every_job(name).jobs if one.job == job)
    return {(effect.input, effect.change): effect for effect in found.effects}


@pytest.mark.parametrize("name", NAMES)
def test_the_jobs_that_decide_are_the_hardest_worked_of_each_technique(name: str) -> None:
    chosen = [one.job for one in result(name).jobs]
    for technique in ("lower", "lift", "catch"):
        used = {one.job: one.highest[1] for one in kit(name).assignments if one.technique == technique}
        hardest = max(used, key=lambda job: used[job])
        assert hardest in chosen
        assert all(job in chosen for job, share in used.items() if share >= 0.8)
    assert chosen == [one.job for one in binding_jobs(kit(name))]


@pytest.mark.parametrize("name", NAMES)
def test_they_begin_at_the_figures_of_the_kit(name: str) -> None:
    rigged = {one.job: one for one in kit(name).assignments}
    for one in every_job(name).jobs:
        setup = rigged[one.job]
        assert one.utilisation == pytest.approx(setup.highest[1], rel=1e-12)
        assert one.peak_n == pytest.approx(max(setup.line_tension_n, setup.line_tension_jam_n), rel=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_signs(name: str) -> None:
    """More wood, more slack, a stiffer rope or a shorter one: never less; more run: never more.

    A swing is another matter: a soft rope bounces more, so that a softer rope may need the larger margin.
    """
    for one in every_job(name).jobs:
        effects = by_input(name, one.job)
        job = next(job for job in plan(name).jobs if job.job == one.job)
        for key in ("diameter", "length", "density"):
            for shown in ("peak", "utilisation"):
                assert getattr(effects[key, UP], shown) > 0 > getattr(effects[key, DOWN], shown)
        rising = [key for key in ("slack", "cut to redirect", "rope stiffness") if (key, UP) in effects]
        falling = [key for key in ("rigging height", "run") if (key, UP) in effects]
        if job.swing_angle:
            continue
        if job.technique == "catch":
            assert set(rising) == {"slack", "cut to redirect", "rope stiffness"}
            assert effects["rope stiffness", UP].peak > 0 > effects["rigging height", UP].peak
        for key, sign in [*((key, 1) for key in rising), *((key, -1) for key in falling)]:
            assert sign * effects[key, UP].peak >= -1e-12, (one.job, key)
            assert sign * effects[key, DOWN].peak <= 1e-12, (one.job, key)


def test_a_lower_without_slack_is_in_step_with_its_weight() -> None:
    """(1 + n) W or 2.5 W whatever the rope: sudden load without a drop (textbook for n = 1: 2 W)."""
    effects = by_input("new_owner", "heavy maple limbs")
    assert effects["density", UP].peak == pytest.approx(0.10)
    assert effects["diameter", UP].peak == pytest.approx(0.21)
    assert effects["diameter", DOWN].peak == pytest.approx(-0.19)
    assert effects["length", UP].utilisation == pytest.approx(0.10)
    for key in ("rope stiffness", "rigging height", "friction of the redirect"):
        assert effects[key, UP].peak == pytest.approx(0.0, abs=1e-9)
    assert ("slack", UP) not in effects and ("run", UP) not in effects


def test_a_locked_catch_rises_less_than_its_weight() -> None:
    """T = W (1 + sqrt(1 + 2 h k / W)) and its stiffening kin: between the square root and the weight itself."""
    effects = by_input("new_owner", "pine butt logs")
    assert 1.1**0.5 - 1 - 0.01 < effects["density", UP].peak < 0.10
    assert 0 < effects["rope stiffness", UP].peak < 1.1**0.5 - 1 + 0.001


def test_a_stated_mass_takes_the_place_of_the_diameter() -> None:
    weighed = load_plan(Path(__file__).parents[1] / "work" / "trees_plan")
    found = sensitivity(weighed)
    assert found.jobs
    for one in found.jobs:
        names = {effect.input for effect in one.effects}
        assert "density" in names and "diameter" not in names


def test_a_plan_without_a_kit_has_nothing_to_vary() -> None:
    whole = plan("training_ground")
    hopeless = whole.jobs[0].model_copy(update={"diameter": 2.5})
    found = sensitivity(replace(whole, jobs=(hopeless,)))
    assert found.jobs == () and "no kit" in found.notes[0]


def test_reads_back_equal() -> None:
    assert SensitivityResult.model_validate_json(result("company").model_dump_json()) == result("company")
