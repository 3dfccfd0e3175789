"""Sheets of a workbook: text that stays text, widths, frozen headings, paper, and formulas with their results.

Text from tables is never read as a formula. The formulas are totals that the program writes itself; each is stored
with its result, so that readers which do not calculate show it too.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from math import floor, log10
from typing import Any

from catalog_schema.units import UnitSystem
from recommender.files.tables import Cell, Table

MOST_LETTERS = 32_000
"""Letters that a cell of a workbook can hold, and a little less."""

DECIMALS = 2
"""Of a number of a table that can be read again, more if it is small; all its digits stay in the cell."""

BAR, PALE, EDIT, EDGE = "2F4B3C", "E9EFEA", "FFF6D6", "B9C2BC"
SPARE, HALF, CLOSE = "E4F0E7", "F6DFA0", "E5A184"
"""Fills of utilisations below a half, below 85 %, and above."""

_BARRED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_RISKY = re.compile(r"'*[=+\-@\t\r]")

Formulas = dict[str, tuple[str, float]]
"""Place of a cell to its formula and result."""


def put(cell: Any, value: Cell) -> None:
    """A value into a cell of a sheet: a figure with its format, or text that stays text."""
    if value.number is not None:
        cell.value, cell.number_format = value.number, value.shown_as
    elif value.text:
        cell.value = _BARRED.sub("?", value.text)[:MOST_LETTERS]
        cell.data_type = "s"
        cell.quotePrefix = bool(_RISKY.match(value.text))


def add_sheet(book: Any, name: str, table: Table, system: UnitSystem, plan: str) -> Any:
    """A sheet with a table below its title and the sentence on it.

    Returns
    -------
    Worksheet
        The headings are frozen; ``first_row_of(table)`` is the row of the first cells.
    """
    from openpyxl.styles import Alignment, Font

    sheet = book.create_sheet(name)
    put(sheet["A1"], Cell(f"{table.title}: {plan}"))
    sheet["A1"].font = Font(bold=True, size=14)
    if table.about:
        put(sheet["A2"], Cell(table.about))
        sheet.merge_cells(start_row=2, end_row=2, start_column=1, end_column=max(len(table.headings), 1))
        sheet["A2"].alignment = Alignment(wrap_text=True, vertical="top")
        wide = sum(heading.width for heading in table.headings)
        sheet.row_dimensions[2].height = 15 * (1 + int(len(table.about) / max(wide, 20)))
    top = first_row_of(table) - 1
    write_headings(sheet, top, table)
    write_rows(sheet, top + 1, table)
    sheet.freeze_panes = sheet.cell(top + 1, 2)
    set_up_print(sheet, system, title_row=top)
    return sheet


def first_row_of(table: Table) -> int:
    """The row of a table's first cells on its sheet."""
    return 5 if table.about else 4


def write_headings(sheet: Any, row: int, table: Table) -> None:
    """The headings of a table in a row, and the widths of its columns."""
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    for place, heading in enumerate(table.headings, start=1):
        cell = sheet.cell(row, place)
        put(cell, Cell(heading.text))
        cell.font = Font(bold=True, color="FFFFFF")
        cell.fill = PatternFill("solid", fgColor=BAR)
        side = "right" if heading.is_figure else "left"
        cell.alignment = Alignment(wrap_text=True, vertical="center", horizontal=side)
        sheet.column_dimensions[get_column_letter(place)].width = heading.width + 2


def write_rows(sheet: Any, first: int, table: Table) -> None:
    """The rows of a table from a row on."""
    from openpyxl.styles import Alignment, Border, Side

    line = Border(bottom=Side("thin", color=EDGE))
    for number, row in enumerate(table.rows, start=first):
        for place, value in enumerate(row, start=1):
            cell = sheet.cell(number, place)
            put(cell, value)
            cell.border = line
            side = "right" if table.headings[place - 1].is_figure else "left"
            cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=side)


