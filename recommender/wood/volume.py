"""Volume of a log from its diameters and length, and where its centre of mass lies."""

from __future__ import annotations

from math import pi

import numpy as np

from recommender.wood.domain import Numbers, require_non_negative, require_positive


def _area(diameter: Numbers) -> Numbers:
    return pi / 4 * diameter**2


def cylinder(diameter: Numbers, length: Numbers) -> Numbers:
    """Volume of a cylinder; with the mid diameter of a log it is Huber's rule.

    ``volume = pi / 4 * diameter**2 * length``

    Parameters
    ----------
    diameter : float or ndarray
        >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    >>> round(cylinder(0.5, 2.0), 6)
    0.392699
    """
    require_non_negative(diameter=diameter)
    require_positive(length=length)
    return _area(diameter) * length


def huber(mid_diameter: Numbers, length: Numbers) -> Numbers:
    """Volume of a log from the diameter at half its length (Huber); exact for a cylinder and a paraboloid.

    ``volume = length * A_mid``

    Parameters
    ----------
    mid_diameter : float or ndarray
        At half the length, >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    References
    ----------
    .. [1] Goulding, Measurement of tree crops, New Zealand Forest Research Institute.
    """
    require_non_negative(mid_diameter=mid_diameter)
    return cylinder(mid_diameter, length)


def smalian(big_diameter: Numbers, small_diameter: Numbers, length: Numbers) -> Numbers:
    """Volume of a log from its end diameters (Smalian); exact for a cylinder and a paraboloid.

    ``volume = length * (A_big + A_small) / 2``

    Parameters
    ----------
    big_diameter, small_diameter : float or ndarray
        At the two ends, >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Notes ----- Overstates a flared butt, and straight taper by ``pi / 24 * (big - small)**2 * length``; in
    sections longer than 5 m by more than 8 % [2]_.

    Examples
    --------
    The worked example of [1]_ (25 cm, 29 cm, 5 m) gives 0.287848 m3:

    >>> round(smalian(0.29, 0.25, 5.0), 6)
    0.287848

    References
    ----------
    .. [1] University of Missouri, forestry functions: cubic log volume.
    .. [2] Goulding, Measurement of tree crops, New Zealand Forest Research Institute.
    """
    _require_ends(big_diameter, small_diameter, length)
    return length * (_area(big_diameter) + _area(small_diameter)) / 2


def newton(big_diameter: Numbers, mid_diameter: Numbers, small_diameter: Numbers, length: Numbers) -> Numbers:
    """Volume of a log from three diameters (Newton); exact for paraboloid, cone and neiloid alike.

    ``volume = length * (A_big + 4 * A_mid + A_small) / 6``

    Parameters
    ----------
    big_diameter, mid_diameter, small_diameter : float or ndarray
        At one end, at half the length and at the other end, >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    A cone of 1 m at the base and 3 m length holds pi / 4 m3:

    >>> round(newton(1.0, 0.5, 0.0, 3.0), 6)
    0.785398

    References
    ----------
    .. [1] Goulding, Measurement of tree crops, New Zealand Forest Research Institute.
    """
    _require_ends(big_diameter, small_diameter, length)
    require_non_negative(mid_diameter=mid_diameter)
    return length * (_area(big_diameter) + 4 * _area(mid_diameter) + _area(small_diameter)) / 6


def cone_frustum(big_diameter: Numbers, small_diameter: Numbers, length: Numbers) -> Numbers:
    """Volume of a log of straight taper.

    ``volume = length * (A_big + sqrt(A_big * A_small) + A_small) / 3``

    Parameters
    ----------
    big_diameter, small_diameter : float or ndarray
        At the two ends, >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    >>> round(cone_frustum(1.0, 0.0, 3.0), 6)
    0.785398
    """
    _require_ends(big_diameter, small_diameter, length)
    return pi / 12 * length * (big_diameter**2 + big_diameter * small_diameter + small_diameter**2)


def neiloid_frustum(big_diameter: Numbers, small_diameter: Numbers, length: Numbers) -> Numbers:
    """Volume of a log whose sides curve in, like a flared butt.

    ``volume = length * (A_b + cbrt(A_b**2 * A_s) + cbrt(A_b * A_s**2) + A_s) / 4``

    Parameters
    ----------
    big_diameter, small_diameter : float or ndarray
        At the two ends, >= 0. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [m3]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    The worked example of [1]_ (25 cm, 29 cm, 5 m) gives 0.286452 m3:

    >>> round(float(neiloid_frustum(0.29, 0.25, 5.0)), 6)
    0.286452

    References
    ----------
    .. [1] University of Missouri, forestry functions: cubic log volume.
    """
    _require_ends(big_diameter, small_diameter, length)
    big, small = np.cbrt(_area(big_diameter)), np.cbrt(_area(small_diameter))
    result: Numbers = length * (big**3 + big**2 * small + big * small**2 + small**3) / 4
    return result


def frustum_centroid(big_diameter: Numbers, small_diameter: Numbers, length: Numbers) -> Numbers:
    """Distance of the centre of mass of a log of straight taper from its big end.

    ``distance = length / 4 * (D**2 + 2*D*d + 3*d**2) / (D**2 + D*d + d**2)``

    Parameters
    ----------
    big_diameter : float or ndarray
        D, > 0. [m]
    small_diameter : float or ndarray
        d, 0 to D. [m]
    length : float or ndarray
        > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape, between a quarter (cone) and half (cylinder) of the length. [m]

    Raises
    ------
    ValueError
        If an argument is outside its domain or the small end is the bigger one.

    Notes ----- From the integral of ``x * diameter(x)**2`` over the length, for even density. A crown on
    the small end moves the centre of mass further out.

    Examples
    --------
    >>> frustum_centroid(0.4, 0.0, 2.0), frustum_centroid(0.4, 0.4, 2.0)
    (0.5, 1.0)
    """
    _require_ends(big_diameter, small_diameter, length)
    require_positive(big_diameter=big_diameter)
    if not np.all(np.asarray(small_diameter) <= big_diameter):
        raise ValueError(f"small_diameter must not exceed big_diameter {big_diameter}, got {small_diameter}")
    product = big_diameter * small_diameter
    big, small = big_diameter**2, small_diameter**2
    return length / 4 * (big + 2 * product + 3 * small) / (big + product + small)


def _require_ends(big_diameter: Numbers, small_diameter: Numbers, length: Numbers) -> None:
    require_non_negative(big_diameter=big_diameter, small_diameter=small_diameter)
    require_positive(length=length)
