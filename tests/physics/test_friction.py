"""Wraps and coefficients; printed values are checked in tests/published."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from recommender import physics


def test_hold_and_load_are_inverse() -> None:
    hold = physics.capstan_hold_force(5000.0, 0.2, 3 * pi)
    assert physics.capstan_load_force(hold, 0.2, 3 * pi) == pytest.approx(5000.0)


def test_coefficient_from_both_kinds_of_test_agrees() -> None:
    up, down = physics.capstan_load_force(100.0, 0.25, pi), physics.capstan_hold_force(100.0, 0.25, pi)
    assert physics.friction_from_raise_and_lower(up, down, pi) == pytest.approx(0.25)
    assert physics.friction_from_hold(100.0, down, pi) == pytest.approx(0.25)


def test_wraps_needed_leave_the_hold_force() -> None:
    turns = physics.wraps_needed(2000.0, 100.0, 0.2)
    assert physics.hold_after_wraps(2000.0, 0.2, turns) == pytest.approx(100.0)
    assert physics.wraps_for_one_person(2000.0, 0.2) == pytest.approx(turns)


def test_no_wraps_needed_below_the_hold_force() -> None:
    assert physics.wraps_needed(50.0, 100.0, 0.2) == 0.0


def test_open_groove_adds_nothing() -> None:
    assert physics.groove_friction(0.2, pi) == pytest.approx(0.2)


def test_arrays_broadcast() -> None:
    hold = physics.capstan_hold_force(np.array([[100.0], [200.0]]), np.array([0.1, 0.2, 0.3]), 2 * pi)
    assert hold.shape == (2, 3)
    assert hold[1, 2] == pytest.approx(physics.capstan_hold_force(200.0, 0.3, 2 * pi))


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_bad_load_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="load_force"):
        physics.capstan_hold_force(bad, 0.2, pi)


def test_groove_wider_than_flat_is_refused() -> None:
    with pytest.raises(ValueError, match="groove_angle"):
        physics.groove_friction(0.2, 4.0)
