"""Lowering: floors, hinge break against the energy balance, swings."""

from __future__ import annotations

from math import pi, radians

import numpy as np
import pytest
from scipy.optimize import brentq

from recommender import physics


def test_soft_lowering_keeps_its_floor_for_a_linear_rope() -> None:
    assert physics.soft_lowering_peak(1000.0, 0.0, 12.0, 4e5, 1.0) == pytest.approx(2500.0)


def test_soft_lowering_is_a_catch_of_the_slack() -> None:
    case = (1000.0, 0.5, 12.0, 4e6, 1.5)
    assert physics.soft_lowering_peak(*case) == pytest.approx(physics.peak_tension_locked(*case))


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.5, 1.8, 2.5])
@pytest.mark.parametrize("preload", [0.0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99])
def test_hinge_break_is_never_below_the_energy_balance(exponent: float, preload: float) -> None:
    """Weight 1, strain 1 at weight 1: ``z - z0 = (z^(n+1) - z0^(n+1)) / (n+1)``, first root beyond the balance."""
    start = preload ** (1 / exponent)

    def imbalance(strain: float) -> float:
        return (strain ** (exponent + 1) - start ** (exponent + 1)) / (exponent + 1) - (strain - start)

    exact = brentq(imbalance, 1.0, 10.0) ** exponent
    bound = physics.hinge_break_peak(1.0, preload, exponent)
    assert bound >= exact * (1 - 1e-9)
    if exponent == 1.0 or preload == 0.0:
        assert bound == pytest.approx(exact)


def test_preload_beyond_the_weight_is_the_peak() -> None:
    assert physics.hinge_break_peak(1000.0, 1500.0) == 1500.0


def test_taut_swing_without_slack() -> None:
    """W * (3 - cos): 2, 2.5, 3 W at 0, 60, 90 degrees (derived)."""
    angles = np.radians([0.0, 60.0, 90.0])
    assert physics.swing_peak(1.0, angles, 0.0, 4e4) == pytest.approx([2.0, 2.5, 3.0])


def test_swing_from_straight_below_is_a_locked_catch() -> None:
    catch = physics.peak_tension_locked(1471.0, 0.3, 1.0, 2e4, 1.0)
    assert physics.swing_peak(1471.0, 0.0, 0.3, 2e4) == pytest.approx(catch)


def test_margin_of_a_swing_grows_with_the_softness_of_its_rope() -> None:
    length, angle = 5.0, radians(80)
    base = physics.swing_peak(1000.0, angle, 0.0, 1.0)
    for softness, margin in ((0.04, 1.15), (0.06, 1.5), (0.19, 1.5)):
        stiffness = 1000.0 / (softness * length)
        assert physics.swing_design_peak(1000.0, angle, 0.0, stiffness, length) == pytest.approx(
            margin * base
        )


def test_soft_swing_is_never_below_the_bound_of_energy() -> None:
    stiffness, length, angle, slack = 1000.0 / (0.25 * 5.0), 5.0, radians(80), 2.0
    height = length * (1 - np.cos(angle)) + slack
    bound = physics.peak_tension_locked(1000.0, height, 1.0, stiffness, 1.0)
    assert physics.swing_design_peak(1000.0, angle, slack, stiffness, length) >= bound


def test_release_beyond_the_horizontal_is_refused() -> None:
    with pytest.raises(ValueError, match="release_angle"):
        physics.swing_tension(1.0, pi / 2 + 0.1)


def test_rigid_swing_at_rest_carries_its_share() -> None:
    assert physics.swing_tension(1.0, 1.0, 1.0) == pytest.approx(np.cos(1.0))


def test_side_reach() -> None:
    assert physics.side_reach(4.0, pi / 2) == pytest.approx(4.0)
