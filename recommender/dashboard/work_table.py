"""The work mix while it is edited: rows of cells in SI that may still be wrong, shown in the user's units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from catalog_schema.columns import Column, columns_of, split_heading
from catalog_schema.units import UnitSystem, from_si, to_si, unit_of
from catalog_schema.writing import example_row, header_of
from recommender.work.tables import JobType, Technique

Record = Mapping[str, Any]
"""A row: name of a column of :class:`JobType` to its cell, quantities in SI; a blank cell is None."""

Delta = Mapping[str, Any]
"""What an editor reports: ``edited_rows``, ``added_rows`` and ``deleted_rows`` against the rows it was given."""

DIGITS = 12
SHARE_STEP = 0.001
"""Shares are evened out to tenths of a percent."""

COLUMNS: Mapping[str, Column] = columns_of(JobType)
DEFAULTS: Mapping[str, Any] = {
    name: None if field.is_required() else field.default for name, field in JobType.model_fields.items()
}

FIRST_SIZES: Mapping[Technique, Mapping[str, Any]] = {
    "lower": {"job": "pieces to lower"},
    "lift": {"job": "pieces to lift", "lift_height": 1.0},
    "catch": {
        "job": "pieces to catch",
        "length": 1.0,
        "slack": 0.1,
        "cut_to_redirect": 0.3,
        "tie_above_cut": 0.3,
        "run": 1.0,
        "clearance": 6.0,
    },
}
"""Invented sizes [m] that a new row starts with, beside the declared examples; they are there to be changed."""


def headings(system: UnitSystem) -> dict[str, str]:
    """Every column with its heading, as tables are written: ``diameter [cm]``."""
    return dict(zip(COLUMNS, header_of(JobType, system), strict=True))


def records_of(jobs: Iterable[JobType]) -> tuple[Record, ...]:
    """Job types as rows to edit."""
    return tuple({name: _blank_as_none(getattr(job, name)) for name in COLUMNS} for job in jobs)


def shown_rows(records: Sequence[Record], system: UnitSystem) -> list[dict[str, Any]]:
    """The rows in the user's units, each cell under its heading.

    >>> shown_rows([{"job": "tops", "diameter": 0.25}], "metric")[0]["diameter [cm]"]
    25.0
    """
    return [
        {text: _shown(record.get(name), COLUMNS[name], system) for name, text in headings(system).items()}
        for record in records
    ]


def rows_to_check(records: Sequence[Record], system: UnitSystem) -> list[dict[str, Any]]:
    """The rows as :func:`recommender.work.plan.jobs_from_rows` takes them.

    A row in which nothing that is needed has been written yet is blank, so that it is no fault but keeps its place.
    """
    return [
        row if is_begun(record) else dict.fromkeys(row)
        for record, row in zip(records, shown_rows(records, system), strict=True)
    ]


def is_begun(record: Record) -> bool:
    """Whether any cell that every job type needs is filled."""
    return any(record.get(name) not in (None, "") for name, column in COLUMNS.items() if column.is_required)


def edited(records: Sequence[Record], delta: Delta, system: UnitSystem) -> tuple[Record, ...]:
    """The rows after what an editor reports.

    Parameters
    ----------
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
        rows[int(place)].update(_stored(cells, system))
    gone = set(delta.get("deleted_rows", ()))
    kept = [row for place, row in enumerate(rows) if place not in gone]
    added = [dict.fromkeys(COLUMNS) | _stored(cells, system) for cells in delta.get("added_rows", ())]
    return (*kept, *added)


def used_columns(records: Sequence[Record]) -> tuple[str, ...]:
    """Columns that every job type needs, and those in which a row says something else than the default."""
    return tuple(
        name
        for name, column in COLUMNS.items()
        if column.is_required or any(record.get(name) not in (None, "", DEFAULTS[name]) for record in records)
    )


def with_example(records: Sequence[Record], technique: Technique) -> tuple[Record, ...]:
    """The rows and one more, ready to be changed, with a name that is not taken."""
    start = FIRST_SIZES[technique]
    taken = {str(record.get("job") or "").casefold() for record in records}
    names = (f"{start['job']}{'' if number == 1 else f' {number}'}" for number in range(1, len(records) + 2))
    name = next(name for name in names if name.casefold() not in taken)
    share = 0.1 if records else 1.0
    job = example_row(JobType, **{**start, "job": name, "technique": technique, "share": share})
    return (*records, *records_of([job]))  # type: ignore[list-item]


def share_sum(records: Sequence[Record]) -> float:
    """The shares of all rows together. [-]"""
    return sum(share for record in records if (share := _share(record)) is not None)


def evened_out(records: Sequence[Record]) -> tuple[Record, ...]:
    """The rows with shares that add up to 100 %, in tenths of a percent; as they are where no share is above 0.

    >>> [row["share"] for row in evened_out([{"share": 0.5}, {"share": 1.0}])]
    [0.333, 0.667]
    """
    total = share_sum(records)
    if total <= 0:
        return tuple(records)
    steps = [round((_share(record) or 0.0) / total / SHARE_STEP) for record in records]
    largest = max(range(len(steps)), key=steps.__getitem__)
    steps[largest] += round(1 / SHARE_STEP) - sum(steps)
    return tuple(
        {**record, "share": round(step * SHARE_STEP, 3)} for record, step in zip(records, steps, strict=True)
    )


def _share(record: Record) -> float | None:
    share = record.get("share")
    return float(share) if isinstance(share, int | float) and share > 0 else None


def _blank_as_none(value: Any) -> Any:
    return None if value == "" else value


def _shown(value: Any, column: Column, system: UnitSystem) -> Any:
    if column.kind is None or not isinstance(value, int | float):
        return value
    return float(f"{from_si(float(value), unit_of(column.kind, system), column.kind):.{DIGITS}g}")


def _stored(cells: Mapping[str, Any], system: UnitSystem) -> dict[str, Any]:
    """Cells by the name of their column, in SI; headings that name no column are left out."""
    stored: dict[str, Any] = {}
    for text, value in cells.items():
        column = COLUMNS.get(split_heading(text)[0])
        if column is None:
            continue
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if column.kind is not None and is_number:
            value = to_si(float(value), unit_of(column.kind, system), column.kind)
        stored[column.name] = value
    return stored
