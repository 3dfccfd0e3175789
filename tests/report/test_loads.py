"""Loads without a kit agree with the kit model, and the reference rope is the cheapest that carries."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from recommender.kit.planning import PreparedPlan, plan_kit, prepare
from recommender.report.loads import LoadsResult, plan_loads
from recommender.work.plan import load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
NAMES = ("new_owner", "company", "training_ground")
STANDARD_GRAVITY = 9.80665
"""[m/s2] BIPM, The International System of Units, 9th ed. (2019)."""


@cache
def loads(name: str) -> LoadsResult:
    return plan_loads(load_plan(DEMO / name))


@cache
def prepared(name: str) -> PreparedPlan:
    return prepare(load_plan(DEMO / name))


@pytest.mark.parametrize("name", NAMES)
def test_every_job_type_has_its_loads(name: str) -> None:
    result = loads(name)
    assert [one.job for one in result.jobs] == [job.job for job in load_plan(DEMO / name).jobs]
    for one in result.jobs:
        assert bool(one.jam) == (one.technique == "catch")
        assert ("lifter_pull" in one.working) == (one.technique == "lift")
        assert one.rope and one.redirect and 0 < one.ropes_that_carry <= one.ropes_on_offer
        for span in (*one.working.values(), *one.jam.values()):
            assert span.with_reference_n is not None
            assert 0 < span.least_n <= span.with_reference_n <= span.most_n


@pytest.mark.parametrize("name", NAMES)
def test_the_kit_lies_within_the_spans(name: str) -> None:
    planned = {one.job: one for one in plan_kit(load_plan(DEMO / name)).assignments}
    for one in loads(name).jobs:
        setup = planned[one.job]
        assert setup.piece_mass_kg == one.piece_mass_kg and setup.line_needed_m == one.line_needed_m
        for force, state, spans in (
            ("line_tension", "", one.working), ("redirect_reaction", "", one.working),
            ("line_tension", "_jam", one.jam), ("brake_tension", "_jam", one.jam),
        ):  # fmt: skip
            if spans:
                value = getattr(setup, f"{force}{state}_n")
                assert spans[force].least_n <= value <= spans[force].most_n


def test_the_reference_rope_is_the_cheapest_that_carries() -> None:
    plan, jobs = prepared("training_ground"), loads("training_ground").jobs
    items = plan.fits.items
    carried = {
        rope.id: set(
            plan.problem.ways(items=np.array([item.table != "ropes" or item is rope for item in items])).case
        )
        for rope in items
        if rope.table == "ropes"
    }
    price = {item.id: item.price for item in items}
    for case, one in enumerate(jobs):
        carrying = [rope for rope, cases in carried.items() if case in cases]
        assert len(carrying) == one.ropes_that_carry
        assert price[one.rope] == min(price[rope] for rope in carrying)


def test_a_hung_piece_pulls_at_least_with_its_weight() -> None:
    for name in NAMES:
        for one in loads(name).jobs:
            if one.technique == "lower":
                assert one.working["line_tension"].least_n >= one.piece_mass_kg * STANDARD_GRAVITY


def test_reads_back_equal() -> None:
    result = loads("company")
    assert LoadsResult.model_validate_json(result.model_dump_json()) == result
