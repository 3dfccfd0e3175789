"""Volume of a stem by species group, its share below a height, and the diameter at a height (taper)."""

from __future__ import annotations

from math import pi

import numpy as np

from recommender.wood.biomass import allometric, coefficients
from recommender.wood.domain import Numbers, require_positive
from recommender.wood.units import CUBIC_FOOT

_VOLUME_TABLE = {True: "S3b", False: "S1b"}
_SHARE_TABLE = {True: "S4b", False: "S5b"}


def stem_volume(group: int, diameter: Numbers, height: Numbers, over_bark: bool = True) -> Numbers:
    """Volume of a stem from ground to tip, with or without its bark (tables S3b and S1b).

    ``volume = a * D**b * H**c``, D in inches, H in feet, volume in ft3

    Parameters
    ----------
    group : int
        Species group, 1 to 9. [-]
    diameter : float or ndarray
        At breast height, outside bark, > 0. [m]
    height : float or ndarray
        Of the tree, > 0. [m]
    over_bark : bool
        True: wood and bark. False: wood alone.

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If a size is not positive or there is no equation for the group.

    Examples
    --------
    Tanoak, 11.3 in, 28 ft (worked example 3 of [1]_: 7.2831 ft3 of wood):

    >>> from recommender.wood.units import FOOT, INCH
    >>> round(stem_volume(8, 11.3 * INCH, 28 * FOOT, over_bark=False) / CUBIC_FOOT, 3)
    7.283

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024.
    """
    return allometric(_VOLUME_TABLE[over_bark], group, diameter, height) * CUBIC_FOOT


def stem_bark_volume(group: int, diameter: Numbers, height: Numbers) -> Numbers:
    """Volume of the bark of a stem (table S2b); arguments and errors as in :func:`stem_volume`. [m3]"""
    return allometric("S2b", group, diameter, height) * CUBIC_FOOT


def volume_share_below(group: int, level: Numbers, height: Numbers, over_bark: bool = True) -> Numbers:
    """Share of the stem volume that lies below a level.

    ``share = (1 - (1 - level / height)**alpha)**beta``

    Parameters
    ----------
    group : int
        Species group, 1 to 9. [-]
    level : float or ndarray
        Above the ground, 0 to ``height``. [m]
    height : float or ndarray
        Of the tree, > 0. [m]
    over_bark : bool
        True: wood and bark (table S4b). False: wood alone (table S5b).

    Returns
    -------
    float or ndarray
        Broadcast shape, 0 to 1. [-]

    Raises
    ------
    ValueError
        If an argument is outside its domain or there is no equation for the group.

    Examples
    --------
    Tanoak, below 21 of 28 ft (worked example 3 of [1]_):

    >>> round(volume_share_below(8, 21.0, 28.0, over_bark=False), 5)
    0.96807

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024.
    """
    require_positive(height=height)
    if not np.all((np.asarray(level) >= 0) & (np.asarray(level) <= height)):
        raise ValueError(f"level must lie from 0 to height {height}, got {level}")
    by_name = coefficients(_SHARE_TABLE[over_bark], str(group))
    return (1 - (1 - level / height) ** by_name["alpha"]) ** by_name["beta"]


def stem_diameter(
    group: int, diameter: Numbers, height: Numbers, level: Numbers, over_bark: bool = True
) -> Numbers:
    """Diameter of a stem at a level (taper).

    ``area = V/H * alpha * beta * (1 - x)**(alpha - 1) * (1 - (1 - x)**alpha)**(beta - 1)``, ``x = level/H``

    Parameters
    ----------
    group : int
        Species group, 1 to 9. [-]
    diameter : float or ndarray
        At breast height, outside bark, > 0. [m]
    height : float or ndarray
        H, of the tree, > 0. [m]
    level : float or ndarray
        Above the ground, > 0, at most ``height``. [m]
    over_bark : bool
        Whether the diameter is over the bark.

    Returns
    -------
    float or ndarray
        Broadcast shape. [m]

    Raises
    ------
    ValueError
        If an argument is outside its domain or there is no equation for the group.

    Notes
    -----
    Derived here, not quoted: the derivative of :func:`volume_share_below` times the volume is the area of
    the section. At breast height it gives back the diameter within -7 to +10 % (groups 1 to 9, 20 to 70 cm, 10 to
    28 m, height 25 to 90 diameters). Below, it grows without bound towards the ground, so that the butt of
    the lowest piece is on the heavy side.

    Examples
    --------
    >>> round(float(stem_diameter(9, 0.50, 20.0, 1.37)), 3)
    0.522
    """
    require_positive(level=level)
    share = volume_share_below(group, level, height, over_bark)
    by_name = coefficients(_SHARE_TABLE[over_bark], str(group))
    alpha, beta = by_name["alpha"], by_name["beta"]
    rest = 1 - level / height
    slope = alpha * beta * rest ** (alpha - 1) * share ** ((beta - 1) / beta)
    area = stem_volume(group, diameter, height, over_bark) / height * slope
    result: Numbers = np.sqrt(4 / pi * area)
    return result
