"""The letters that pages are printed with: a font that is part of the program, and what it has no form for."""

from __future__ import annotations

import unicodedata
from functools import cache
from importlib.resources import files
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from recommender.report.layout import clean

REGULAR, BOLD = "Print", "PrintBold"
MISSING = "□"
"""Stands for every letter that the font has no form for."""

MISSING_NOTE = f"{MISSING} stands for a letter that this print has no form for."
_FILES = {REGULAR: "DejaVuSansCondensed.ttf", BOLD: "DejaVuSansCondensed-Bold.ttf"}


@cache
def use_font() -> frozenset[str]:
    """Make the font known to the PDF writer, once; the letters that it has in both weights."""
    letters: list[frozenset[str]] = []
    for name, file in _FILES.items():
        font = TTFont(name, BytesIO(files("recommender").joinpath("data", file).read_bytes()))
        pdfmetrics.registerFont(font)
        letters.append(frozenset(map(chr, font.face.charToGlyph)))
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    return frozenset.intersection(*letters)


def printable(text: str, most: int = 0) -> str:
    """A text on one line with letters that can be printed, at most so many of them (0: all).

    >>> printable("Bäume und 縄")
    'Bäume und □'
    """
    letters = use_font()
    shown = "".join(one if one in letters else MISSING for one in unicodedata.normalize("NFC", clean(text)))
    return shown if not most or len(shown) <= most else f"{shown[: most - 4]} ..."


def as_markup(text: str, most: int = 0) -> str:
    """A text for a paragraph, in which nothing is taken for markup."""
    return escape(printable(text, most))
