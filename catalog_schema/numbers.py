"""Text of a cell -> number in SI: decimal commas, thousands marks, fractions, units behind the number.

Which mark is the decimal mark is never guessed. ``12.7``, ``12,7``, ``1,234.5`` and ``1.234,5`` can be read
in one way only. ``1,234`` and ``1.234`` can be read in two, so the rest of the file settles them: the other
numbers in it, then what separates its columns (a semicolon goes with a decimal comma; a comma, or a workbook,
with a decimal point). Where that leaves a doubt, or speaks both ways, the cell is refused with both readings.
A US unit in the header settles nothing: people who write decimal commas buy rope in feet and pounds too.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite
from typing import Literal

from catalog_schema.problems import ProblemCode

MarkMeaning = Literal["decimal", "thousands", "unclear"]
LONGEST_NUMBER = 200
LARGEST_DENOMINATOR = 64

_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9.,/ +-]*[0-9](?:[eE][+-]?[0-9]+)?)\s*(.*)", re.DOTALL)
_FRACTION = re.compile(r"([+-]?)(?:([0-9]+)(?: +| *- *))?([0-9]+) */ *([1-9][0-9]*)")
_PLAIN = re.compile(r"([+-]?)([0-9][0-9., ]*|[.,][0-9]+)((?:[eE][+-]?[0-9]+)?)")
_TRIPLET = re.compile(r"[1-9][0-9]{0,2}([.,])[0-9]{3}")
_EXCEL_DATE = re.compile(
    r"\d{1,2}[-. ]{1,2}[^\W\d_]{3,5}\.?|[^\W\d_]{3,5}[-. ]{1,2}\d{1,4}|\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}"
)
_RANGE = re.compile(r"[0-9.,]+\s*(?:-|to|\.\.)\s*[0-9.,]+.*")


class CellError(ValueError):
    """A cell that can't be read: the code, what is wrong, what to write."""

    def __init__(self, code: ProblemCode, message: str, hint: str) -> None:
        self.code = code
        self.message = message
        self.hint = hint
        super().__init__(f"{message}. {hint}")


@dataclass(frozen=True)
class Marks:
    """What a single point, and a single comma, before exactly three digits means in this file."""

    point: MarkMeaning = "decimal"
    comma: MarkMeaning = "unclear"


POINT = Marks()
"""A file that says nothing else: a single point is a decimal point, ``1,234`` is refused."""


def settle_marks(texts: Iterable[str], delimiter: str = ",") -> Marks:
    """What the numbers of a file, and what separates its columns, say about its decimal mark.

    Parameters
    ----------
    texts : iterable of str
        Every cell of the number columns, with its unit or without.
    delimiter : str
        ``;``, ``,``, a tab, or empty for a workbook (which leans on the point, as a comma does).

    Examples
    --------
    >>> settle_marks(["12.7", "1,234"])
    Marks(point='decimal', comma='thousands')
    >>> settle_marks(["1,234"], ";")
    Marks(point='unclear', comma='decimal')
    """
    seen = {mark for text in texts if (mark := _sure_decimal_mark(text))}
    leaning = {";": ",", "\t": ""}.get(delimiter, ".")
    if len(seen) == 2 or not (seen or leaning):
        return Marks("unclear", "unclear")
    decimal = min(seen, default=leaning)
    other: MarkMeaning = "thousands" if seen and leaning in ("", decimal) else "unclear"
    return Marks("decimal", other) if decimal == "." else Marks(other, "decimal")


def parse_number(text: str, marks: Marks = POINT) -> float:
    """A number written as people write it, without a unit.

    Parameters
    ----------
    text : str
        ``12.7``, ``12,7``, ``1,234.5``, ``1 234,5``, ``9/16``, ``1-1/2``, ``1½``, ``1e3``.
    marks : Marks
        What :func:`settle_marks` found out about the file.

    Raises
    ------
    CellError
        If it is no number, or may be read in two ways.

    Examples
    --------
    >>> parse_number("1-1/2"), parse_number("1.234,5"), parse_number("1,234", Marks(comma="thousands"))
    (1.5, 1234.5, 1234.0)
    """
    plain = tidy(text)
    if len(plain) > LONGEST_NUMBER:
        raise not_a_number(text)
    value = _fraction(plain)
    if value is None:
        value = _decimal(plain, marks)
    if value is None or not isfinite(value):
        raise not_a_number(text)
    return value


