"""Density bands."""

from __future__ import annotations

import numpy as np
import pytest

from recommender.wood import density_band, find_species, species_table
from recommender.wood.band import BARK_FACTOR, SOFTWOOD_BARK_SHARE, density_with_bark
from recommender.wood.limb import WOOD_MOISTURE
from recommender.wood.units import POUND_PER_CUBIC_FOOT


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("white oak", 0.80, 1.12),
        ("eastern hemlock", 0.90, 1.30),
        ("plane", 0.70, 1.22),
        ("Norway spruce", 0.80, 1.40),
    ],
)
def test_band_by_wood_type_and_confidence(name: str, low: float, high: float) -> None:
    band = density_band(find_species(name), over_bark=False)
    assert band.typical == find_species(name).green_wood_density
    assert (band.low / band.typical, band.high / band.typical) == pytest.approx((low, high))


def test_the_sapwood_bound_is_the_high_side_of_a_young_conifer_where_it_is_higher() -> None:
    redcedar = find_species("western redcedar")
    assert density_band(redcedar, young_conifer=True).high == redcedar.all_sapwood_density


def test_a_young_conifer_is_at_least_as_heavy_as_the_british_harvest() -> None:
    """Forest Research 2016: 0.982 m3 under bark per green tonne; Sitka spruce is the main species of the mix."""
    sitka = find_species("Sitka spruce")
    wood = density_band(sitka, young_conifer=True, over_bark=False)
    assert density_with_bark(sitka, wood).high >= 1018
    assert density_band(sitka).high < density_band(sitka, young_conifer=True).high


def test_young_conifer_never_lowers_the_high_side_and_leaves_the_rest() -> None:
    for species in species_table():
        if species.wood_type == "softwood":
            usual, young = density_band(species), density_band(species, young_conifer=True)
            assert young.high >= usual.high
            assert (young.low, young.typical) == (usual.low, usual.typical)


def test_a_hardwood_is_no_young_conifer() -> None:
    with pytest.raises(
        ValueError, match="young_conifer must be False for a hardwood, got True for white oak"
    ):
        density_band(find_species("white oak"), young_conifer=True)


def test_high_side_covers_what_other_publications_say_of_measured_logs() -> None:
    """Debarked yellow-poplar logs, West Virginia University: 46.1 lb/ft3; Douglas-fir, German data sheet: 775 kg/m3."""
    assert density_band(find_species("yellow-poplar"), over_bark=False).high >= 46.1 * POUND_PER_CUBIC_FOOT
    assert density_band(find_species("Douglas-fir"), over_bark=False).high >= 775


def test_figures_derived_from_the_table_still_follow_from_it() -> None:
    table = [species for species in species_table() if species.green_bark_density is not None]
    shares = [one.bark_share_of_wood_volume for one in table if one.wood_type == "softwood"]
    assert 100 * np.mean(np.array(shares, dtype=float)) == pytest.approx(SOFTWOOD_BARK_SHARE.value, abs=0.05)
    factors = np.array(
        [density_with_bark(one, density_band(one, over_bark=False)).typical for one in table]
    ) / [one.green_wood_density for one in table]
    assert factors.mean() == pytest.approx(BARK_FACTOR["typical"].value, abs=0.005)
    assert factors.max() == pytest.approx(BARK_FACTOR["high"].value, abs=0.005)
    moistures = [one.moisture_content for one in species_table() if one.moisture_content is not None]
    assert 100 * np.mean(moistures) == pytest.approx(WOOD_MOISTURE.value, abs=0.5)


def test_bark_of_a_species_without_bark_figures_takes_the_safe_factor_on_the_high_side() -> None:
    beech = find_species("European beech")
    wood = density_band(beech, over_bark=False)
    both = density_with_bark(beech, wood)
    assert (both.typical / wood.typical, both.high / wood.high) == pytest.approx((1.16, 1.32))
