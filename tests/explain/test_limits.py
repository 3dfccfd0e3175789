"""The limits sheet: what is printed passes the independent check with the same kit, and a little more does not."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from math import exp, floor, log, pi
from pathlib import Path

import numpy as np
import pytest

from catalog_schema.catalogue import Catalogue
from catalog_schema.units import from_si
from recommender.explain.gear_at_hand import GearAtHand
from recommender.explain.kits import checked_kit
from recommender.explain.limit_search import sheet_job
from recommender.explain.limits import LimitRow, LimitsSheet, limits_sheet
from recommender.explain.manners import usual_manners
from recommender.kit.check import InternalFault
from recommender.kit.planning import plan_kit, prepare
from recommender.kit.result import KitResult
from recommender.loads import LineType
from recommender.ratings import rate_line
from recommender.wood import density_band, find_species
from recommender.work.cases import load_case
from recommender.work.plan import Plan, load_plan
from recommender.work.tables import JobType

DEMO = Path(__file__).parents[2] / "demo_catalog"
PLANS = ("new_owner", "company", "training_ground")


@cache
def one_crew(name: str) -> Plan:
    """A demo plan for one crew without extras: the sheet is about one setup."""
    plan = load_plan(DEMO / name)
    crew = plan.settings.crew.model_copy(update={"crews": 1})
    return replace(plan, settings=plan.settings.model_copy(update={"crew": crew, "extras": False}))


@cache
def kit(name: str) -> KitResult:
    return plan_kit(one_crew(name))


@cache
def with_the_kit_alone(name: str) -> Plan:
    """The plan with a catalogue that has the kit's gear only: quick to prepare."""
    plan = one_crew(name)
    ids = {item.id.removeprefix("owned:").split("#")[0].split("/")[0] for item in kit(name).items}
    tables = {
        table: tuple(
            row for row in rows if row.id in ids or row.id in {one.item.split("/")[0] for one in plan.owned}
        )
        for table, rows in plan.catalogue.tables().items()
    }
    return replace(plan, catalogue=Catalogue(**tables, currency=plan.catalogue.currency))  # type: ignore[arg-type]


@cache
def sheet(name: str) -> LimitsSheet:
    return limits_sheet(one_crew(name), kit(name))


def carried(name: str, job: JobType, only: set[str] | None = None) -> bool:
    """Whether the kit (or some of its items) rigs a job, and the crew of the plan holds it at the brake."""
    result = rigged(name, job, only)
    return result is not None and held_by_crew(name, job, result)


def held_by_crew(name: str, job: JobType, result: KitResult) -> bool:
    """Each of n people holds as much, so that n need ln n / (2 pi mu) wraps fewer than one: friction as reported."""
    hold = result.assignments[0].holding
    if hold is None:
        return True
    fewer = log(one_crew(name).settings.crew.ground_workers) / (2 * pi * (0.075 if job.wet else 0.15))
    needed = hold.wraps_peak if job.technique == "catch" and job.run else hold.wraps_hanging
    return needed - fewer <= hold.wraps_max + 1e-9


def rigged(name: str, job: JobType, only: set[str] | None = None) -> KitResult | None:
    """How the kit (or some of its items) rigs a job, by the planner and its independent check together."""
    plan = replace(with_the_kit_alone(name), jobs=(job,))
    pieces = {item.id: item.quantity for item in kit(name).items if only is None or item.id in only}
    ids = prepare(plan).problem.item_ids
    try:
        return checked_kit(plan, np.array([pieces.get(id, 0) for id in ids], dtype=np.int64))
    except InternalFault:
        raise
    except ValueError as error:
        assert "does not cover" in str(error)
        return None


def stems_of(row: LimitRow) -> tuple[float, float]:
    return tuple(
        0.99 * (0.6 if high is None else high) for _, high in (row.stem_at_redirect_m, row.stem_at_brake_m)
    )  # type: ignore[return-value]


