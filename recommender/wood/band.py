"""How far the green density of a species may lie from its table value."""

from __future__ import annotations

from dataclasses import dataclass

from recommender.sourced import COMMON_PRACTICE, DERIVED, Sourced
from recommender.wood.density import average_softwood_under_bark
from recommender.wood.species import Species

_BAND_NOTE = (
    "judgement from 63 published comparisons of 46 species (mean +0.9 %, mean absolute 4.9 %, largest 28 %; "
    "softwoods underestimated by up to 21.5 %) and of USDA FPL Technical Note 218 (20 % within a species)"
)
BAND_LOW = {
    "hardwood": Sourced(-20.0, "%", COMMON_PRACTICE, note=_BAND_NOTE),
    "softwood": Sourced(-10.0, "%", COMMON_PRACTICE, note=_BAND_NOTE),
}
BAND_HIGH = {
    "hardwood": Sourced(12.0, "%", COMMON_PRACTICE, note=_BAND_NOTE),
    "softwood": Sourced(30.0, "%", COMMON_PRACTICE, note=_BAND_NOTE),
}
BAND_WIDENING = Sourced(
    10.0, "%", COMMON_PRACTICE, note="judgement: on each side where the figure is not species-level"
)
SOFTWOOD_BARK_SHARE = Sourced(
    14.5,
    "% of wood volume",
    DERIVED,
    note="mean of the softwoods of the species table that have bark figures",
)
BARK_FACTOR = {
    "typical": Sourced(1.16, "-", DERIVED, note="mean over the species of the table that have bark figures"),
    "high": Sourced(1.32, "-", DERIVED, note="largest over the species of the table that have bark figures"),
}


@dataclass(frozen=True)
class DensityBand:
    """Lowest, usual and highest green density that a plan should reckon with. [kg/m3]"""

    low: float
    typical: float
    high: float


def density_band(species: Species, young_conifer: bool = False, over_bark: bool = True) -> DensityBand:
    """Band of green density of a species, for logs without rot, ivy, forks or foreign matter.

    Hardwoods -20 / +12 %, softwoods -10 / +30 % of the table value; 10 % more on each side where the table
    value is not species-level.

    Parameters
    ----------
    species : Species
    young_conifer : bool
        A small, young or fast-grown softwood stem, which is mostly wet sapwood. The high side is then the
        largest of the band's, the density of all-sapwood wood, and the mean of the British softwood
        harvest.
    over_bark : bool
        True: mean of wood and bark, for a diameter measured over the bark. False: wood alone.

    Returns
    -------
    DensityBand
        [kg/m3]

    Raises
    ------
    ValueError
        If ``young_conifer`` is asked of a hardwood.

    Notes ----- The percentages are a judgement from measured disagreements of published tables, not a
    published rule. The mean of the British harvest is a floor for young conifers because it lies above the
    band of some species: 1018 kg per m3 under bark is 889 kg/m3 over bark, against 754 for the top of the
    band of Sitka spruce, its main species.

    Examples
    --------
    >>> from recommender.wood.species import find_species
    >>> band = density_band(find_species("white oak"), over_bark=False)
    >>> round(band.low), round(band.typical), round(band.high)
    (807, 1009, 1130)
    """
    typical = species.green_log_over_bark_density if over_bark else species.green_wood_density
    widening = 0.0 if species.is_species_level else BAND_WIDENING.value
    low = typical * (1 + (BAND_LOW[species.wood_type].value - widening) / 100)
    high = typical * (1 + (BAND_HIGH[species.wood_type].value + widening) / 100)
    if young_conifer:
        high = max(high, _young_conifer_density(species, over_bark))
    return DensityBand(low, typical, high)


def density_with_bark(species: Species, wood: DensityBand) -> DensityBand:
    """Band of green mass, bark included, per volume of wood: for diameters measured under the bark.

    Parameters
    ----------
    species : Species
    wood : DensityBand
        Band of the wood alone. [kg/m3]

    Returns
    -------
    DensityBand
        Each side multiplied by ``1 + bark_share * bark_density / wood_density``; where the species has no
        bark figures, low and typical by the mean (1.16) and high by the largest (1.32) of the species that
        have. [kg/m3]
    """
    if species.green_bark_density is None or species.bark_share_of_wood_volume is None:
        typical, high = BARK_FACTOR["typical"].value, BARK_FACTOR["high"].value
    else:
        bark = species.bark_share_of_wood_volume * species.green_bark_density
        typical = high = 1 + bark / species.green_wood_density
    return DensityBand(wood.low * typical, wood.typical * typical, wood.high * high)


def _young_conifer_density(species: Species, over_bark: bool) -> float:
    if species.wood_type != "softwood":
        raise ValueError(f"young_conifer must be False for a hardwood, got True for {species.common_name}")
    harvest = average_softwood_under_bark() / (1 + SOFTWOOD_BARK_SHARE.value / 100)
    return max(harvest, species.all_sapwood_density or 0.0)
