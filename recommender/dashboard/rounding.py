"""Numbers as they stand in a grid: short enough to read, while the stored value stays until the cell is changed."""

from __future__ import annotations

from typing import Any

from catalog_schema.columns import Column
from catalog_schema.units import UnitSystem, common_fraction, from_si, unit_of

DECIMALS, SMALL, SMALL_DIGITS = 2, 0.1, 3


def is_in_fractions(column: Column, system: UnitSystem) -> bool:
    """Whether people write the column as fractions of an inch: diameters of gear in US units."""
    return column.kind == "size" and unit_of("size", system) == "in" and column.sort == "number"


def rounded(number: float) -> float:
    """A number with two decimals, or with three digits if it is small.

    >>> rounded(44.8056), rounded(0.0123456), rounded(25.0)
    (44.81, 0.0123, 25.0)
    """
    return round(number, DECIMALS) if abs(number) >= SMALL else float(f"{number:.{SMALL_DIGITS}g}")


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
    fraction = common_fraction(shown) if is_in_fractions(column, system) else ""
    return fraction or f"{rounded(shown):.12g}"


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