def add_data_sheet(book: Any, name: str, rows: Iterable[Sequence[str | float]], system: UnitSystem) -> None:
    """A table as the program reads it: its header in the first row, nothing above it."""
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    sheet, table = book.create_sheet(name), list(rows)
    for number, row in enumerate(table, start=1):
        for place, value in enumerate(row, start=1):
            put(sheet.cell(number, place), Cell(value) if isinstance(value, str) else _short(value))
    for place in range(1, sheet.max_column + 1):
        cell = sheet.cell(1, place)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor=PALE)
        column = [row[place - 1] for row in table if place <= len(row)]
        longest = max(len(one if isinstance(one, str) else _short(one).text) for one in column)
        sheet.column_dimensions[get_column_letter(place)].width = min(max(longest + 2, 8), 44)
    sheet.freeze_panes = "B2"
    set_up_print(sheet, system, title_row=1)


def _short(value: float) -> Cell:
    """A number with all its digits that is shown with two decimals, and with at least three digits that count.

    >>> _short(39.3700787402)
    Cell(text='39.37', number=39.3700787402, shown_as='0.##')
    >>> _short(0.00328083), _short(12.5)[2]
    (Cell(text='0.00328', number=0.00328083, shown_as='0.#####'), 'General')
    """
    decimals = max(DECIMALS, 2 - floor(log10(abs(value)))) if value else 0
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if decimals else text
    shown_as = f"0.{'#' * decimals}" if "." in text else "0"
    return Cell(text, value, "General" if float(text) == value else shown_as)


def shade_utilisation(sheet: Any, table: Table) -> None:
    """Three fills by the figure; the figures stay, so that it can be read without colour too."""
    from openpyxl.formatting.rule import CellIsRule
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    if not table.rows:
        return
    first = first_row_of(table)
    last = get_column_letter(len(table.headings))
    area = f"B{first}:{last}{first + len(table.rows) - 1}"
    steps = ((["0.85", "9"], CLOSE), (["0.5", "0.849"], HALF), (["0.0001", "0.499"], SPARE))
    for limits, colour in steps:
        bold = Font(bold=True) if colour == CLOSE else None
        rule = CellIsRule(operator="between", formula=limits, fill=PatternFill(bgColor=colour), font=bold)
        sheet.conditional_formatting.add(area, rule)


def set_up_print(sheet: Any, system: UnitSystem, title_row: int) -> None:
    """Paper of the user's part of the world, as wide as the page, headings and a caution on each."""
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if system == "us" else sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = f"{title_row}:{title_row}"
    sheet.oddFooter.left.text = "Planning aid, no licence to lift. See the sheet 'cautions'."
    sheet.oddFooter.right.text = "&A, page &P of &N"
    for side in ("left", "right", "top", "bottom"):
        setattr(sheet.page_margins, side, 0.5)


def saved(book: Any, formulas: Mapping[str, Formulas]) -> bytes:
    """The bytes of a workbook in which every formula stands with its result.

    Parameters
    ----------
    book : Workbook
        Its formulas are written by this function.
    formulas : mapping of str to Formulas
        For the name of a sheet its formulas.
    """
    for name, ours in formulas.items():
        for place, (formula, _) in ours.items():
            book[name][place].value = formula
    out = io.BytesIO()
    book.save(out)
    parts = {
        f"xl/worksheets/sheet{book.sheetnames.index(name) + 1}.xml": ours for name, ours in formulas.items()
    }
    return _rewritten(out.getvalue(), lambda part, data: _with_results(data, parts.get(part, {})))


def _rewritten(data: bytes, change: Callable[[str, bytes], bytes]) -> bytes:
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as before,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for part in before.infolist():
            after.writestr(part.filename, change(part.filename, before.read(part)))
    return out.getvalue()


def _with_results(xml: bytes, formulas: Formulas) -> bytes:
    for place, (_, result) in formulas.items():
        cell = re.compile(rb'(<c r="%s"[^>]*><f>[^<]*</f>)<v\s*/>' % place.encode())
        xml, changed = cell.subn(rb"\g<1><v>%s</v>" % repr(result).encode(), xml, count=1)
        if not changed:
            raise ValueError(f"the formula of {place} is not on its sheet")
    return xml
