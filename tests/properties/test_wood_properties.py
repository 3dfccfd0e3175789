"""What must hold of every log."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.wood import (
    Species,
    cylinder_mass,
    find_species,
    frustum_centroid,
    log_mass,
    mass_per_length,
    species_table,
)
from recommender.wood.density import density_over_bark, green_density
from recommender.wood.units import FOOT, INCH, POUND, POUND_PER_CUBIC_FOOT, POUND_PER_FOOT
from recommender.wood.volume import cone_frustum, cylinder, huber, neiloid_frustum, newton, smalian

diameters = st.floats(0.02, 2.5)
lengths = st.floats(0.1, 12.0)
densities = st.floats(300.0, 1300.0)
growths = st.floats(1.001, 3.0)
species = st.sampled_from(species_table())


@given(species, diameters, diameters, lengths, growths)
def test_mass_rises_with_diameter_and_length(
    one: Species, first: float, second: float, length: float, growth: float
) -> None:
    big, small = max(first, second), min(first, second)
    mass = log_mass(one, big, small, length)
    assert log_mass(one, big * growth, small, length).typical > mass.typical
    assert log_mass(one, big, small * growth, length).design > mass.design
    assert log_mass(one, big, small, length * growth).typical > mass.typical
    assert mass.design >= mass.typical


@given(densities, diameters, lengths, growths)
def test_mass_rises_with_density(density: float, diameter: float, length: float, growth: float) -> None:
    assert cylinder_mass(density * growth, diameter, length) > cylinder_mass(density, diameter, length)


@given(st.floats(0.2, 1.0), st.floats(0.0, 2.5), growths)
def test_density_rises_with_gravity_and_moisture(gravity: float, moisture: float, growth: float) -> None:
    assert green_density(gravity * growth, moisture) > green_density(gravity, moisture)
    assert green_density(gravity, moisture + growth) > green_density(gravity, moisture)


@given(densities, densities, st.floats(0.0, 0.5))
def test_density_over_bark_lies_between_wood_and_bark(wood: float, bark: float, share: float) -> None:
    low, high = min(wood, bark), max(wood, bark)
    assert low * (1 - 1e-12) <= density_over_bark(wood, bark, share) <= high * (1 + 1e-12)


@given(diameters, diameters, lengths)
def test_volumes_are_ordered(first: float, second: float, length: float) -> None:
    big, small = max(first, second), min(first, second)
    volumes = [
        cylinder(small, length),
        neiloid_frustum(big, small, length),
        cone_frustum(big, small, length),
        smalian(big, small, length),
        cylinder(big, length),
    ]
    for lower, upper in pairwise(volumes):
        assert lower <= upper * (1 + 1e-12)


@given(diameters, diameters, lengths)
def test_newton_is_exact_for_frustum_and_paraboloid(big: float, small: float, length: float) -> None:
    straight = newton(big, (big + small) / 2, small, length)
    assert straight == pytest.approx(cone_frustum(big, small, length), rel=1e-12)
    middle = sqrt((big**2 + small**2) / 2)
    assert newton(big, middle, small, length) == pytest.approx(smalian(big, small, length), rel=1e-12)
    assert huber(middle, length) == pytest.approx(smalian(big, small, length), rel=1e-12)


@given(diameters, diameters, lengths)
def test_the_centroid_is_in_the_heavier_half(first: float, second: float, length: float) -> None:
    big, small = max(first, second), min(first, second)
    distance = frustum_centroid(big, small, length)
    assert length / 4 * (1 - 1e-12) <= distance <= length / 2 * (1 + 1e-12)


@given(diameters, diameters, lengths, st.floats(0.05, 0.95))
def test_two_pieces_weigh_and_balance_as_the_whole(
    first: float, second: float, length: float, share: float
) -> None:
    big, small = max(first, second), min(first, second)
    cut = big + (small - big) * share
    lower, upper = share * length, (1 - share) * length
    volumes = cone_frustum(big, cut, lower), cone_frustum(cut, small, upper)
    assert sum(volumes) == pytest.approx(cone_frustum(big, small, length), rel=1e-9)
    moment = volumes[0] * frustum_centroid(big, cut, lower) + volumes[1] * (
        lower + frustum_centroid(cut, small, upper)
    )
    assert moment / sum(volumes) == pytest.approx(frustum_centroid(big, small, length), rel=1e-9)


@given(st.floats(20.0, 80.0), st.floats(1.0, 60.0))
def test_pounds_per_foot_and_kilograms_per_metre_agree(pounds: float, inches: float) -> None:
    """lb/ft = lb/ft3 x pi / 4 x (in / 12)**2, the rule of American tables, against the metric computation."""
    customary = pounds * pi / 4 * (inches / 12) ** 2
    metric = mass_per_length(pounds * POUND_PER_CUBIC_FOOT, inches * INCH)
    assert metric / POUND_PER_FOOT == pytest.approx(customary, rel=1e-9)
    foot = cylinder_mass(pounds * POUND_PER_CUBIC_FOOT, inches * INCH, FOOT)
    assert foot / POUND == pytest.approx(customary, rel=1e-9)


@given(species)
def test_every_name_leads_to_its_species_in_any_case(one: Species) -> None:
    assert find_species(one.common_name.upper()) is one
    words = one.common_name.split()
    if len(words) == 2 and "," not in one.common_name:
        assert find_species(f"{words[1]}, {words[0]}") is one