def job_of(name: str, row: LimitRow, height: float, slack: float, mass: float) -> JobType:
    manner = next(one for one in sheet(name).manners if one.name == row.manner)
    return sheet_job(manner, height, slack, mass, stems_of(row), wet=sheet(name).wet)


def rows_with_limits(name: str) -> list[LimitRow]:
    return [row for row in sheet(name).rows if row.largest_mass_kg]


@pytest.mark.parametrize("name", PLANS)
def test_a_piece_at_the_printed_limit_passes_the_independent_check(name: str) -> None:
    chosen = random.Random(5)
    rows = rows_with_limits(name)
    assert {row.technique for row in rows} == {"lower", "lift", "catch"}
    for row in rows:
        manner = next(one for one in sheet(name).manners if one.name == row.manner)
        height = chosen.uniform(row.height_from_m, row.height_to_m)
        slack = chosen.uniform(0.0, manner.slack_m)
        assert carried(
            name, job_of(name, row, height, slack, floor(row.largest_mass_kg)), set(row.parts.values())
        )


@pytest.mark.parametrize("name", PLANS)
def test_two_percent_more_than_the_limit_is_refused_somewhere_in_the_band(name: str) -> None:
    for row in rows_with_limits(name):
        manner = next(one for one in sheet(name).manners if one.name == row.manner)
        heights = (row.height_from_m, (row.height_from_m + row.height_to_m) / 2, row.height_to_m)
        jobs = [
            job_of(name, row, height, slack, 1.02 * row.largest_mass_kg)
            for height in heights
            for slack in manner.slacks
        ]
        assert not all(carried(name, job, set(row.parts.values())) for job in jobs), row


@pytest.mark.parametrize("name", PLANS)
def test_everything_below_a_limit_is_carried(name: str) -> None:
    gear = GearAtHand.of_plan(one_crew(name), {item.id: item.quantity for item in kit(name).items})
    for row in rows_with_limits(name):
        masses = np.geomspace(1.0, row.largest_mass_kg * (1 - 1e-9), 30)
        jobs = [job_of(name, row, row.height_from_m, 0.0, float(mass)) for mass in masses]
        cases = [load_case(job, one_crew(name).settings.line, 1.0) for job in jobs]
        assert gear.carries(cases).all()


def log_job(name: str, row: LimitRow, species: str, diameter: float, length: float) -> JobType:
    """A real log, weighed by the wood table."""
    stated = job_of(name, row, row.height_from_m, 0.0, 1.0)
    return stated.model_copy(
        update={"species": species, "diameter": diameter, "length": length, "mass": None, "mass_high": None}
    )


@pytest.mark.parametrize("name", ["new_owner", "company"])
def test_printed_logs_pass_when_the_wood_table_weighs_them(name: str) -> None:
    page = sheet(name)
    for row in rows_with_limits(name)[::3]:
        for species in page.species:
            for diameter, length in list(zip(page.diameters_m, row.lengths(species), strict=True))[::4]:
                if length is not None:
                    job = log_job(name, row, species, diameter, floor(10 * length) / 10)
                    assert carried(name, job, set(row.parts.values())), (
                        row.manner,
                        species,
                        diameter,
                        length,
                    )


def test_a_caught_log_two_percent_longer_than_its_limit_is_refused() -> None:
    page, found = sheet("new_owner"), 0
    for row in rows_with_limits("new_owner"):
        if row.technique != "catch":
            continue
        manner = next(one for one in page.manners if one.name == row.manner)
        heights = (row.height_from_m, (row.height_from_m + row.height_to_m) / 2, row.height_to_m)
        for diameter, length in zip(page.diameters_m, row.lengths(page.heaviest), strict=True):
            if length is None or length >= 0.97 * manner.piece_length_m:
                continue
            job = log_job("new_owner", row, page.heaviest, diameter, 1.02 * length)
            states = [
                job.model_copy(update={"rigging_height": height, "clearance": height, "slack": slack})
                for height in heights
                for slack in manner.slacks
            ]
            assert not all(carried("new_owner", state, set(row.parts.values())) for state in states)
            found += 1
    assert found > 5


