"""What differs between two plans, or two states of one, as rows of a table for the screen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from catalog_schema.units import UnitSystem
from recommender.charts.words import headline
from recommender.dashboard.records import shown_cell
from recommender.dashboard.rounding import in_grid
from recommender.dashboard.sheets import SHEETS, Sheet
from recommender.store import Difference, Json

Row = dict[str, Any]


def difference_rows(
    found: Iterable[Difference], system: UnitSystem, first: str = "Before", second: str = "After"
) -> list[Row]:
    """Every cell that differs, with what it is on either side, in the user's units."""
    return [row for one in found for row in _of(one, system, first, second)]


def changes_in_words(one: Difference) -> str:
    """How many rows of a table are new, changed, taken out, and of those changed how many retire.

    >>> from recommender.store import differences
    >>> now, then = [{"id": "R-1"}, {"id": "R-2"}], [{"id": "R-2", "retired_on": "2026-03-31"}]
    >>> changes_in_words(differences({"register": now}, {"register": then})[0])
    '1 changed, of them 1 retired; 1 not in the files any more'
    """
    told = {"added": "new", "changed": "changed", "removed": "not in the files any more"}
    retired = sum(any(name == "retired_on" and now for name, _, now in row.cells) for row in one.rows)
    counts = [(sum(row.manner == manner for row in one.rows), manner) for manner in told]
    said = [
        f"{count} {told[manner]}"
        + (f", of them {retired} retired" if manner == "changed" and retired else "")
        for count, manner in counts
        if count
    ]
    return "; ".join(said)


def _of(one: Difference, system: UnitSystem, first: str, second: str) -> Iterator[Row]:
    sheet = SHEETS.get(one.document)
    headings = sheet.headings(system) if sheet else {}
    place = sheet.title if sheet else headline(one.document.replace("/", ": "))
    if not one.rows:
        yield {"Where": place, "Row": "", "What": one.manner, first: "", second: "\n".join(one.lines)}
    for row in one.rows:
        if not row.cells:
            yield {"Where": place, "Row": row.row, "What": row.manner, first: "", second: ""}
        for column, before, after in row.cells:
            yield {
                "Where": place,
                "Row": row.row,
                "What": headline(headings.get(column, column)),
                **dict(zip((first, second), _cells(before, after, column, sheet, system), strict=True)),
            }


def _cells(before: Json, after: Json, name: str, sheet: Sheet | None, system: UnitSystem) -> tuple[str, str]:
    """Both sides of a cell, short as in a grid; with all digits where they would read the same."""
    column = sheet.columns.get(name) if sheet else None
    if column is None:
        return _cell(before), _cell(after)
    short = _cell(in_grid(before, column, system)), _cell(in_grid(after, column, system))
    if short[0] != short[1]:
        return short
    return _cell(shown_cell(before, column, system)), _cell(shown_cell(after, column, system))


def _cell(value: Json) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
