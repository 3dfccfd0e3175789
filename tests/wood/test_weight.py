"""Volumes and masses of logs and limbs."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from recommender.wood import LogSize, find_species, frustum_centroid, limb_mass, log_mass, mass_per_length
from recommender.wood.density import density_over_bark, green_density, mixed_density
from recommender.wood.units import POUND, POUND_PER_CUBIC_FOOT
from recommender.wood.volume import cone_frustum, cylinder, huber, smalian

MAPLE = find_species("red maple")


def test_arrays_broadcast() -> None:
    mass = log_mass(MAPLE, np.array([0.3, 0.4, 0.5]), 0.3, np.array([[1.0], [2.0]]))
    assert np.shape(mass.typical) == np.shape(mass.design) == (2, 3)
    assert np.asarray(mass.typical)[1, 0] == pytest.approx(log_mass(MAPLE, 0.3, 0.3, 2.0).typical)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((-0.3, 0.2, 1.0), "big_diameter must be finite and at least 0, got -0.3"),
        ((0.3, float("nan"), 1.0), "small_diameter must be finite and at least 0, got nan"),
        ((0.3, 0.2, 0.0), "length must be finite and above 0, got 0.0"),
        ((0.3, 0.2, float("inf")), "length must be finite and above 0, got inf"),
        ((np.array([0.3, -1.0]), 0.2, 1.0), "big_diameter must be finite"),
    ],
)
def test_outside_the_domain(arguments: tuple[float, float, float], message: str) -> None:
    for volume in (smalian, cone_frustum, frustum_centroid):
        with pytest.raises(ValueError, match=message):
            volume(*arguments)
    with pytest.raises(ValueError, match=message):
        log_mass(MAPLE, *arguments)


def test_a_centroid_needs_the_bigger_end_first() -> None:
    with pytest.raises(ValueError, match=r"small_diameter must not exceed big_diameter 0.3, got 0.4"):
        frustum_centroid(0.3, 0.4, 1.0)


def test_centroid_agrees_with_thin_slices() -> None:
    big, small, length = 0.6, 0.35, 4.0
    at = (np.arange(20_000) + 0.5) / 20_000 * length
    area = (big + (small - big) * at / length) ** 2
    assert frustum_centroid(big, small, length) == pytest.approx(np.sum(at * area) / np.sum(area), rel=1e-7)


def test_huber_is_a_cylinder_on_the_mid_diameter() -> None:
    assert huber(0.4, 2.0) == cylinder(0.4, 2.0) == pytest.approx(pi / 4 * 0.16 * 2)


def test_the_high_size_makes_the_design_piece() -> None:
    usual = log_mass(MAPLE, 0.40, 0.35, 2.0)
    high = log_mass(MAPLE, 0.40, 0.35, 2.0, high_size=LogSize(0.45, 0.40, 2.5))
    assert high.typical == usual.typical
    assert high.design == pytest.approx(1.12 * MAPLE.green_log_over_bark_density * smalian(0.45, 0.40, 2.5))


def test_a_high_size_below_the_usual_piece_is_refused() -> None:
    with pytest.raises(ValueError, match="high_size must not be lighter than the usual piece"):
        log_mass(MAPLE, 0.40, 0.35, 2.0, high_size=LogSize(0.30, 0.25, 2.0))


def test_diameters_under_bark_and_over_bark_give_the_same_mass() -> None:
    """A log whose bark fills the share of the table weighs the same however it is measured."""
    assert MAPLE.bark_share_of_wood_volume is not None
    over = 0.4 * (1 + MAPLE.bark_share_of_wood_volume) ** 0.5
    inside = log_mass(MAPLE, 0.4, 0.4, 2.0, over_bark=False)
    outside = log_mass(MAPLE, over, over, 2.0)
    assert (inside.typical, inside.design) == pytest.approx((outside.typical, outside.design))


def test_red_maple_log_by_hand() -> None:
    """12 in x 8 ft at 50 lb/ft3 (National Park Service table) is 314 lb; the table value over bark is 51.3 lb/ft3."""
    mass = log_mass(MAPLE, 0.3048, 0.3048, 8 * 0.3048)
    assert mass.typical / POUND == pytest.approx(51.3 * pi / 4 * 8, rel=0.001)


def test_density_of_heart_and_sapwood_lies_between_the_two() -> None:
    shares = np.linspace(0, 1, 5)
    mixed = np.asarray(mixed_density(0.45, 0.37, 1.15, shares))
    assert mixed[[0, -1]] == pytest.approx([green_density(0.45, 0.37), green_density(0.45, 1.15)])
    assert np.all(np.diff(mixed) > 0)
    with pytest.raises(ValueError, match=r"sapwood_share must be between 0 and 1, got 1.2"):
        mixed_density(0.45, 0.37, 1.15, 1.2)


@pytest.mark.parametrize(
    ("name", "pounds"),
    [("red maple", 51.3), ("black locust", 54.9), ("Douglas-fir", 40.1), ("American beech", 55.4)],
)
def test_density_over_bark(name: str, pounds: float) -> None:
    """By hand: red maple (50 + 0.086 x 67) / 1.086 = 51.3 lb/ft3."""
    species = find_species(name)
    assert species.green_log_over_bark_density / POUND_PER_CUBIC_FOOT == pytest.approx(pounds, abs=0.06)
    assert density_over_bark(800.0, 600.0, 0.0) == 800.0


def test_mass_per_length_is_the_mass_of_a_metre() -> None:
    mass = log_mass(MAPLE, 0.4, 0.4, 1.0)
    assert mass_per_length(MAPLE.green_log_over_bark_density, 0.4) == pytest.approx(mass.typical)


def test_limb_by_hand() -> None:
    """Shares of a hardwood of 20 cm: wood 0.5612, bark 0.1228, foliage 0.0227 (Jenkins and others 2003)."""
    limb = limb_mass(MAPLE, 0.20, 0.05, 6.0)
    assert limb.side_branches.typical / limb.axis.typical == pytest.approx(0.2933 / 0.6840, abs=2e-4)
    assert limb.foliage.typical / limb.axis.typical == pytest.approx(0.0227 / 0.6840 * 2.5 / 1.635, abs=2e-4)
    assert limb.total.design == pytest.approx(
        limb.axis.design + limb.side_branches.design + limb.foliage.design
    )


def test_limb_out_of_leaf_has_no_foliage() -> None:
    bare, green = limb_mass(MAPLE, 0.2, 0.05, 6.0, in_leaf=False), limb_mass(MAPLE, 0.2, 0.05, 6.0)
    assert bare.foliage.design == 0
    assert bare.total.typical < green.total.typical
    assert bare.axis == green.axis


def test_limb_below_the_range_of_the_shares() -> None:
    with pytest.raises(ValueError, match=r"diameter must be at least 2.5 cm"):
        limb_mass(MAPLE, 0.02, 0.0, 1.0)


@pytest.mark.parametrize("name", ["plane", "Norway spruce", "mesquite spp."])
def test_every_species_can_be_a_limb(name: str) -> None:
    limb = limb_mass(find_species(name), 0.15, 0.0, 4.0).total
    assert limb.design > limb.typical > 0
