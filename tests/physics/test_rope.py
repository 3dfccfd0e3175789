"""The power law of a rope."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from recommender import physics


def test_law_passes_its_catalogue_points() -> None:
    exponent = physics.exponent_from_two_points(0.10, 0.02, 0.30, 0.04)
    constant = physics.rope_constant(60e3, 0.10, 0.02, exponent)
    assert physics.tension_at_strain(0.02, constant, exponent) == pytest.approx(6e3)
    assert physics.tension_at_strain(0.04, constant, exponent) == pytest.approx(18e3)


def test_strain_and_tension_are_inverse() -> None:
    tension = np.array([0.0, 10.0, 5e3])
    strain = physics.strain_at_tension(tension, 3e6, 1.5)
    assert physics.tension_at_strain(strain, 3e6, 1.5) == pytest.approx(tension)


def test_stored_energy_is_the_area_under_the_curve() -> None:
    constant, exponent, length = 3e6, 1.6, 9.0
    strain = physics.strain_at_tension(12e3, constant, exponent)
    area, _ = quad(lambda x: physics.tension_at_strain(x / length, constant, exponent), 0, strain * length)
    assert physics.stored_energy(12e3, length, constant, exponent) == pytest.approx(area)


def test_secant_follows_the_catalogue_scaling() -> None:
    """``EA_s(T) = EA_ref * (T / (f * MBS))^(1 - 1/n)``, another way to write the same law."""
    constant = physics.rope_constant(60e3, 0.10, 0.02, 1.5)
    expected = 6e3 / 0.02 * (20e3 / 6e3) ** (1 - 1 / 1.5)
    assert physics.secant_stiffness(20e3, constant, 1.5) == pytest.approx(expected)


def test_effective_length_with_an_exponent_is_never_shorter() -> None:
    r = np.linspace(0.3, 1.0, 8)
    plain = physics.effective_length(1.0, 12.0, r)
    assert np.all(physics.effective_length(1.0, 12.0, r, 1.5) >= plain)


def test_points_that_do_not_rise_together_are_refused() -> None:
    with pytest.raises(ValueError, match="second_strain"):
        physics.exponent_from_two_points(0.10, 0.02, 0.30, 0.01)


def test_share_above_the_break_is_refused() -> None:
    with pytest.raises(ValueError, match="reference_share"):
        physics.rope_constant(60e3, 1.2, 0.04, 1.5)
