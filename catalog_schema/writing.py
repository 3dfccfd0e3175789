"""Rows -> CSV files and workbooks that read back equal.

Text that a spreadsheet program would take for a formula is kept text: in a CSV file by an apostrophe in front,
which the reader takes off again, in a workbook by the type of the cell.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from catalog_schema.columns import Column, columns_of
from catalog_schema.faults import listed
from catalog_schema.units import UnitSystem, from_si, unit_label, unit_of

Written = str | float
Table = list[list[Written]]

_RISKY = re.compile(r"'*[=+\-@\t\r]")
_DIGITS = 12
LAST_ROW = 1000
"""Of the rows in which a sheet offers the words of a choice."""
YES_NO = ("yes", "no")


def header_of(model: type[BaseModel], system: UnitSystem = "metric") -> list[str]:
    """The header of a table: ``min_break [kN]`` for a quantity, the bare name for the rest."""
    return [_heading(column, system) for column in columns_of(model).values()]


def row_values(row: BaseModel, system: UnitSystem = "metric") -> dict[str, Written]:
    """A row as its header and cells: numbers in the system's units, everything else as text.

    >>> from catalog_schema.gear import Connector
    >>> shackle = Connector(id="S1", name="shackle", kind="shackle", wll=20e3, price=9)
    >>> {name: value for name, value in row_values(shackle).items() if value != ""}
    {'id': 'S1', 'name': 'shackle', 'mass [kg]': 0.0, 'price': 9.0, 'wll [kN]': 20.0, 'kind': 'shackle'}
    """
    columns = columns_of(type(row))
    return {
        _heading(column, system): _written(getattr(row, name), column, system)
        for name, column in columns.items()
    }


def write_rows_csv(
    rows: Sequence[BaseModel],
    path: Path | str,
    system: UnitSystem = "metric",
    model: type[BaseModel] | None = None,
) -> None:
    """Rows of one table as a CSV file, replaced if it is there.

    Parameters
    ----------
    rows : sequence of row
        Rows of the same table.
    path : path
        The file.
    system : str
        ``metric`` or ``us``.
    model : type of row, optional
        The table; needed if there are no rows.

    Raises
    ------
    ValueError
        If there are neither rows nor ``model``.
    """
    Path(path).write_bytes(_csv_bytes(table_of(rows, system, model)))


def write_workbook(
    tables: Mapping[str, Sequence[BaseModel]],
    path: Path | str,
    system: UnitSystem = "metric",
    models: Mapping[str, type[BaseModel]] | None = None,
) -> None:
    """Several tables as a workbook with a sheet each, replaced if it is there.

    Parameters
    ----------
    tables : mapping of str to rows
        Name of the sheet to rows of one table.
    models : mapping of str to type of row, optional
        The tables; needed where there are no rows.
    """
    written = {name: table_of(rows, system, (models or {}).get(name)) for name, rows in tables.items()}
    models = models or {name: type(rows[0]) for name, rows in tables.items()}
    _save_workbook(written, Path(path), models)


def table_of(
    rows: Sequence[BaseModel], system: UnitSystem = "metric", model: type[BaseModel] | None = None
) -> Table:
    """Header and rows of one table as cells.

    Raises
    ------
    ValueError
        If there are neither rows nor ``model``.
    """
    if model is None:
        if not rows:
            raise ValueError("model is needed to write a table without rows")
        model = type(rows[0])
    return [list(header_of(model, system)), *(list(row_values(row, system).values()) for row in rows)]


def _heading(column: Column, system: UnitSystem) -> str:
    return f"{column.name} [{unit_label(unit_of(column.kind, system))}]" if column.kind else column.name


def _written(value: Any, column: Column, system: UnitSystem) -> Written:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(_number_text(_in_unit(one, column, system)) for one in value)
    if isinstance(value, int | float):
        return _in_unit(float(value), column, system)
    return str(value)


def _in_unit(value: float, column: Column, system: UnitSystem) -> float:
    """The number as people read it: 12.7 for 12.700000000000001."""
    number = from_si(value, unit_of(column.kind, system), column.kind) if column.kind else value
    return float(f"{number:.{_DIGITS}g}")


def _number_text(value: float) -> str:
    """A number without an exponent, if it has not too many digits.

    >>> _number_text(1234567.0), _number_text(0.00001), _number_text(12.70)
    ('1234567', '0.00001', '12.7')
    """
    shortest = repr(value)
    plain = format(Decimal(shortest), "f")
    text = plain if len(plain) <= 40 else shortest
    return text.removesuffix(".0")


def _csv_bytes(table: Table) -> bytes:
    """The text of a CSV file; a byte order mark tells spreadsheet programs that letters beyond ASCII are UTF-8."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    for row in table:
        writer.writerow([_csv_cell(cell) for cell in row])
    text = out.getvalue()
    return text.encode("ascii" if text.isascii() else "utf-8-sig")


