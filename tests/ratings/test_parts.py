"""Ratings of the parts, worked out by hand from the rules in the docstring of ``recommender.ratings.parts``."""

from __future__ import annotations

from math import prod
from typing import Any, Literal

import numpy as np
import pytest

from catalog_schema.gear import Brake, Connector, Lifter, Redirect, Rope, Sling
from recommender.ratings import (
    Rating,
    changed_policy,
    default_policy,
    line_capacity,
    rate_brake,
    rate_connector,
    rate_lifter,
    rate_line,
    rate_redirect,
    rate_sling,
    retired,
)

POLICY = default_policy()


def rope(**changes: Any) -> Rope:
    row: dict[str, Any] = {
        "id": "r", "name": "rope", "fibre": "polyester", "construction": "double_braid", "diameter": 0.016,
        "min_break": 60e3, "break_basis": "minimum", "elongation": 0.05, "elongation_at": 0.3,
        "mass_per_length": 0.2, "length": 50, "price": 1,
    }  # fmt: skip
    return Rope.model_validate(row | changes)


def sling(**changes: Any) -> Sling:
    row: dict[str, Any] = {
        "id": "s", "name": "sling", "price": 1, "kind": "whoopie", "fibre": "polyester", "diameter": 0.016,
        "stem_min": 0.1, "stem_max": 0.5, "needs_knot": False,
    }  # fmt: skip
    return Sling.model_validate(row | changes)


def redirect(**changes: Any) -> Redirect:
    row: dict[str, Any] = {
        "id": "b", "name": "block", "price": 1, "kind": "block", "rope_min": 0.01, "rope_max": 0.016,
        "sheave_diameter": 0.08, "bearing": "roller", "takes_catch": True,
    }  # fmt: skip
    return Redirect.model_validate(row | changes)


def brake(**changes: Any) -> Brake:
    row: dict[str, Any] = {
        "id": "k", "name": "brake", "price": 1, "kind": "portable_bollard", "rope_min": 0.01,
        "rope_max": 0.016, "drum_diameter": 0.08, "wraps_max": 4, "takes_catch": True,
    }  # fmt: skip
    return Brake.model_validate(row | changes)


def worked(rating: Rating) -> float:
    times = prod(step.value for step in rating.factors if not step.divides)
    return rating.basis * times / prod(step.value for step in rating.factors if step.divides)


# --- the line ------------------------------------------------------------------------------------------------------


def test_the_lowest_spot_counts_and_the_other_is_kept_in_the_trace() -> None:
    rating = rate_line(rope(fibre="nylon"), "catch", "working", policy=POLICY, bend_ratio=2.0)
    assert rating.capacity == pytest.approx(60e3 * 0.5 * 0.85 * 0.9 / 6)
    assert rating.rule == "explicit 6:1"
    assert [step.value for step in rating.factors] == [0.5, 0.85, 0.9, 6.0]
    assert [spot.value for spot in rating.other_spots] == [0.65]
    assert all(step.source for step in rating.factors)


def test_a_sharp_bend_counts_when_an_eye_holds_the_piece() -> None:
    policy, _ = changed_policy({"line_tie": "eye"})
    spliced = rope(termination="spliced_eye")
    rating = rate_line(spliced, "lower", "working", policy=policy, bend_ratio=1.0)
    assert rating.capacity == pytest.approx(60e3 * 0.5 * 0.9 / 5)
    assert rating.factors[0].name == "bend at 1 diameters"


def test_all_in_rule_takes_no_other_factor_than_the_minimum_strength() -> None:
    policy, _ = changed_policy({"line_tie": "eye"})
    average = rope(termination="sewn_eye", break_basis="average", fibre="nylon")
    rating = rate_line(average, "catch", "working", policy=policy, bend_ratio=9.0)
    assert rating.rule == "all-in 12:1"
    assert rating.capacity == pytest.approx(60e3 * 0.8 / 12)


def test_an_average_strength_is_lowered_to_a_minimum() -> None:
    both = [
        rate_line(rope(break_basis=basis), "lower", "working", policy=POLICY).capacity
        for basis in ("average", "minimum")
    ]
    assert both[0] == pytest.approx(0.8 * both[1])


def test_an_eye_is_only_there_where_the_rope_has_one() -> None:
    policy, _ = changed_policy({"line_tie": "eye"})
    cut, spliced = (
        rate_line(rope(termination=end), "catch", "jam", policy=policy).capacity
        for end in ("cut_end", "spliced_eye")
    )
    assert cut == pytest.approx(60e3 * 0.5 * 0.9 / 1.5)
    assert spliced == pytest.approx(60e3 * 0.9 * 0.9 / 1.5)


