"""Kinds of quantity in the tables, and conversion between a written unit and SI (see ``units.txt``)."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import ceil, floor
from typing import Literal

import pint

UnitSystem = Literal["metric", "us"]


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: the SI unit that is stored, and the units offered to people.

    ``metric`` and ``us`` are the units of the templates and of the screen; any other unit of the same
    dimension may be written in a table.
    """

    name: str
    si: str
    metric: str
    us: str
    decimals: int = 1


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("force", "N", "kN", "lbf"),
        Kind("size", "m", "mm", "in", 2),
        Kind("stem", "m", "cm", "in"),
        Kind("length", "m", "m", "ft"),
        Kind("mass", "kg", "kg", "lb"),
        Kind("line_mass", "kg/m", "g/m", "lb/hft"),
        Kind("density", "kg/m**3", "kg/m**3", "lb/ft**3"),
        Kind("share", "", "%", "%"),
        Kind("angle", "rad", "deg", "deg", 0),
        Kind("volume", "m**3", "m**3", "ft**3", 3),
        Kind("stiffness", "N/m", "kN/m", "lbf/ft"),
        Kind("speed", "m/s", "m/s", "ft/s"),
        Kind("duration", "s", "min", "min"),
        Kind("age", "s", "yr", "yr"),
        Kind("price_per_length", "1/m", "1/m", "1/ft", 2),
    )
}


class UnitError(ValueError):
    """A unit that is unknown or of another kind; the message says which units would do."""


@cache
def registry() -> pint.UnitRegistry[float]:
    """The one registry of the project, with the units of ``units.txt`` only."""
    text = files("catalog_schema").joinpath("units.txt").read_text(encoding="utf-8")
    return pint.UnitRegistry([line for line in text.splitlines() if line and not line.startswith("#")])


def _spelled(unit: str) -> str:
    """A unit as people write it (``kg/100 m``, ``lb/100ft``, ``″``), in the registry's spelling."""
    text = (
        unit.strip()
        .replace("²", "**2")
        .replace("³", "**3")
        .replace("^", "**")
        .replace("″", "in")
        .replace("′", "ft")
    )
    if text in ('"', "''"):
        return "in"
    if text == "'":
        return "ft"
    compact = text.replace(" ", "")
    compact = compact.replace("/100ft", "/hft").replace("/100m", "/hm")
    return compact.replace("%", "percent")


@cache
def scale_to_si(unit: str, kind: str) -> float:
    """Factor that turns a value in ``unit`` into the SI unit of ``kind``.

    Raises
    ------
    UnitError
        If the unit is unknown, or measures something else.
    """
    wanted = KINDS[kind]
    ureg = registry()
    try:
        return float(ureg.Quantity(1.0, _spelled(unit)).to(wanted.si or "dimensionless").magnitude)
    except (
        Exception
    ) as error:  # pint raises many classes for text that is no unit: tokenizer and parser errors too
        offered = " or ".join(dict.fromkeys((wanted.metric, wanted.us)))
        raise UnitError(f"'{unit}' is not a unit of {kind.replace('_', ' ')}; write {offered}") from error


def to_si(value: float, unit: str, kind: str) -> float:
    """A value in ``unit`` as SI.

    >>> round(to_si(10_000, "lbf", "force"), 1)
    44482.2
    """
    return value * scale_to_si(unit, kind)


def from_si(value: float, unit: str, kind: str) -> float:
    """An SI value in ``unit``.

    >>> round(from_si(0.0127, "in", "size"), 12)
    0.5
    """
    return value / scale_to_si(unit, kind)


def unit_of(kind: str, system: UnitSystem) -> str:
    """The unit that a kind is shown in."""
    return KINDS[kind].us if system == "us" else KINDS[kind].metric


def unit_label(unit: str) -> str:
    """A unit as people read it: ``lb/100 ft`` for ``lb/hft``."""
    return unit.replace("hft", "100 ft").replace("hm", "100 m").replace("**3", "³")


Rounding = Literal["nearest", "up", "down"]
TENS = -1
"""Decimals of a force in pounds: to ten pounds, about as fine as a tenth of a kilonewton."""


SIXTEENTHS, NEAR, NOISE = 16, 0.01, 1e-9
"""Diameters of gear are written as fractions of an inch where one is within a hundredth of them."""


def common_fraction(inches: float, rounding: Rounding = "nearest") -> str:
    """A diameter as a common fraction of an inch; empty where none is near, or none on the side to round to.

    >>> common_fraction(0.5), common_fraction(1.125), common_fraction(2.0), common_fraction(12 / 25.4)
    ('1/2', '1 1/8', '2', '')
    >>> common_fraction(16 / 25.4), common_fraction(16 / 25.4, "down"), common_fraction(16 / 25.4, "up")
    ('5/8', '5/8', '')
    """
    near = Fraction(round(inches * SIXTEENTHS), SIXTEENTHS)
    over = float(near) / inches - 1 if inches else 0.0
    if (
        not near
        or abs(over) > NEAR
        or (rounding == "up" and over < -NOISE)
        or (rounding == "down" and over > NOISE)
    ):
        return ""
    whole, part = divmod(near, 1)
    return " ".join(str(one) for one in (whole, part) if one)


def show(
    value: float,
    kind: str,
    system: UnitSystem = "metric",
    decimals: int | None = None,
    rounding: Rounding = "nearest",
) -> str:
    """An SI value with its unit as text; loads are rounded up and ratings down by those who show them.

    Without ``decimals`` a diameter in inches is a common fraction where it is near one.

    >>> show(39_000.0, "force"), show(0.015875, "size", "us"), show(0.25, "share")
    ('39.0 kN', '5/8 in', '25.0 %')
    >>> show(3_140.0, "force", rounding="up"), show(3_190.0, "force", rounding="down")
    ('3.2 kN', '3.1 kN')
    >>> show(3_140.0, "force", "us", rounding="up"), show(3_140.0, "force", "us", 0)
    ('710 lbf', '706 lbf')
    """
    unit = unit_of(kind, system)
    places = KINDS[kind].decimals if decimals is None else decimals
    if unit == "lbf" and decimals is None:
        places = TENS
    shown = from_si(value, unit, kind)
    fraction = common_fraction(shown, rounding) if (kind, unit, decimals) == ("size", "in", None) else ""
    if fraction:
        return f"{fraction} {unit}"
    if rounding != "nearest":
        step = 10.0**places
        whole = shown * step * (1 - 1e-12 if rounding == "up" else 1 + 1e-12)
        shown = (ceil(whole) if rounding == "up" else floor(whole)) / step
    return f"{round(shown, places):,.{max(places, 0)}f} {unit_label(unit)}"
