"""Species table and finding a species by name."""

from __future__ import annotations

import pickle

import pytest

from recommender.sourced import cite
from recommender.wood import UnknownSpecies, find_species, species_table
from recommender.wood.density import green_density
from recommender.wood.units import POUND_PER_CUBIC_FOOT

NAMES_OF_RED_MAPLE = [
    "NA0316",
    "na0316",
    "red maple",
    "RED MAPLE",
    "Maple, red",
    " red  maple ",
    "Acer rubrum",
]


@pytest.mark.parametrize("name", NAMES_OF_RED_MAPLE)
def test_a_species_goes_by_id_common_and_latin_name(name: str) -> None:
    assert find_species(name).species_id == "NA0316"


@pytest.mark.parametrize(
    ("name", "latin"),
    [
        ("douglas fir", "Pseudotsuga menziesii"),
        ("tulip tree", "Liriodendron tulipifera"),
        ("golden chinkapin", "Chrysolepis chrysophylla"),
        ("Lombardy poplar (its columnar cultivar)", "Populus nigra"),
        ("serviceberry", "Amelanchier spp."),
        ("Eucalyptus spp.", "Eucalyptus spp."),
        ("Port-Orford-cedar", "Chamaecyparis lawsoniana"),
    ],
)
def test_other_spellings(name: str, latin: str) -> None:
    assert find_species(name).latin_name == latin


def test_every_species_is_found_by_its_id_and_common_name() -> None:
    for species in species_table():
        assert find_species(species.species_id) is species
        assert find_species(species.common_name) is species


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("soft maple", {"red maple", "silver maple"}),
        ("juniper", {"eastern redcedar", "alligator juniper", "Utah juniper"}),
        ("linden", {"small-leaved lime", "large-leaved lime", "American basswood"}),
        ("Populus balsamifera", {"balsam poplar", "black cottonwood"}),
    ],
)
def test_a_name_of_several_species_is_ambiguous(name: str, expected: set[str]) -> None:
    with pytest.raises(UnknownSpecies, match="is ambiguous") as caught:
        find_species(name)
    assert set(caught.value.suggestions) == expected


@pytest.mark.parametrize(
    ("name", "among"),
    [
        ("maple", "sugar maple"),
        ("maples", "red maple"),
        ("mapel", "red maple"),
        ("sycamore", "American sycamore"),
        ("cedar", "western redcedar"),
        ("Quercus", "English oak"),
        ("red mapel", "red maple"),
        ("wht oak", "white oak"),
        ("grey birch", "gray birch"),
    ],
)
def test_near_misses_and_generic_names_are_suggested(name: str, among: str) -> None:
    with pytest.raises(UnknownSpecies, match="did you mean") as caught:
        find_species(name)
    assert among in caught.value.suggestions
    assert all(find_species(suggestion) for suggestion in caught.value.suggestions)


def test_the_nearest_spelling_comes_first_and_at_most_three_near_misses() -> None:
    with pytest.raises(UnknownSpecies) as caught:
        find_species("red mapel")
    assert caught.value.suggestions[0] == "red maple"
    assert len(caught.value.suggestions) <= 3


@pytest.mark.parametrize("name", ["", "  ", "zzzz", "spp.", "42"])
def test_nothing_near_gives_no_suggestion(name: str) -> None:
    with pytest.raises(UnknownSpecies, match=r"is not in the table$") as caught:
        find_species(name)
    assert caught.value.suggestions == ()


def test_the_error_is_a_value_error_that_survives_pickling() -> None:
    error = UnknownSpecies("x", ("y",), "is not in the table")
    again = pickle.loads(pickle.dumps(error))
    assert isinstance(again, ValueError)
    assert (str(again), again.suggestions) == (str(error), ("y",))


def test_every_row_is_complete_and_its_source_known() -> None:
    for species in species_table():
        assert 400 < species.green_wood_density < 1250, species.common_name
        assert cite(species.source)
        assert species.place
        assert 1 <= species.jenkins_group <= 10
        assert (species.group_basis == "published") == (species.region == "North America")
        assert (species.green_bark_density is None) == (species.region != "North America")
        low, high = sorted(
            (species.green_wood_density, species.green_bark_density or species.green_wood_density)
        )
        assert low - 1e-9 <= species.green_log_over_bark_density <= high + 1e-9


def test_whole_pound_densities_follow_from_gravity_and_moisture() -> None:
    """Miles and Smith 2009: density = gravity x (1 + moisture) x 62.4; whole pounds, so within 0.5 lb/ft3."""
    for species in species_table():
        if species.region != "North America":
            continue
        assert species.basic_specific_gravity is not None
        assert species.moisture_content is not None
        computed = green_density(species.basic_specific_gravity, species.moisture_content)
        assert abs(computed - species.green_wood_density) <= 0.5 * POUND_PER_CUBIC_FOOT, species.common_name


@pytest.mark.parametrize(
    ("name", "pounds"),
    [("western redcedar", 67.5), ("Douglas-fir", 60.4), ("western hemlock", 70.8), ("American beech", 60.1)],
)
def test_sapwood_bound(name: str, pounds: float) -> None:
    """By hand from the sapwood moistures of the FPL Wood Handbook, table 4-1: 0.31 x 3.49 x 62.4 = 67.5 lb/ft3."""
    bound = find_species(name).all_sapwood_density
    assert bound is not None
    assert bound / POUND_PER_CUBIC_FOOT == pytest.approx(pounds, abs=0.05)


def test_softwood_sapwood_is_heavier_than_the_stem_and_hardwood_sapwood_is_not() -> None:
    """Over 26 softwoods the bound is 1.43 times the table value in the mean, over 34 hardwoods 1.02 times."""
    for wood_type, count, mean in (("softwood", 26, 1.43), ("hardwood", 34, 1.02)):
        ratios = [
            species.all_sapwood_density / species.green_wood_density
            for species in species_table()
            if species.wood_type == wood_type and species.all_sapwood_density
        ]
        assert len(ratios) == count
        assert sum(ratios) / count == pytest.approx(mean, abs=0.005)
