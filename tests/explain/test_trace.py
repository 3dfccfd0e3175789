"""Traces: every step follows from its inputs, and the end of the chain is the figure of the kit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from math import cos, exp, log, pi, sqrt
from pathlib import Path

import pytest

from recommender.explain.rigged import rigged
from recommender.explain.steps import ExplainResult, Step, Trace
from recommender.explain.trace import NoSetup, explain_job, trace
from recommender.kit.check import InternalFault
from recommender.kit.planning import PreparedPlan, plan_kit, prepare
from recommender.kit.result import Assignment, KitResult
from recommender.work.plan import Plan, load_plan

TESTS = Path(__file__).parents[1]
FOLDERS = {name: TESTS.parent / "demo_catalog" / name for name in ("new_owner", "company", "training_ground")}
FOLDERS["trees"] = TESTS / "work" / "trees_plan"


@cache
def plan(name: str) -> Plan:
    return load_plan(FOLDERS[name])


@cache
def kit(name: str) -> KitResult:
    return plan_kit(plan(name))


@cache
def prepared(name: str) -> PreparedPlan:
    return prepare(plan(name))


@cache
def traces(name: str) -> tuple[tuple[Assignment, Trace], ...]:
    return tuple(
        (one, trace(prepared(name), one.job, one.parts, likely=False)) for one in kit(name).assignments
    )


@pytest.mark.parametrize("name", FOLDERS)
def test_the_end_of_the_chain_is_the_utilisation_of_the_kit(name: str) -> None:
    for one, traced in traces(name):
        for part, used in one.utilisation.items():
            end = traced.end(part, one.governing[part])
            assert end.result.value == pytest.approx(used, rel=1e-12), (one.job, part)
            assert traced.utilisation[part] == pytest.approx(used, rel=1e-12)
            others = [
                s for s in ("working", "jam") if s != one.governing[part] and traced.of("rating", part, s)
            ]
            assert all(traced.end(part, state).result.value <= used for state in others)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", FOLDERS)
def test_the_forces_are_those_that_the_kit_reports(name: str) -> None:
    for one, traced in traces(name):
        for what, working, jam in (
            ("highest tension of the line", one.line_tension_n, one.line_tension_jam_n),
            ("force of both legs on the redirect", one.redirect_reaction_n, one.redirect_reaction_jam_n),
            ("tension at the brake", one.brake_tension_n, one.brake_tension_jam_n),
        ):
            shown = {step.state: step.result.value for step in traced.of("force") if step.what == what}
            assert shown["working"] == pytest.approx(working, rel=1e-12)
            assert ("jam" in shown) == (one.technique == "catch")
            assert shown.get("jam", 0.0) == pytest.approx(jam, rel=1e-12)
        weight = traced.of("piece")[-1].result
        assert weight.value == pytest.approx(one.piece_mass_kg * 9.80665)  # SI brochure: standard gravity


# --- every step that is plain arithmetic is done again from what is shown beside it -----------------------------


def inputs(step: Step) -> list[float]:
    return [one.value for one in step.inputs]


ARITHMETIC: dict[str, Callable[[list[float]], float]] = {
    "weight = mass * g": lambda x: x[0] * x[1],
    "density * (1 + upper side of the band)": lambda x: x[0] * (1 + x[1]),
    "Smalian: L * (A1 + A2) / 2": lambda x: x[2] * pi / 4 * (x[0] ** 2 + x[1] ** 2) / 2,
    "mass = density * volume": lambda x: x[0] * x[1],
    "mass * (1 + share)": lambda x: x[0] * (1 + x[1]),
    "lead = s + a_t + slack": sum,
    "rigging height - brake height": lambda x: x[0] - x[1],
    "sum": sum,
    "h = 2 * (s + max(a_c, a_t)) + slack": lambda x: 2 * (x[0] + max(x[1], x[2])) + x[3],
    "C * factor": lambda x: x[0] * x[1],
    "C = f * breaking strength / e^n, of T = C * strain^n": lambda x: x[1] * x[0] / x[2] ** x[3],
    "L = lead + r * fall": lambda x: x[0] + x[2] * x[1],
    "factor * T": lambda x: max(x[:-1]) * x[-1],
    "T * sqrt(1 + r^2 + 2 r cos(angle))": lambda x: x[0] * sqrt(1 + x[1] ** 2 + 2 * x[1] * cos(x[2])),
    "the larger of both": max,
    "the larger of r * T": max,
    "T * (1 + exp(-2 pi * friction * wraps))": lambda x: x[0] * (1 + exp(-2 * pi * x[1] * x[2])),
    "D - a_c + max(a_c, length - a_c)": lambda x: x[0] - x[1] + max(x[1], x[2] - x[1]),
    "T_lead = factor * W": lambda x: x[0] * x[1],
    "T_fall = T_lead / efficiency": lambda x: x[0] / x[1],
    "max(T_fall, let down again)": max,
    "r high * max(T_lead, let down again)": lambda x: x[2] * max(x[0], x[1]),
    "T_fall": lambda x: x[0],
    "max(T_fall, tension at the brake)": max,
    "force / rating": lambda x: x[0] / x[1],
    "largest of the spots": max,
    "T = r high * W": lambda x: x[0] * x[1],
    "turns = ln(max(T / hand, 1)) / (2 pi * friction)": lambda x: log(max(x[0] / x[1], 1)) / (2 * pi * x[2]),
    "max(force / rating, people's share)": lambda x: max(x[0] / x[1], x[2]),
    "(1 + eta + ... + eta^(parts - 1)) * pull of one * people": lambda x: x[0] * x[1] * x[2],
}


def residual(step: Step) -> float:
    """How far an energy balance is from closing, as a share of the energy put in."""
    weight, fall, length, constant, n, *run = inputs(step)
    tension, run = step.result.value, run[0] if run else 0.0
    stretch = length * (tension / constant) ** (1 / n)
    put_in = weight * (fall + stretch + run)
    return (tension * stretch / (1 + n) + tension * run - put_in) / put_in


@pytest.mark.parametrize("name", FOLDERS)
def test_every_step_follows_from_the_inputs_beside_it(name: str) -> None:
    checked = set()
    for one, traced in traces(name):
        for step in traced.steps:
            again = ARITHMETIC.get(step.formula)
            if step.topic == "rating" and again is None and step.inputs:
                before, factor = inputs(step)
                assert step.formula in (
                    f"{step.inputs[0].name} {sign} {step.inputs[1].name}" for sign in "*/"
                )
                done = before / factor if " / " in step.formula else before * factor
                assert step.result.value == pytest.approx(done, rel=1e-9)
            elif again is not None:
                assert step.result.value == pytest.approx(again(inputs(step)), rel=1e-9), (one.job, step)
                checked.add(step.formula)
    assert len(checked) > 12


@pytest.mark.parametrize("name", FOLDERS)
def test_the_energy_of_a_catch_is_balanced(name: str) -> None:
    """What falls in equals what the line and the brake take up; above that only the floor of a running brake."""
    found = [
        step for _, traced in traces(name) for step in traced.steps if step.formula.startswith("W (h + x")
    ]
    assert found
    for step in found:
        weight = step.inputs[0].value
        floored = step.state == "working" and step.result.value == pytest.approx(2 * weight)
        assert residual(step) == pytest.approx(0.0, abs=1e-9) or (floored and residual(step) > 0)


@pytest.mark.parametrize("name", FOLDERS)
def test_every_step_says_where_it_comes_from_and_in_which_unit(name: str) -> None:
    units = {"force": "N", "length": "m", "stem": "m", "mass": "kg", "share": "", "angle": "rad", "": ""}
    for _, traced in traces(name):
        assert [step.topic for step in traced.steps] == sorted(
            (step.topic for step in traced.steps), key=("piece", "geometry", "rope", "force", "rating").index
        )
        for step in traced.steps:
            assert step.source and step.what and step.formula
            for one in (*step.inputs, step.result):
                assert units.get(one.kind, one.unit) == one.unit


def test_a_redirect_that_moves_is_traced_at_both_ends() -> None:
    moving = next(traced for _, traced in traces("trees") if traced.job.endswith("heavy stem logs"))
    names = {one.name for step in moving.steps for one in step.inputs}
    assert {"fall leg", "fall leg, redirect at its highest"} <= names


# --- what does not agree is not shown ---------------------------------------------------------------------------


def test_a_trace_of_another_number_is_refused() -> None:
    asked = prepared("training_ground")
    wrong = replace(asked.fits.demands, line=asked.fits.demands.line * (1 + 1e-9))
    before = asked.fits.demands
    asked.fits.demands = wrong
    try:
        with pytest.raises(InternalFault, match="highest tension of the line"):
            rigged(asked.fits, 0, 0, 0)
    finally:
        asked.fits.demands = before


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(NoSetup, match="there is no job type 'nothing'; there are: hung logs"):
        explain_job(plan("training_ground"), "nothing", kit("training_ground"))
    one = kit("training_ground").assignments[0]
    with pytest.raises(NoSetup, match="no item 'X' in the catalogue"):
        trace(prepared("training_ground"), one.job, {**one.parts, "line": "X"})


def test_a_job_type_of_a_plan_without_a_kit_is_traced_alone() -> None:
    whole = plan("training_ground")
    job = whole.jobs[-1].model_copy(update={"diameter": 1.5})
    broken = replace(whole, jobs=(*whole.jobs[:-1], job))
    result = explain_job(broken, whole.jobs[0].job)
    assert result.traces[0].job == whole.jobs[0].job and "alone" in result.notes[0]
    with pytest.raises(NoSetup, match="nothing carries"):
        explain_job(broken, job.job)


def test_reads_back_equal() -> None:
    one = kit("training_ground").assignments[-1]
    result = explain_job(plan("training_ground"), one.job, kit("training_ground"))
    assert ExplainResult.model_validate_json(result.model_dump_json()) == result


# --- likely peaks -----------------------------------------------------------------------------------------------


def test_the_rated_peak_of_a_locked_catch_is_the_upper_bound_of_the_likely_one() -> None:
    """Closed form over the falling log, independent runs: 1.02 to 2.8 over hinges, ropes and heights (derived)."""
    for one in kit("training_ground").assignments:
        traced = trace(prepared("training_ground"), one.job, one.parts)
        assert [peak.state for peak in traced.likely] == (
            ["working", "jam"] if one.technique == "catch" else []
        )
        for peak in traced.likely:
            assert 0 < peak.least_n <= peak.most_n <= peak.rated_n * (1 + 1e-9)
            assert peak.stop_distance_m > 0
            if peak.state == "jam":
                assert 1.02 <= peak.rated_n / peak.most_n <= peak.rated_n / peak.least_n <= 2.8
                assert peak.run_m == 0
            else:
                run = next(job.run for job in plan("training_ground").jobs if job.job == one.job)
                assert 0 < peak.run_m <= run
