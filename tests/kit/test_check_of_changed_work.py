"""The independent check agrees with the planner whatever the work: changed job types, and work that once slipped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from math import pi, radians
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit
from recommender.work.plan import Plan, load_plan
from recommender.work.tables import JobType

TESTS = Path(__file__).parents[1]
FOLDERS = {name: TESTS.parent / "demo_catalog" / name for name in ("new_owner", "company", "training_ground")}
FOLDERS["tall_tree_plan"] = TESTS / "demo" / "tall_tree_plan"


@cache
def _plan(name: str) -> Plan:
    return load_plan(FOLDERS[name])


def _first(name: str, technique: str) -> str:
    return next(job.job for job in _plan(name).jobs if job.technique == technique)


LOWER, LIFT, CATCH = (_first("new_owner", technique) for technique in ("lower", "lift", "catch"))


def _with_job(plan: Plan, name: str, **changes: Any) -> Plan:
    changed = (JobType(**(job.model_dump() | changes)) if job.job == name else job for job in plan.jobs)
    return replace(plan, jobs=tuple(changed))


MANNERS = ("smooth", "jerky", "snatched")
SCALES = {"diameter": (0.6, 1.05), "length": (0.8, 1.1), "rigging_height": (0.7, 1.2), "run": (0.8, 1.5)}


@st.composite
def _changed_jobs(draw: st.DrawFn) -> Plan:
    """One or two job types of a demo plan, changed in size, height, slack, angle, weather and manner."""
    plan = _plan(draw(st.sampled_from(sorted(FOLDERS))))
    picked = draw(st.lists(st.sampled_from(plan.jobs), min_size=1, max_size=2, unique_by=lambda job: job.job))
    extras = plan.settings.model_copy(update={"extras": draw(st.booleans())})
    return replace(plan, jobs=tuple(_changed(draw, job) for job in picked), settings=extras)


def _changed(draw: st.DrawFn, job: JobType) -> JobType:
    row = job.model_dump()
    for name, (low, high) in SCALES.items():
        row[name] *= draw(st.floats(low, high))
    row["small_diameter"] = min(row["small_diameter"] or row["diameter"], row["diameter"])
    for name in ("diameter", "length"):
        row[f"{name}_high"] = max(row[name], row[f"{name}_high"] or 0.0)
    row |= {"wet": draw(st.booleans()), "from_ground": draw(st.booleans()), "slack": draw(st.floats(0, 0.5))}
    row["leg_angle"] = draw(st.floats(0, pi / 2))
    if job.technique == "lower":
        row["cut_to_redirect"] = draw(st.none() | st.floats(0.5, 3.0))
        row["swing_angle"] = draw(st.just(0.0) | st.floats(0.1, pi / 2))
    if job.technique == "lift":
        row |= {"lift_height": draw(st.floats(0.3, 4.0)), "lift_manner": draw(st.sampled_from(MANNERS))}
    return JobType(**row)


@settings(max_examples=20, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(_changed_jobs())
def test_whatever_the_work_the_returned_kit_passes(plan: Plan) -> None:
    assert check_kit(plan, plan_kit(plan)) == []


def _swing(**changes: float) -> Plan:
    plan = _with_job(_plan("new_owner"), LOWER, swing_angle=radians(60), **changes)
    return replace(plan, jobs=tuple(job for job in plan.jobs if job.job == LOWER))


def _half_the_catch_peak() -> Plan:
    """A long run at half the calculated peak: the floor of twice the weight holds after the factor."""
    plan = _with_job(_plan("new_owner"), CATCH, run=6.0, clearance=30.0)
    peak = plan.policy.catch_peak.model_copy(update={"factor": 0.5})
    policy = plan.policy.model_copy(update={"catch_peak": peak})
    return replace(plan, policy=policy, jobs=tuple(job for job in plan.jobs if job.job == CATCH))


def _braked_winch() -> Plan:
    """Smooth lift over a roller with a winch that lowers as well: it holds what the line carries on the way down."""
    plan = _with_job(_plan("new_owner"), LIFT, lift_manner="smooth")
    catalogue = replace(
        plan.catalogue,
        lifters=tuple(row for row in plan.catalogue.lifters if row.own_brake),
        redirects=tuple(row for row in plan.catalogue.redirects if row.bearing == "roller"),
    )
    return replace(plan, catalogue=catalogue, jobs=tuple(job for job in plan.jobs if job.job == LIFT))


BELOW_THE_CHECK: dict[str, Callable[[], Plan]] = {
    "swing on a slack line: stiffness at its own peak": lambda: _swing(slack=0.3),
    "swing with spread legs: the piece passes under the redirect": lambda: _swing(leg_angle=radians(90)),
    "slack line shorter than the formulas' limit": lambda: _with_job(
        _plan("tall_tree_plan"), "upper pieces", cut_to_redirect=0.2, slack=0.1
    ),
    "floor of a running catch": _half_the_catch_peak,
    "winch that lowers": _braked_winch,
}


@pytest.mark.parametrize("name", BELOW_THE_CHECK)
def test_work_in_which_the_model_was_once_below_the_check(name: str) -> None:
    plan = BELOW_THE_CHECK[name]()
    assert check_kit(plan, plan_kit(plan)) == []
