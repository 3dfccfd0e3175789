"""Grid of cells -> validated rows of a declared table, with every fault of every cell as a problem."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from catalog_schema.columns import Column, Heading, columns_of, read_header
from catalog_schema.faults import problem_of_error
from catalog_schema.grids import CONTROL, Cell, Grid, GridRow, Unusable
from catalog_schema.numbers import CellError, Marks, parse_number, settle_marks
from catalog_schema.problems import Problem, ProblemCode
from catalog_schema.quantities import read_list, read_quantity, unit_scale

RowT = TypeVar("RowT", bound=BaseModel)


@dataclass(frozen=True)
class TableRead(Generic[RowT]):
    """What a table holds: its sound rows, the line of each, and everything that is wrong with the others."""

    rows: tuple[RowT, ...]
    lines: tuple[int, ...]
    problems: tuple[Problem, ...]


def read_rows(grid: Grid, model: type[RowT]) -> TableRead[RowT]:
    """The rows of a grid as rows of a declared table.

    Bad data never raises and no row is dropped in silence: a row that is not in ``rows`` has a problem.

    Parameters
    ----------
    grid : Grid
        A table as written.
    model : type of row
        The declared table.

    Examples
    --------
    >>> from catalog_schema.gear import Connector
    >>> from catalog_schema.grids import GridRow
    >>> header = ("id", "name", "kind", "min_break [kN]", "price")
    >>> read = read_rows(Grid("c.csv", header, (GridRow(2, ("S1", "shackle", "shackle", "85,5", "9")),)), Connector)
    >>> read.rows[0].min_break
    85500.0
    """
    headings, problems = read_header(grid, model)
    bad_units = {problem.column for problem in problems if problem.code is ProblemCode.UNIT_WRONG}
    marks = settle_marks(number_texts(grid, headings), grid.delimiter or ",")
    rows: list[RowT] = []
    lines: list[int] = []
    for row in grid.rows if headings else ():
        made = _read_row(grid, row, headings, marks, model, bad_units, problems)
        if made is not None:
            rows.append(made)
            lines.append(row.line)
    return TableRead(tuple(rows), tuple(lines), tuple(_gathered(grid, headings, problems)))


def column_texts(grid: Grid, model: type[BaseModel], name: str) -> list[tuple[int, str]]:
    """Line and text of every filled cell of a column, of sound rows and of faulty ones."""
    headings, _ = read_header(grid, model)
    place = next((heading.index for heading in headings if heading.column.name == name), None)
    if place is None:
        return []
    return [
        (row.line, _shown(row.cells[place]))
        for row in grid.rows
        if place < len(row.cells) <= len(grid.header) and row.cells[place] != ""
    ]


def _gathered(grid: Grid, headings: Sequence[Heading], problems: Sequence[Problem]) -> Iterator[Problem]:
    """The problems, but one only for a column in which no cell at all has a unit."""
    told: set[str] = set()
    for problem in problems:
        if problem.code is ProblemCode.UNIT_MISSING and problem.line > grid.header_line:
            if problem.column in told:
                continue
            place = next(one.index for one in headings if one.column.name == problem.column)
            filled = sum(place < len(row.cells) and row.cells[place] != "" for row in grid.rows)
            alike = sum(one.code is problem.code and one.column == problem.column for one in problems)
            if alike == filled > 1:
                told.add(problem.column)
                problem = replace(problem, line=grid.header_line, value="")
        yield problem


def number_texts(grid: Grid, headings: Sequence[Heading]) -> list[str]:
    """The texts of all number cells: what they say about the decimal mark."""
    places = [heading.index for heading in headings if heading.column.sort in ("number", "whole")]
    return [
        cell
        for row in grid.rows
        for i in places
        if i < len(row.cells) and isinstance(cell := row.cells[i], str)
    ]


def _read_row(
    grid: Grid,
    row: GridRow,
    headings: Sequence[Heading],
    marks: Marks,
    model: type[RowT],
    bad_units: set[str],
    problems: list[Problem],
) -> RowT | None:
    """The row, or None after its faults were added to ``problems``."""
    if len(row.cells) > len(grid.header):
        problems.append(_too_long(grid, row))
        return None
    values: dict[str, Any] = {}
    faulty: set[str] = set()
    for heading in headings:
        cell = row.cells[heading.index] if heading.index < len(row.cells) else ""
        if cell == "":
            continue
        try:
            values[heading.column.name] = value_of(cell, heading.column, heading.unit, marks)
        except CellError as error:
            faulty.add(heading.column.name)
            if heading.text not in bad_units:
                problems.append(
                    grid.problem(
                        error.code,
                        error.message,
                        error.hint,
                        line=row.line,
                        column=heading.column.name,
                        value=_shown(cell),
                    )
                )
    return _validated(grid, row, headings, model, values, faulty, problems)


def _validated(
    grid: Grid,
    row: GridRow,
    headings: Sequence[Heading],
    model: type[RowT],
    values: dict[str, Any],
    faulty: set[str],
    problems: list[Problem],
) -> RowT | None:
    try:
        made = model.model_validate(values)
        return None if faulty else made
    except ValidationError as error:
        by_name = {heading.column.name: heading for heading in headings}
        for fault in error.errors(include_url=False):
            name = str(fault["loc"][0]) if fault["loc"] else ""
            if name in faulty or (name and name not in by_name and fault["type"] == "missing"):
                continue  # said already: of the cell, or once of the whole column
            if not name and faulty:
                continue  # the row as a whole can only be judged once its cells are right
            heading = by_name.get(name)
            cell = row.cells[heading.index] if heading and heading.index < len(row.cells) else ""
            column = columns_of(model).get(name)
            problems.append(
                problem_of_error(grid, row.line, column, heading.unit if heading else "", _shown(cell), fault)
            )
        return None


def value_of(cell: Cell, column: Column, unit: str, marks: Marks) -> object:
    """What a cell stands for: text, a number in SI, several of them, or yes and no.

    Parameters
    ----------
    cell : Cell
        Not blank.
    column : Column
    unit : str
        Of the header; empty if it names none.
    marks : Marks
        What a point and a comma mean here.

    Raises
    ------
    CellError
        If it can't be read; the limits of the column are not looked at.
    """
    if isinstance(cell, Unusable):
        raise CellError(ProblemCode.NOT_A_NUMBER, cell.message, cell.hint)
    if column.sort in ("text", "choice", "yes_no", "date"):
        return cell if isinstance(cell, bool) and column.sort == "yes_no" else _readable(_shown(cell))
    if isinstance(cell, bool | date | time | timedelta):
        raise _not_a_number(cell)
    if isinstance(cell, float):
        return _scaled(cell, column, unit)
    if column.sort == "list":
        return read_list(cell, column.kind or "length", unit, marks)
    if column.kind is not None:
        return read_quantity(cell, column.kind, unit, marks)
    return parse_number(cell, marks)


def _readable(text: str) -> str:
    if not text.isprintable() and CONTROL.search(text):
        message, hint = "the text holds a sign that can't be shown", "Type the text again"
        raise CellError(ProblemCode.OUT_OF_RANGE, message, hint)
    return text


def _scaled(number: float, column: Column, unit: str) -> object:
    value = number * unit_scale(unit, column.kind) if column.kind else number
    return (value,) if column.sort == "list" else value


def _not_a_number(cell: bool | date | time | timedelta) -> CellError:
    if isinstance(cell, bool):
        return CellError(ProblemCode.NOT_A_NUMBER, "this is yes or no, not a number", "Write a number")
    hint = "Format the column as text, then type the value again, such as 9/16 in or 0.5625 in"
    return CellError(
        ProblemCode.NOT_A_NUMBER, "the spreadsheet has turned what was typed, such as 9/16, into a date", hint
    )


def _shown(cell: Cell) -> str:
    """A cell as text."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Unusable):
        return cell.text
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime) and cell.time() == time():
        return cell.date().isoformat()
    return str(cell)


def _too_long(grid: Grid, row: GridRow) -> Problem:
    message = f"the row has {len(row.cells)} cells, but the header has {len(grid.header)}"
    hint = "Put a text, or a number with a decimal comma, that holds the separator into double quotes"
    return grid.problem(
        ProblemCode.COLUMN_UNKNOWN, message, hint, line=row.line, value=_shown(row.cells[len(grid.header)])
    )
