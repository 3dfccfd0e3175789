"""Pages of a PDF file: paper, head and foot on every page, paragraphs and tables in one plain look.

Everything can be read in black and white: greys mark, figures tell.
"""

from __future__ import annotations

import datetime
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib import colors
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Frame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus import Table as Drawn

from catalog_schema.units import UnitSystem
from recommender.files.letters import BOLD, REGULAR, as_markup, printable, use_font
from recommender.files.tables import Table

SIDE, HEAD, FOOT = 14 * mm, 17 * mm, 24 * mm
MOST_LINES = 36
"""Lines of one cell: a row has to fit on a page."""
LETTER_WIDTH = 0.52
"""Mean width of a letter of the font over its size."""
CELL_SIDE = 2.8
KEPT_WHOLE = 16
"""Rows of a table that is not split if it can be helped."""

INK, RULE, BAND, SHADE = (colors.HexColor(one) for one in ("#16201A", "#8A938D", "#EDF1EE", "#D3DAD5"))
TEXT = ParagraphStyle("text", fontName=REGULAR, fontSize=8.8, leading=11.4, textColor=INK, spaceAfter=3)
SMALL = ParagraphStyle("small", parent=TEXT, fontSize=7.4, leading=9.2)
BOLD_TEXT = ParagraphStyle("bold", parent=TEXT, fontName=BOLD)
FOOT_TEXT = ParagraphStyle("foot", parent=SMALL, fontSize=6.9, leading=8.4)
TITLE = ParagraphStyle("title", parent=TEXT, fontName=BOLD, fontSize=17, leading=21, spaceAfter=4)
HEADING = ParagraphStyle(
    "heading", parent=TEXT, fontName=BOLD, fontSize=11.5, leading=14, spaceBefore=9, spaceAfter=3
)

LOOK: tuple[tuple[Any, ...], ...] = (
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
    ("LINEBELOW", (0, 0), (-1, 0), 0.9, INK),
    ("LINEBELOW", (0, 1), (-1, -1), 0.25, RULE),
    ("BACKGROUND", (0, 0), (-1, 0), BAND),
    *((f"{side}PADDING", (0, 0), (-1, -1), CELL_SIDE) for side in ("LEFT", "RIGHT")),
    *((f"{side}PADDING", (0, 0), (-1, -1), 1.6) for side in ("TOP", "BOTTOM")),
)
"""How every table looks: rules below its rows, a pale band behind its headings."""

Story = list[Any]

LONGEST_HEAD = 400
"""Letters of a title that can stand in the head of a page, at most."""


@dataclass(frozen=True)
class Paper:
    """What every page of a file has: its title at the head, date and paper, and the cautions at the foot."""

    title: str
    cautions: tuple[str, ...]
    system: UnitSystem
    date: datetime.date | None = None
    is_wide: bool = False

    @property
    def size(self) -> tuple[float, float]:
        """Width and height: Letter with US units, else A4. [pt]"""
        upright = letter if self.system == "us" else A4
        wide, high = landscape(upright) if self.is_wide else upright
        return float(wide), float(high)

    @property
    def room(self) -> float:
        """Width between the margins. [pt]"""
        return float(self.size[0] - 2 * SIDE)

    @property
    def depth(self) -> float:
        """Height between head and foot. [pt]"""
        return float(self.size[1] - HEAD - FOOT)


def printed(story: Callable[[], Story], paper: Paper) -> bytes:
    """A story as a PDF file; it is laid out twice, so that every page can say how many there are.

    Parameters
    ----------
    story : callable
        Makes the paragraphs and tables afresh each time.
    paper : Paper

    Returns
    -------
    bytes
        The same for the same story: no clock is read.
    """
    pages = page_count(story(), paper)
    return _laid_out(story(), paper, pages)[0]


def page_count(story: Story, paper: Paper) -> int:
    """Pages that a story takes up."""
    use_font()
    return _laid_out(story, paper, 0)[1]


def _laid_out(story: Story, paper: Paper, pages: int) -> tuple[bytes, int]:
    out = BytesIO()
    wide, high = paper.size
    document = BaseDocTemplate(
        out,
        pagesize=paper.size,
        title=printable(paper.title),
        subject="Planning aid, no licence to lift",
        invariant=1,
    )
    frame = Frame(SIDE, FOOT, wide - 2 * SIDE, high - HEAD - FOOT, 0, 0, 0, 0)
    last: list[int] = [0]

    def dress(canvas: Any, _: Any) -> None:
        last[0] = canvas.getPageNumber()
        _head_and_foot(canvas, paper, last[0], pages)

    document.addPageTemplates([PageTemplate("page", [frame], onPage=dress)])
    document.build(story)
    return out.getvalue(), last[0]


def _head_and_foot(canvas: Any, paper: Paper, page: int, pages: int) -> None:
    wide, high = paper.size
    canvas.saveState()
    canvas.setFillColor(INK)
    canvas.setStrokeColor(RULE)
    canvas.setFont(REGULAR, 7.6)
    right = f"{paper.date.isoformat()}   " if paper.date else ""
    right += f"page {page} of {pages}"
    canvas.drawRightString(wide - SIDE, high - 11 * mm, right)
    canvas.drawString(SIDE, high - 11 * mm, _cut(paper.title, paper.room - 60 * mm))
    canvas.line(SIDE, high - 13 * mm, wide - SIDE, high - 13 * mm)
    note = Paragraph(as_markup(" ".join(paper.cautions)), FOOT_TEXT)
    _, tall = note.wrap(paper.room, FOOT)
    note.drawOn(canvas, SIDE, FOOT - 4 * mm - tall)
    canvas.line(SIDE, FOOT - 3 * mm, wide - SIDE, FOOT - 3 * mm)
    canvas.restoreState()


