"""The columns of a declared table as the reader and the writer need them, and the header that names them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from functools import cache
from types import UnionType
from typing import Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from catalog_schema.fields import kind_of
from catalog_schema.grids import Grid
from catalog_schema.numbers import CellError
from catalog_schema.problems import Problem, ProblemCode
from catalog_schema.quantities import unit_scale
from catalog_schema.units import KINDS, unit_label

Sort = Literal["text", "number", "whole", "yes_no", "choice", "list", "date"]

_HEADING = re.compile(r"(.*?)\s*(?:\[(.*)\]|\(([^()]*)\))?")


@dataclass(frozen=True)
class Column:
    """One declared column: what its cells hold and, for a quantity, of which kind it is."""

    name: str
    sort: Sort
    kind: str | None
    is_required: bool
    choices: tuple[str, ...] = ()
    about: str = ""


@dataclass(frozen=True)
class Heading:
    """A header cell: its place, the declared column that it names, its unit (empty if none, or wrong)."""

    index: int
    text: str
    column: Column
    unit: str


@cache
def columns_of(model: type[BaseModel]) -> dict[str, Column]:
    """The columns of a table by name, in declared order."""
    return {name: _column(name, field) for name, field in model.model_fields.items()}


def _column(name: str, field: FieldInfo) -> Column:
    annotation = _without_none(field.annotation)
    choices = (
        tuple(str(choice) for choice in get_args(annotation)) if get_origin(annotation) is Literal else ()
    )
    sorts: dict[object, Sort] = {bool: "yes_no", int: "whole", float: "number", date: "date"}
    sort: Sort = "choice" if choices else sorts.get(annotation, "text")
    if get_origin(annotation) is tuple:
        sort = "list"
    return Column(name, sort, kind_of(field), field.is_required(), choices, field.description or "")


def _without_none(annotation: object) -> object:
    while get_origin(annotation) in (Union, UnionType):
        annotation = next(part for part in get_args(annotation) if part is not type(None))
    return annotation if not hasattr(annotation, "__metadata__") else get_args(annotation)[0]


def read_header(grid: Grid, model: type[BaseModel]) -> tuple[list[Heading], list[Problem]]:
    """The headings of a grid that name columns of a table, and what is wrong with the header."""
    columns = columns_of(model)
    headings: list[Heading] = []
    problems: list[Problem] = []
    for index, text in enumerate(grid.header):
        if text:
            _read_heading(grid, index, columns, headings, problems)
        else:
            problems.extend(_without_name(grid, index))
    if not headings:
        return [], [_no_header(grid, columns)]
    there = {heading.column.name for heading in headings}
    blamed = {problem.column for problem in problems if problem.code is ProblemCode.COLUMN_UNKNOWN}
    for column in columns.values():
        if column.is_required and column.name not in there and not _is_meant(column.name, blamed):
            problems.append(_missing(grid, column))
    return headings, problems


def heading_faults(grid: Grid, model: type[BaseModel]) -> dict[int, Problem]:
    """What is wrong with single headings, by their places; a nameless one counts if anything stands under it."""
    headings: list[Heading] = []
    faults: dict[int, Problem] = {}
    for index, text in enumerate(grid.header):
        problems: list[Problem] = []
        if text:
            _read_heading(grid, index, columns_of(model), headings, problems)
        else:
            problems.extend(_without_name(grid, index))
        if problems:
            faults[index] = problems[0]
    return faults


def _read_heading(
    grid: Grid, index: int, columns: dict[str, Column], headings: list[Heading], problems: list[Problem]
) -> None:
    text = grid.header[index]
    name, unit = split_heading(text)
    column = columns.get(name)
    if column is None:
        problems.append(_unknown(grid, text, name, columns))
        return
    if any(heading.column is column for heading in headings):
        message, hint = "this column is there twice", "Keep one of them"
        problems.append(
            grid.problem(ProblemCode.COLUMN_TWICE, message, hint, line=grid.header_line, column=text)
        )
        return
    fault = _unit_fault(grid, text, column, unit) if unit else None
    if fault is not None:
        problems.append(fault)
    headings.append(Heading(index, text, column, "" if fault else unit))


def _unit_fault(grid: Grid, text: str, column: Column, unit: str) -> Problem | None:
    """What is wrong with the unit of a header cell."""
    try:
        if column.kind is None:
            extra = f", and {unit} into the column currency" if column.name == "price" else ""
            raise CellError(
                ProblemCode.UNIT_WRONG, "this column has no unit", f"Write {column.name} alone{extra}"
            )
        unit_scale(unit, column.kind)
    except CellError as error:
        line = grid.header_line
        return grid.problem(error.code, error.message, error.hint, line=line, column=text, value=unit)
    return None


def split_heading(text: str) -> tuple[str, str]:
    """Column name and unit of a header cell: brackets or parentheses, any case, spaces for underscores.

    >>> split_heading("Min break [kN]"), split_heading("min_break"), split_heading("diameter (in)")
    (('min_break', 'kN'), ('min_break', ''), ('diameter', 'in'))
    """
    match = _HEADING.fullmatch(text.strip())
    name, unit = (match[1], match[2] or match[3] or "") if match else (text, "")
    return re.sub(r"[\s\-]+", "_", name.strip().lower()), unit.strip()


def near(name: str, known: Sequence[str], cutoff: float = 0.6) -> str:
    """The known name that a misspelled one comes closest to; empty if none is close."""
    lowered = {one.lower(): one for one in known}
    close = get_close_matches(name.lower(), lowered, n=1, cutoff=cutoff)
    return lowered[close[0]] if close else ""


def _is_meant(name: str, unknown_headings: set[str]) -> bool:
    """Whether a missing column is the one that a misspelled heading was told to become."""
    return any(near(split_heading(text)[0], [name]) for text in unknown_headings)


def _unknown(grid: Grid, text: str, name: str, columns: dict[str, Column]) -> Problem:
    close = near(name, list(columns))
    hint = f"Did you mean '{close}'?" if close else f"Delete it, or use one of: {', '.join(columns)}"
    message = "there is no such column in this table"
    return grid.problem(ProblemCode.COLUMN_UNKNOWN, message, hint, line=grid.header_line, column=text)


def _without_name(grid: Grid, index: int) -> list[Problem]:
    """A problem if anything stands under a heading that is blank."""
    row = next((row for row in grid.rows if index < len(row.cells) and row.cells[index] != ""), None)
    if row is None:
        return []
    message, hint = f"column {index + 1} has no name in the header", "Name it or delete what stands in it"
    value = str(row.cells[index])
    return [grid.problem(ProblemCode.COLUMN_UNKNOWN, message, hint, line=row.line, value=value)]


def _no_header(grid: Grid, columns: dict[str, Column]) -> Problem:
    needed = ", ".join(name for name, column in columns.items() if column.is_required)
    message = "the first row that is not blank names none of the table's columns"
    hint = f"Start with a header; it needs at least {needed}"
    return grid.problem(ProblemCode.COLUMN_MISSING, message, hint, line=grid.header_line)


def _missing(grid: Grid, column: Column) -> Problem:
    written = f"{column.name} [{unit_label(KINDS[column.kind].metric)}]" if column.kind else column.name
    message, hint = "the table has no such column", f"Add a column '{written}'"
    return grid.problem(ProblemCode.COLUMN_MISSING, message, hint, line=grid.header_line, column=column.name)
