"""An Excel workbook -> one grid a sheet; only stored values are read, nothing in it is worked out."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

from catalog_schema.grids import Cell, Grid, Unusable, grid_of, read_bytes
from catalog_schema.problems import InputError, Problem, ProblemCode

LARGEST_UNPACKED = 60_000_000
MOST_PARTS = 2_000
_LITERAL = re.compile(r'"[^"]*"|\\.')
"""Text in a number format that is only shown; an open % there means that the stored number is a hundredth."""


@dataclass(frozen=True)
class Sheets:
    """The sheets of a workbook by name in small letters; a sheet that can't be read is a list of problems."""

    file: str
    names: tuple[str, ...]
    grids: dict[str, Grid]
    problems: dict[str, Sequence[Problem]]


def read_workbook(path: Path, wanted: Sequence[str] = ()) -> Sheets:
    """The sheets of a workbook.

    Parameters
    ----------
    path : Path
        An .xlsx file.
    wanted : sequence of str
        Names of sheets in small letters; empty for all of them.

    Raises
    ------
    InputError
        If the file as a whole can't be read.
    """
    data = read_bytes(path)
    has_formulas = _checked_parts(data, path.name)
    values = _opened(data, path.name, data_only=True)
    formulas = _opened(data, path.name, data_only=False) if has_formulas else None
    sheets = Sheets(path.name, tuple(sheet.title.strip() for sheet in values.worksheets), {}, {})
    for sheet in values.worksheets:
        name = sheet.title.strip().lower()
        if wanted and name not in wanted:
            continue
        try:
            records = _records(sheet, formulas[sheet.title] if formulas else None)
            sheets.grids[name] = grid_of(path.name, records, sheet=sheet.title.strip())
        except InputError as error:
            sheets.problems[name] = error.problems
        except Exception as error:  # a damaged sheet raises whatever its XML meets first
            raise _unreadable(path.name) from error
    return sheets


def _checked_parts(data: bytes, file: str) -> bool:
    """Whether a sheet holds formulas; refuses what is no workbook or unpacks to far too much."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > LARGEST_UNPACKED:
                message = f"it unpacks to more than {LARGEST_UNPACKED / 1e6:.0f} MB"
                hint = "Save only the tables in a new workbook"
                raise InputError([Problem(file, ProblemCode.FILE_TOO_LARGE, message, hint)])
            sheets = [archive.read(part) for part in parts if part.filename.endswith(".xml")]
    except InputError:
        raise
    except Exception as error:  # a damaged archive raises errors of zipfile, zlib, struct and of encodings
        raise _unreadable(file) from error
    if any(b"<!ENTITY" in sheet or b"<!DOCTYPE" in sheet for sheet in sheets):
        raise _unreadable(file)
    return any(b"<f>" in sheet or b"<f " in sheet or b"<f/>" in sheet for sheet in sheets)


def _opened(data: bytes, file: str, *, data_only: bool) -> Any:
    from openpyxl import load_workbook

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of decoration that it leaves out
            return load_workbook(io.BytesIO(data), read_only=True, data_only=data_only)
    except (
        Exception
    ) as error:  # openpyxl lets errors of its parts through: KeyError, ParseError, BadZipFile ...
        raise _unreadable(file) from error


def _records(sheet: Any, formulas: Any) -> Iterator[tuple[int, Sequence[Cell]]]:
    """Numbered rows of cells; a formula whose result is not stored becomes an :class:`Unusable` cell."""
    sheet.reset_dimensions()  # what the sheet says of its own size may be wrong
    if formulas is None:
        for line, row in enumerate(sheet.iter_rows(), start=1):
            yield line, [_cell(cell) for cell in row]
        return
    formulas.reset_dimensions()
    pairs = zip(sheet.iter_rows(), formulas.iter_rows(values_only=True), strict=True)
    for line, (row, texts) in enumerate(pairs, start=1):
        both = zip(row, texts, strict=True)
        yield line, [_formula(text) if cell.value is None else _cell(cell) for cell, text in both]


def _formula(text: object) -> Cell:
    if text is None:
        return ""
    return Unusable(
        str(text)[:60],
        "the cell holds a formula whose result is not stored",
        "Open the workbook in a spreadsheet program and save it, or type the value itself",
    )


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "e":
        return Unusable(str(value), "the cell holds an error of the spreadsheet", "Type the value itself")
    if isinstance(value, str | bool | date | time | timedelta):
        return value
    if not isinstance(value, int | float):
        return str(value)
    return f"{100 * value:.12g} %" if "%" in _LITERAL.sub("", cell.number_format) else float(value)


def _unreadable(file: str) -> InputError:
    message = "this is not a workbook that can be read, or it is damaged"
    hint = "Open it in a spreadsheet program and save it again as .xlsx, or save each sheet as CSV"
    return InputError([Problem(file, ProblemCode.FILE_UNREADABLE, message, hint)])
