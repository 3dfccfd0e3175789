"""Share of a crown's branches below a height or a broken top."""

from __future__ import annotations

import numpy as np

from recommender.wood.domain import Numbers, require_non_negative, require_positive, require_share


def branch_share_below_break(height: Numbers, broken_height: Numbers, crown_ratio: Numbers) -> Numbers:
    """Share of the branches that is left on a tree whose top broke off; branches are even along the crown.

    ``base = height - broken crown base``; ``share = (broken_height - crown base) / crown length``

    Parameters
    ----------
    height : float or ndarray
        Of the tree when it was whole, > 0. [m]
    broken_height : float or ndarray
        Where the top broke off, > 0, at most ``height``. [m]
    crown_ratio : float or ndarray
        Length of the crown that is left over ``broken_height``, 0 to 1. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape, 0 to 1. [-]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Examples
    --------
    White oak of worked example 4 in [1]_:

    >>> round(branch_share_below_break(65.0, 59.0, 0.30), 6)
    0.746835

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024.
    """
    require_positive(height=height, broken_height=broken_height)
    require_share(crown_ratio=crown_ratio)
    crown_base = broken_height * (1 - crown_ratio)
    return crown_share_below(height, crown_base, broken_height)


def crown_share_below(height: Numbers, crown_base: Numbers, limit: Numbers) -> Numbers:
    """Share of the crown's branches that is attached between the crown base and a limit above it.

    ``share = (limit - crown_base) / (height - crown_base)``

    Parameters
    ----------
    height : float or ndarray
        Of the tree, > 0. [m]
    crown_base : float or ndarray
        Height of the lowest living limbs, >= 0, below ``height``. [m]
    limit : float or ndarray
        From ``crown_base`` to ``height``. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape, 0 to 1. [-]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Notes
    -----
    The rule behind the broken-top share of [1]_: branches are spread evenly along the crown.

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024.
    """
    require_positive(height=height)
    require_non_negative(crown_base=crown_base)
    if not np.all(np.asarray(crown_base) < height):
        raise ValueError(f"crown_base must be below height {height}, got {crown_base}")
    if not np.all((np.asarray(limit) >= crown_base) & (np.asarray(limit) <= height)):
        raise ValueError(f"limit must lie from crown_base {crown_base} to height {height}, got {limit}")
    return (limit - crown_base) / (height - crown_base)
