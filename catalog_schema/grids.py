"""A file of rows -> grid of cells with the line numbers that people see: CSV here, workbooks in ``workbooks``."""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path

from catalog_schema.problems import InputError, Problem, ProblemCode

LARGEST_FILE = 5_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 200
DELIMITERS = (",", ";", "\t")

_SAFE_APOSTROPHE = re.compile(r"'+[=+\-@\t\r]")
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_OTHER_FORMATS = {
    b"PK\x03\x04": ("an Excel workbook or a ZIP archive", "Let the name of a workbook end in .xlsx"),
    b"\xd0\xcf\x11\xe0": ("an old Excel file", "Save it as .xlsx or CSV"),
    b"%PDF": ("a PDF", "Type its figures into a CSV file"),
    b"\x89PNG": ("a picture", "Type its figures into a CSV file"),
}


@dataclass(frozen=True)
class Unusable:
    """A cell of a workbook that holds no value to read: a formula without its result, or an error."""

    text: str
    message: str
    hint: str


Cell = str | float | bool | date | time | timedelta | Unusable


@dataclass(frozen=True)
class GridRow:
    """One row of cells with the line where it starts (the first line of the file is 1)."""

    line: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Grid:
    """A table as written: its header and its rows, without blank rows and blank columns.

    A row may be shorter than the header (its last cells are blank) or, if faulty, longer. ``delimiter`` is
    empty for a workbook and for rows that come from a screen.
    """

    file: str
    header: tuple[str, ...]
    rows: tuple[GridRow, ...]
    sheet: str = ""
    delimiter: str = ""
    header_line: int = 1

    def problem(
        self, code: ProblemCode, message: str, hint: str, *, line: int = 0, column: str = "", value: str = ""
    ) -> Problem:
        """A problem at a place of this table."""
        return Problem(self.file, code, message, hint, line, column, value, self.sheet)


def read_csv(path: Path) -> Grid:
    """The table in a CSV file: comma, semicolon or tab; UTF-8, UTF-16 or Windows Latin-1.

    Raises
    ------
    InputError
        If the file is missing, empty, too large, or no text in rows and columns.
    """
    text = decode(read_bytes(path), path.name)
    delimiter, text, skipped = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    return grid_of(path.name, _records(reader, skipped, path.name), delimiter=delimiter)


def read_bytes(path: Path) -> bytes:
    """The bytes of a file that a person named.

    Raises
    ------
    InputError
        If it is missing, a folder, larger than ``LARGEST_FILE``, or not allowed to be read.
    """
    if os.path.isdir(path):  # unlike Path.is_dir, it takes a name that no file can have
        raise _unreadable(path.name, "this is a folder, not a file", "Name a file in it")
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST_FILE else b""
    except FileNotFoundError:
        problem = Problem(path.name, ProblemCode.FILE_MISSING, "there is no such file", f"Looked for {path}")
        raise InputError([problem]) from None
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = getattr(error, "strerror", None) or "its name is not a name of a file"
        raise _unreadable(path.name, f"it can't be opened: {reason}", "Check its rights and name") from error
    if size > LARGEST_FILE:
        message = f"the file has {size / 1e6:,.0f} MB, more than a table of gear can need"
        hint = f"Keep it below {LARGEST_FILE / 1e6:.0f} MB: only the table, without pictures"
        raise InputError([Problem(path.name, ProblemCode.FILE_TOO_LARGE, message, hint)])
    return data


def decode(data: bytes, file: str) -> str:
    """Text of a file: by its byte order mark, else UTF-8, else UTF-16 without a mark, else Windows Latin-1.

    Raises
    ------
    InputError
        If it is no text.
    """
    for start, (what, hint) in _OTHER_FORMATS.items():
        if data.startswith(start):
            raise _unreadable(file, f"this is {what}", hint)
    for encoding in _encodings(data):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not CONTROL.search(text):
            return text
    raise _unreadable(file, "this is not a text file", "Save the table as CSV (UTF-8) or as .xlsx")


def _encodings(data: bytes) -> Sequence[str]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return ("utf-16",)
    if data.startswith(b"\xef\xbb\xbf"):
        return ("utf-8-sig",)
    if b"\x00" in data:
        return ("utf-16-le", "utf-16-be") if data.find(b"\x00") % 2 else ("utf-16-be", "utf-16-le")
    return ("utf-8", "cp1252")


