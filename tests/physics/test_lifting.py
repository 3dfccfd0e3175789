"""Lifting, tackles and the hand: limits and balances."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from recommender import physics


def test_ideal_tackle_counts_its_parts() -> None:
    assert physics.simple_tackle_advantage(np.array([1, 2, 5]), 1.0).tolist() == [1.0, 2.0, 5.0]


def test_series_of_a_tackle() -> None:
    assert physics.simple_tackle_advantage(3, 0.8, 2) == pytest.approx((1 + 0.8 + 0.64) * 0.64)


def test_z_rig_of_ideal_sheaves_is_three_to_one() -> None:
    assert physics.z_rig_advantage(1.0, 1.0) == pytest.approx(3.0)


def test_best_sheave_belongs_next_to_the_hand() -> None:
    assert physics.z_rig_advantage(0.9, 0.5) > physics.z_rig_advantage(0.5, 0.9)


def test_lead_line_factor_is_the_printed_formula() -> None:
    """``K^n * (K - 1) / (K^n - 1)``, Wire Rope Users Manual, 4th ed., p. 88; times K per extra sheave."""
    k = physics.ROLLER_BEARING_LOSS.value
    expected = k**6 * (k - 1) / (k**6 - 1) * k**2
    assert physics.lead_line_factor(6, k, 2) == pytest.approx(expected)


def test_anchor_of_a_tackle_is_in_balance() -> None:
    assert physics.tackle_anchor_load(1000.0, 300.0, pull_away_from_anchor=False) == 700.0


def test_friction_of_hoisting_loads_the_redirect_beyond_twice_the_weight() -> None:
    assert physics.hoist_redirect_reaction(1000.0, 0.8) == pytest.approx(2250.0)
    assert physics.hoist_fall_tension(1000.0, 0.8, 2) == pytest.approx(1000 / 0.64)


def test_tip_tied_limb_starts_below_its_weight_and_breaks_off_harder() -> None:
    start = physics.tip_lift_tension(1000.0, 1.8, 3.0)
    assert start == pytest.approx(600.0)
    assert physics.tip_lift_peak(1000.0, 1.8, 3.0) == pytest.approx(1400.0)


def test_butt_tied_limb_starts_above_its_weight() -> None:
    assert physics.tip_lift_peak(1000.0, 1.8, 0.9) == pytest.approx(2000.0)


def test_flat_rope_angle_asks_for_more() -> None:
    assert physics.tip_lift_tension(1000.0, 1.8, 3.0, pi / 6) == pytest.approx(1200.0)


def test_efficiency_above_one_is_refused() -> None:
    with pytest.raises(ValueError, match="efficiency"):
        physics.hoist_efficiency(1.2, 1.0)


def test_jerk_factor_below_one_is_refused() -> None:
    with pytest.raises(ValueError, match="jerk_factor"):
        physics.hoist_lead_tension(1000.0, 0.9)


def test_hand_limits_rise_from_habit_to_printed_maximum() -> None:
    limits = [physics.SUSTAINED_HOLD, physics.SHORT_PULL, physics.MOMENTARY_GRIP, physics.WHOLE_BODY_PULL]
    assert [limit.value for limit in limits] == sorted(limit.value for limit in limits)
    assert pytest.approx(196.133) == physics.START_LOAD_LIMIT


def test_take_up_without_tension_is_the_set_of_the_hitch() -> None:
    assert physics.take_up(0.0, 0.0, 4.0, 14.0, 2e5) == physics.HITCH_SET_HIGH.value
