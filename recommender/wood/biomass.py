"""Dry weight of whole trees and of their parts, from published equations by diameter, or diameter and height.

Two sets: Jenkins and others 2003 (diameter only; the authors report agreement of about +-30 % with other
sets; too heavy for short, open-grown trees) and Westfall and others 2024 (diameter and height, by group).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from recommender.sourced import FROM_MEMORY, Sourced, data_rows
from recommender.wood.density import water_density
from recommender.wood.domain import Numbers, require_non_negative, require_positive, require_share
from recommender.wood.species import WoodType
from recommender.wood.units import CENTIMETRE, FOOT, INCH, POUND

SMALLEST_DIAMETER = Sourced(
    2.5,
    "cm",
    FROM_MEMORY,
    note="smallest breast-height diameter that the equations of Jenkins and others cover",
)
WOODLAND_GROUP = 10
_SHARE_GROUP: dict[WoodType, str] = {"hardwood": "H", "softwood": "S"}


@dataclass(frozen=True)
class ComponentShares:
    """Shares of the parts in the dry mass above the ground; they add up to 1. [-]"""

    stem_wood: Numbers
    stem_bark: Numbers
    branches: Numbers
    foliage: Numbers


def coefficients(table: str, group: str) -> dict[str, float]:
    """Coefficients of one equation of ``recommender/data/biomass_equations.csv``.

    Parameters
    ----------
    table : str
        Column ``table``: ``J-total``, ``J-share`` or the supplement tables ``S1b`` to ``S9b``.
    group : str
        Column ``group_code``; for the shares of Jenkins and others the wood type and part, as ``S foliage``.

    Returns
    -------
    dict of str to float
        By the name of the coefficient.

    Raises
    ------
    ValueError
        If the table has no equation for the group. Woodland species (group 10: junipers, pinyons, mesquites,
        Gambel oak) have none by breast-height diameter and height.

    Examples
    --------
    >>> coefficients("J-total", "9")
    {'b0': -2.0127, 'b1': 2.4342}
    """
    found = _equations().get((table, group))
    if found is None:
        raise ValueError(f"group must be one that table {table} has an equation for, got {group}")
    return found


@cache
def _equations() -> dict[tuple[str, str], dict[str, float]]:
    names = ("b0", "b1", "a", "b", "c", "alpha", "beta")
    equations = {}
    for row in data_rows("biomass_equations.csv"):
        part = row["equation_id"].split("-")[-1] if row["table"] == "J-share" else ""
        group = f"{row['group_code']} {part}".strip()
        equations[row["table"], group] = {name: float(row[name]) for name in names if row[name]}
    return equations


def allometric(table: str, group: int, diameter: Numbers, height: Numbers) -> Numbers:
    """Result of the group equation ``a * D**b * H**c`` in the unit of its table.

    Parameters
    ----------
    table : str
        ``S1b``, ``S2b``, ``S3b`` (volumes, ft3) or ``S6b`` to ``S9b`` (dry weights, lb).
    group : int
        Species group, 1 to 9. [-]
    diameter : float or ndarray
        At breast height, outside bark, > 0. [m]
    height : float or ndarray
        Of the tree, > 0. [m]

    Returns
    -------
    float or ndarray
        Broadcast shape. [ft3 or lb, as the table]

    Raises
    ------
    ValueError
        If a size is not positive or the table has no equation for the group.

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024, supplement.
    """
    require_positive(diameter=diameter, height=height)
    by_name = coefficients(table, str(group))
    inches, feet = diameter / INCH, height / FOOT
    return by_name["a"] * inches ** by_name["b"] * feet ** by_name["c"]


def total_dry_mass(group: int, diameter: Numbers) -> Numbers:
    """Dry mass of a tree above the ground, foliage included, from its diameter alone.

    ``mass = exp(b0 + b1 * ln(diameter in cm))``

    Parameters
    ----------
    group : int
        Species group, 1 to 10. [-]
    diameter : float or ndarray
        At breast height, >= 0.025. [m]

    Returns
    -------
    float or ndarray
        [kg dry]

    Raises
    ------
    ValueError
        If the diameter is below the range of the equations or the group is unknown.

    Examples
    --------
    A beech or oak of 30 cm:

    >>> round(float(total_dry_mass(9, 0.30)), 1)
    526.6

    References
    ----------
    .. [1] Jenkins and others, Forest Science 49(1):12-35, 2003.
    """
    centimetres = _within_range(diameter)
    by_name = coefficients("J-total", str(group))
    mass: Numbers = np.exp(by_name["b0"] + by_name["b1"] * np.log(centimetres))
    return mass


def component_shares(wood_type: WoodType, diameter: Numbers) -> ComponentShares:
    """Shares of stem wood, stem bark, branches and foliage in the dry mass above the ground.

    ``share = exp(b0 + b1 / diameter in cm)``; branches are the rest.

    Parameters
    ----------
    wood_type : {"hardwood", "softwood"}
    diameter : float or ndarray
        At breast height, >= 0.025. [m]

    Returns
    -------
    ComponentShares
        Each of the shape of ``diameter``. [-]

    Raises
    ------
    ValueError
        If the diameter is below the range of the equations.

    Examples
    --------
    >>> shares = component_shares("softwood", 0.508)
    >>> round(float(shares.branches), 4), round(float(shares.foliage), 4)
    (0.1592, 0.0567)

    References
    ----------
    .. [1] Jenkins and others, Forest Science 49(1):12-35, 2003.
    """
    centimetres = _within_range(diameter)

    def share(part: str) -> Numbers:
        by_name = coefficients("J-share", f"{_SHARE_GROUP[wood_type]} {part}")
        value: Numbers = np.exp(by_name["b0"] + by_name["b1"] / centimetres)
        return value

    wood, bark, foliage = share("stem_wood"), share("stem_bark"), share("foliage")
    return ComponentShares(wood, bark, 1 - wood - bark - foliage, foliage)


def _within_range(diameter: Numbers) -> Numbers:
    require_positive(diameter=diameter)
    if not np.all(np.asarray(diameter) >= SMALLEST_DIAMETER.value * CENTIMETRE):
        raise ValueError(f"diameter must be at least {SMALLEST_DIAMETER.value} cm, got {diameter} m")
    return diameter / CENTIMETRE


def branch_dry_mass(group: int, diameter: Numbers, height: Numbers, specific_gravity: Numbers) -> Numbers:
    """Dry mass of all branches with their bark (table S7b): ``a * D**b * H**c * specific_gravity``.

    Parameters
    ----------
    group : int
        Species group, 1 to 9. [-]
    diameter, height : float or ndarray
        At breast height, outside bark; of the tree; > 0. [m]
    specific_gravity : float or ndarray
        Basic, of the wood, > 0; with green density over that of water instead, the result is green mass. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg dry]

    Raises
    ------
    ValueError
        If an argument is not positive or there is no equation for the group.

    Examples
    --------
    Tanoak, 11.3 in, 28 ft (worked example 3 of [1]_: 226.788 lb):

    >>> round(branch_dry_mass(8, 11.3 * INCH, 28 * FOOT, 0.58) / POUND, 2)
    226.79

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024.
    """
    require_positive(specific_gravity=specific_gravity)
    return allometric("S7b", group, diameter, height) * specific_gravity * POUND


def total_dry_mass_by_height(
    group: int, diameter: Numbers, height: Numbers, specific_gravity: Numbers
) -> Numbers:
    """Dry mass above the ground without foliage (table S8b): ``a * D**b * H**c * specific_gravity``.

    Parameters, errors and reference as in :func:`branch_dry_mass`.

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg dry]
    """
    require_positive(specific_gravity=specific_gravity)
    return allometric("S8b", group, diameter, height) * specific_gravity * POUND


def stem_bark_dry_mass(group: int, diameter: Numbers, height: Numbers) -> Numbers:
    """Dry mass of the bark of a stem (table S6b); arguments, errors as in :func:`allometric`. [kg dry]"""
    return allometric("S6b", group, diameter, height) * POUND


def foliage_dry_mass(group: int, diameter: Numbers, height: Numbers) -> Numbers:
    """Dry mass of leaves or needles (table S9b); arguments and errors as in :func:`allometric`. [kg dry]"""
    return allometric("S9b", group, diameter, height) * POUND


def wood_dry_mass(
    volume: Numbers, specific_gravity: Numbers, cull_share: Numbers = 0.0, density_left: Numbers = 1.0
) -> Numbers:
    """Dry mass of stem wood, less what rot has taken.

    ``mass = volume * specific_gravity * water * (1 - cull_share * (1 - density_left))``

    Parameters
    ----------
    volume : float or ndarray
        Of wood, inside bark, >= 0. [m3]
    specific_gravity : float or ndarray
        Basic, > 0. [-]
    cull_share : float or ndarray
        Share of the volume that is rotten, 0 to 1. [-]
    density_left : float or ndarray
        Share of its density that rotten wood keeps, 0 to 1; [1]_ takes 0.54 for hardwoods. [-]

    Returns
    -------
    float or ndarray
        Broadcast shape. [kg dry]

    Raises
    ------
    ValueError
        If an argument is outside its domain.

    Notes
    -----
    Rot holds water: for choosing gear a green piece is not reckoned lighter for it.

    Examples
    --------
    Red maple of worked example 2 in [1]_, 3 % cull: 284.2656 lb.

    >>> from recommender.wood.units import CUBIC_FOOT
    >>> round(wood_dry_mass(9.427112777611 * CUBIC_FOOT, 0.49, 0.03, 0.54) / POUND, 4)
    284.2656

    References
    ----------
    .. [1] Westfall and others, USDA Forest Service Gen. Tech. Rep. WO-104, 2024.
    """
    require_non_negative(volume=volume)
    require_positive(specific_gravity=specific_gravity)
    require_share(cull_share=cull_share, density_left=density_left)
    return volume * specific_gravity * water_density() * (1 - cull_share * (1 - density_left))