def _cut(text: str, room: float) -> str:
    """As much of a text as fits into a line of the head."""
    shown = printable(text, LONGEST_HEAD)
    fits = bisect_right(
        range(1, len(shown) + 1), room, key=lambda end: pdfmetrics.stringWidth(shown[:end], REGULAR, 7.6)
    )
    return shown[:fits]


def paragraph(text: str, style: ParagraphStyle = TEXT) -> Paragraph:
    """A paragraph of plain text."""
    return Paragraph(as_markup(text), style)


def bullets(texts: Sequence[str], style: ParagraphStyle = TEXT) -> Story:
    """Each text as a point of a list."""
    style = ParagraphStyle("point", parent=style, leftIndent=9, firstLineIndent=-9)
    return [Paragraph(f"–  {as_markup(one)}", style) for one in texts]


def titled(title: str, body: Story) -> Story:
    """A heading with what stands under it, not alone at the end of a page; nothing without a body."""
    return [CondPageBreak(32 * mm), paragraph(title, HEADING), *body] if body else []


def section(
    table: Table, room: float, size: float = 7.8, shade: Callable[[float], bool] | None = None
) -> Story:
    """A table under its heading, with its sentence; nothing if it has no row.

    Parameters
    ----------
    table : Table
    room : float
        Width to fill. [pt]
    size : float
        Of the letters. [pt]
    shade : callable, optional
        Whether a figure's cell is shaded.
    """
    if not table:
        return []
    about = [paragraph(table.about, SMALL)] if table.about else []
    return with_its_heading([paragraph(table.title, HEADING), *about], table, room, size, shade)


def with_its_heading(
    heading: Story, table: Table, room: float, size: float = 7.8, shade: Callable[[float], bool] | None = None
) -> Story:
    """A table under what stands above it, which is not alone at the end of a page."""
    whole = [*heading, drawn(table, room, size, shade)]
    return [CondPageBreak(32 * mm), *whole] if len(table.rows) > KEPT_WHOLE else [KeepTogether(whole)]


def drawn(table: Table, room: float, size: float = 7.8, shade: Callable[[float], bool] | None = None) -> Any:
    """A table as it is printed; its headings are repeated on every page that it runs over to."""
    left, right = cell_styles(size)
    widths = _widths(table, room, size)
    most = [int(MOST_LINES * (width - 2 * CELL_SIDE) / (LETTER_WIDTH * size)) for width in widths]
    rows = [[cell(one.text, right if one.is_figure else left, 0, bold=True) for one in table.headings]]
    styles = [right if one.is_figure else left for one in table.headings]
    rows += [
        [cell(one.text, style, limit) for one, style, limit in zip(row, styles, most, strict=True)]
        for row in table.rows
    ]
    look = list(LOOK)
    if shade is not None:
        look += [
            ("BACKGROUND", (x, y), (x, y), SHADE)
            for y, row in enumerate(table.rows, start=1)
            for x, one in enumerate(row)
            if one.number is not None and shade(one.number)
        ]
    return Drawn(rows, colWidths=widths, repeatRows=1, style=look, hAlign="LEFT")


def cell_styles(size: float) -> tuple[ParagraphStyle, ParagraphStyle]:
    """Styles of cells with text and with figures."""
    left = ParagraphStyle("cell", parent=TEXT, fontSize=size, leading=size * 1.22, spaceAfter=0)
    return left, ParagraphStyle("figure", parent=left, alignment=TA_RIGHT)


def cell(text: str, style: ParagraphStyle, most: int = 0, bold: bool = False) -> Paragraph:
    """What stands in a cell, cut after so many letters (0: never)."""
    own = ParagraphStyle("heading cell", parent=style, fontName=BOLD) if bold else style
    return Paragraph(as_markup(text, most), own)


def _widths(table: Table, room: float, size: float) -> list[float]:
    """Widths in the shares of the headings, but no column narrower than its longest word, if there is room. [pt]"""
    whole = sum(heading.width for heading in table.headings)
    shares = [room * heading.width / whole for heading in table.headings]
    words = [
        max(
            _longest_word(heading.text, BOLD, size),
            *(_longest_word(row[k].text, REGULAR, size) for row in table.rows),
        )
        for k, heading in enumerate(table.headings)
    ]
    least = [min(word, room / 4) + 2 * CELL_SIDE + 0.5 for word in words]
    spare = [max(share - low, 0.0) for share, low in zip(shares, least, strict=True)]
    lack = sum(max(low - share, 0.0) for share, low in zip(shares, least, strict=True))
    if lack >= sum(spare):
        return shares
    kept = 1 - lack / sum(spare)
    return [
        max(share, low) - left * (1 - kept) for share, low, left in zip(shares, least, spare, strict=True)
    ]


def _longest_word(text: str, font: str, size: float) -> float:
    return max(
        (float(pdfmetrics.stringWidth(printable(one), font, size)) for one in text.split()), default=0.0
    )


def space(millimetres: float) -> Spacer:
    """Empty height."""
    return Spacer(0, millimetres * mm)


def beside(pictures: Story, room: float) -> Any:
    """Pictures in a row, on one page; each has half of the room."""
    return Drawn([pictures], colWidths=[room / 2] * len(pictures), hAlign="LEFT")