def _delimiter(text: str) -> tuple[str, str, int]:
    """What separates the columns (by the first line that is not blank), the text, and lines left out."""
    lead = len(text) - len(text.lstrip("\r\n "))
    first = re.split(r"[\r\n]", text[lead:], maxsplit=1)[0]
    told = re.fullmatch(r"sep=(.)", first)
    if told and told[1] in DELIMITERS:
        rest = text[lead + len(first) :]
        return told[1], rest, len(text[:lead].splitlines()) if lead else 0
    return max(DELIMITERS, key=first.count), text, 0


def _records(reader: Iterable[list[str]], skipped: int, file: str) -> Iterator[tuple[int, list[Cell]]]:
    """Records with the line that each starts on."""
    line = 1
    records = iter(reader)
    while True:
        try:
            record = next(records)
        except StopIteration:
            return
        except csv.Error as error:
            message = f"the row that starts at line {line + skipped} can't be taken apart: {error}"
            hint = 'Text in quotes must end with a quote before the next separator; write a quote in it as ""'
            problem = Problem(file, ProblemCode.FILE_UNREADABLE, message, hint, line=line + skipped)
            raise InputError([problem]) from error
        yield line + skipped, [_without_apostrophe(cell) for cell in record]
        line = reader.line_num + 1  # type: ignore[attr-defined]


def _without_apostrophe(cell: str) -> str:
    """The cell as it was before :mod:`catalog_schema.writing` kept it from being a formula."""
    return cell[1:] if cell[:1] == "'" and _SAFE_APOSTROPHE.match(cell) else cell


def grid_of(
    file: str, records: Iterable[tuple[int, Sequence[Cell]]], *, sheet: str = "", delimiter: str = ""
) -> Grid:
    """A grid from numbered records: the first that is not blank is the header; blank rows are left out.

    Raises
    ------
    InputError
        If there is no header, or far more rows or columns than a table of gear can have.
    """
    filled = list(_filled(records, file, sheet))
    if not filled:
        hint = "Write a header and rows, or start from a template"
        problem = Problem(file, ProblemCode.FILE_EMPTY, "there is no header and no row", hint, sheet=sheet)
        raise InputError([problem])
    (header_line, header), *rows = filled
    used = [
        i
        for i in range(max(len(cells) for _, cells in filled))
        if i >= len(header) or header[i] != "" or any(i < len(cells) and cells[i] != "" for _, cells in rows)
    ]
    picked = tuple(GridRow(line, tuple(cells[i] for i in used if i < len(cells))) for line, cells in rows)
    names = tuple(header_text(header[i]) for i in used if i < len(header))
    return Grid(file, names, picked, sheet, delimiter, header_line)


def grid_of_records(records: Sequence[Mapping[str, object]], file: str) -> Grid:
    """A grid from rows that were edited on a screen: header text to cell; the first row is line 2.

    Blank rows are left out; a table without any filled row has no rows.
    """
    header = tuple(dict.fromkeys(name for record in records for name in record))
    rows = (
        GridRow(line, tuple(_cell(record.get(name)) for name in header))
        for line, record in enumerate(records, start=2)
    )
    return Grid(
        file, tuple(map(header_text, header)), tuple(row for row in rows if any(c != "" for c in row.cells))
    )


def _cell(value: object) -> Cell:
    """A value of Python or numpy as a cell; None and not-a-number are blank."""
    plain = value.item() if hasattr(value, "item") else value
    if plain is None or plain != plain:
        return ""
    if isinstance(plain, bool | date | time | timedelta):
        return plain
    return float(plain) if isinstance(plain, int | float) else str(plain).strip()


def _filled(
    records: Iterable[tuple[int, Sequence[Cell]]], file: str, sheet: str
) -> Iterator[tuple[int, tuple[Cell, ...]]]:
    """Records that are not blank, without their blank end."""
    count = 0
    for line, record in records:
        cells = _cut(record)
        if not cells:
            continue
        count += 1
        if count > MOST_ROWS + 1 or len(cells) > MOST_COLUMNS:
            message = f"it has more than {MOST_ROWS:,} rows or {MOST_COLUMNS} columns"
            hint = "Delete what does not belong to the table"
            raise InputError([Problem(file, ProblemCode.FILE_TOO_LARGE, message, hint, line, sheet=sheet)])
        yield line, cells


def _cut(cells: Sequence[Cell]) -> tuple[Cell, ...]:
    """Cells without spaces around text and without the blank ones at the end."""
    stripped = [cell.strip() if isinstance(cell, str) else cell for cell in cells]
    while stripped and stripped[-1] == "":
        stripped.pop()
    return tuple(stripped)


def header_text(cell: Cell) -> str:
    """A header cell as text on one line."""
    return " ".join(str(cell).split())


def _unreadable(file: str, message: str, hint: str) -> InputError:
    return InputError([Problem(file, ProblemCode.FILE_UNREADABLE, message, hint)])