def test_jam_is_the_survival_of_what_is_left_without_the_all_in_rule() -> None:
    """71 kN knotted and in good used condition: 71 x 0.5 x 0.9 / 1.5."""
    rating = rate_line(rope(min_break=71e3), "catch", "jam", policy=POLICY, bend_ratio=5.0)
    assert rating.capacity == pytest.approx(21_300)
    assert rating.rule == "survival 1.5"


@pytest.mark.parametrize("state", ["working", "jam"])
def test_worn_rope_and_too_sharp_a_bend_carry_nothing(state: Literal["working", "jam"]) -> None:
    worn = rate_line(rope(), "lower", state, policy=POLICY, condition="worn")
    sharp = rate_line(rope(), "lower", state, policy=POLICY, bend_ratio=0.99)
    assert (worn.capacity, sharp.capacity) == (0.0, 0.0)
    assert worn.rule == "worn: not used for loads"
    assert sharp.rule == "bend below 1 rope diameters: refused"
    assert not line_capacity(
        rope(), "lower", state, policy=POLICY, wet=True, condition="worn", bend_ratio=np.array([8.0])
    ).any()


@pytest.mark.parametrize("ratio", [np.nan, np.inf, 0.0, -1.0])
def test_a_bend_ratio_must_be_a_sensible_number(ratio: float) -> None:
    with pytest.raises(ValueError, match="bend_ratio"):
        rate_line(rope(), "lower", "working", policy=POLICY, bend_ratio=ratio)
    with pytest.raises(ValueError, match="bend_ratio"):
        line_capacity(
            rope(), "lower", "working", policy=POLICY, wet=True, condition="new", bend_ratio=np.array([8, ratio])
        )  # fmt: skip


# --- slings --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("technique", "factor", "fibre", "hitch"),
    [("lower", 5, "polyester", 0.65), ("lift", 7, "hmpe", 0.55), ("catch", 6, "natural", 0.5)],
)
def test_a_sling_by_its_strength_in_the_hitch(
    technique: Literal["lower", "lift", "catch"], factor: float, fibre: str, hitch: float
) -> None:
    straight = rate_sling(sling(min_break=70e3, fibre=fibre), technique, "working", policy=POLICY)
    assert straight.capacity == pytest.approx(70e3 * hitch * 0.9 / factor)
    in_hitch = rate_sling(
        sling(min_break=70e3, hitch_break=60e3, fibre=fibre), technique, "working", policy=POLICY
    )
    assert in_hitch.capacity == pytest.approx(60e3 * 0.9 / factor)
    assert (in_hitch.basis_name, in_hitch.rule) == ("breaking strength in the hitch", f"explicit {factor}:1")


def test_a_tag_is_choked_and_nothing_else() -> None:
    rating = rate_sling(sling(wll=20e3, fibre="nylon"), "catch", "working", policy=POLICY)
    assert rating.capacity == pytest.approx(16e3)
    assert rating.rule == "tag"


def test_the_lower_of_strength_and_tag_rules() -> None:
    tag = rate_sling(sling(min_break=200e3, wll=10e3), "lift", "working", policy=POLICY)
    assert tag.rule == "tag"
    assert tag.capacity == pytest.approx(8e3)
    strength = rate_sling(sling(min_break=50e3, wll=10e3), "lift", "working", policy=POLICY)
    assert strength.rule == "explicit 7:1"


def test_jam_of_a_sling_with_a_tag_only_assumes_five_times_the_tag() -> None:
    """Synthetic slings are made for 5 (ASME B30.9, from memory), choked 0.80, used 0.90, wet nylon 0.85."""
    rating = rate_sling(sling(wll=20e3, fibre="nylon"), "catch", "jam", policy=POLICY)
    assert rating.capacity == pytest.approx(20e3 * 5 * 0.8 * 0.85 * 0.9 / 1.5)
    known = rate_sling(sling(wll=20e3, min_break=140e3), "catch", "jam", policy=POLICY)
    assert known.capacity == pytest.approx(140e3 * 0.65 * 0.9 / 1.5)


def test_a_worn_sling_carries_nothing() -> None:
    for ratings in ({"min_break": 7e4}, {"wll": 2e4}, {"hitch_break": 5e4}):
        assert rate_sling(sling(**ratings), "lower", "working", policy=POLICY, condition="worn").capacity == 0


