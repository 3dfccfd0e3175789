"""Species table, log volume and green weight."""

from recommender.wood.band import DensityBand, density_band
from recommender.wood.limb import LimbWeight, limb_mass
from recommender.wood.species import Species, UnknownSpecies, find_species, species_table
from recommender.wood.trees import CutPlan, StemPiece, Tree, TreePieces, crown_mass, cut_to_pieces
from recommender.wood.volume import frustum_centroid
from recommender.wood.weight import LogSize, PieceWeight, cylinder_mass, log_mass, mass_per_length

__all__ = [
    "CutPlan",
    "DensityBand",
    "LimbWeight",
    "LogSize",
    "PieceWeight",
    "Species",
    "StemPiece",
    "Tree",
    "TreePieces",
    "UnknownSpecies",
    "crown_mass",
    "cut_to_pieces",
    "cylinder_mass",
    "density_band",
    "find_species",
    "frustum_centroid",
    "limb_mass",
    "log_mass",
    "mass_per_length",
    "species_table",
]
