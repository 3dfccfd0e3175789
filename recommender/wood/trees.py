"""A standing tree to the pieces that it is cut into, each with its place, size and mass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from recommender.sourced import FROM_MEMORY, Sourced
from recommender.wood.band import density_band
from recommender.wood.biomass import WOODLAND_GROUP, branch_dry_mass, foliage_dry_mass
from recommender.wood.crown import crown_share_below
from recommender.wood.density import water_density
from recommender.wood.domain import require_non_negative, require_positive
from recommender.wood.limb import BIOMASS_SPREAD, foliage_green_mass
from recommender.wood.species import Species
from recommender.wood.stem import stem_diameter, stem_volume, volume_share_below
from recommender.wood.units import FOOT, PERCENT
from recommender.wood.volume import smalian
from recommender.wood.weight import NO_WEIGHT, PieceWeight, log_density

BREAST_HEIGHT = Sourced(4.5, "ft", "westfall_2024", "definition of diameter at breast height")
STUMP_HEIGHT = Sourced(1.0, "ft", FROM_MEMORY, note="stump height of forest inventories")
_HALVINGS = 60


@dataclass(frozen=True)
class Tree:
    """A single-stemmed standing tree.

    Parameters
    ----------
    species : Species
        Not a woodland species (group 10), for which no stem equations by breast-height diameter exist.
    diameter : float
        At breast height, over the bark, > 0. [m]
    height : float
        Above breast height. [m]
    crown_base : float
        Height of the lowest living limbs, >= 0, below ``height``. [m]
    in_leaf : bool
        Whether leaves or needles are on it.
    young_conifer : bool
        See :func:`recommender.wood.band.density_band`.
    """

    species: Species
    diameter: float
    height: float
    crown_base: float
    in_leaf: bool = True
    young_conifer: bool = False

    def __post_init__(self) -> None:
        require_positive(diameter=self.diameter, height=self.height)
        require_non_negative(crown_base=self.crown_base)
        if self.height <= BREAST_HEIGHT.value * FOOT:
            raise ValueError(
                f"height must be above breast height ({BREAST_HEIGHT.value} ft), got {self.height} m"
            )
        if self.crown_base >= self.height:
            raise ValueError(f"crown_base must be below height {self.height} m, got {self.crown_base} m")
        if self.species.jenkins_group == WOODLAND_GROUP:
            raise ValueError(
                f"species must have stem equations by breast-height diameter, got {self.species.common_name} "
                "(woodland species): enter the sizes of its pieces instead"
            )


@dataclass(frozen=True)
class CutPlan:
    """How a stem is to be cut.

    Parameters
    ----------
    piece_length : float
        Of the stem pieces, > 0. [m]
    top_diameter : float
        Over the bark where the top is cut off, > 0; everything above comes down as one piece. [m]
    stump_height : float
        What stays below the lowest cut, > 0; 1 ft if left out. [m]
    """

    piece_length: float
    top_diameter: float
    stump_height: float = STUMP_HEIGHT.value * FOOT

    def __post_init__(self) -> None:
        require_positive(
            piece_length=self.piece_length, top_diameter=self.top_diameter, stump_height=self.stump_height
        )


@dataclass(frozen=True)
class StemPiece:
    """A length of stem over the bark.

    ``level`` is the height of its lower cut [m], ``stem`` the mass of the bare piece and ``limbs`` that of
    the limbs that grow on it [kg].
    """

    level: float
    length: float
    big_diameter: float
    small_diameter: float
    stem: PieceWeight
    limbs: PieceWeight

    @property
    def unlimbed(self) -> PieceWeight:
        """The piece taken with its limbs on. [kg]"""
        return self.stem + self.limbs


@dataclass(frozen=True)
class TreePieces:
    """What a tree comes apart into: stem pieces from the lowest up, the top, and the stump that stays."""

    pieces: tuple[StemPiece, ...]
    top: StemPiece
    stump: PieceWeight

    @property
    def limbs(self) -> PieceWeight:
        """All limbs below the top. [kg]"""
        return sum((piece.limbs for piece in self.pieces), NO_WEIGHT)

    @property
    def total(self) -> PieceWeight:
        """The whole tree above the ground. [kg]"""
        return sum((piece.unlimbed for piece in (*self.pieces, self.top)), self.stump)


def crown_mass(tree: Tree) -> PieceWeight:
    """Green mass of all limbs with their leaves.

    ``branches = a * D**b * H**c * green density / density of water``; leaves from their dry mass.

    Parameters
    ----------
    tree : Tree

    Returns
    -------
    PieceWeight
        Estimate: the equations are of forest trees, and an open-grown crown is heavier. The design figure
        adds 30 % and takes the high density. [kg]

    Examples
    --------
    >>> from recommender.wood.species import find_species
    >>> mass = crown_mass(Tree(find_species("red maple"), 0.40, 18.0, 6.0))
    >>> round(mass.typical), round(mass.design)
    (318, 467)

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024, tables S7b and S9b.
    """
    group = tree.species.jenkins_group
    density = density_band(tree.species, young_conifer=tree.young_conifer, over_bark=False)
    per_gravity = branch_dry_mass(group, tree.diameter, tree.height, 1.0) / water_density()
    spread = 1 + BIOMASS_SPREAD.value * PERCENT
    branches = PieceWeight(per_gravity * density.typical, per_gravity * density.high * spread)
    if not tree.in_leaf:
        return branches
    return branches + foliage_green_mass(foliage_dry_mass(group, tree.diameter, tree.height))


def cut_to_pieces(tree: Tree, plan: CutPlan) -> TreePieces:
    """Stem pieces from the stump to the top cut, with the limbs that grow on each, and the top.

    Full lengths are counted from the stump up, so that the lowest and heaviest piece has the full length;
    what is left below the top cut is a shorter piece.

    Parameters
    ----------
    tree : Tree
    plan : CutPlan

    Returns
    -------
    TreePieces
        Masses: typical from the volume between the cuts by the published equations and the typical density;
        design from Smalian's rule on the end diameters (or that volume, if larger) and the high density.
        Limbs are spread evenly along the crown. For the user's high size, call it with the largest tree
        expected.

    Raises
    ------
    ValueError
        If the stem is nowhere as thick as ``top_diameter`` above the stump.

    Examples
    --------
    >>> from recommender.wood.species import find_species
    >>> parts = cut_to_pieces(Tree(find_species("red maple"), 0.40, 18.0, 6.0), CutPlan(2.0, 0.15))
    >>> len(parts.pieces), round(parts.pieces[0].stem.typical), round(parts.top.unlimbed.typical)
    (7, 240, 142)
    """
    top_level = _level_of_diameter(tree, plan)
    cuts = np.append(np.arange(plan.stump_height, top_level, plan.piece_length), top_level)
    levels = np.append(cuts, tree.height)
    diameters = np.asarray(diameter_at(tree, levels))
    stems = _stem_masses(tree, levels, diameters)
    crown = crown_mass(tree)
    shares = np.diff(_crown_below(tree, np.concatenate(([0.0], levels[1:]))))
    pieces = tuple(
        StemPiece(
            level=float(levels[i]),
            length=float(levels[i + 1] - levels[i]),
            big_diameter=float(diameters[i]),
            small_diameter=float(diameters[i + 1]),
            stem=PieceWeight(float(stems.typical[i]), float(stems.design[i])),
            limbs=crown.scaled(float(shares[i])),
        )
        for i in range(len(levels) - 1)
    )
    return TreePieces(pieces=pieces[:-1], top=pieces[-1], stump=_stump_mass(tree, plan))


@dataclass(frozen=True)
class _StemMasses:
    typical: npt.NDArray[np.float64]
    design: npt.NDArray[np.float64]


def _stem_masses(
    tree: Tree, levels: npt.NDArray[np.float64], diameters: npt.NDArray[np.float64]
) -> _StemMasses:
    density = log_density(tree.species, young_conifer=tree.young_conifer)
    volumes = np.diff(_volume_below(tree, levels))
    upper = np.maximum(smalian(diameters[:-1], diameters[1:], np.diff(levels)), volumes)
    return _StemMasses(density.typical * volumes, density.high * upper)


def _stump_mass(tree: Tree, plan: CutPlan) -> PieceWeight:
    density = log_density(tree.species, young_conifer=tree.young_conifer)
    volume = float(_volume_below(tree, np.array([plan.stump_height]))[0])
    return PieceWeight(density.typical * volume, density.high * volume)


def _volume_below(tree: Tree, levels: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    group = tree.species.jenkins_group
    whole = stem_volume(group, tree.diameter, tree.height)
    return np.asarray(whole * volume_share_below(group, levels, tree.height))


def diameter_at(tree: Tree, level: float | npt.NDArray[np.float64]) -> float | npt.NDArray[np.float64]:
    """Diameter of a tree's stem over the bark at a level.

    Taper of :func:`recommender.wood.stem.stem_diameter`, widened where it gives less than the measured diameter at
    breast height.

    Parameters
    ----------
    tree : Tree
    level : float or ndarray
        Above the ground, > 0, at most the height of the tree. [m]

    Returns
    -------
    float or ndarray
        Shape of ``level``. [m]

    Raises
    ------
    ValueError
        If a level is outside its domain.
    """
    group = tree.species.jenkins_group
    at_breast_height = stem_diameter(group, tree.diameter, tree.height, BREAST_HEIGHT.value * FOOT)
    widening = max(1.0, tree.diameter / float(at_breast_height))
    return widening * stem_diameter(group, tree.diameter, tree.height, level)


def _crown_below(tree: Tree, levels: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    within = np.maximum(levels, tree.crown_base)
    return np.asarray(crown_share_below(tree.height, tree.crown_base, within))


def _level_of_diameter(tree: Tree, plan: CutPlan) -> float:
    """Height at which the stem has the diameter of the top cut; the diameter falls all the way up. [m]"""
    low, high = plan.stump_height, tree.height
    thickest = float(diameter_at(tree, low)) if low < high else 0.0
    if thickest <= plan.top_diameter:
        raise ValueError(
            f"top_diameter must be below that at the stump, {thickest:.3f} m, got {plan.top_diameter} m"
        )
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if float(diameter_at(tree, middle)) > plan.top_diameter:
            low = middle
        else:
            high = middle
    return low
