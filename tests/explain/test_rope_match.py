"""Ropes side by side: the planner's own figures, the simulation beside them, and refusals in words."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from recommender.explain.rope_match import RopeMatch, UnknownName, compare_ropes
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def plan() -> Plan:
    return load_plan(DEMO / "new_owner")


@cache
def kit() -> KitResult:
    return plan_kit(plan())


@cache
def match(*ropes: str, job: str = "pine butt logs") -> RopeMatch:
    return compare_ropes(plan(), ropes, job, kit())


@pytest.mark.parametrize("job", [one.job for one in load_plan(DEMO / "new_owner").jobs])
def test_the_kits_own_rope_has_the_kits_own_figures(job: str) -> None:
    rigged = next(one for one in kit().assignments if one.job == job)
    found = compare_ropes(plan(), [rigged.parts["line"], "SX14-60"], job, kit())
    rope = found.ropes[0]
    assert rope.carries and rope.faults == ()
    assert rope.line_n == pytest.approx(rigged.line_tension_n)
    assert rope.reaction_n == pytest.approx(rigged.redirect_reaction_n)
    assert rope.utilisation == pytest.approx(rigged.utilisation)
    assert rope.drop_below_cut_m == pytest.approx(rigged.drop_below_cut_m)
    if rigged.technique == "catch":
        assert rope.line_jam_n == pytest.approx(rigged.line_tension_jam_n)
    else:
        assert rope.line_jam_n is None and rope.course_jam is None


def test_what_usually_happens_stays_below_what_gear_is_chosen_by() -> None:
    for rope in match("DB127-60", "NL16", "NC16").ropes:
        assert rope.usual_n is not None and rope.usual_jam_n is not None and rope.line_jam_n is not None
        assert 0 < rope.usual_n < rope.line_n
        assert rope.usual_n < rope.usual_jam_n < rope.line_jam_n


def test_the_brake_lets_about_the_planned_line_run() -> None:
    """The brake slips at the tension of the planned run; a log that turns has less energy, so it runs less."""
    found = match("DB127-60", "NL16")
    for rope in found.ropes:
        assert rope.course is not None and rope.course_jam is not None
        assert 0.1 * found.run_m < rope.course.run_m <= found.run_m
        assert rope.course_jam.run_m == 0


def test_a_course_starts_slack_and_holds_its_peak() -> None:
    for rope in match("DB127-60", "NL16").ropes:
        course = rope.course_jam
        assert course is not None and course.tension_n[0] == 0
        assert max(course.tension_n) == pytest.approx(course.peak_n, abs=0.1)
        assert list(course.time_s) == sorted(set(course.time_s)) and len(course.time_s) <= 201


def test_the_softer_rope_is_gentler_and_stops_lower() -> None:
    stiff, soft = match("DB127-60", "NL16").ropes
    assert soft.stretch > 2 * stiff.stretch
    assert (soft.line_jam_n or 0) < (stiff.line_jam_n or 0) and soft.hardest_n < stiff.hardest_n
    assert (soft.drop_below_cut_m or 0) > (stiff.drop_below_cut_m or 0)
    assert (soft.usual_stop_m or 0) > (stiff.usual_stop_m or 0)


def test_why_a_rope_may_not_be_used() -> None:
    thick, weak = match("DB22-60", "KN11").ropes
    assert not thick.carries and "the redirect does not take a rope of this thickness" in thick.faults
    assert not weak.carries and "line over its rating" in weak.faults
    assert weak.seasons is None and weak.price_per_season is None
    short = compare_ropes(plan(), ["DB127-30", "DB127-60"], "high pine pieces", kit()).ropes[0]
    assert short.faults == ("no length on offer reaches",)


def test_prices_and_masses_are_those_of_the_length() -> None:
    by_length = {one.id: one for one in plan().catalogue.rope_lengths}
    for rope, sold in zip(
        match("DB127-60", "NL16").ropes, (by_length["DB127-60"], by_length["NL16/30m"]), strict=True
    ):
        assert (rope.price, rope.length_m) == (sold.price, sold.length)
        assert rope.price_per_m == sold.price / sold.length
        assert rope.mass_dry_kg == pytest.approx(sold.length * sold.rope.mass_per_length)
        assert rope.mass_wet_kg == pytest.approx(rope.mass_dry_kg * (1 + sold.rope.wet_uptake))
        if rope.seasons is not None:
            assert rope.price_per_season == pytest.approx(sold.price / rope.seasons)
    assert match("DB127-60", "NL16").ropes[1].length_m >= match("DB127-60", "NL16").line_needed_m


def test_more_pieces_wear_a_rope_sooner() -> None:
    busy = [job.model_copy(update={"pieces_per_season": 5000.0}) for job in plan().jobs]
    worn = compare_ropes(
        replace(plan(), jobs=tuple(busy)), ["DB127-60", "DB14-60"], "maple limbs", kit()
    ).ropes[0]
    usual = compare_ropes(plan(), ["DB127-60", "DB14-60"], "maple limbs", kit()).ropes[0]
    assert worn.seasons is not None and usual.seasons is not None and worn.seasons < usual.seasons


@pytest.mark.parametrize("job", ["pine butt logs", "maple limbs", "maple limbs lifted off a shed"])
def test_without_a_kit_the_strongest_gear_that_takes_the_ropes_is_taken(job: str) -> None:
    found = compare_ropes(plan(), ["DB16-45", "NL16"], job)
    assert set(found.parts) >= {"redirect"} and "line" not in found.parts
    assert any("strongest" in note for note in found.notes)
    assert all("thickness" not in fault for rope in found.ropes for fault in rope.faults)
    if "lift" in job:
        assert all(rope.course is None and rope.usual_n is None for rope in found.ropes)


def test_names_that_are_not_there_are_told_with_what_there_is() -> None:
    with pytest.raises(UnknownName, match=r"'DB127-6' is not in the catalogue\. Did you mean 'DB127-60'"):
        compare_ropes(plan(), ["DB127-6", "NL16"], "pine butt logs", kit())
    with pytest.raises(UnknownName, match="'RO20' is no rope"):
        compare_ropes(plan(), ["RO20", "NL16"], "pine butt logs", kit())
    with pytest.raises(UnknownName, match="no job type 'pines'; it has: small maple limbs"):
        compare_ropes(plan(), ["DB127-60", "NL16"], "pines", kit())


@pytest.mark.parametrize("ropes", [["NL16"], ["NL16", "NL16"], ["NL14", "NL16", "NL19", "NL22", "NC14"]])
def test_two_to_four_different_ropes(ropes: list[str]) -> None:
    with pytest.raises(ValueError, match="rope_ids must be 2 to 4 different ropes"):
        compare_ropes(plan(), ropes, "pine butt logs", kit())


def test_parts_that_are_not_there_are_refused() -> None:
    with pytest.raises(ValueError, match="parts must be gear of the plan, not \\['nothing'\\]"):
        compare_ropes(plan(), ["NL16", "NL19"], "pine butt logs", {"redirect": "nothing"})


def test_it_reads_back_from_json() -> None:
    found = match("DB127-60", "NL16")
    assert RopeMatch.model_validate_json(found.model_dump_json()) == found
