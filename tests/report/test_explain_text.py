"""Traces and sensitivities as text: narrow, with every figure and source, and rounded to the safe side."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from catalog_schema.units import UnitSystem
from recommender.explain.sensitivity import sensitivity
from recommender.explain.steps import ExplainResult, Value
from recommender.explain.trace import explain_job
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.explain_text import explain_text, figure, sensitivity_text
from recommender.report.figures import percent, state_words
from recommender.report.layout import columns_of
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
SYSTEMS: tuple[UnitSystem, UnitSystem] = ("metric", "us")


@cache
def planned(name: str) -> tuple[Plan, KitResult]:
    plan = load_plan(DEMO / name)
    return plan, plan_kit(plan)


@cache
def explained(name: str, job: str) -> ExplainResult:
    plan, kit = planned(name)
    return explain_job(plan, job, kit)


def joined(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(
    ("name", "job"),
    [
        ("new_owner", "side limb over the roof"),
        ("new_owner", "maple limbs lifted off a shed"),
        ("new_owner", "pine tops"),
        ("company", "maple limbs over glass"),
    ],
)
def test_a_trace_is_narrow_whole_and_ends_with_the_cautions(name: str, job: str, system: UnitSystem) -> None:
    result = explained(name, job)
    text = explain_text(result, system)
    assert max(columns_of(line) for line in text.split("\n")) <= 80
    assert joined(text).endswith(CAUTIONS[-1])
    (trace,) = result.traces
    for step in trace.steps:
        assert joined(step.what) in joined(text) and joined(step.source) in joined(text)
    for part, used in trace.utilisation.items():
        assert f"{percent(used)} ({state_words(trace.governing[part])})" in text
    assert "owned:" not in text
    numbers = {int(found) for found in re.findall(r"\[(\d+)\]", text)}
    assert numbers == set(range(1, len({step.source for step in trace.steps}) + 1))


def test_likely_values_are_marked_as_such() -> None:
    text = joined(explain_text(explained("new_owner", "pine tops"), "metric"))
    assert "Likely peak of the line, from a simulation" in text and "Not used for ratings" in text
    assert "Likely" not in explain_text(explained("new_owner", "maple limbs lifted off a shed"), "metric")


def test_loads_are_rounded_up_and_ratings_down() -> None:
    load, rating = (Value(name="x", value=1234.56, unit="N", kind="force") for _ in range(2))
    assert figure(load, "metric", "up") == "1.235 kN" and figure(rating, "metric", "down") == "1.234 kN"
    assert figure(Value(name="x", value=0.0, unit="m", kind="length"), "us") == "0 ft"
    assert figure(Value(name="x", value=123456.7), "metric") == "123,500"
    assert figure(Value(name="x", value=float("inf"), kind="force"), "metric", "up") == "without limit"


@pytest.mark.parametrize("system", SYSTEMS)
def test_sensitivities(system: UnitSystem) -> None:
    plan, kit = planned("new_owner")
    result = sensitivity(plan, kit)
    text = sensitivity_text(result, system)
    assert max(columns_of(line) for line in text.split("\n")) <= 80
    assert joined(text).endswith(CAUTIONS[-1])
    for one in result.jobs:
        assert f"{one.job}: line" in text and percent(one.utilisation) in text
        for effect in one.effects:
            assert (
                effect.input in text and f"{100 * effect.peak + 0.0:+.1f} %".replace("-0.0", "+0.0") in text
            )
