"""Rows of a declared table while they are edited: cells in SI that may still be wrong, shown in the user's units.

A cell that can't be read as what its column holds stays the text that was written, is shown as such, and is told as a
problem by whoever checks the rows: nothing that was typed or handed in is lost.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from math import inf, nextafter
from typing import Any

from catalog_schema.columns import Column, split_heading
from catalog_schema.fields import example_of, word, yes_or_no
from catalog_schema.grids import Cell
from catalog_schema.numbers import POINT, Marks
from catalog_schema.rows import value_of
from catalog_schema.templates import example_row
from catalog_schema.units import UnitSystem, from_si, to_si, unit_of
from recommender.dashboard.rounding import as_before, in_grid
from recommender.dashboard.sheets import Sheet
from recommender.store import Record, Rows, records_of
from recommender.work.register import read_day

Delta = Mapping[str, Any]
"""What an editor reports: ``edited_rows``, ``added_rows`` and ``deleted_rows`` against the rows it was given."""

FIRST_ROW = 2
"""The number of the first row below the header of a file: rows have the same number everywhere."""
DIGITS, EVERY_DIGIT = 12, 17
NUMBERS = ("number", "whole")
_COUNTED = re.compile(r"(.*?)(\d*)", re.DOTALL)


def shown_rows(sheet: Sheet, records: Sequence[Record], system: UnitSystem) -> list[dict[str, Any]]:
    """The rows as a grid shows them in the user's units, each cell under its heading.

    >>> from recommender.dashboard.sheets import SHEETS
    >>> shown_rows(SHEETS["work"], [{"job": "tops", "diameter": 0.25}], "metric")[0]["diameter [cm]"]
    '25'
    """
    return _in_words(sheet, records, system, in_grid)


def _in_words(
    sheet: Sheet,
    records: Sequence[Record],
    system: UnitSystem,
    shown: Callable[[Any, Column, UnitSystem], Any],
) -> list[dict[str, Any]]:
    headings = sheet.headings(system)
    return [
        {text: shown(record.get(name), sheet.columns[name], system) for name, text in headings.items()}
        for record in records
    ]


def rows_to_check(sheet: Sheet, records: Sequence[Record], system: UnitSystem) -> list[dict[str, Any]]:
    """The rows as they are checked; a row in which nothing was written yet is blank, and keeps its place."""
    return [
        row if is_begun(sheet, record) else dict.fromkeys(row)
        for record, row in zip(records, _in_words(sheet, records, system, _in_full), strict=True)
    ]


def is_begun(sheet: Sheet, record: Record) -> bool:
    """Whether any cell that every row needs is filled."""
    return any(
        record.get(name) not in (None, "") for name, column in sheet.columns.items() if column.is_required
    )


def text_columns(sheet: Sheet, records: Sequence[Record]) -> frozenset[str]:
    """Columns that are shown as text: all of numbers, and those of days or yes and no with a cell that is neither."""
    return frozenset(
        name
        for name, column in sheet.columns.items()
        if column.sort in NUMBERS
        or (
            column.sort in ("date", "yes_no")
            and any(
                _is_unread(record[name], column) for record in records if record.get(name) not in (None, "")
            )
        )
    )


def _is_unread(cell: Any, column: Column) -> bool:
    return day_of(cell) is None if column.sort == "date" else not isinstance(cell, bool)


def day_of(cell: Any) -> date | None:
    """The day that a cell names, or None.

    >>> day_of("2026-03-31"), day_of("last spring")
    (datetime.date(2026, 3, 31), None)
    """
    try:
        return date.fromisoformat(cell) if isinstance(cell, str) else None
    except ValueError:
        return None


def edited(sheet: Sheet, records: Sequence[Record], delta: Delta, system: UnitSystem) -> Rows:
    """The rows after what an editor reports.

    Parameters
    ----------
    sheet : Sheet
    records : sequence of mapping
        The rows that the editor was given.
    delta : mapping
        ``edited_rows`` (place to cells), ``added_rows`` and ``deleted_rows``; cells by heading, in the user's units.
    system : str
        The user's units.

    Returns
    -------
    tuple of mapping
    """
    rows = [dict(record) for record in records]
    for place, cells in delta.get("edited_rows", {}).items():
        row = rows[int(place)]
        typed = {split_heading(text)[0]: cell for text, cell in cells.items()}
        for name, cell in _stored_cells(sheet, cells, system).items():
            row[name] = as_before(row.get(name), typed[name], cell, sheet.columns[name], system)
    gone = set(delta.get("deleted_rows", ()))
    kept = [row for place, row in enumerate(rows) if place not in gone]
    added = [
        dict.fromkeys(sheet.columns) | _stored_cells(sheet, cells, system)
        for cells in delta.get("added_rows", ())
    ]
    return (*kept, *added)


def change_in_words(sheet: Sheet, before: Sequence[Record], after: Sequence[Record]) -> str:
    """What an edit did to the rows of a table, in a few words for the history."""
    said = []
    if len(after) >= len(before):
        for place, (old, new) in enumerate(zip(before, after, strict=False)):
            cells = [name.replace("_", " ") for name in sheet.columns if old.get(name) != new.get(name)]
            name = str(old.get(sheet.key) or f"row {place + FIRST_ROW}")
            said += [f"{', '.join(cells)} of {name}"] if cells else []
    more = len(after) - len(before)
    if more:
        manner = "added" if more > 0 else "taken out"
        said.append(f"{abs(more)} {sheet.one}{'' if abs(more) == 1 else 's'} {manner}")
    return f"{sheet.title}: {'; '.join(said) or 'no change'}"


def used_columns(sheet: Sheet, records: Sequence[Record]) -> tuple[str, ...]:
    """Columns that every row needs, and those in which a row says something else than the default."""
    return tuple(
        name
        for name, column in sheet.columns.items()
        if column.is_required
        or any(record.get(name) not in (None, "", [], sheet.defaults[name]) for record in records)
    )


def with_example(sheet: Sheet, records: Sequence[Record], **own: object) -> Rows:
    """The rows and one more of the declared examples, to be changed; its name is one that is not taken.

    Parameters
    ----------
    sheet : Sheet
    records : sequence of mapping
    **own
        Cells of the new row, in SI, that go before the examples.
    """
    example = str(own.get(sheet.key) or example_of(sheet.model.model_fields[sheet.key]))
    name = next_name(example, [str(record.get(sheet.key) or "") for record in records])
    named = {sheet.key: name} if sheet.names_itself else {}
    return (*records, *records_of([example_row(sheet.model, "metric", **{**own, **named})]))


def next_name(example: str, taken: Sequence[str]) -> str:
    """The name, or one like it that is not taken: counted up where it ends in a number, else with a number behind it.

    >>> next_name("R-001", ["R-001", "R-016"]), next_name("tops", ["Tops"]), next_name("tops", [])
    ('R-017', 'tops 2', 'tops')
    """
    used = {name.casefold() for name in taken}
    if example.casefold() not in used:
        return example
    start, number = _COUNTED.fullmatch(example).groups()  # type: ignore[union-attr]
    if not number:
        return next(
            f"{start} {count}"
            for count in range(2, len(used) + 3)
            if f"{start} {count}".casefold() not in used
        )
    alike = (found.groups() for name in used if (found := _COUNTED.fullmatch(name)) and found[2])
    last = max(int(counted) for begun, counted in alike if begun == start.casefold())
    return f"{start}{last + 1:0{len(number)}d}"


def read_cell(cell: Cell, column: Column, unit: str, marks: Marks = POINT) -> Any:
    """A cell as it is kept: in SI if it can be read in one way, else as it was written; None if it is blank."""
    if cell == "":
        return None
    try:
        value = value_of(cell, column, unit, marks)
        value = _as_kept(value, column)
    except ValueError:  # CellError is one
        return getattr(cell, "text", None) or str(cell)
    return list(value) if isinstance(value, tuple) else value


def _as_kept(value: object, column: Column) -> object:
    """One of the several ways to write a word, yes and no, or a day."""
    if column.sort == "choice":
        return word(value) if word(value) in column.choices else value
    if column.sort == "yes_no":
        return yes_or_no(value)
    if column.sort == "whole" and isinstance(value, float) and value.is_integer():
        return int(value)
    return str(read_day(value)) if column.sort == "date" else value


def shown_cell(value: Any, column: Column, system: UnitSystem, digits: int = DIGITS) -> Any:
    """A cell in the user's units with all digits that matter; a list as the text that would be read as it."""
    if isinstance(value, list):
        return "; ".join(f"{_in_units(one, column, system, digits):.{digits}g}" for one in value)
    if isinstance(value, bool) or not isinstance(value, int | float) or column.kind is None:
        return value
    return _in_units(value, column, system, digits)


