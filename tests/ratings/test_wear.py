"""The planning rule for wear: direction, limits, and its source's relative values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.ratings import default_policy, seasons_of_life, wear_per_load

POLICY = default_policy()
SHARES = st.floats(0, 1)
LOADS = st.lists(st.tuples(st.floats(0, 1e4), SHARES), max_size=6)

RELATIVE_LIFTS = ((2800, 5), (500, 1000))
"""[kg], lifts on a rope that breaks at 3000 kg: page of a rope seller, 2025 (seller not named), relative values."""


@pytest.mark.parametrize(("load", "lifts"), RELATIVE_LIFTS)
def test_the_source_of_the_rule(load: float, lifts: float) -> None:
    assert 1 / wear_per_load(load / 3000, POLICY) == pytest.approx(lifts, rel=0.15)


@given(SHARES, SHARES)
def test_a_harder_load_never_wears_less(one, other) -> None:
    low, high = sorted((one, other))
    assert wear_per_load(low, POLICY) <= wear_per_load(high, POLICY)


@given(LOADS, st.floats(0, 10), st.tuples(st.floats(0, 1e4), SHARES))
def test_more_work_and_more_age_never_last_longer(loads, age, more) -> None:
    life = seasons_of_life(loads, POLICY, age)
    assert 0 <= life <= POLICY.retirement.textile_years
    assert seasons_of_life([*loads, more], POLICY, age) <= life
    assert seasons_of_life(loads, POLICY, age + 1) <= life


def test_arrays() -> None:
    assert np.asarray(wear_per_load(np.array([0.0, 0.1667]), POLICY)) == pytest.approx([0.0, 0.001])


@pytest.mark.parametrize("wrong", [-0.1, float("nan"), float("inf")])
def test_outside_the_domain(wrong) -> None:
    with pytest.raises(ValueError, match="load_share"):
        wear_per_load(wrong, POLICY)
    with pytest.raises(ValueError, match="pieces"):
        seasons_of_life([(wrong, 0.1)], POLICY)
    with pytest.raises(ValueError, match="age_years"):
        seasons_of_life([], POLICY, wrong)
