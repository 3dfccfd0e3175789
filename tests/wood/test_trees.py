"""A tree cut into pieces."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from recommender.wood import CutPlan, Tree, crown_mass, cut_to_pieces, find_species, species_table
from recommender.wood.biomass import WOODLAND_GROUP, foliage_dry_mass, total_dry_mass_by_height
from recommender.wood.density import water_density
from recommender.wood.limb import FOLIAGE_MOISTURE
from recommender.wood.stem import stem_volume, volume_share_below
from recommender.wood.trees import BREAST_HEIGHT
from recommender.wood.units import FOOT
from recommender.wood.weight import log_mass

MAPLE = Tree(find_species("red maple"), 0.40, 18.0, 6.0)
PLAN = CutPlan(piece_length=2.0, top_diameter=0.15)


def test_pieces_stand_on_each_other_from_stump_to_tip() -> None:
    parts = cut_to_pieces(MAPLE, PLAN)
    column = (*parts.pieces, parts.top)
    assert column[0].level == PLAN.stump_height
    for lower, upper in pairwise(column):
        assert lower.level + lower.length == pytest.approx(upper.level)
        assert lower.small_diameter == upper.big_diameter
    assert column[-1].level + column[-1].length == pytest.approx(MAPLE.height)
    assert parts.top.big_diameter == pytest.approx(PLAN.top_diameter)
    assert parts.top.small_diameter == 0
    assert all(piece.length == pytest.approx(PLAN.piece_length) for piece in parts.pieces[:-1])


def test_stem_masses_add_up_to_the_stem_whatever_the_piece_length() -> None:
    stem = stem_volume(7, 0.40, 18.0) * MAPLE.species.green_log_over_bark_density
    for length in (0.5, 2.0, 7.0, 50.0):
        parts = cut_to_pieces(MAPLE, CutPlan(length, 0.15))
        total = parts.stump.typical + sum(piece.stem.typical for piece in (*parts.pieces, parts.top))
        assert total == pytest.approx(stem)
        assert parts.limbs.typical + parts.top.limbs.typical == pytest.approx(crown_mass(MAPLE).typical)


def test_the_design_figure_is_never_below_the_usual_one_nor_below_the_log_rule() -> None:
    for species in species_table():
        if species.jenkins_group == WOODLAND_GROUP:
            continue
        tree = Tree(species, 0.45, 16.0, 5.0, young_conifer=species.wood_type == "softwood")
        for piece in cut_to_pieces(tree, PLAN).pieces:
            log = log_mass(
                species,
                piece.big_diameter,
                piece.small_diameter,
                piece.length,
                young_conifer=tree.young_conifer,
            )
            assert piece.stem.design >= log.design * (1 - 1e-12)
            assert piece.stem.design > piece.stem.typical
            assert piece.limbs.design >= piece.limbs.typical


def test_limbs_grow_between_the_crown_base_and_the_tip() -> None:
    parts = cut_to_pieces(MAPLE, PLAN)
    assert all(piece.limbs.typical == 0 for piece in parts.pieces if piece.level + piece.length <= 6.0)
    above = [piece for piece in parts.pieces if piece.level >= 6.0]
    assert above[0].limbs.typical == pytest.approx(crown_mass(MAPLE).typical * 2.0 / 12.0)


def test_a_tree_out_of_leaf_has_a_lighter_crown() -> None:
    bare = Tree(MAPLE.species, 0.40, 18.0, 6.0, in_leaf=False)
    assert crown_mass(bare).typical < crown_mass(MAPLE).typical


def test_the_stem_is_at_least_as_thick_as_measured_at_breast_height() -> None:
    """Where the taper gives less than the measured diameter (squat hardwoods) it is widened."""
    squat = Tree(find_species("white ash"), 0.40, 10.0, 3.0)
    parts = cut_to_pieces(squat, CutPlan(1.0, 0.1, BREAST_HEIGHT.value * FOOT))
    assert parts.pieces[0].big_diameter == pytest.approx(0.40)


def test_a_bigger_tree_is_heavier() -> None:
    thicker = Tree(MAPLE.species, 0.45, 18.0, 6.0)
    taller = Tree(MAPLE.species, 0.40, 20.0, 6.0)
    usual = cut_to_pieces(MAPLE, PLAN).total
    for tree in (thicker, taller):
        assert cut_to_pieces(tree, PLAN).total.design > usual.design


def whole_tree_ratios() -> list[tuple[float, float]]:
    """Usual and design mass of all pieces over the whole-tree equation by height (table S8b) in green terms."""
    wet_leaves = 1 + FOLIAGE_MOISTURE["typical"].value / 100
    ratios = []
    for species in species_table():
        group = species.jenkins_group
        if group == WOODLAND_GROUP:
            continue
        for diameter, height in ((0.25, 14.0), (0.35, 18.0), (0.45, 22.0), (0.60, 27.0)):
            mass = cut_to_pieces(Tree(species, diameter, height, 0.4 * height), PLAN).total
            gravity = species.green_wood_density / water_density()
            wood = total_dry_mass_by_height(group, diameter, height, gravity)
            whole = wood + wet_leaves * foliage_dry_mass(group, diameter, height)
            ratios.append((float(mass.typical / whole), float(mass.design / whole)))
    return ratios


def test_pieces_add_up_to_the_whole_tree_equation() -> None:
    """Westfall and others 2024 fitted whole tree (S8b), stem (S3b) and branches (S7b) separately.

    Band found over 181 species and four sizes of usual slenderness: usual mass 0.80 (eastern cottonwood) to 1.17
    (Douglas-fir), median 1.03, nine in ten within 0.91 to 1.10; design mass never below 0.99.
    """
    typical, design = np.array(whole_tree_ratios()).T
    assert len(typical) == 4 * 181
    assert typical.min() >= 0.80 and typical.max() <= 1.17
    assert np.median(typical) == pytest.approx(1.03, abs=0.01)
    assert np.quantile(typical, 0.05) >= 0.91 and np.quantile(typical, 0.95) <= 1.10
    assert design.min() >= 0.99


def test_trees_that_cannot_be_reckoned_say_why() -> None:
    species = MAPLE.species
    with pytest.raises(ValueError, match=r"crown_base must be below height 18.0 m, got 19.0 m"):
        Tree(species, 0.4, 18.0, 19.0)
    with pytest.raises(ValueError, match="height must be above breast height"):
        Tree(species, 0.4, 1.2, 0.5)
    with pytest.raises(ValueError, match="got Utah juniper"):
        Tree(find_species("Utah juniper"), 0.4, 8.0, 1.0)
    with pytest.raises(ValueError, match="piece_length must be finite and above 0, got 0"):
        CutPlan(0, 0.1)
    with pytest.raises(ValueError, match=r"top_diameter must be below that at the stump, 0.\d+ m, got 0.9 m"):
        cut_to_pieces(MAPLE, CutPlan(2.0, 0.9))


def test_volume_share_below_the_stump_is_what_stays() -> None:
    parts = cut_to_pieces(MAPLE, PLAN)
    share = volume_share_below(7, PLAN.stump_height, 18.0)
    stem = stem_volume(7, 0.40, 18.0) * MAPLE.species.green_log_over_bark_density
    assert parts.stump.typical == pytest.approx(share * stem)
