"""Whole-tree equations and taper."""

from __future__ import annotations

import numpy as np
import pytest

from recommender.wood import species_table
from recommender.wood.biomass import (
    branch_dry_mass,
    component_shares,
    foliage_dry_mass,
    stem_bark_dry_mass,
    total_dry_mass,
    total_dry_mass_by_height,
    wood_dry_mass,
)
from recommender.wood.crown import branch_share_below_break, crown_share_below
from recommender.wood.stem import stem_bark_volume, stem_diameter, stem_volume, volume_share_below
from recommender.wood.units import FOOT, INCH

GROUPS = range(1, 10)
BREAST_HEIGHT = 4.5 * FOOT


def test_shares_add_up_and_are_positive() -> None:
    for wood_type in ("hardwood", "softwood"):
        shares = component_shares(wood_type, np.linspace(0.025, 1.2, 50))
        parts = np.array([shares.stem_wood, shares.stem_bark, shares.branches, shares.foliage])
        assert np.all(parts > 0)
        assert parts.sum(axis=0) == pytest.approx(np.ones(50))


def test_diameter_alone_overstates_a_short_tree() -> None:
    """Tanoak of 11.3 in and 28 ft, WO-104 example 3: the equation by diameter alone gives 1.57 times the weight."""
    diameter, height = 11.3 * INCH, 28 * FOOT
    by_height = total_dry_mass_by_height(8, diameter, height, 0.58) + foliage_dry_mass(8, diameter, height)
    assert 1.4 < total_dry_mass(8, diameter) / by_height < 1.75


@pytest.mark.parametrize("group", GROUPS)
def test_wood_and_bark_make_up_the_stem(group: int) -> None:
    """Tables S1b, S2b and S3b are separate fits: inside plus bark is within 15 % of outside bark."""
    diameter, height = 0.4, 20.0
    parts = stem_volume(group, diameter, height, over_bark=False) + stem_bark_volume(group, diameter, height)
    assert parts == pytest.approx(stem_volume(group, diameter, height), rel=0.15)


@pytest.mark.parametrize("group", GROUPS)
def test_parts_make_up_the_whole_tree(group: int) -> None:
    """WO-104 fits the parts and the total separately and then harmonises them: here within 25 % before that."""
    diameter, height, gravity = 0.4, 22.0, 0.5
    parts = (
        wood_dry_mass(stem_volume(group, diameter, height, over_bark=False), gravity)
        + stem_bark_dry_mass(group, diameter, height)
        + branch_dry_mass(group, diameter, height, gravity)
    )
    assert parts == pytest.approx(total_dry_mass_by_height(group, diameter, height, gravity), rel=0.25)


@pytest.mark.parametrize("over_bark", [True, False])
@pytest.mark.parametrize("group", GROUPS)
def test_taper_encloses_the_stem_volume(group: int, over_bark: bool) -> None:
    """The section integrated from a level to the tip is the volume above that level."""
    diameter, height, stump = 0.5, 24.0, 0.3
    levels = np.linspace(stump, height, 40_001)
    middle = (levels[1:] + levels[:-1]) / 2
    sections = np.pi / 4 * np.asarray(stem_diameter(group, diameter, height, middle, over_bark)) ** 2
    above = 1 - volume_share_below(group, stump, height, over_bark)
    volume = stem_volume(group, diameter, height, over_bark) * above
    assert np.sum(sections) * (levels[1] - levels[0]) == pytest.approx(volume, rel=1e-5)


@pytest.mark.parametrize("group", GROUPS)
def test_taper_gives_back_the_breast_height_diameter(group: int) -> None:
    for diameter in (0.2, 0.4, 0.7):
        for height in (10.0, 18.0, 28.0):
            if 25 <= height / diameter <= 90:
                ratio = stem_diameter(group, diameter, height, BREAST_HEIGHT) / diameter
                assert 0.93 <= ratio <= 1.10, (group, diameter, height)


@pytest.mark.parametrize("group", GROUPS)
def test_taper_falls_all_the_way_to_a_point(group: int) -> None:
    levels = np.linspace(0.1, 20.0, 500)
    diameters = np.asarray(stem_diameter(group, 0.4, 20.0, levels))
    assert np.all(np.diff(diameters) < 0)
    assert diameters[-1] == 0


def test_volume_share_runs_from_nothing_to_everything() -> None:
    assert volume_share_below(8, 0.0, 20.0) == 0
    assert volume_share_below(8, 20.0, 20.0) == 1


def test_outside_the_domain() -> None:
    with pytest.raises(ValueError, match=r"level must lie from 0 to height 20.0, got 21.0"):
        volume_share_below(8, 21.0, 20.0)
    with pytest.raises(ValueError, match=r"level must be finite and above 0, got 0.0"):
        stem_diameter(8, 0.4, 20.0, 0.0)
    with pytest.raises(ValueError, match="group must be one that table S3b has an equation for, got 10"):
        stem_volume(10, 0.4, 20.0)
    with pytest.raises(ValueError, match="height must be finite and above 0, got -3"):
        foliage_dry_mass(8, 0.4, -3)
    with pytest.raises(ValueError, match=r"crown_base must be below height 10.0, got 10.0"):
        crown_share_below(10.0, 10.0, 10.0)
    with pytest.raises(ValueError, match="limit must lie from crown_base"):
        branch_share_below_break(20.0, 21.0, 0.5)


def test_every_group_of_the_species_table_has_a_total() -> None:
    for group in {species.jenkins_group for species in species_table()}:
        assert total_dry_mass(group, 0.3) > 0
