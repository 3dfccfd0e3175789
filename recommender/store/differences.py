"""What differs between two plans, or between two states of one: documents, rows of tables, lines of texts."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher, unified_diff
from typing import Literal

from recommender.store.documents import Documents, Json

Manner = Literal["added", "removed", "changed"]
Row = Mapping[str, Json]

KEYS = ("id", "job", "name")
"""Columns that tell the rows of a table apart, the first that every row has with a value of its own."""


@dataclass(frozen=True)
class RowDifference:
    """A row that one side has alone, or the cells (column, before, after) in which it differs.

    Settings are one row without a name.
    """

    row: str
    manner: Manner
    cells: tuple[tuple[str, Json, Json], ...] = ()


@dataclass(frozen=True)
class Difference:
    """A document that one side has alone, or its rows or lines (marked ``+`` and ``-``) that differ."""

    document: str
    manner: Manner
    rows: tuple[RowDifference, ...] = ()
    lines: tuple[str, ...] = ()


def differences(before: Documents, after: Documents) -> tuple[Difference, ...]:
    """What has to be done to the first plan to get the second, by document.

    Examples
    --------
    >>> changed, = differences({"work": [{"job": "tops", "share": 1}]}, {"work": [{"job": "tops", "share": 0.5}]})
    >>> changed.document, changed.rows[0].row, changed.rows[0].cells
    ('work', 'tops', (('share', 1, 0.5),))
    """
    names = sorted(before.keys() | after.keys())
    return tuple(one for name in names if (one := _difference(name, before, after)) is not None)


def _difference(name: str, before: Documents, after: Documents) -> Difference | None:
    if name not in before:
        return Difference(name, "added")
    if name not in after:
        return Difference(name, "removed")
    old, new = before[name], after[name]
    if old == new:
        return None
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        return Difference(name, "changed", rows=(RowDifference("", "changed", _cells(old, new)),))
    old_rows, new_rows = rows_of(old), rows_of(new)
    if old_rows is not None and new_rows is not None:
        return Difference(name, "changed", rows=tuple(_row_differences(old_rows, new_rows)))
    return Difference(name, "changed", lines=_lines(old, new))


def rows_of(document: Json) -> list[Row] | None:
    """The rows of a table, if the document is one."""
    if isinstance(document, str) or not isinstance(document, Sequence):
        return None
    rows = [row for row in document if isinstance(row, Mapping)]
    return rows if len(rows) == len(document) else None


def _row_differences(old: list[Row], new: list[Row]) -> Iterator[RowDifference]:
    key = row_key(old, new)
    if key is None:
        yield from _by_place(old, new)
        return
    was, now = {str(row[key]): row for row in old}, {str(row[key]): row for row in new}
    for name in [*was, *(name for name in now if name not in was)]:
        if name not in now:
            yield RowDifference(name, "removed")
        elif name not in was:
            yield RowDifference(name, "added")
        elif cells := _cells(was[name], now[name]):
            yield RowDifference(name, "changed", cells)
    if was.keys() == now.keys() and list(was) != list(now):
        yield RowDifference("order of the rows", "changed")


def row_key(*tables: Sequence[Row]) -> str | None:
    """The column by which the rows of all these tables are told apart, if there is one."""
    for key in KEYS:
        if all(len({str(row.get(key) or "") for row in rows} - {""}) == len(rows) for rows in tables):
            return key
    return None


def _by_place(old: list[Row], new: list[Row]) -> Iterator[RowDifference]:
    """Rows without names of their own: those alike are matched in order, the rest by place."""
    was, now = ([json.dumps(row, sort_keys=True) for row in rows] for rows in (old, new))
    for what, a, b, c, d in SequenceMatcher(None, was, now, autojunk=False).get_opcodes():
        if what == "equal":
            continue
        both = min(b - a, d - c)
        for place in range(both):
            yield RowDifference(f"row {c + place + 1}", "changed", _cells(old[a + place], new[c + place]))
        yield from (RowDifference(f"row {place + 1}", "removed") for place in range(a + both, b))
        yield from (RowDifference(f"row {place + 1}", "added") for place in range(c + both, d))


def _cells(old: Row, new: Row) -> tuple[tuple[str, Json, Json], ...]:
    """Cells that differ; a cell that is not there is blank."""
    names = dict.fromkeys([*old, *new])
    return tuple((name, old.get(name), new.get(name)) for name in names if old.get(name) != new.get(name))


def _lines(old: Json, new: Json) -> tuple[str, ...]:
    was, now = (one if isinstance(one, str) else json.dumps(one, indent=1) for one in (old, new))
    marked = list(unified_diff(was.splitlines(), now.splitlines(), lineterm="", n=0))
    return tuple(line for line in marked[2:] if not line.startswith("@@"))
