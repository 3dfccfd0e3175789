"""A table as it is to be drawn: cells that carry their text and, where they are figures, their number too.

A workbook takes the number and its format, a page takes the text, so that both show the same rounded figure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from catalog_schema.units import UnitSystem, unit_label, unit_of


class Cell(NamedTuple):
    """What stands in a cell: its text and, for a figure, its number and how a spreadsheet shows it."""

    text: str
    number: float | None = None
    shown_as: str = ""


NOTHING = Cell("")


@dataclass(frozen=True)
class Heading:
    """The heading of a column, and its width as a share of the others' (about the letters that it has to hold)."""

    text: str
    width: float
    is_figure: bool = False


@dataclass(frozen=True)
class Table:
    """A table with its title and a sentence on how to read it."""

    title: str
    headings: tuple[Heading, ...]
    rows: tuple[tuple[Cell, ...], ...]
    about: str = ""

    def __bool__(self) -> bool:
        return bool(self.rows)


def figure(shown: str) -> Cell:
    """A figure whose unit stands in the heading.

    >>> figure("1,250.5 lbf")
    Cell(text='1,250.5', number=1250.5, shown_as='#,##0.0')
    """
    text = shown.split(" ")[0]
    decimals = len(text.partition(".")[2])
    return Cell(text, float(text.replace(",", "")), "#,##0" + ("." + "0" * decimals if decimals else ""))


def figure_or_nothing(value: float, shown: str) -> Cell:
    """A figure, or an empty cell where the value is nought: there is no such force."""
    return figure(shown) if value else NOTHING


def count(number: int) -> Cell:
    """A number of pieces."""
    return Cell(f"{number:,d}", float(number), "#,##0")


def price(value: float) -> Cell:
    """An amount of money whose currency stands in the heading."""
    return Cell(f"{value:,.2f}", value, "#,##0.00")


def share(shown: str, behind: str = "") -> Cell:
    """A percentage with a word behind it.

    >>> share("98 %", " locked")
    Cell(text='98 % locked', number=0.98, shown_as='0 %" locked"')
    >>> share("over")
    Cell(text='over', number=None, shown_as='')
    """
    if not shown.endswith(" %"):
        return Cell(shown + behind)
    return Cell(shown + behind, float(shown.removesuffix(" %")) / 100, f'0 %"{behind}"' if behind else "0 %")


def with_unit(name: str, kind: str, system: UnitSystem) -> str:
    """A heading with the unit of its column.

    >>> with_unit("line", "force", "us")
    'line [lbf]'
    """
    return f"{name} [{unit_label(unit_of(kind, system))}]"


def with_currency(name: str, currency: str) -> str:
    """A heading with the currency of its column."""
    return f"{name} [{currency}]" if currency else name


def texts(*values: str) -> tuple[Cell, ...]:
    """Cells of text."""
    return tuple(Cell(value) for value in values)


def without_empty_columns(table: Table, keep: Sequence[int] = ()) -> Table:
    """The table without columns in which nothing stands."""
    used = [k for k in range(len(table.headings)) if k in keep or any(row[k].text for row in table.rows)]
    headings = tuple(table.headings[k] for k in used)
    return Table(table.title, headings, tuple(tuple(row[k] for k in used) for row in table.rows), table.about)
