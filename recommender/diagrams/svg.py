"""SVG as plain text, built so that no text of a table can become markup."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from recommender.report.layout import clean

Point = tuple[float, float]
LETTER_WIDTH = 0.57
"""Width of a usual letter over the size of the type; wide enough for most fonts."""


@dataclass(frozen=True)
class Markup:
    """Text that is SVG already; only :func:`element` and :func:`joined` make it."""

    text: str


def element(name: str, *content: Markup | str, **attributes: str | float | None) -> Markup:
    """An element; plain text among its content, and every attribute, is escaped.

    Parameters
    ----------
    name : str
        Of the element; names are the program's own, never from a table.
    content : Markup or str
    attributes : str, float or None
        ``_`` stands for ``-`` in a name; None leaves the attribute out, numbers have at most two decimals.

    Returns
    -------
    Markup

    Examples
    --------
    >>> element("text", "<b>5 & 6</b>", x=1.5, font_size=12).text
    '<text x="1.5" font-size="12">&lt;b&gt;5 &amp; 6&lt;/b&gt;</text>'
    """
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_plain(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    inner = "".join(one.text if isinstance(one, Markup) else escape(clean(one)) for one in content)
    return Markup(f"<{name}{given}>{inner}</{name}>" if inner else f"<{name}{given}/>")


def _plain(value: str | float | None) -> str:
    return clean(value) if isinstance(value, str) else number(float(value or 0.0))


def number(value: float) -> str:
    """A coordinate.

    >>> number(3.0), number(2.3456)
    ('3', '2.35')
    """
    return f"{value:.2f}".rstrip("0").rstrip(".")


def joined(parts: Iterable[Markup]) -> Markup:
    """Elements one after another."""
    return Markup("".join(part.text for part in parts))


def path(points: Iterable[Point], *, closed: bool = False, **attributes: str | float | None) -> Markup:
    """A line through points, or the area inside them."""
    steps = " L".join(f"{number(x)} {number(y)}" for x, y in points)
    fill = {} if closed else {"fill": "none"}
    return element("path", d=f"M{steps}{'Z' if closed else ''}", **{**fill, **attributes})


def cut_to(text: str, width: float, size: float) -> str:
    """A text that is no wider than ``width`` in type of a size, with dots where something was cut.

    >>> cut_to("a very long name of an item", 80, 12)
    'a very lon…'
    """
    room = max(1, int(width / (LETTER_WIDTH * size)))
    text = clean(text)
    return text if len(text) <= room else f"{text[: room - 1].rstrip()}…"
