"""Time simulation: limits with known answers, and the closed form against it on a small seeded sample."""

from __future__ import annotations

import importlib.util
import sys
from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest

from recommender.physics import (
    STANDARD_GRAVITY,
    peak_tension_locked,
    simulation,
    swing_design_peak,
    swing_tension,
)
from recommender.physics.bodies import FallingLog, Stem
from recommender.physics.rope_over_redirect import RopeOverRedirect, RopeState, settle

GRAVITY = STANDARD_GRAVITY.value
BENCHMARK = Path(__file__).parents[1] / "benchmarks" / "catch_against_simulation.py"


def rope(**changes: float) -> RopeOverRedirect:
    values = {"lead_length": 0.8, "fall_length": 10.0, "constant": 4e5, "exponent": 1.0, "r": 0.6}
    return RopeOverRedirect(**{**values, **changes})


# Limits with known answers: textbook mechanics.


def test_frictionless_catch_is_the_standard_equation() -> None:
    history = simulation.simulate_catch(200.0, 2.0, rope(r=1.0))
    expected = peak_tension_locked(200.0 * GRAVITY, 2.0, 10.8, 4e5, 1.0)
    assert history.peak_lead == pytest.approx(expected, rel=1e-3)


def test_log_falls_freely_before_the_rope_is_taut() -> None:
    log = FallingLog(mass=200, length=2.0, tie_above_cut=0.3, cut_to_redirect=0.5, parting_angle=1.0)
    history = simulation.simulate_log_catch(log, rope(lead_length=50.0), duration=0.5)
    turn = sqrt(3 * GRAVITY * (1 - np.cos(1.0)) / 2.0)
    speed = turn * np.sin(1.0)
    expected = 1.0 - np.cos(1.0) + speed * history.time + GRAVITY * history.time**2 / 2
    assert history.drop == pytest.approx(expected, rel=1e-6)
    assert history.peak_lead == 0.0


def test_stiff_pendulum_reaches_three_weights() -> None:
    history = simulation.simulate_swing(50.0, pi / 2, 5.0, 1e6)
    expected = swing_tension(50.0 * GRAVITY, pi / 2)
    assert history.peak_lead == pytest.approx(expected, rel=0.02)


def test_tensions_in_slip_follow_eytelwein() -> None:
    """Sliding over the redirect under pi of wrap: T_fall = T_lead * exp(-mu * pi)."""
    history = simulation.simulate_catch(200.0, 2.0, rope(r=float(np.exp(-0.2 * pi))))
    loading = (history.time <= history.time[history.lead_tension.argmax()]) & (history.lead_tension > 1)
    ratio = history.fall_tension[loading] / history.lead_tension[loading]
    assert ratio == pytest.approx(np.exp(-0.2 * pi))


def test_rebound_turns_friction_round() -> None:
    history = simulation.simulate_catch(200.0, 2.0, rope())
    after = history.time > history.time[history.lead_tension.argmax()]
    ratio = history.fall_tension[after] / np.maximum(history.lead_tension[after], 1.0)
    assert ratio.max() == pytest.approx(1 / 0.6, rel=1e-3)


def test_slipping_brake_limits_the_tension() -> None:
    history = simulation.simulate_catch(300.0, 2.0, rope(slip_tension=4500.0))
    assert history.peak_fall == pytest.approx(4500.0)
    assert history.peak_lead == pytest.approx(7500.0)
    assert history.run_out > 0.5
    assert np.all(np.diff(history.run) >= 0)


def test_lengths_are_kept_by_the_rope() -> None:
    """Whatever slides and runs, the stretched rope spans both legs."""
    line, state = rope(exponent=1.4, constant=5e6, slip_tension=5e3), RopeState()
    for extension in (0.1, 0.3, 0.6, 0.5, 0.2, 0.4):
        state = settle(line, state, extension)
        lead = (line.lead_length + state.shifted) * (1 + (state.lead_tension / 5e6) ** (1 / 1.4))
        fall = (line.fall_length - state.shifted + state.run) * (1 + (state.fall_tension / 5e6) ** (1 / 1.4))
        if state.lead_tension > 0:
            assert lead + fall == pytest.approx(line.lead_length + line.fall_length + extension)
            assert line.r - 1e-9 <= state.fall_tension / state.lead_tension <= 1 / line.r + 1e-9


def test_yielding_stem_and_damped_rope_lower_the_peak() -> None:
    stiff = simulation.simulate_catch(200.0, 2.0, rope()).peak_lead
    yielding = simulation.simulate_catch(200.0, 2.0, rope(), Stem(1e5, 100.0, 0.05)).peak_lead
    damped = simulation.simulate_catch(200.0, 2.0, rope(damping_ratio=0.05)).peak_lead
    assert yielding < stiff
    assert damped < stiff


def test_brake_that_cannot_stop_the_piece_is_refused() -> None:
    with pytest.raises(ValueError, match="slip_tension"):
        simulation.simulate_catch(300.0, 2.0, rope(slip_tension=1000.0))


def test_rope_taut_before_the_hinge_parts_is_refused() -> None:
    log = FallingLog(mass=200, length=2.0, tie_above_cut=0.3, cut_to_redirect=0.5, parting_angle=0.5)
    with pytest.raises(ValueError, match="lead_length"):
        simulation.simulate_log_catch(log, rope(lead_length=0.5))


# The closed form against the simulation.


def test_closed_form_is_nowhere_more_than_one_percent_under_the_simulation() -> None:
    spec = importlib.util.spec_from_file_location("catch_against_simulation", BENCHMARK)
    assert spec is not None and spec.loader is not None
    benchmark = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = benchmark
    spec.loader.exec_module(benchmark)
    ratios = benchmark.sample(40, seed=11)
    assert {ratio.case.running for ratio in ratios} == {False, True}
    assert min(ratio.point_mass for ratio in ratios) > 0.99
    assert min(ratio.log for ratio in ratios) > 0.99
    assert max(ratio.point_mass for ratio in ratios) < 1.7


def test_design_swing_is_nowhere_more_than_one_percent_under_the_simulation() -> None:
    """Softness W / (k * L) up to 0.2, with and without slack, over one full swing."""
    length, weight = 5.0, 100.0 * GRAVITY
    for softness in (0.01, 0.05, 0.12, 0.2):
        stiffness = weight / (softness * length)
        for angle, slack in ((0.3, 0.0), (1.0, 0.2), (1.5, 0.0)):
            simulated = simulation.simulate_swing(100.0, angle, length, stiffness, slack).peak_lead
            assert swing_design_peak(weight, angle, slack, stiffness, length) >= 0.99 * simulated


def test_design_swing_holds_for_later_swings_of_a_damped_rope() -> None:
    """Four swings from near the horizontal, where an undamped rope would go slack and catch anew."""
    length, weight = 5.0, 100.0 * GRAVITY
    for softness in (0.04, 0.15):
        stiffness = weight / (softness * length)
        swung = simulation.simulate_swing(
            100.0, 1.52, length, stiffness, duration=8 * pi * sqrt(length / GRAVITY), damping_ratio=0.05
        )
        assert swing_design_peak(weight, 1.52, 0.0, stiffness, length) >= 0.99 * swung.peak_lead
