"""Density of green wood and bark: from specific gravity and moisture, of heartwood and sapwood, over bark."""

from __future__ import annotations

from recommender.sourced import Sourced
from recommender.wood.domain import Numbers, require_non_negative, require_positive, require_share
from recommender.wood.units import POUND_PER_CUBIC_FOOT, TONNE

WATER_DENSITY = Sourced(
    62.4,
    "lb/ft3",
    "westfall_2024",
    "worked examples: dry weight = volume x specific gravity x 62.4",
    note="the figure to which basic specific gravity refers in the source; 999.55 kg/m3",
)
GREEN_SOFTWOOD_VOLUME = Sourced(
    0.982,
    "m3 under bark per green tonne",
    "forest_research_2016",
    note="British softwood mix as felled; the mass includes the bark, the volume does not",
)


def water_density() -> float:
    """Density of water to which basic specific gravity refers. [kg/m3]"""
    return WATER_DENSITY.value * POUND_PER_CUBIC_FOOT


def green_density(specific_gravity: Numbers, moisture_content: Numbers) -> Numbers:
    """Density of green wood from basic specific gravity and moisture content.

    ``density = specific_gravity * (1 + moisture_content) * water``

    Parameters
    ----------
    specific_gravity : float or ndarray
        Oven-dry mass over green volume, relative to water, > 0. [-]
    moisture_content : float or ndarray
        Mass of water over oven-dry mass, >= 0; 0.683 for the printed 68.3 %. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg/m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    White oak is printed as 63 lb/ft3 in [1]_:

    >>> from recommender.wood.units import POUND_PER_CUBIC_FOOT
    >>> round(green_density(0.60, 0.683) / POUND_PER_CUBIC_FOOT, 1)
    63.0

    References
    ----------
    .. [1] Miles and Smith, USDA Forest Service Res. Note NRS-38, 2009.
    """
    require_positive(specific_gravity=specific_gravity)
    require_non_negative(moisture_content=moisture_content)
    return specific_gravity * (1 + moisture_content) * water_density()


def mixed_density(
    specific_gravity: Numbers, heartwood_moisture: Numbers, sapwood_moisture: Numbers, sapwood_share: Numbers
) -> Numbers:
    """Density of green wood whose heartwood and sapwood hold different amounts of water.

    ``density = specific_gravity * (1 + (1 - s) * heartwood_moisture + s * sapwood_moisture) * water``

    Parameters
    ----------
    specific_gravity : float or ndarray
        Basic specific gravity, taken equal in both, > 0. [-]
    heartwood_moisture, sapwood_moisture : float or ndarray
        Mass of water over oven-dry mass, >= 0. [-]
    sapwood_share : float or ndarray
        Share of the cross-section that is sapwood, 0 to 1; 1 is the bound for young stems. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg/m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Notes
    -----
    Volume-weighted mean of :func:`green_density` of the two parts.

    Examples
    --------
    >>> bool(mixed_density(0.31, 0.58, 2.49, 1.0) == green_density(0.31, 2.49))
    True
    """
    require_share(sapwood_share=sapwood_share)
    heartwood = green_density(specific_gravity, heartwood_moisture)
    sapwood = green_density(specific_gravity, sapwood_moisture)
    return (1 - sapwood_share) * heartwood + sapwood_share * sapwood


def density_under_bark(wood_density: Numbers, bark_density: Numbers, bark_share: Numbers) -> Numbers:
    """Mass of wood and bark together per volume of wood: for diameters measured under the bark.

    ``density = wood_density + bark_share * bark_density``

    Parameters
    ----------
    wood_density, bark_density : float or ndarray
        Green densities, > 0. [kg/m3]
    bark_share : float or ndarray
        Volume of bark over volume of wood, >= 0. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg/m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    Norway spruce of [1]_, 780 kg of wood and 80 kg of bark on each m3 of wood:

    >>> density_under_bark(780.0, 800.0, 0.1)
    860.0

    References
    ----------
    .. [1] UNECE/FAO, Forest product conversion factors: project overview and status, 2009, section 1.1.
    """
    require_positive(wood_density=wood_density, bark_density=bark_density)
    require_non_negative(bark_share=bark_share)
    return wood_density + bark_share * bark_density


def density_over_bark(wood_density: Numbers, bark_density: Numbers, bark_share: Numbers) -> Numbers:
    """Mean density of a log with its bark on: for diameters measured over the bark.

    ``density = (wood_density + bark_share * bark_density) / (1 + bark_share)``

    Parameters
    ----------
    wood_density, bark_density : float or ndarray
        Green densities, > 0. [kg/m3]
    bark_share : float or ndarray
        Volume of bark over volume of wood (not of the log), >= 0. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape; lies between the two densities. [kg/m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    >>> density_over_bark(800.0, 600.0, 0.25)
    760.0
    """
    return density_under_bark(wood_density, bark_density, bark_share) / (1 + bark_share)


def average_softwood_under_bark() -> float:
    """Green mass, bark included, per volume under bark of the British softwood harvest. [kg/m3]

    Examples
    --------
    >>> round(average_softwood_under_bark())
    1018
    """
    return TONNE / GREEN_SOFTWOOD_VOLUME.value