# --- metal ---------------------------------------------------------------------------------------------------------


def test_metal_parts_by_strength_tag_and_survival() -> None:
    block = rate_redirect(redirect(min_break=100e3), "catch", "working", policy=POLICY)
    assert block.rule == "explicit 5:1"
    assert block.capacity == pytest.approx(20e3)
    both = rate_redirect(redirect(min_break=100e3, wll=18e3), "catch", "working", policy=POLICY)
    assert (both.capacity, both.rule) == (18e3, "tag")
    jam = rate_redirect(redirect(min_break=100e3, wll=18e3), "catch", "jam", policy=POLICY)
    assert jam.capacity == pytest.approx(100e3 / 1.5)
    bollard = rate_brake(brake(min_break=80e3), "lift", "working", policy=POLICY)
    assert bollard.capacity == pytest.approx(16e3)


@pytest.mark.parametrize("state", ["working", "jam"])
def test_what_the_maker_does_not_allow_for_catching_carries_no_catch(
    state: Literal["working", "jam"],
) -> None:
    for rating in (
        rate_redirect(redirect(min_break=100e3, takes_catch=False), "catch", state, policy=POLICY),
        rate_brake(brake(wll=10e3, takes_catch=False), "catch", state, policy=POLICY),
    ):
        assert (rating.capacity, rating.rule) == (0.0, "not for catching")
    assert rate_brake(brake(wll=10e3, takes_catch=False), "lower", "working", policy=POLICY).capacity == 10e3


@pytest.mark.parametrize(("part", "times"), [("redirect", 4), ("brake", 4), ("connector", 5)])
def test_jam_of_a_metal_part_with_a_tag_only(part: str, times: float) -> None:
    """Least factors of the hardware standard: blocks 4, shackles 5."""
    connector = Connector(id="c", name="c", price=1, kind="shackle", wll=10e3)
    rating = {
        "redirect": lambda: rate_redirect(redirect(wll=10e3), "catch", "jam", policy=POLICY),
        "brake": lambda: rate_brake(brake(wll=10e3), "catch", "jam", policy=POLICY),
        "connector": lambda: rate_connector(connector, "catch", "jam", policy=POLICY),
    }[part]()
    assert rating.capacity == pytest.approx(10e3 * times / 1.5)


def test_a_lifter_pulls_its_limit_and_catches_nothing() -> None:
    row = {
        "id": "l",
        "name": "l",
        "price": 1,
        "kind": "stem_winch",
        "wll": 9e3,
        "rope_min": 0.01,
        "rope_max": 0.016,
    }
    lifter = Lifter.model_validate(row)
    assert rate_lifter(lifter, "lift", policy=POLICY).capacity == 9e3
    assert rate_lifter(lifter, "catch", policy=POLICY).capacity == 0
    assert rate_lifter(lifter, "catch", "jam", policy=POLICY).rule == "not for catching"


# --- trace and age -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["working", "jam"])
def test_the_trace_leads_from_basis_to_capacity(state: Literal["working", "jam"]) -> None:
    ratings = [
        rate_line(
            rope(fibre="nylon_core", break_basis="average"), "catch", state, policy=POLICY, bend_ratio=1.5
        ),
        rate_sling(sling(min_break=70e3, break_basis="average"), "catch", state, policy=POLICY),
        rate_sling(sling(wll=20e3), "catch", state, policy=POLICY),
        rate_redirect(redirect(wll=20e3), "catch", state, policy=POLICY),
        rate_brake(brake(min_break=20e3), "catch", state, policy=POLICY),
    ]
    for rating in ratings:
        assert rating.capacity == pytest.approx(worked(rating), rel=1e-12)


@pytest.mark.parametrize(
    ("textile", "years", "condition", "gone"),
    [
        (True, 4.99, "sound", False),
        (True, 5.0, "sound", True),
        (False, 30.0, "sound", False),
        (False, 0.0, "worn", True),
        (True, 0.0, "worn", True),
        (True, 0.0, "new", False),
    ],
)
def test_retirement(textile: bool, years: float, condition: str, gone: bool) -> None:
    assert (retired(textile, years, condition, POLICY) is not None) is gone


@pytest.mark.parametrize("years", [-1.0, np.nan, np.inf])
def test_an_age_must_be_a_sensible_number(years: float) -> None:
    with pytest.raises(ValueError, match="age_years"):
        retired(True, years, "sound", POLICY)
