"""Green mass of logs: what a piece usually weighs, and the mass that gear is chosen by."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from recommender.wood.band import DensityBand, density_band, density_with_bark
from recommender.wood.domain import Numbers, require_non_negative, require_positive
from recommender.wood.species import Species
from recommender.wood.volume import cone_frustum, cylinder, smalian


@dataclass(frozen=True)
class PieceWeight:
    """Usual mass of a piece and the mass on the safe side, by which gear is chosen. [kg]"""

    typical: Numbers
    design: Numbers

    def __add__(self, other: PieceWeight) -> PieceWeight:
        return PieceWeight(self.typical + other.typical, self.design + other.design)

    def scaled(self, typical: Numbers, design: Numbers | None = None) -> PieceWeight:
        """Both masses times a factor, or each times its own."""
        return PieceWeight(self.typical * typical, self.design * (typical if design is None else design))


NO_WEIGHT = PieceWeight(0.0, 0.0)


@dataclass(frozen=True)
class LogSize:
    """Diameters at the ends and length of a log. [m]"""

    big_diameter: Numbers
    small_diameter: Numbers
    length: Numbers


def cylinder_mass(density: Numbers, diameter: Numbers, length: Numbers) -> Numbers:
    """Mass of a log of even diameter: the rule behind published tables of log weight.

    ``mass = density * pi / 4 * diameter**2 * length``

    Parameters
    ----------
    density : float or ndarray
        Of the green log, > 0. [kg/m3]
    diameter : float or ndarray
        At half the length, >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    A German data sheet gives 305 kg for a log of 60 cm and 1 m at 1070 kg/m3, to the next 5 kg:

    >>> round(cylinder_mass(1070.0, 0.6, 1.0), 1)
    302.5
    """
    require_positive(density=density)
    return density * cylinder(diameter, length)


def mass_per_length(density: Numbers, diameter: Numbers) -> Numbers:
    """Mass of one metre of a log.

    ``mass per length = density * pi / 4 * diameter**2``

    Parameters
    ----------
    density : float or ndarray
        Of the green log, > 0. [kg/m3]
    diameter : float or ndarray
        >= 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg/m]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    >>> round(mass_per_length(1000.0, 0.4), 2)
    125.66
    """
    require_positive(density=density)
    require_non_negative(diameter=diameter)
    return density * pi / 4 * diameter**2


def log_density(species: Species, *, over_bark: bool = True, young_conifer: bool = False) -> DensityBand:
    """Band of mass per volume as measured: over the bark, or under it with the bark's mass added.

    Parameters
    ----------
    species : Species
    over_bark : bool
        Whether the diameters are measured over the bark.
    young_conifer : bool
        See :func:`recommender.wood.band.density_band`.

    Returns
    -------
    DensityBand
        [kg/m3]

    Raises
    ------
    ValueError
        If ``young_conifer`` is asked of a hardwood.
    """
    band = density_band(species, young_conifer=young_conifer, over_bark=over_bark)
    return band if over_bark else density_with_bark(species, band)


def log_mass(
    species: Species,
    big_diameter: Numbers,
    small_diameter: Numbers,
    length: Numbers,
    *,
    high_size: LogSize | None = None,
    over_bark: bool = True,
    young_conifer: bool = False,
) -> PieceWeight:
    """Usual and design mass of a log with its bark on, without limbs.

    ``typical = typical density * frustum volume``, ``design = high density * Smalian volume of the high
    size``

    Parameters
    ----------
    species : Species
    big_diameter, small_diameter : float or ndarray
        At the ends of the usual piece, >= 0. [m]
    length : float or ndarray
        Of the usual piece, > 0. [m]
    high_size : LogSize, optional
        The largest piece that the user expects; the usual piece if left out. [m]
    over_bark : bool
        Whether the diameters are measured over the bark. If not, the mass of the bark is added.
    young_conifer : bool
        A small, young or fast-grown softwood stem, which is mostly wet sapwood.

    Returns
    -------
    PieceWeight
        Broadcast shape. [kg]

    Raises
    ------
    ValueError
        If a size is outside its domain, the high size is the lighter one, or ``young_conifer`` is asked of a
        hardwood.

    Notes ----- Straight taper describes the usual log; Smalian's rule never gives less and overstates
    flared butts, which is the safe side for choosing gear. Forks, flare beyond the measured ends, ivy,
    water in hollows and foreign matter are outside the figures.

    Examples
    --------
    >>> from recommender.wood.species import find_species
    >>> mass = log_mass(find_species("red maple"), 0.40, 0.35, 2.0)
    >>> round(mass.typical), round(mass.design)
    (182, 204)
    """
    density = log_density(species, over_bark=over_bark, young_conifer=young_conifer)
    typical = density.typical * cone_frustum(big_diameter, small_diameter, length)
    high = high_size or LogSize(big_diameter, small_diameter, length)
    design = density.high * smalian(high.big_diameter, high.small_diameter, high.length)
    if not np.all(np.asarray(design) >= typical):
        raise ValueError(
            f"high_size must not be lighter than the usual piece: {design} kg against {typical} kg"
        )
    return PieceWeight(typical, design)
