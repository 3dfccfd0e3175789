"""A running brake: force, run, lowest point; limits of the closed forms."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from recommender import physics

CASE = (300 * 9.80665, 2.0, 1.2 + 0.6 * 12, 4e5, 1.0)


def test_energy_is_spent_by_stretch_and_run() -> None:
    weight, height, length, constant, exponent = CASE
    run = physics.run_at_slip(*CASE, 4500.0, 0.6)
    stretch = length * physics.strain_at_tension(7500.0, constant, exponent)
    assert weight * (height + stretch + run) == pytest.approx(7500.0 * (stretch / 2 + run))
    assert physics.peak_tension_running(*CASE, run) == pytest.approx(7500.0)


def test_nothing_runs_through_a_brake_that_holds_the_locked_peak() -> None:
    locked = physics.peak_tension_locked(*CASE)
    assert physics.run_at_slip(*CASE, 0.6 * locked * 1.01, 0.6) == 0.0
    assert physics.running_force(locked, 0.6 * locked * 1.01, 0.6) == locked


def test_a_brake_too_weak_for_the_weight_never_stops_the_piece() -> None:
    assert physics.run_at_slip(*CASE, 0.6 * CASE[0], 0.6) == inf


def test_lowest_point_counts_stretch_run_and_creep() -> None:
    base = physics.lowest_point_drop(2.0, 7500.0, 8.4, 4e5, 1.0, creep=0.0)
    assert base == pytest.approx(2.0 + 7500.0 * 8.4 / 4e5)
    assert physics.lowest_point_drop(2.0, 7500.0, 8.4, 4e5, 1.0) == pytest.approx(base + 0.3)
    assert physics.lowest_point_drop(2.0, 7500.0, 8.4, 4e5, 1.0, run=inf) == inf


def test_negative_run_is_refused() -> None:
    with pytest.raises(ValueError, match="run"):
        physics.lowest_point_drop(2.0, 7500.0, 8.4, 4e5, 1.0, run=-0.1)


def test_each_limit_is_told_apart() -> None:
    height, tension, lead = np.array([2.0, 9.0, 2.0, 2.0]), np.array([1e4, 1e4, 5e4, 1e4]), 0.75
    lead_length = np.array([lead, lead, lead, 0.4])
    broken = physics.catch_caveats(height, 4.0, lead_length, tension, 60e3)
    assert broken.fall_too_high.tolist() == [False, True, False, False]
    assert broken.tension_too_high.tolist() == [False, False, True, False]
    assert broken.lead_too_short.tolist() == [False, False, False, True]
    valid = physics.within_validity(height, 4.0, lead_length, tension, 60e3)
    assert valid.tolist() == [True, False, False, False]
