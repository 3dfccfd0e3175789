"""The register of gear that is owned: one row a piece, one row an inspection; read, checked, written."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, model_validator

from catalog_schema.catalogue import Catalogue, RopeLength, unknown_id
from catalog_schema.fields import Row, Word, column, quantity
from catalog_schema.gear import Rope
from catalog_schema.grids import Grid, grid_of_records
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.rows import column_texts, read_rows
from catalog_schema.sources import find_file, read_one
from catalog_schema.units import UnitSystem
from catalog_schema.workbooks import read_workbook
from catalog_schema.writing import write_rows_csv

Service = Literal["normal", "severe", "loler"]
SUFFIXES = (".csv", ".xlsx")
LONGEST_INTERVAL = 60
"""Months; what is longer is a slip of the pen."""

_WRITTEN = (
    re.compile(r"(?P<year>\d{4})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})"),
    re.compile(r"(?P<day>\d{1,2})\.\s*(?P<month>\d{1,2})\.\s*(?P<year>\d{4})"),
)


def read_day(value: object) -> object:
    """A day in any of the ways that people write it; what is no text as it is.

    Raises
    ------
    ValueError
        If the text can be read in no way, or in two.
    """
    if not isinstance(value, str):
        return value
    found = next((match for form in _WRITTEN if (match := form.fullmatch(value.strip()))), None)
    try:
        if found:
            return date(int(found["year"]), int(found["month"]), int(found["day"]))
    except ValueError:
        raise ValueError("there is no such day: Write year-month-day, such as 2026-03-31") from None
    raise ValueError("this is no date that can be read in one way only: Write 2026-03-31 or 31.03.2026")


Day = Annotated[date, BeforeValidator(read_day)]
"""A day as year-month-day, or day.month.year with dots; with slashes it could be read in two ways."""


class RegisterItem(Row):
    """One piece (or a few alike) that is owned, with an id of its own."""

    id: str = column("Your own number of the piece, such as that on its tag", example="R-001", min_length=1)
    item: str = column("The item's id in the catalogue", example="A1", min_length=1)
    serial: str = column("Serial number, as the maker gave it", default="")
    count: int = column("How many pieces alike share this row", example="1", default=1, ge=1, le=1000)
    length: float | None = quantity(
        "length", "Ropes: its length today; empty = as in the catalogue", default=None, gt=0
    )
    made: Day | None = column("Day of making, by its label", default=None)
    purchased: Day | None = column("Day of purchase", default=None)
    first_use: Day | None = column(
        "Day of first use, by anybody; empty = as purchased, else as made", example="2025-03-31", default=None
    )
    condition: Annotated[Literal["new", "sound", "worn"], Word] | None = column(
        "new, sound (used but sound) or worn (not used for loads); empty = not planned with",
        example="sound",
        default=None,
    )
    service: Annotated[Service, Word] = column(
        "How it is used: normal; severe (heavy, dirty, every day); loler (thorough examinations by the UK rule)",
        example="normal",
        default="normal",
    )
    months_between: int | None = column(
        "Whole months between inspections; empty = by its kind and service",
        default=None,
        ge=1,
        le=LONGEST_INTERVAL,
    )
    retired_on: Day | None = column("Day on which it was taken out of use", default=None)
    note: str = column("Place, reason of retirement, anything", default="")

    @property
    def start(self) -> date:
        """Day from which its age counts."""
        start = self.first_use or self.purchased or self.made
        assert start is not None, "_has_its_dates lets no row pass without one"
        return start

    @model_validator(mode="after")
    def _has_its_dates(self) -> Self:
        if not (self.first_use or self.purchased or self.made):
            raise ValueError("give first_use, purchased or made: without a day its age is not known")
        if self.made and any(
            day and day < self.made for day in (self.purchased, self.first_use, self.retired_on)
        ):
            raise ValueError("made is after another day of the row: nothing is used before it is made")
        if self.retired_on and self.retired_on < self.start:
            raise ValueError("retired_on is before first use: check both days")
        return self


class Inspection(Row):
    """One inspection of a registered piece."""

    piece: str = column("The piece's id in the register", example="R-001", min_length=1)
    day: Day = column("Day of the inspection", example="2025-03-31")
    result: Annotated[Literal["passed", "failed"], Word] = column(
        "passed, or failed: then it is out of use until it passes a later one", example="passed"
    )
    next_due: Day | None = column("Day of the next one; empty = by its interval", default=None)
    inspector: str = column("Who inspected", default="")
    note: str = column("What was found", default="")

    @model_validator(mode="after")
    def _is_followed(self) -> Self:
        if self.next_due and not self.day < self.next_due <= months_after(self.day, LONGEST_INTERVAL):
            raise ValueError(f"next_due is not within {LONGEST_INTERVAL} months after day: check both days")
        return self


TABLES: Mapping[str, type[Row]] = {"register": RegisterItem, "inspections": Inspection}

Checked = tuple[tuple[RegisterItem, ...], tuple[Inspection, ...], list[Problem]]
"""Sound rows of both tables, and every fault; with any, the register is not whole."""


def months_after(day: date, months: int) -> date:
    """The same day of a later month, or the last one of a month that is too short.

    >>> months_after(date(2026, 1, 31), 1)
    datetime.date(2026, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    for last in (day.day, 30, 29, 28):
        try:
            return date(day.year + years, month + 1, min(day.day, last))
        except ValueError:
            continue
    raise ValueError(f"months must lead to a year below 10000, not {months!r}")


def register_from_rows(
    items: Sequence[Mapping[str, object]],
    inspections: Sequence[Mapping[str, object]],
    catalogue: Catalogue | None,
    today: date,
) -> Checked:
    """The register from edited rows (header text to cell), checked like files.

    Parameters
    ----------
    items, inspections : sequence of mapping
        Blank rows are left out; the first row is line 2.
    catalogue : Catalogue or None
        Must hold the items; without one this is not checked.
    today : date
        What was may not lie after it.
    """
    return _checked(
        grid_of_records(items, "register"), grid_of_records(inspections, "inspections"), catalogue, today
    )


def has_register(folder: Path) -> bool:
    """Whether there is a table of a register in a folder."""
    return any(find_file(folder, name, SUFFIXES) for name in TABLES)


def is_unlisted(problem: Problem) -> bool:
    """Whether all that is wrong is a piece that the catalogue does not list: it is not planned with."""
    return problem.code is ProblemCode.ID_UNKNOWN and problem.column == "item"


def read_register(folder: Path | str, catalogue: Catalogue | None, today: date) -> Checked:
    """The register in a folder: ``register.csv`` and, if there is one, ``inspections.csv``.

    Each may be a workbook instead, and one ``register.xlsx`` may hold both sheets.
    """
    folder, grids = Path(folder), {}
    problems: list[Problem] = []
    of_items = find_file(folder, "register", SUFFIXES) or folder / "register.csv"
    of_inspections = find_file(folder, "inspections", SUFFIXES)
    try:
        grids["register"] = read_one(of_items, "register")
        if of_inspections is None and of_items.suffix.lower() == ".xlsx":
            sheets = read_workbook(of_items, ("inspections",))
            grids |= sheets.grids
            problems += [one for found in sheets.problems.values() for one in found]
    except InputError as error:
        problems.extend(error.problems)
    try:
        if of_inspections is not None:
            grids["inspections"] = read_one(of_inspections, "inspections")
    except InputError as error:
        problems.extend(error.problems)
    if problems:
        return (), (), problems
    return _checked(
        grids["register"], grids.get("inspections", Grid("inspections", (), ())), catalogue, today
    )


def read_register_files(files: Mapping[str, bytes], catalogue: Catalogue | None, today: date) -> Checked:
    """The register from uploaded files; their names say which table each is.

    Parameters
    ----------
    files : mapping of str to bytes
        ``register.csv`` or ``register.xlsx``, and perhaps ``inspections.csv`` or ``inspections.xlsx``.
    """
    wanted = {f"{name}{suffix}": f"{name}{suffix}" for name in TABLES for suffix in SUFFIXES}
    with TemporaryDirectory() as place:
        for name, content in files.items():
            if name.lower() in wanted:  # the name of a file may hold anything
                Path(place, wanted[name.lower()]).write_bytes(content)
        return read_register(place, catalogue, today)


def register_files(
    items: Sequence[RegisterItem], inspections: Sequence[Inspection], system: UnitSystem = "metric"
) -> dict[str, bytes]:
    """Both tables as CSV files that read back equal, by their names."""
    tables: Mapping[str, Sequence[Row]] = {"register": items, "inspections": inspections}
    with TemporaryDirectory() as place:
        for name, rows in tables.items():
            write_rows_csv(rows, Path(place, f"{name}.csv"), system, TABLES[name])
        return {f"{name}.csv": Path(place, f"{name}.csv").read_bytes() for name in tables}


def _checked(of_items: Grid, of_inspections: Grid, catalogue: Catalogue | None, today: date) -> Checked:
    items = read_rows(of_items, RegisterItem) if of_items.rows else None
    inspections = read_rows(of_inspections, Inspection) if of_inspections.rows else None
    problems = [one for read in (items, inspections) if read for one in read.problems]
    if items:
        problems += [*_repeated(of_items), *(_unknown_items(of_items, catalogue) if catalogue else ())]
        for line, item in zip(items.lines, items.rows, strict=True):
            problems += _in_future(
                of_items, line, item, ("made", "purchased", "first_use", "retired_on"), today
            )
            problems += _unfit_length(of_items, line, item, catalogue) if catalogue else ()
    if inspections:
        problems += _unknown_pieces(of_inspections, of_items)
        for line, one in zip(inspections.lines, inspections.rows, strict=True):
            problems += _in_future(of_inspections, line, one, ("day",), today)
    return items.rows if items else (), inspections.rows if inspections else (), problems


def _repeated(grid: Grid) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for line, id in column_texts(grid, RegisterItem, "id"):
        before = first.setdefault(id.casefold(), line)
        if before != line:
            message, hint = f"row {before} has this id too", "Give every piece an id of its own"
            yield grid.problem(ProblemCode.ID_TWICE, message, hint, line=line, column="id", value=id)


def _unknown_items(grid: Grid, catalogue: Catalogue) -> Iterator[Problem]:
    known = frozenset(catalogue.ids)
    for line, item in column_texts(grid, RegisterItem, "item"):
        if item not in known:
            message, hint = "the catalogue has no such item", unknown_id(item, catalogue)
            yield grid.problem(ProblemCode.ID_UNKNOWN, message, hint, line=line, column="item", value=item)


def _unfit_length(grid: Grid, line: int, item: RegisterItem, catalogue: Catalogue) -> Iterator[Problem]:
    gear = catalogue.item(item.item) if item.item in frozenset(catalogue.ids) else None
    if isinstance(gear, Rope) and gear.length is None and item.length is None:
        message, hint = "this rope is sold in several lengths", "Write the length that it has today"
        yield grid.problem(ProblemCode.VALUE_MISSING, message, hint, line=line, column="length")
    elif item.length is not None and gear is not None and not isinstance(gear, Rope | RopeLength):
        message, hint = "the item is no rope", "Leave its length empty"
        yield grid.problem(ProblemCode.CONFLICT, message, hint, line=line, column="length")


def _unknown_pieces(grid: Grid, of_items: Grid) -> Iterator[Problem]:
    known = {id for _, id in column_texts(of_items, RegisterItem, "id")}
    for line, piece in column_texts(grid, Inspection, "piece"):
        if piece not in known:
            message, hint = "the register has no such piece", "Write the id of a row in the register"
            yield grid.problem(ProblemCode.ID_UNKNOWN, message, hint, line=line, column="piece", value=piece)


def _in_future(grid: Grid, line: int, row: Row, names: Sequence[str], today: date) -> Iterator[Problem]:
    for name in names:
        day = getattr(row, name)
        if day is not None and day > today:
            message, hint = (
                "this day is still to come",
                "Check the year; gear not in use yet has no first_use",
            )
            yield grid.problem(
                ProblemCode.OUT_OF_RANGE, message, hint, line=line, column=name, value=day.isoformat()
            )
