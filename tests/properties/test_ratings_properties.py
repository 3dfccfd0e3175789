"""What must hold for the rating of any part: factors only lower, the lowest spot counts, a tag is never divided."""

from __future__ import annotations

from math import prod
from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from catalog_schema.gear import Redirect, Rope, Sling
from recommender.ratings import (
    changed_policy,
    default_policy,
    line_capacity,
    rate_line,
    rate_redirect,
    rate_sling,
)
from recommender.ratings.settings import Policy, Technique

FIBRES = ("polyester", "nylon", "nylon_core", "hmpe", "polypropylene", "aramid", "natural")
techniques = st.sampled_from(("lower", "lift", "catch"))
states = st.sampled_from(("working", "jam"))
conditions = st.sampled_from(("bought", "new", "sound", "worn"))
shares = st.floats(0.05, 1.0)
forces = st.floats(1e3, 5e5)
ratios = st.floats(0.2, 30)

ropes = st.builds(
    Rope,
    id=st.just("r"),
    name=st.just("rope"),
    fibre=st.sampled_from(FIBRES),
    construction=st.just("double_braid"),
    diameter=st.just(0.016),
    min_break=forces,
    break_basis=st.sampled_from(("minimum", "average")),
    elongation=st.just(0.05),
    elongation_at=st.just(0.3),
    elongation_2=st.none(),
    elongation_2_at=st.none(),
    mass_per_length=st.just(0.2),
    termination=st.sampled_from(("cut_end", "spliced_eye", "sewn_eye")),
    length=st.just(50.0),
    price=st.just(1.0),
    price_per_length=st.none(),
    lengths_on_offer=st.just(()),
)


@st.composite
def slings(draw: st.DrawFn) -> Sling:
    strength: dict[str, Any] = draw(
        st.dictionaries(st.sampled_from(("min_break", "wll")), forces, min_size=1)
    )
    row = {
        "id": "s", "name": "sling", "price": 1, "kind": "round", "fibre": draw(st.sampled_from(FIBRES)),
        "diameter": 0.02, "stem_min": 0.1, "stem_max": 0.5, "needs_knot": False,
    }  # fmt: skip
    return Sling.model_validate(row | strength)


def block(**strength: float) -> Redirect:
    return Redirect(
        id="b", name="block", price=1, kind="block", rope_min=0.01, rope_max=0.016, sheave_diameter=0.08,
        bearing="roller", takes_catch=True, **strength,  # type: ignore[arg-type]
    )  # fmt: skip


def policy_with(given_values: dict[str, Any]) -> Policy:
    policy, problems = changed_policy(given_values)
    assert not problems
    return policy


def line(rope: Rope, technique: Technique, policy: Policy, **where: Any) -> float:
    return rate_line(rope, technique, "working", policy=policy, **where).capacity


@given(ropes, techniques, st.floats(6, 50), st.floats(0, 50), ratios)
def test_a_higher_design_factor_never_raises_a_capacity(
    rope: Rope, technique: Technique, factor: float, more: float, ratio: float
) -> None:
    low, high = (
        policy_with({"design_factor": {"rope_explicit": {technique: value}}})
        for value in (factor, factor + more)
    )
    assert line(rope, technique, high, bend_ratio=ratio) <= line(rope, technique, low, bend_ratio=ratio)


@given(ropes, techniques, states, shares, shares, ratios)
def test_a_lower_local_factor_never_raises_a_capacity(
    rope: Rope, technique: Technique, state: Any, one: float, other: float, ratio: float
) -> None:
    low, high = sorted((one, other))
    for group in ("knot", "wet"):
        capacities = [
            rate_line(
                rope, technique, state, policy=policy_with({group: {rope.fibre: share}}), bend_ratio=ratio
            ).capacity
            for share in (low, high)
        ]
        assert capacities[0] <= capacities[1]


