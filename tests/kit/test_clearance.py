"""What is refused for room or for hands, and that the room or the hands that are asked for help."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from recommender.kit.planning import plan_kit, prepare
from recommender.kit.result import Uncovered
from recommender.kit.shortfall import drops_of_strong_lines
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
JOB = "pine butt logs"


@cache
def plan(units: str = "metric") -> Plan:
    found = load_plan(DEMO / "new_owner")
    return replace(found, settings=found.settings.model_copy(update={"units": units}))


def with_clearance(clearance: float, units: str = "metric", only: str = "") -> Plan:
    """The plan with this job type alone, its clearance, and only ropes whose id starts so."""
    whole = plan(units)
    jobs = (job.model_copy(update={"clearance": clearance}) for job in whole.jobs if job.job == JOB)
    ropes = tuple(rope for rope in whole.catalogue.ropes if rope.id.startswith(only))
    return replace(whole, jobs=tuple(jobs), catalogue=replace(whole.catalogue, ropes=ropes))


def uncovered(asked: Plan) -> Uncovered:
    (found,) = plan_kit(asked).uncovered
    return found


def test_strong_lines_that_let_the_piece_come_too_low_are_named_as_such() -> None:
    found = uncovered(with_clearance(2.5))
    assert found.part == "line"
    assert found.shortfall.startswith("lines that are strong enough stretch or fall too far")
    least = min(drops_of_strong_lines(prepare(with_clearance(2.5)).fits, 0))
    shown = float(re.findall(r"([\d.]+) m or more", found.shortfall)[0])
    assert least <= shown < least + 0.1 and "2.5 m are free" in found.shortfall


def test_the_room_that_is_asked_for_makes_a_kit_and_less_does_not() -> None:
    found = uncovered(with_clearance(2.5))
    room = float(re.fullmatch(r"Make ([\d.]+) m free under the cut", found.remedy)[1])  # type: ignore[index]
    assert plan_kit(with_clearance(room)).status == "planned"
    assert plan_kit(with_clearance(room - 0.15)).status == "no kit"


def test_a_softer_rope_needs_more_room() -> None:
    """Nylon three-strand stretches more than twice as far as polyester braid (the catalogue's sheets)."""
    soft, stiff = (
        min(drops_of_strong_lines(prepare(with_clearance(0.5, only=name)).fits, 0)) for name in ("NL22", "DB22")
    )  # fmt: skip
    assert soft > stiff
    assert plan_kit(with_clearance((soft + stiff) / 2, only="NL22")).status == "no kit"
    assert plan_kit(with_clearance((soft + stiff) / 2, only="DB22")).status == "planned"


def test_in_the_units_of_the_plan() -> None:
    found = uncovered(with_clearance(2.5, "us"))
    assert "ft or more below the cut, 8.2 ft are free" in found.shortfall and " ft free" in found.remedy


def test_no_such_reason_where_the_room_is_enough() -> None:
    fits = prepare(plan()).fits
    assert all(drops_of_strong_lines(fits, case) == [] for case in range(len(fits.cases)))
    heavy = replace(plan(), jobs=tuple(job.model_copy(update={"diameter": 2.0, "diameter_high": None})
                                       for job in plan().jobs if job.job == JOB))  # fmt: skip
    assert "stretch or fall too far" not in uncovered(heavy).shortfall


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_the_kit_reports_the_free_height_and_stays_within_it(name: str) -> None:
    found = load_plan(DEMO / name)
    for one, job in zip(plan_kit(found).assignments, found.jobs, strict=True):
        assert one.clearance_m == job.clearance
        if one.drop_below_cut_m is not None:
            assert one.drop_below_cut_m <= (np.inf if job.clearance is None else job.clearance)


def test_where_people_can_not_pull_enough_more_people_are_asked_for_and_they_do() -> None:
    whole = plan()
    tackles = tuple(one for one in whole.catalogue.lifters if one.kind == "tackle_set")
    job = next(one for one in whole.jobs if one.technique == "lift")
    heavy = job.model_copy(update={"mass": 90.0, "mass_high": 100.0})

    def with_people(count: int) -> Plan:
        crew = whole.settings.crew.model_copy(update={"ground_workers": count})
        settings = whole.settings.model_copy(update={"crew": crew, "extras": False})
        return replace(
            whole,
            settings=settings,
            jobs=(heavy,),
            catalogue=replace(whole.catalogue, lifters=tackles),
        )

    found = uncovered(with_people(1))
    assert found.part == "lifter" and "takes more people on the tail than the 1" in found.shortfall
    assert found.remedy == "Have 2 people on the tail, or a tackle set with more parts of line"
    assert not any("rated" in text for text in (found.remedy, *found.other_remedies))
    assert plan_kit(with_people(2)).status == "planned"
