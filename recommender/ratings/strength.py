"""Published strength tables and sling geometry: what a bend, a hitch, an angle or a side load leaves.

The tables stand in ``data/strength_factors.csv``, each row with its source. An angle that falls between two rows of a
table takes the lower factor.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import radians

import numpy as np
from numpy.typing import NDArray

from catalog_schema.units import to_si
from recommender.physics.domain import Values, plain, require_finite, require_non_negative, require_within
from recommender.sourced import data_rows

STRAIGHT_ANGLE = radians(180)
RIGHT_ANGLE = radians(90)


def bend_factor(bend_ratio: Values, ratios: Sequence[float], factors: Sequence[float]) -> Values:
    """Share of a rope's strength left over a bend, straight between the rows of a table.

    Parameters
    ----------
    bend_ratio : float or array
        Diameter of the bend over the diameter of the rope, not below the first row. [-]
    ratios, factors : sequence of float
        The table: ratios that rise, and the share left at each. [-]

    Returns
    -------
    float or array
        Share of the strength, the last row's above the last ratio; shape of ``bend_ratio``. [-]

    Raises
    ------
    ValueError
        If a ratio lies below the first row: such a bend is refused, not rated.

    Examples
    --------
    >>> round(float(bend_factor(5.0, (1, 4, 6), (0.5, 0.8, 0.9))), 6)
    0.85
    """
    require_finite(bend_ratio=bend_ratio)
    if np.any(np.less(bend_ratio, ratios[0])):
        raise ValueError(f"bend_ratio must not be below {ratios[0]:g}, not {float(np.min(bend_ratio)):g}")
    return plain(np.interp(bend_ratio, ratios, factors))


def choke_angle_factor(choke_angle: Values) -> Values:
    """Share of the choker rating left at an angle of choke.

    Parameters
    ----------
    choke_angle : float or array
        Angle between the sling's two parts at the choke, 0 to pi. [rad]

    Returns
    -------
    float or array
        Factor on the choker rating, not on the vertical one; shape of ``choke_angle``. [-]

    Raises
    ------
    ValueError
        If an angle lies outside 0 to pi.

    Examples
    --------
    ASME B30.9 angle-of-choke table: 0.87 from 90 to 120 degrees; 120.5 lies in a gap.

    >>> choke_angle_factor(radians(120)), choke_angle_factor(radians(120.5)), choke_angle_factor(radians(75))
    (0.87, 0.87, 0.74)
    """
    require_within(0.0, STRAIGHT_ANGLE, choke_angle=choke_angle)
    low, _, factor = _bands("choke_angle")
    return plain(factor[np.searchsorted(low, choke_angle, side="right") - 1])


def side_load_factor(side_angle: Values) -> Values:
    """Share of a shackle's working load limit left when it is pulled out of line.

    Parameters
    ----------
    side_angle : float or array
        Angle of the pull from the shackle's long axis, 0 to pi/2. [rad]

    Returns
    -------
    float or array
        Factor on the working load limit; shape of ``side_angle``. [-]

    Raises
    ------
    ValueError
        If an angle lies outside 0 to pi/2.

    Examples
    --------
    ASME B30.26: 0.70 from 6 to 45 degrees; 5.5 lies in a gap.

    >>> side_load_factor(radians(45)), side_load_factor(radians(5.5)), side_load_factor(0.0)
    (0.7, 0.7, 1.0)
    """
    require_within(0.0, RIGHT_ANGLE, side_angle=side_angle)
    _, high, factor = _bands("side_load")
    return plain(factor[np.searchsorted(high, side_angle, side="left")])


def leg_angle_factor(leg_angle: Values) -> Values:
    """Share of its straight rating that an inclined sling leg gives upwards: ``sin(leg_angle)``.

    Parameters
    ----------
    leg_angle : float or array
        Angle of the leg from the horizontal, 30 degrees to pi/2. [rad]

    Returns
    -------
    float or array
        Factor; shape of ``leg_angle``. [-]

    Raises
    ------
    ValueError
        If an angle lies outside its range: sling instruction sheets forbid less than 30 degrees.

    Examples
    --------
    Sling instruction sheet, effect of angle: 0.866 at 60 degrees.

    >>> round(leg_angle_factor(radians(60)), 3)
    0.866
    """
    require_within(radians(_value("leg_angle", "minimum")), RIGHT_ANGLE, leg_angle=leg_angle)
    return plain(np.sin(leg_angle))


def leg_tension(load: Values, legs: Values, leg_angle: Values) -> Values:
    """Tension of each leg that shares a load evenly: ``load / (legs * sin(leg_angle))``.

    Parameters
    ----------
    load : float or array
        Weight carried, >= 0. [N]
    legs : int or array of int
        Legs that carry, >= 1. [-]
    leg_angle : float or array
        Angle of the legs from the horizontal, 30 degrees to pi/2. [rad]

    Returns
    -------
    float or array
        Tension, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    Sling instruction sheet: factor 1.742 at 35 degrees.

    >>> round(leg_tension(1.0, 1, radians(35)), 2)
    1.74
    """
    require_non_negative(load=load)
    require_within(1.0, np.inf, legs=legs)
    return plain(np.divide(load, legs) / leg_angle_factor(leg_angle))


def basket_factor(leg_angle: Values) -> Values:
    """Rating of a basket hitch over the straight one: ``2 * sin(leg_angle)``.

    Parameters
    ----------
    leg_angle : float or array
        Angle of the legs from the horizontal, 30 degrees to pi/2. [rad]

    Returns
    -------
    float or array
        Factor; shape of ``leg_angle``. [-]

    Raises
    ------
    ValueError
        If an angle lies outside its range.

    Examples
    --------
    AS 4497 load table: 1.73 at 60 degrees between the legs.

    >>> round(basket_factor(radians(60)), 2)
    1.73
    """
    return plain(2 * np.asarray(leg_angle_factor(leg_angle)))


def choker_factor(material: str) -> float:
    """Choker rating over the straight one of a sling whose tag gives no choker rating.

    Parameters
    ----------
    material : {"textile", "natural", "wire"}
        Synthetic textile, natural fibre rope or wire rope.

    Returns
    -------
    float
        Factor. [-]

    Raises
    ------
    ValueError
        If there is no such material.

    Examples
    --------
    OSHA 29 CFR 1918 Appendix II, Table 2.

    >>> choker_factor("natural")
    0.5
    """
    return _value("choker", material)


def mode_factor(mode: str) -> float:
    """Rating of a textile sling in a mode of use over its straight rating, by EN 1492.

    Parameters
    ----------
    mode : str
        ``straight``, ``choked``, ``basket_parallel``, ``two_legs_45``, ``two_legs_60``, ``four_legs_45`` or
        ``four_legs_60``: legs at most 45 or 60 degrees from the vertical.

    Returns
    -------
    float
        Factor. [-]

    Raises
    ------
    ValueError
        If there is no such mode.

    Examples
    --------
    >>> mode_factor("two_legs_45")
    1.4
    """
    return _value("mode", mode)


def termination_efficiency(rope: str, termination: str) -> float:
    """Published share of a rope's strength left at a knot, hitch or splice.

    The ratings use the policy's lower figures; these show where they come from.

    Parameters
    ----------
    rope : {"laid", "hmpe", "new"}
        Old laid rope, twelve-strand HMPE, or new rope as tested for the Cordage Institute.
    termination : str
        Such as ``bowline`` or ``cow hitch``.

    Returns
    -------
    float
        Share of the strength, the lower end where a range is printed. [-]

    Raises
    ------
    ValueError
        If there is no such row.

    Examples
    --------
    >>> termination_efficiency("laid", "bowline"), termination_efficiency("hmpe", "bowline")
    (0.6, 0.33)
    """
    return _value("termination", f"{rope}: {termination}")


def shackle_wll(grade: str, size: str) -> float:
    """Working load limit of a bow shackle by grade and size.

    Parameters
    ----------
    grade : {"carbon", "alloy", "grade S"}
        Steel or grade.
    size : str
        Size as printed, such as ``3/8 in`` or ``10 mm``.

    Returns
    -------
    float
        Working load limit; a ton of the table is a short ton, the lower reading. [N]

    Raises
    ------
    ValueError
        If there is no such row.

    Examples
    --------
    >>> round(shackle_wll("carbon", "3/8 in"))
    8896
    """
    return to_si(_value("shackle_wll", f"{grade} {size}"), "stf", "force")


def unmarked_shackle_wll(wire_diameter: Values) -> Values:
    """Working load limit of a shackle without marks by the field formula ``3 * D^2`` (short tons, inches).

    About a third of the table's value for marked shackles. US Navy, Steelworker Vol. 2, NAVEDTRA 14251, Fig. 6-28.

    Parameters
    ----------
    wire_diameter : float or array
        Diameter of the shackle's wire, >= 0. [m]

    Returns
    -------
    float or array
        Working load limit; shape of ``wire_diameter``. [N]

    Raises
    ------
    ValueError
        If the diameter is negative or not finite.

    Examples
    --------
    5/8 in: 2343.8 lbf (as printed).

    >>> from catalog_schema.units import from_si
    >>> round(from_si(unmarked_shackle_wll(to_si(0.625, "in", "size")), "lbf", "force"), 1)
    2343.8
    """
    require_non_negative(wire_diameter=wire_diameter)
    inches = np.asarray(wire_diameter) / to_si(1.0, "in", "size")
    return plain(_value("field_formula", "unmarked shackle") * np.square(inches) * to_si(1.0, "stf", "force"))


@cache
def _bands(topic: str) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Low ends, high ends (both in radians) and factors of a table of angles, in rising order."""
    rows = [row for row in data_rows("strength_factors.csv") if row["topic"] == topic]
    columns = np.array(
        [[radians(float(row["low"])), radians(float(row["high"])), float(row["value"])] for row in rows]
    )
    return columns[:, 0], columns[:, 1], columns[:, 2]


@cache
def _values() -> dict[tuple[str, str], float]:
    return {(row["topic"], row["item"]): float(row["value"]) for row in data_rows("strength_factors.csv")}


def _value(topic: str, item: str) -> float:
    values = _values()
    if (topic, item) not in values:
        known = ", ".join(name for group, name in values if group == topic)
        raise ValueError(f"no {topic.replace('_', ' ')} row for '{item}'; there are: {known}")
    return values[topic, item]
