"""Forces on a redirect, plain-bearing sheaves, friction classes."""

from __future__ import annotations

from math import pi, radians

import numpy as np
import pytest

from recommender import physics


def test_straight_rope_pushes_by_the_difference_of_its_legs() -> None:
    assert physics.redirect_reaction(10.0, 6.0, pi) == pytest.approx(4.0)


def test_largest_reaction_is_at_an_end_of_r() -> None:
    """A 200 kg log, h 2.5 m, L_fall 10 m: R is 22.8, 21.3, 21.6 W at r 0.3, 0.6, 1.0 (derived): not monotone."""
    weight, r = 200 * 9.80665, np.linspace(0.3, 1.0, 71)
    lead = physics.peak_tension_locked(weight, 2.5, physics.effective_length(0.75, 10.0, r), 4e5, 1.0)
    reaction = physics.redirect_reaction(lead, r * lead, 0.0)
    largest = physics.largest_redirect_reaction(lead[0], r[0], lead[-1], r[-1], 0.0)
    assert reaction.max() == pytest.approx(largest)
    assert reaction[30] < min(reaction[0], reaction[-1])


def test_sheave_ratio_satisfies_the_balance_of_moments() -> None:
    sheave, axle, angle = 0.03, 0.006, radians(70)
    ratio = physics.sheave_ratio(sheave, axle, 0.3, angle)
    circle = axle * np.sin(np.arctan(0.3))
    assert (ratio - 1) * sheave == pytest.approx(circle * physics.redirect_reaction(ratio, 1.0, angle))


def test_frictionless_axle_leaves_the_tension() -> None:
    assert physics.sheave_ratio(0.03, 0.006, 0.0) == 1.0


def test_axle_wider_than_the_sheave_is_refused() -> None:
    with pytest.raises(ValueError, match="axle_radius"):
        physics.sheave_ratio(0.005, 0.006, 0.2)


def test_rotating_redirects_span_what_was_measured() -> None:
    """Donzelli 1999, Table 1 (radii) and abstract (shaft friction 0.049 to 0.99); friction circle derived."""
    kinds = physics.friction_classes()
    largest = max(physics.sheave_ratio(radius, 9.525, 0.99) for radius in (27.559, 29.21, 52.324))
    smallest = physics.sheave_ratio(52.324, 9.525, 0.049)
    assert kinds["roller"].r_low <= 1 / largest
    assert kinds["roller"].r_high >= 1 / smallest - 0.005


def test_friction_classes_are_the_four_and_in_range() -> None:
    kinds = physics.friction_classes()
    assert list(kinds) == ["roller", "plain", "ring", "multi_hole_ring"]
    assert [kind.has_sheave for kind in kinds.values()] == [True, True, False, False]
    for kind in kinds.values():
        assert 0 < kind.r_low < kind.r_high <= 1
        assert 0 < kind.eta_low < kind.eta_high <= 1


def test_bollard_anchor_carries_line_and_tail() -> None:
    assert physics.bollard_anchor_load(4500.0, 100.0) == pytest.approx(4600.0)