def test_a_straight_lower_is_worked_out_by_hand() -> None:
    """Without slack: a load put on at once, (1 + n) W by energy, 2.5 W at least (common practice)."""
    plan, page = one_crew("new_owner"), sheet("new_owner")
    row = next(one for one in page.rows if one.manner == "Lower")
    assert (row.held_by, row.state) == ("line", "working")
    rope = next(one.rope for one in plan.catalogue.rope_lengths if one.id == row.parts["line"])
    redirect = next(one for one in plan.catalogue.redirects if one.id == row.parts["redirect"])
    bend = redirect.sheave_diameter / rope.diameter
    rating = rate_line(rope, "lower", "working", policy=plan.policy, wet=True, bend_ratio=bend)
    sudden = max(2.5, 1 + LineType(rope).exponent)
    assert row.largest_mass_kg == pytest.approx(rating.capacity / sudden / 9.80665, rel=2e-5)
    diameter, length = page.diameters_m[-1], row.lengths("red maple")[-1]
    density = density_band(find_species("red maple")).high
    assert length == pytest.approx(row.largest_mass_kg / (density * pi / 4 * diameter**2), rel=1e-9)


def test_a_row_that_the_crew_holds_no_more_is_worked_out_by_hand() -> None:
    """Two people at 100 N each behind five wraps on slippery line: T = 200 N * exp(2 pi * 0.075 * 5)."""
    plan = one_crew("company")
    crew = plan.settings.crew.model_copy(update={"ground_workers": 2})
    two = replace(plan, settings=plan.settings.model_copy(update={"crew": crew}))
    page = limits_sheet(two, kit("company"))
    assert (page.ground_workers, page.hold_n, page.wet) == (2, pytest.approx(100.0, rel=0.01), True)
    row = next(one for one in page.rows if one.manner == "Lower")
    assert (row.held_by, row.wraps) == ("crew's hold", 5.0)
    job = job_of("company", row, row.height_from_m, 0.0, row.largest_mass_kg)
    result = rigged("company", job, set(row.parts.values()))
    assert result is not None and result.assignments[0].holding is not None
    tail = 2 * page.hold_n * exp(2 * pi * 0.075 * 5)
    assert result.assignments[0].holding.hanging_n == pytest.approx(tail, rel=1e-6)
    assert row.one_person_kg == pytest.approx(row.largest_mass_kg / 2, rel=1e-6)
    assert row.gear_mass_kg > 1.5 * row.largest_mass_kg


@pytest.mark.parametrize("name", PLANS)
def test_no_row_is_more_than_its_crew_holds(name: str) -> None:
    for row in rows_with_limits(name):
        job = job_of(name, row, row.height_to_m, 0.0, row.largest_mass_kg * (1 - 1e-9))
        result = rigged(name, job, set(row.parts.values()))
        assert result is not None and held_by_crew(name, job, result), row


@pytest.mark.parametrize("name", PLANS)
def test_planned_pieces_are_told_job_by_job(name: str) -> None:
    plan, page = one_crew(name), sheet(name)
    assert [one.job for one in page.planned] == [job.job for job in plan.jobs]
    for one, job in zip(page.planned, plan.jobs, strict=True):
        setup = next(each for each in kit(name).assignments if each.job == one.job)
        assert one.mass_kg == pytest.approx(setup.piece_mass_kg)
        assert one.gear_kg >= one.mass_kg * (1 - 1e-6), "the plan's own kit carries it"
        result = rigged(name, job, set(setup.parts.values()))
        assert result is not None
        assert held_by_crew(name, job, result) == (one.allowed_kg >= one.mass_kg * (1 - 1e-9))
        more = plan.settings.crew.ground_workers
        assert (one.people <= more) == held_by_crew(name, job, result)