def _csv_cell(cell: Written) -> str:
    if isinstance(cell, float):
        return _number_text(cell)
    return f"'{cell}" if _RISKY.match(cell) else cell


def _save_workbook(tables: Mapping[str, Table], path: Path, models: Mapping[str, type[BaseModel]]) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, table in tables.items():
        sheet = book.create_sheet(name)
        sheet.freeze_panes = "A2"
        for number, row in enumerate(table, start=1):
            for place, cell in enumerate(row, start=1):
                _fill(sheet.cell(number, place), cell)
        _dress_header(sheet, models[name])
    book.save(path)


def _fill(cell: Any, value: Written) -> None:
    if value == "":
        return
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = bool(_RISKY.match(value))


def _dress_header(sheet: Any, model: type[BaseModel]) -> None:
    """What each column means as a comment, and its choices as a list to choose from.

    Thicknesses are text, so that 9/16 does not become a date.
    """
    from openpyxl.comments import Comment
    from openpyxl.utils import get_column_letter

    for place, column in enumerate(columns_of(model).values(), start=1):
        text = in_words(column, model.model_fields[column.name].default)
        sheet.cell(1, place).comment = Comment(text, "", height=30 + 16 * (1 + len(text) // 40), width=300)
        letter = get_column_letter(place)
        dimension = sheet.column_dimensions[letter]
        dimension.width = max(12, len(str(sheet.cell(1, place).value)) + 2)
        if column.kind == "size":
            dimension.number_format = "@"
        _offer_choices(sheet, column, f"{letter}2:{letter}{LAST_ROW}")


def _offer_choices(sheet: Any, column: Column, area: str) -> None:
    """A list to choose from; another way of writing a word is asked about, not refused: the reader knows several."""
    from openpyxl.worksheet.datavalidation import DataValidation

    words = column.choices or (YES_NO if column.sort == "yes_no" else ())
    if not words:
        return
    check = DataValidation("list", formula1=f'"{",".join(words)}"', allow_blank=not column.is_required,
                           showErrorMessage=True, errorStyle="warning")  # fmt: skip
    check.errorTitle, check.error = column.name, f"Write {listed(words)}"
    check.add(area)
    sheet.add_data_validation(check)


def in_words(column: Column, default: object = None) -> str:
    """What is to be written in a column: its meaning, the words to choose from, whether it may be empty.

    >>> from catalog_schema.gear import Redirect
    >>> in_words(columns_of(Redirect)["bearing"])
    'Bearing of the sheave; for a ring write none. Write roller, plain or none. Needed in every row.'
    """
    words = column.choices or (YES_NO if column.sort == "yes_no" else ())
    said = [f"{column.about}.", f"Write {listed(words)}." if words else ""]
    if column.is_required:
        said.append("Needed in every row.")
    elif words:
        then = {True: "yes", False: "no", None: ""}.get(default, str(default))  # type: ignore[call-overload]
        said.append(f"May be empty{f': then {then}' if then else ''}.")
    return " ".join(one for one in said if one)