def split_unit(text: str) -> tuple[str, str]:
    """The number and the unit of a cell such as ``9/16 in``; the unit is empty if there is none.

    >>> split_unit("1-1/2in"), split_unit("20 lb/100 ft"), split_unit("45")
    (('1-1/2', 'in'), ('20', 'lb/100 ft'), ('45', ''))
    """
    match = _NUMBER_AND_UNIT.fullmatch(tidy(text)[: LONGEST_NUMBER + 1])
    if match is None or match[2][:1] in (".", ",", "-"):
        raise not_a_number(text)
    return match[1], match[2]


def tidy(text: str) -> str:
    """Spaces, minus signs and vulgar fractions of the wider world in plain letters."""
    if text.isascii():
        return text.strip()
    return "".join(_PLAIN_CHARACTER.get(char) or _vulgar_fraction(char) for char in text).strip()


_PLAIN_CHARACTER = {
    **dict.fromkeys("\u00a0\u2007\u2009\u202f", " "),
    **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013", "-"),
    "\u2044": "/",
}


def _vulgar_fraction(char: str) -> str:
    if unicodedata.decomposition(char).startswith("<fraction>"):
        return " " + unicodedata.normalize("NFKC", char).replace("\u2044", "/")
    return char


def _fraction(plain: str) -> float | None:
    match = _FRACTION.fullmatch(plain)
    if match is None:
        return None
    sign, whole, above, below = match[1], match[2] or "0", int(match[3]), int(match[4])
    if not 2 <= below <= LARGEST_DENOMINATOR or above == 0 or (match[2] and above >= below):
        return None
    return (-1.0 if sign == "-" else 1.0) * (int(whole) + above / below)


def _decimal(plain: str, marks: Marks) -> float | None:
    match = _PLAIN.fullmatch(plain)
    if match is None:
        return None
    sign, body, exponent = match.groups()
    if _TRIPLET.fullmatch(body) and not exponent:
        return float(sign + _settled(body, marks))
    decimal_mark = _sure_mark(body)
    if decimal_mark is None:
        return None
    whole, _, part = body.rpartition(decimal_mark) if decimal_mark else (body, "", "")
    return float(f"{sign}{re.sub('[., ]', '', whole) or '0'}.{part or '0'}{exponent}")


def _settled(triplet: str, marks: Marks) -> str:
    """``1,234`` or ``1.234`` as Python writes it, by what the mark means in the file."""
    mark = "." if "." in triplet else ","
    meaning = marks.point if mark == "." else marks.comma
    if meaning == "unclear":
        one, other = triplet.replace(mark, ""), triplet.replace(mark, ".")
        short = other.rstrip("0").rstrip(".")
        raise CellError(
            ProblemCode.AMBIGUOUS_NUMBER,
            f"this may be {one}, or {other} with a decimal mark",
            f"Write {one} or {short}"
            if short != other
            else f"Write {one} without a mark, or {other}0 with a fourth digit after it",
        )
    return triplet.replace(mark, "" if meaning == "thousands" else ".")


def _sure_mark(body: str) -> str | None:
    """The decimal mark of a number with one reading, empty if it has none; None for no number."""
    if body.isdigit():
        return ""
    for decimal, thousands in ((".", ","), (",", ".")):
        d = re.escape(decimal)
        if re.fullmatch(rf"[0-9]*{d}[0-9]+|[0-9]{{1,3}}(?:[{thousands} ][0-9]{{3}})+{d}[0-9]+", body):
            return decimal
    if re.fullmatch(r"[0-9]{1,3}(?:(?:\.[0-9]{3}){2,}|(?:,[0-9]{3}){2,}|(?: [0-9]{3})+)", body):
        return ""
    return None


def _sure_decimal_mark(text: str) -> str:
    """What one cell says about the decimal mark of its file: ``.``, ``,`` or nothing."""
    if not ("." in text or "," in text):
        return ""
    match = _NUMBER_AND_UNIT.fullmatch(tidy(text)[:LONGEST_NUMBER])
    body = match[1].lstrip("+-") if match else ""
    if _TRIPLET.fullmatch(body):
        return ""
    if re.fullmatch(r"[0-9]{1,3}(?:,[0-9]{3}){2,}", body):
        return "."
    if re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{3}){2,}", body):
        return ","
    return _sure_mark(body) or ""


def not_a_number(text: str, hint: str = "") -> CellError:
    plain = tidy(text)
    if not hint and _EXCEL_DATE.fullmatch(plain):
        hint = (
            "It looks like a date: a spreadsheet may have turned a fraction such as 9/16 into it. "
            "Format the column as text and type 9/16, or 0.5625"
        )
    elif not hint and _RANGE.fullmatch(plain):
        hint = "Write one number, not a range"
    return CellError(ProblemCode.NOT_A_NUMBER, "this is not a number", hint or _EXAMPLES)


_EXAMPLES = "Write a number such as 12.7, 1-1/2 or 9/16, or leave the cell empty if nothing is known"
