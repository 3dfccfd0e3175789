"""What must hold of the whole chain, from a job type's row to the utilisation of every part, with the same gear."""

from __future__ import annotations

import shutil
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_schema.writing import write_rows_csv
from recommender.explain.sensitivity import Question, question
from recommender.kit.fits import Fits
from recommender.kit.planning import plan_kit, prepare
from recommender.kit.setups import SetupRater
from recommender.physics import STEADY_LOWERING_FLOOR
from recommender.work.cases import load_case
from recommender.work.plan import Plan, load_plan
from recommender.work.tables import JobType

ROOT = Path(__file__).parents[2]
ROUNDING = 1 - 1e-9
JOBS = ("maple limbs", "maple limbs lifted off a shed", "pine tops", "pine stem logs", "pine butt logs")


@cache
def plan() -> Plan:
    return load_plan(ROOT / "demo_catalog" / "new_owner")


@cache
def questions() -> dict[str, Question]:
    """Job types of each technique, each with the gear of the cheapest kit."""
    prepared = prepare(plan())
    return {one.job: question(prepared, one) for one in plan_kit(plan()).assignments}


def rated(asked: Question, job: JobType) -> tuple[dict[str, float], dict[str, tuple[float, float]]]:
    """Utilisation of every part, and both states of every force, with the gear kept as it is."""
    settings_ = asked.plan.settings
    case = load_case(job, settings_.line, settings_.pieces_per_season)
    fits = Fits([case], asked.items, asked.policy, settings_.crew, asked.frictions)
    rater = SetupRater(fits)
    setup = rater.rate(0, dict(asked.parts))
    forces = ("line", "reaction", "brake", "brake_anchor", "lifter", "lifter_holding")
    demand = {force: rater.demand(force, 0, setup.line, setup.friction) for force in forces}
    return setup.utilisation, demand


jobs = st.builds(
    lambda name, slack, run: questions()[name].job.model_copy(
        update={"slack": slack, "run": run} if "pine" in name else {"slack": slack}
    ),
    st.sampled_from(JOBS),
    st.floats(0, 0.5),
    st.floats(0, 2),
)


def asked_of(job: JobType) -> Question:
    return questions()[job.job]


def changed(job: JobType, **times: float) -> JobType:
    return job.model_copy(update={name: getattr(job, name) * factor for name, factor in times.items()})


@given(jobs, st.floats(1, 1.6))
@settings(max_examples=40, deadline=None)
def test_a_heavier_piece_never_eases_any_part(job, more) -> None:
    """By density, so that the geometry stays: the mass of a row is stated."""
    asked = asked_of(job)
    mass = questions()[job.job].job
    stated = [job.model_copy(update={"mass": 40.0 * f, "mass_high": 60.0 * f}) for f in (1.0, more)]
    assert mass.mass is None
    (used, forces), (harder, higher) = (rated(asked, one) for one in stated)
    assert all(harder[part] >= used[part] * ROUNDING for part in used)
    assert all(
        high >= low * ROUNDING
        for force in forces
        for low, high in zip(forces[force], higher[force], strict=True)
    )


@given(jobs, st.floats(1, 1.5))
@settings(max_examples=30, deadline=None)
def test_a_thicker_or_longer_piece_never_eases_any_part(job, more) -> None:
    asked = asked_of(job)
    high = {"diameter_high": job.diameter_high or job.diameter, "length_high": job.length_high or job.length}
    usual = job.model_copy(update=high)
    for name in high:
        used, _ = rated(asked, usual)
        harder, _ = rated(asked, changed(usual, **{name: more}))
        assert all(harder[part] >= used[part] * ROUNDING for part in used), name


@given(jobs, st.floats(0, 0.5))
@settings(max_examples=40, deadline=None)
def test_more_slack_never_eases_any_part(job, more) -> None:
    """The added fall outweighs the added line, as long as the fall is short against the line in the system."""
    asked = asked_of(job)
    used, forces = rated(asked, job)
    harder, higher = rated(asked, job.model_copy(update={"slack": job.slack + more}))
    assert all(harder[part] >= used[part] * ROUNDING for part in used)
    assert all(
        high >= low * ROUNDING
        for force in forces
        for low, high in zip(forces[force], higher[force], strict=True)
    )


@given(jobs, st.floats(0.4, 1))
@settings(max_examples=40, deadline=None)
def test_a_shorter_fall_leg_never_eases_any_part(job, share) -> None:
    """But for a running catch below ``(1 + n) W``: there less stretch means less fall, down to the floor of 2 W."""
    asked = asked_of(job)
    lower = changed(job, rigging_height=share)
    _, forces = rated(asked, job)
    _, higher = rated(asked, lower)
    weight = forces["line"][0] if job.technique != "catch" else _weight(asked, job)
    for force, (working, jam) in forces.items():
        assert higher[force][1] >= jam * ROUNDING
        # three weights bound (1 + n) W of every rope of the catalogue: n is at most 2
        if not (job.run and working <= 2 * 3 * weight):
            assert higher[force][0] >= working * ROUNDING


def _weight(asked: Question, job: JobType) -> float:
    return load_case(job, asked.plan.settings.line, asked.plan.settings.pieces_per_season).weight


@given(jobs, st.floats(0, 2))
@settings(max_examples=30, deadline=None)
def test_more_run_never_loads_the_working_state_more_and_leaves_the_jam(job, more) -> None:
    if job.technique != "catch":
        return
    asked = asked_of(job)
    _, forces = rated(asked, job)
    _, eased = rated(asked, job.model_copy(update={"run": job.run + more}))
    floor = 2 * _weight(asked, job)
    for force, (working, jam) in forces.items():
        assert eased[force][1] == pytest.approx(jam, rel=1e-12)
        # stating a run at all brings in the floor of 2 W on the line, up to twice that on the redirect
        assert eased[force][0] <= max(working, 2 * floor if not job.run else working) * (1 + 1e-9)


def test_a_lift_never_asks_less_than_holding_the_piece() -> None:
    asked = questions()["maple limbs lifted off a shed"]
    _, forces = rated(asked, asked.job)
    assert forces["line"][0] >= float(STEADY_LOWERING_FLOOR) * _weight(asked, asked.job) * ROUNDING


# --- units ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_the_same_plan_in_other_units_has_the_same_loads_and_utilisations(tmp_path: Path, name: str) -> None:
    """Every table written in metric and in US units, read again: the same to nine digits."""
    folder = Path(shutil.copytree(ROOT / "demo_catalog" / name, tmp_path / name))
    whole = load_plan(ROOT / "demo_catalog" / name)
    kits = []
    for system in ("metric", "us"):
        for table, rows in whole.catalogue.tables().items():
            write_rows_csv(rows, folder / f"{table}.csv", system, type(rows[0]))  # type: ignore[arg-type]
        write_rows_csv(whole.jobs, folder / "work.csv", system)  # type: ignore[arg-type]
        read = load_plan(folder, folder)
        kits.append(plan_kit(replace(read, owned=whole.owned)))
    metric, us = kits
    assert [item.id for item in metric.items] == [item.id for item in us.items]
    for one, other in zip(metric.assignments, us.assignments, strict=True):
        assert one.parts == other.parts and one.governing == other.governing
        for field, value in one.model_dump().items():
            if isinstance(value, float):
                assert getattr(other, field) == pytest.approx(value, rel=1e-9), field
        assert other.utilisation == pytest.approx(one.utilisation, rel=1e-9)
