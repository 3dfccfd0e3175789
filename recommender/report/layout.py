"""Plain text in at most 80 columns: wrapping, tables and sections, whatever the texts hold."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from catalog_schema.units import KINDS

WIDTH = 80
"""Columns of a plain terminal; no line is longer."""

NARROWEST = 6
"""Columns below which a column of a table is not squeezed."""

GAP = "  "

_TIE = "\0"
_UNITS = "|".join(
    sorted({re.escape(unit) for kind in KINDS.values() for unit in (kind.metric, kind.us) if unit})
)
_BEFORE_UNIT = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?!\w))")


def clean(text: str) -> str:
    """A text on one line, without control characters: tables come from other people's files.

    >>> clean("two\\nlines \\x1b[31mred")
    'two lines ?[31mred'
    """
    return "".join(one if one.isprintable() else "?" for one in " ".join(text.split()))


def columns_of(text: str) -> int:
    """Columns that a text takes up in a terminal: wide letters take two, marks on letters none.

    >>> columns_of("rope"), columns_of("縄"), columns_of("e\\u0301")
    (4, 2, 1)
    """
    return sum(_columns_of_letter(one) for one in text)


def _columns_of_letter(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def wrapped(text: str, width: int = WIDTH, first: str = "", rest: str = "") -> list[str]:
    """A text as lines of at most ``width`` columns; a number stays with its unit, a word that is too long is cut.

    Parameters
    ----------
    text : str
    width : int
    first, rest : str
        What stands in front of the first line and of the others.

    Returns
    -------
    list of str
        At least one line.

    Examples
    --------
    >>> wrapped("a rope and a block", 12, "- ", "  ")
    ['- a rope and', '  a block']
    """
    lines, line, fresh = [], first, True
    words = _BEFORE_UNIT.sub(_TIE, clean(text)).split(" ")
    for word in _cut_words(words, width - max(columns_of(first), columns_of(rest))):
        longer = line + (word if fresh else f" {word}")
        if fresh or columns_of(longer) <= width:
            line, fresh = longer, False
        else:
            lines.append(line)
            line = rest + word
    return [one.replace(_TIE, " ").rstrip() for one in (*lines, line)]


def _cut_words(words: Iterable[str], width: int) -> Iterator[str]:
    for word in words:
        part = ""
        for letter in word:
            if part and columns_of(part) + _columns_of_letter(letter) > width:
                yield part
                part = ""
            part += letter
        yield part


@dataclass(frozen=True)
class Column:
    """A column of a table: its heading, and whether its cells are numbers (to the right, squeezed last)."""

    heading: str
    number: bool = False


def table(columns: Sequence[Column], rows: Iterable[Sequence[str]], width: int = WIDTH) -> list[str]:
    """A table as lines; columns of text are squeezed until it fits, then those of numbers.

    Parameters
    ----------
    columns : sequence of Column
    rows : iterable of sequence of str
        A cell may have several lines.
    width : int

    Returns
    -------
    list of str
        The heading, a rule, and the rows.

    Examples
    --------
    >>> print("\\n".join(table([Column("item"), Column("kg", True)], [["a long rope", "7"], ["sling", "12"]], 12)))
    item      kg
    --------  --
    a long     7
    rope
    sling     12
    """
    cells = [[_cell_lines(text) for text in row] for row in rows]
    headings = [_cell_lines(column.heading) for column in columns]
    room = _widths(columns, [headings, *cells], width)
    rule = GAP.join("-" * one for one in room)
    body = [line for row in cells for line in _row_lines(columns, row, room)]
    return [*_row_lines(columns, headings, room), rule, *body]


def _cell_lines(text: str) -> list[str]:
    return [clean(line) for line in text.split("\n")]


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[Sequence[str]]], width: int) -> list[int]:
    room = [
        max((columns_of(line) for row in rows for line in row[k]), default=0) for k in range(len(columns))
    ]
    spare = width - len(GAP) * (len(columns) - 1)
    while sum(room) > spare:
        wide = [k for k in range(len(columns)) if room[k] > NARROWEST]
        if not wide:
            raise ValueError(f"width must be at least {sum(room) + width - spare} columns here, not {width}")
        squeezed = [k for k in wide if not columns[k].number] or wide
        room[max(squeezed, key=lambda k: room[k])] -= 1
    return room


def _row_lines(columns: Sequence[Column], row: Sequence[Sequence[str]], room: Sequence[int]) -> list[str]:
    cells = [[line for text in texts for line in wrapped(text, room[k])] for k, texts in enumerate(row)]
    height = max(len(lines) for lines in cells)
    lines = []
    for number in range(height):
        parts = [
            _padded(cell[number] if number < len(cell) else "", room[k], columns[k].number)
            for k, cell in enumerate(cells)
        ]
        lines.append(GAP.join(parts).rstrip())
    return lines


def _padded(text: str, room: int, to_the_right: bool) -> str:
    blank = " " * (room - columns_of(text))
    return blank + text if to_the_right else text + blank


def section(title: str, lines: Iterable[str]) -> list[str]:
    """A title with its lines under it and an empty line before it; nothing if there are no lines."""
    body = list(lines)
    return ["", title, *body] if body else []


def bullets(texts: Iterable[str]) -> list[str]:
    """Each text as a point of a list."""
    return [line for text in texts for line in wrapped(text, first="- ", rest="  ")]
