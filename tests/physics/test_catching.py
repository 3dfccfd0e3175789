"""Peaks of a catch against root finding, limits and each other."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from recommender import physics
from recommender.physics.catching import NEWTON_STEPS, _start

EXPONENTS = (1.0, 1.1, 1.5, 2.0, 3.0)
HEIGHTS = (0.0, 1e-4, 1e-2, 0.3, 1.0, 5.0, 50.0)
RUNS = (1e-6, 1e-3, 0.05, 0.5, 2.0, 30.0)
WEIGHT, LENGTH, STRAIN_OF_WEIGHT = 2000.0, 8.0, 0.004


def rope(exponent: float) -> tuple[float, float]:
    return WEIGHT / STRAIN_OF_WEIGHT**exponent, exponent


def imbalance(tension: float, height: float, run: float, exponent: float) -> float:
    constant, _ = rope(exponent)
    stretch = LENGTH * (tension / constant) ** (1 / exponent)
    gained = WEIGHT * (height + stretch + run)
    return tension * stretch / (1 + exponent) + tension * run - gained


def root(height: float, run: float, exponent: float) -> float:
    return brentq(imbalance, WEIGHT, 1e9, args=(height, run, exponent), rtol=1e-14, xtol=1e-9)


@pytest.mark.parametrize("exponent", EXPONENTS)
def test_locked_peak_solves_the_energy_balance(exponent: float) -> None:
    found = physics.peak_tension_locked(WEIGHT, np.array(HEIGHTS), LENGTH, *rope(exponent))
    expected = [root(height, 0.0, exponent) for height in HEIGHTS]
    assert found == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize("exponent", EXPONENTS)
def test_running_peak_solves_the_energy_balance_above_its_floor(exponent: float) -> None:
    height, run = np.array(HEIGHTS)[:, None], np.array(RUNS)
    found = physics.peak_tension_running(WEIGHT, height, LENGTH, *rope(exponent), run)
    expected = np.array([[root(h, d, exponent) for d in RUNS] for h in HEIGHTS])
    assert found == pytest.approx(np.maximum(expected, 2 * WEIGHT), rel=1e-10)


def test_start_is_never_below_the_root() -> None:
    """So no step of Newton's rule on a convex function passes the root: unsafe answers are impossible."""
    for exponent in EXPONENTS:
        for height in (0.0, 1e-6, 1e-3, 0.1, 1.0, 10.0, 1e3, 1e6):
            strain = float(_start(np.array(height), np.array(exponent)))
            assert strain ** (exponent + 1) / (exponent + 1) >= (strain + height) * (1 - 1e-12)


def test_number_of_steps_is_needed_and_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    case = (WEIGHT, np.array(HEIGHTS), LENGTH, *rope(1.5))
    enough = physics.peak_tension_locked(*case)
    monkeypatch.setattr("recommender.physics.catching.NEWTON_STEPS", type(NEWTON_STEPS)(2.0, "-", "derived"))
    too_few = physics.peak_tension_locked(*case)
    assert np.all(too_few >= enough * (1 - 1e-12))
    assert np.any(too_few > enough * (1 + 1e-10))


def test_linear_rope_gives_the_standard_equation() -> None:
    height = np.array(HEIGHTS)
    expected = WEIGHT * (1 + np.sqrt(1 + 2 * height * 4e5 / (WEIGHT * LENGTH)))
    assert physics.peak_tension_locked(WEIGHT, height, LENGTH, 4e5, 1.0) == pytest.approx(expected, rel=1e-10)
    assert physics.peak_tension_secant(WEIGHT, height, LENGTH, 4e5, 1.0) == pytest.approx(expected, rel=1e-10)


def test_linear_running_peak_has_its_closed_form() -> None:
    """``T = k*(-(d - W/k) + sqrt((d - W/k)^2 + 2*W*(h + d)/k))`` for a linear rope (derived)."""
    stiffness, run, height = 4e5 / LENGTH, np.array([0.01, 0.1, 0.3]), 2.0
    part = run - WEIGHT / stiffness
    expected = stiffness * (-part + np.sqrt(part**2 + 2 * WEIGHT * (height + run) / stiffness))
    found = physics.peak_tension_running(WEIGHT, height, LENGTH, 4e5, 1.0, run)
    assert found == pytest.approx(expected, rel=1e-10)


def test_sudden_load_on_a_stiffening_rope() -> None:
    assert physics.peak_tension_locked(WEIGHT, 0.0, LENGTH, *rope(1.5)) == pytest.approx(2.5 * WEIGHT)


def test_design_form_equals_the_exact_one_at_the_secant_of_the_answer() -> None:
    exact = physics.peak_tension_locked(WEIGHT, 2.0, LENGTH, *rope(1.5))
    at_answer = physics.secant_stiffness(exact, *rope(1.5))
    assert physics.peak_tension_secant(WEIGHT, 2.0, LENGTH, at_answer, 1.5) == pytest.approx(exact)
    above = physics.secant_stiffness(1.5 * exact, *rope(1.5))
    assert physics.peak_tension_secant(WEIGHT, 2.0, LENGTH, above, 1.5) > exact


def test_no_run_is_the_locked_brake() -> None:
    case = (WEIGHT, np.array(HEIGHTS), LENGTH, *rope(1.4))
    assert physics.peak_tension_running(*case, 0.0) == pytest.approx(physics.peak_tension_locked(*case))


def test_constant_from_impact_is_the_inverse() -> None:
    peak = physics.peak_tension_locked(WEIGHT, 1.5, LENGTH, *rope(1.5))
    found = physics.rope_constant_from_impact(WEIGHT, 1.5, LENGTH, peak, 1.5)
    assert found == pytest.approx(rope(1.5)[0])


def test_impact_too_small_for_its_weight_is_refused() -> None:
    with pytest.raises(ValueError, match="peak_tension"):
        physics.rope_constant_from_impact(1000.0, 1.0, 2.0, 1500.0)


def test_softening_rope_is_refused() -> None:
    with pytest.raises(ValueError, match=r"exponent must be from 1 to inf, not 0\.9"):
        physics.peak_tension_locked(WEIGHT, 1.0, LENGTH, 4e5, 0.9)


def test_shapes_broadcast_rope_by_friction_by_load() -> None:
    constant, exponent = np.full((3, 1, 1), 3e6), np.array([1.0, 1.3, 1.6]).reshape(3, 1, 1)
    length = physics.effective_length(1.0, 10.0, np.array([[[0.3], [0.6]]]))
    weight = np.linspace(500, 5000, 5)
    peak = physics.peak_tension_running(weight, 2.0, length, constant, exponent, 0.3)
    assert peak.shape == (3, 2, 5)
    one = physics.peak_tension_running(5000.0, 2.0, physics.effective_length(1.0, 10.0, 0.6), 3e6, 1.6, 0.3)
    assert peak[2, 1, 4] == pytest.approx(one)


def test_fall_doubles_the_height_over_the_redirect() -> None:
    base = physics.fall_height(0.5, 0.75, 0.25, 0.1)
    assert physics.fall_height(0.6, 0.75, 0.25, 0.1) == pytest.approx(base + 0.2)
    assert physics.fall_height(0.5, 0.75, 1.0, 0.1) == pytest.approx(base + 0.5)
    assert physics.fall_height(0.5, 0.75, 0.25, 0.3) == pytest.approx(base + 0.2)
