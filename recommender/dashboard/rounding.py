"""Numbers as they stand in a grid: short enough to read, while the stored value stays until the cell is changed."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from catalog_schema.columns import Column
from catalog_schema.units import UnitSystem, from_si, unit_of

DECIMALS, SMALL, SMALL_DIGITS = 2, 0.1, 3
SIXTEENTHS, NEAR = 16, 0.01
"""Diameters of gear are written as fractions of an inch where one is within a hundredth of them."""


def is_in_fractions(column: Column, system: UnitSystem) -> bool:
    """Whether people write the column as fractions of an inch: diameters of gear in US units."""
    return column.kind == "size" and unit_of("size", system) == "in" and column.sort == "number"


def rounded(number: float) -> float:
    """A number with two decimals, or with three digits if it is small.

    >>> rounded(44.8056), rounded(0.0123456), rounded(25.0)
    (44.81, 0.0123, 25.0)
    """
    return round(number, DECIMALS) if abs(number) >= SMALL else float(f"{number:.{SMALL_DIGITS}g}")


def in_inches(inches: float) -> str:
    """A diameter as a common fraction of an inch, or with two decimals where none is near.

    >>> in_inches(0.5), in_inches(1.125), in_inches(2.0), in_inches(12 / 25.4)
    ('1/2', '1 1/8', '2', '0.47')
    """
    near = Fraction(round(inches * SIXTEENTHS), SIXTEENTHS)
    if not near or abs(near - inches) > NEAR * inches:
        return f"{rounded(inches):g}"
    whole, part = divmod(near, 1)
    return " ".join(str(one) for one in (whole, part) if one)


def in_grid(value: Any, column: Column, system: UnitSystem) -> Any:
    """A cell (in SI) as a grid shows it: numbers and lists as the text that would be read as them.

    As text, since a cell for numbers drops what it can't use: ``9 ft`` would become 9 of the column's unit.
    """
    if isinstance(value, list):
        return "; ".join(in_grid(one, column, system) for one in value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    shown = float(value)
    if column.kind is not None:
        shown = from_si(shown, unit_of(column.kind, system), column.kind)
    return in_inches(shown) if is_in_fractions(column, system) else f"{rounded(shown):.12g}"


def as_before(old: Any, typed: Any, new: Any, column: Column, system: UnitSystem) -> Any:
    """What an edited cell holds: the old value, with every digit, where what was typed is what was shown of it.

    Parameters
    ----------
    old, new : cell
        In SI.
    typed : cell
        As the grid reports it.
    """
    if isinstance(old, list) and isinstance(new, list):
        looks = {in_grid(one, column, system): one for one in old}
        return [looks.get(in_grid(one, column, system), one) for one in new]
    is_number = isinstance(old, int | float) and not isinstance(old, bool)
    return old if is_number and typed == in_grid(old, column, system) else new
