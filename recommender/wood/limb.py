"""Green mass of a limb with side branches and leaves: an estimate from published shares of whole trees."""

from __future__ import annotations

from dataclasses import dataclass

from recommender.sourced import DERIVED, FROM_MEMORY, Sourced
from recommender.wood.biomass import component_shares
from recommender.wood.domain import Numbers
from recommender.wood.species import Species
from recommender.wood.units import PERCENT
from recommender.wood.weight import NO_WEIGHT, LogSize, PieceWeight, log_mass

FOLIAGE_MOISTURE = {
    "typical": Sourced(
        150.0, "%", FROM_MEMORY, note="water over dry mass of living leaves and needles; estimate"
    ),
    "high": Sourced(200.0, "%", FROM_MEMORY, note="water over dry mass of young leaves; estimate"),
}
WOOD_MOISTURE = Sourced(
    78.0, "%", DERIVED, note="mean of the species of the table that have a figure; for those that have none"
)
BIOMASS_SPREAD = Sourced(
    30.0,
    "%",
    "jenkins_2003",
    note="agreement with other sets of equations that the authors report, about +-30 %",
)


@dataclass(frozen=True)
class LimbWeight:
    """Green mass of a limb by part; side branches and foliage are estimates. [kg]"""

    axis: PieceWeight
    side_branches: PieceWeight
    foliage: PieceWeight

    @property
    def total(self) -> PieceWeight:
        """The whole limb. [kg]"""
        return self.axis + self.side_branches + self.foliage


def limb_mass(
    species: Species,
    base_diameter: Numbers,
    tip_diameter: Numbers,
    length: Numbers,
    *,
    high_size: LogSize | None = None,
    in_leaf: bool = True,
    young_conifer: bool = False,
) -> LimbWeight:
    """Usual and design mass of a limb: its axis as a log, side branches and leaves by shares of a small tree.

    ``side branches = axis * branches / (stem wood + stem bark)``, with the shares of a tree whose diameter at
    breast height is the base diameter of the limb; leaves likewise, with their own water.

    Parameters
    ----------
    species : Species
    base_diameter : float or ndarray
        Of the limb at the cut, over the bark, >= 0.025. [m]
    tip_diameter : float or ndarray
        Where the axis ends or was cut off, >= 0. [m]
    length : float or ndarray
        Of the axis, > 0. [m]
    high_size : LogSize, optional
        The largest limb that the user expects; the usual one if left out. [m]
    in_leaf : bool
        Whether leaves or needles are on it.
    young_conifer : bool
        See :func:`recommender.wood.band.density_band`.

    Returns
    -------
    LimbWeight
        Broadcast shape. [kg]

    Raises
    ------
    ValueError
        If a size is outside its domain, the high size is the lighter one, or ``young_conifer`` is asked of a
        hardwood.

    Notes
    -----
    Estimate: the shares of [1]_ are those of whole forest trees and were not made for limbs; taking a limb
    for a small tree is an assumption of this project. The design figure adds the 30 % by which the authors'
    equations differ from others, on top of the density band. Ice, rain on the leaves and fruit are not in
    it.

    Examples
    --------
    >>> from recommender.wood.species import find_species
    >>> limb = limb_mass(find_species("red maple"), 0.20, 0.05, 6.0)
    >>> [round(float(part.typical)) for part in (limb.axis, limb.side_branches, limb.foliage, limb.total)]
    [68, 29, 3, 100]

    References
    ----------
    .. [1] Jenkins and others, Forest Science 49(1):12-35, 2003.
    """
    axis = log_mass(
        species, base_diameter, tip_diameter, length, high_size=high_size, young_conifer=young_conifer
    )
    high_base = high_size.big_diameter if high_size else base_diameter
    branches, leaves = _shares_of_axis(species, base_diameter)
    high_branches, high_leaves = _shares_of_axis(species, high_base)
    spread = 1 + BIOMASS_SPREAD.value * PERCENT
    foliage = axis.scaled(
        leaves * _wetness(species, "typical"), high_leaves * spread * _wetness(species, "high")
    )
    return LimbWeight(axis, axis.scaled(branches, high_branches * spread), foliage if in_leaf else NO_WEIGHT)


def foliage_green_mass(dry_mass: Numbers) -> PieceWeight:
    """Green mass of leaves or needles from their dry mass.

    ``typical = dry * (1 + 150 %)``, ``design = dry * (1 + 30 %) * (1 + 200 %)``

    Parameters
    ----------
    dry_mass : float or ndarray
        >= 0. [kg]

    Returns
    -------
    PieceWeight
        Of the same shape; an estimate. [kg]
    """
    spread = 1 + BIOMASS_SPREAD.value * PERCENT
    return PieceWeight(dry_mass * _foliage_factor("typical"), dry_mass * spread * _foliage_factor("high"))


def _shares_of_axis(species: Species, base_diameter: Numbers) -> tuple[Numbers, Numbers]:
    """Dry mass of side branches, and of leaves, over that of the axis. [-]"""
    shares = component_shares(species.wood_type, base_diameter)
    axis = shares.stem_wood + shares.stem_bark
    return shares.branches / axis, shares.foliage / axis


def _wetness(species: Species, side: str) -> float:
    """Green mass of leaves per dry mass, over the same of the wood. [-]"""
    known = species.moisture_content
    wood = WOOD_MOISTURE.value * PERCENT if known is None else known
    return _foliage_factor(side) / (1 + wood)


def _foliage_factor(side: str) -> float:
    return 1 + FOLIAGE_MOISTURE[side].value * PERCENT