def test_the_heaviest_species_is_safe_for_the_others() -> None:
    page = sheet("new_owner")
    for row in rows_with_limits("new_owner"):
        for species in page.species:
            for safe, own in zip(row.lengths(page.heaviest), row.lengths(species), strict=True):
                assert safe is None or (own is not None and safe <= own + 1e-3)


def test_owned_gear_only() -> None:
    plan = one_crew("company")
    page = limits_sheet(plan, None)
    used = {item for row in page.rows for item in row.parts.values()}
    assert used and all(item.startswith("owned:") for item in used)
    assert page.gear == "the gear that is owned"


def test_without_any_gear_each_row_says_so() -> None:
    page = limits_sheet(one_crew("new_owner"), None)
    assert page.rows and all(row.largest_mass_kg == 0 and row.why_not for row in page.rows)


def test_heights_end_where_the_longest_line_does() -> None:
    longest = max(item.length_m or 0.0 for item in kit("new_owner").items)
    for row in rows_with_limits("new_owner"):
        assert row.line_needed_m <= longest
    assert max(row.height_to_m for row in sheet("new_owner").rows) == 25.0


def test_us_plans_have_us_round_figures() -> None:
    page = sheet("company")
    assert {round(from_si(row.height_to_m, "ft", "length"), 6) for row in page.rows} == {15, 30, 45, 60}
    assert [round(from_si(one, "in", "stem"), 6) for one in page.diameters_m] == list(range(6, 25, 2))


def test_a_result_without_a_kit_is_refused() -> None:
    nothing = kit("new_owner").model_copy(update={"items": (), "status": "no kit"})
    with pytest.raises(ValueError, match="result must hold a kit, not 'no kit'"):
        limits_sheet(one_crew("new_owner"), nothing)


def test_a_kit_of_another_plan_is_refused() -> None:
    other = kit("new_owner").model_copy(
        update={"items": (kit("new_owner").items[0].model_copy(update={"id": "X9"}),)}
    )
    with pytest.raises(ValueError, match="pieces must be of the plan's items, not X9"):
        limits_sheet(one_crew("new_owner"), other)


def test_species_that_the_wood_table_lacks_are_named() -> None:
    plan = one_crew("training_ground")
    odd = plan.jobs[0].model_copy(update={"species": "moon tree", "mass": 10.0, "mass_high": 12.0})
    page = limits_sheet(replace(plan, jobs=(odd, *plan.jobs[1:])), kit("training_ground"))
    assert any("moon tree" in note for note in page.notes) and "moon tree" not in page.species


def test_it_reads_back_from_json() -> None:
    assert LimitsSheet.model_validate_json(sheet("new_owner").model_dump_json()) == sheet("new_owner")


def test_manners_take_the_least_favourable_figures() -> None:
    plan = one_crew("new_owner")
    catch = [one for one in usual_manners(plan, "metric") if one.technique == "catch"]
    jobs = [job for job in plan.jobs if job.technique == "catch"]
    assert [one.piece_length_m for one in catch] == [1.0, 2.5]
    assert all(one.lead_m == max(job.cut_to_redirect or 0 for job in jobs) for one in catch)
    assert all(one.run_m == min(job.run for job in jobs) for one in catch)
    swing = next(one for one in usual_manners(one_crew("training_ground"), "metric") if one.swing_angle_rad)
    assert swing.swing_angle_rad == pytest.approx(pi / 3)  # its job type swings from 60 degrees


def test_without_catches_in_the_plan_common_practice_is_taken() -> None:
    plan = one_crew("new_owner")
    lowered = replace(plan, jobs=tuple(job for job in plan.jobs if job.technique == "lower"))
    catch = [one for one in usual_manners(lowered, "metric") if one.technique == "catch"]
    assert [(one.lead_m, one.run_m, one.piece_length_m) for one in catch] == [(0.3, 1.0, 1.0)]