@given(ropes, techniques, states, ratios, ratios)
def test_a_sharper_bend_never_raises_a_capacity(
    rope: Rope, technique: Technique, state: Any, one: float, other: float
) -> None:
    sharp, wide = (
        rate_line(rope, technique, state, policy=default_policy(), bend_ratio=ratio).capacity
        for ratio in sorted((one, other))
    )
    assert sharp <= wide
    free = rate_line(rope, technique, state, policy=default_policy()).capacity
    assert wide <= free


@given(ropes, st.floats(1, 30))
def test_the_lowest_spot_counts_and_not_the_product(rope: Rope, ratio: float) -> None:
    """With the bend in or out of the trace, the jam capacity is that of the weaker spot alone."""
    both = rate_line(rope, "catch", "jam", policy=default_policy(), bend_ratio=ratio)
    spots = [
        step.value for step in (*both.factors, *both.other_spots) if step.name.startswith(("knot", "bend"))
    ]
    assert len(spots) == 2
    rest = [
        step.value for step in both.factors if not step.name.startswith(("knot", "bend")) and not step.divides
    ]
    expected = rope.min_break * min(spots) * prod(rest) / 1.5
    assert abs(both.capacity - expected) <= 1e-9 * expected


@given(slings(), techniques, st.floats(7, 50), st.booleans())
def test_a_tag_is_never_divided(sling: Sling, technique: Technique, factor: float, wet: bool) -> None:
    policy = policy_with({"design_factor": {"sling": {technique: factor}}})
    rating = rate_sling(sling, technique, "working", policy=policy, wet=wet)
    if sling.wll is not None:
        assert rating.capacity <= sling.wll
    if rating.rule == "tag":
        assert not any(step.divides for step in rating.factors)
    if sling.min_break is None and sling.wll is not None:
        assert rating.capacity == sling.wll * policy.choker.factor


@given(forces, techniques, st.floats(5, 50))
def test_the_tag_of_a_block_is_its_capacity(wll: float, technique: Technique, factor: float) -> None:
    policy = policy_with({"design_factor": {"redirect": {technique: factor}}})
    assert rate_redirect(block(wll=wll), technique, "working", policy=policy).capacity == wll


@given(ropes, slings(), techniques, st.floats(1.25, 5), ratios, st.booleans(), conditions)
def test_a_jam_leaves_fibre_no_less_than_the_working_state(
    rope: Rope, sling: Sling, technique: Technique, survival: float, ratio: float, wet: bool, condition: Any
) -> None:
    """While the survival factor lies below every design factor (here at most 5)."""
    policy = policy_with({"survival": {"factor": survival}})
    bend = {"policy": policy, "wet": wet, "condition": condition, "bend_ratio": ratio}
    assert (
        rate_line(rope, technique, "jam", **bend).capacity
        >= rate_line(rope, technique, "working", **bend).capacity
    )
    if sling.wll is None:
        place = {"policy": policy, "wet": wet, "condition": condition}
        jam, working = (rate_sling(sling, technique, state, **place).capacity for state in ("jam", "working"))
        assert jam >= working


@given(
    ropes, techniques, states, st.booleans(), conditions, st.lists(ratios, min_size=1, max_size=8),
    st.sampled_from(("knot", "eye")),
)  # fmt: skip
def test_many_bends_at_once_equal_one_by_one(
    rope: Rope, technique: Technique, state: Any, wet: bool, condition: Any, bends: list[float], tie: str
) -> None:
    policy = policy_with({"line_tie": tie})
    place: dict[str, Any] = {"policy": policy, "wet": wet, "condition": condition}
    at_once = line_capacity(rope, technique, state, bend_ratio=np.array(bends), **place)
    one_by_one = [rate_line(rope, technique, state, bend_ratio=ratio, **place).capacity for ratio in bends]
    assert at_once.tolist() == one_by_one


@given(ropes, techniques, states, ratios)
def test_wet_and_use_never_raise_a_capacity(
    rope: Rope, technique: Technique, state: Any, ratio: float
) -> None:
    wet, dry = (
        rate_line(rope, technique, state, policy=default_policy(), wet=wet, bend_ratio=ratio).capacity
        for wet in (True, False)
    )
    assert wet <= dry <= rope.min_break