def _in_full(value: Any, column: Column, system: UnitSystem) -> Any:
    return shown_cell(value, column, system, EVERY_DIGIT)


def _in_units(value: float, column: Column, system: UnitSystem, digits: int) -> float:
    """The value in the user's units; with every digit the number that is the same value again in SI."""
    kind = column.kind or "length"
    unit = unit_of(kind, system)
    shown = from_si(float(value), unit, kind)
    if digits < EVERY_DIGIT:
        return float(f"{shown:.{digits}g}")
    near = (shown, nextafter(shown, inf), nextafter(shown, -inf))
    return next((one for one in near if to_si(one, unit, kind) == value), shown)


def _stored_cells(sheet: Sheet, cells: Mapping[str, Any], system: UnitSystem) -> dict[str, Any]:
    """Cells by the name of their column, as they are kept; headings that name no column are left out."""
    named = ((sheet.columns.get(split_heading(text)[0]), cell) for text, cell in cells.items())
    return {column.name: _stored(cell, column, system) for column, cell in named if column is not None}


def _stored(cell: Any, column: Column, system: UnitSystem) -> Any:
    if cell is None:
        return None
    if isinstance(cell, int) and not isinstance(cell, bool):
        cell = float(cell)
    return read_cell(cell, column, unit_of(column.kind, system) if column.kind else "")
