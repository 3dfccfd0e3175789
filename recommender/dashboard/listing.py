"""Tables to read whose words wrap: every row in full on a wide screen, a card for each row on a phone.

Every text is escaped, so that nothing that people wrote in tables is ever markup.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import streamlit as st

from recommender.report.layout import clean

HARD_SPACE = "\u00a0"
_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=to \d)|(?<=\d to) (?=\d)|(?<=\b[A-Z]{3}) (?=\d)|(?<=\d) (?=(?:%|kN|lbf|kg|lb|mm|cm|m|in|ft|L)\b|%)"
)
"""A figure and its unit or currency stay on one line."""
MANY_COLUMNS = 7
"""Tables with more columns are set close."""
NARROW = "40rem"
"""Screens below this width get a card for each row."""

STYLE = f"""<style>
.rows {{ width: 100%; border-collapse: collapse; margin: 0 0 0.5rem; }}
.rows th, .rows td {{ padding: 0.4rem 0.6rem; text-align: left; vertical-align: top; overflow-wrap: break-word;
  border-bottom: 1px solid rgba(128, 128, 128, 0.4); }}
.rows thead th {{ border-bottom: 2px solid currentColor; vertical-align: bottom; overflow-wrap: normal; }}
.rows tbody th {{ font-weight: 600; }}
.stack tbody th {{ min-width: 7rem; }}
.close {{ font-size: 0.875rem; }}
.close th, .close td {{ padding: 0.4rem 0.3rem; }}
.beside {{ overflow-x: auto; }}
.rows .number {{ text-align: right; font-variant-numeric: tabular-nums; }}
.rows td.number {{ white-space: nowrap; }}
.rows.large {{ font-size: 1.7rem; }}
.rows tr.sum > * {{ font-weight: 700; border-top: 2px solid currentColor; }}
@media (max-width: {NARROW}) {{
  .stack thead {{ position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }}
  .stack, .stack tbody {{ display: block; }}
  .stack tr {{ display: flex; flex-wrap: wrap; padding: 0.4rem 0; border-bottom: 1px solid currentColor; }}
  .stack td, .stack tbody th {{ flex: 0 0 100%; box-sizing: border-box; display: flex; border: 0; gap: 0 0.5rem;
    justify-content: space-between; padding: 0.1rem 0.3rem; text-align: left; overflow-wrap: anywhere; }}
  .stack tbody th {{ font-size: 1.05rem; }}
  .stack td::before {{ content: attr(data-name); flex: 0 0 38%; opacity: 0.85; text-align: left; }}
  .stack td.short {{ flex-basis: 50%; order: 1; }}
  .stack td.short::before {{ flex: 0 1 auto; overflow-wrap: normal; }}
  .stack tr.sum > * {{ border-top: 0; }}
  .stack td:empty {{ display: none; }}
}}
</style>"""


@dataclass(frozen=True)
class Filled:
    """A share as text, with its cell filled up to it: deeper from ``DEEP`` on. The text says it too."""

    text: str
    share: float


DEEP = 0.85
FILLS = ("rgba(47, 134, 102, 0.28)", "rgba(196, 86, 45, 0.38)")
"""Pale enough for the ink of both themes."""


def listing(
    rows: Sequence[dict[str, Any]],
    *,
    first: str = "",
    total: dict[str, Any] | None = None,
    stack: bool = True,
    large: bool = False,
    about: str = "",
) -> None:
    """Rows as a table to read, each cell in full.

    Parameters
    ----------
    rows : sequence of mapping
        Heading to cell: text, a number, or None. Numbers of a column all have as many decimals as one of them needs.
    first : str, optional
        The column that names the row: it comes first, and heads the card on a phone.
    total : mapping, optional
        A last row, set apart.
    stack : bool
        Whether each row becomes a card on a phone; without it the columns stay side by side, for few and short ones.
    large : bool
        In letters to be read from the back of a room.
    about : str, optional
        What the table is of, for those who hear the page; its headings if left out.
    """
    if rows:
        st.html(STYLE + listing_markup(rows, first=first, total=total, stack=stack, large=large, about=about))


def listing_markup(
    rows: Sequence[dict[str, Any]],
    *,
    first: str = "",
    total: dict[str, Any] | None = None,
    stack: bool = True,
    large: bool = False,
    about: str = "",
) -> str:
    """The table of :func:`listing`, as it is handed to the browser."""
    every = [*rows, total] if total else list(rows)
    names = sorted(rows[0], key=lambda name: name != first)
    decimals = {name: decimals_needed([row.get(name) for row in every]) for name in names}
    figures = {name for name in names if all(_is_figure(row.get(name)) for row in rows)}
    head = "".join(f'<th scope="col"{_side(name in figures)}>{_text(name)}</th>' for name in names)
    body = "".join(
        ('<tr class="sum">' if row is total else "<tr>")
        + "".join(
            _cell(row.get(name), name, name == first, decimals[name], name in figures) for name in names
        )
        + "</tr>"
        for row in every
    )
    kind = "rows" + " stack" * stack + " large" * large + " close" * (len(names) > MANY_COLUMNS)
    label = f"Table: {about or ', '.join(names)}"
    table = f'<table class="{kind}"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'
    return f'<div class="beside" tabindex="0" role="region" aria-label="{_text(label)}">{table}</div>'


def _cell(value: Any, name: str, is_first: bool, decimals: int | None, is_figure: bool) -> str:
    if value is None:
        text = ""
    elif isinstance(value, float) and decimals is not None:
        text = f"{value:,.{decimals}f}"
    else:
        text = f"{value:,d}" if isinstance(value, int) and not isinstance(value, bool) else str(value)
    if is_first:
        return f'<th scope="row">{_text(text)}</th>'
    if isinstance(value, Filled):
        fill = FILLS[value.share >= DEEP]
        upto = f"{100 * min(max(value.share, 0.0), 1.0):.0f}%"
        style = f"background: linear-gradient(to right, {fill} {upto}, transparent {upto})"
        return f'<td data-name="{_text(name)}" class="short" style="{style}">{_text(value.text)}</td>'
    return f'<td data-name="{_text(name)}"{_side(is_figure, " short")}>{_text(text)}</td>'


def _text(text: str) -> str:
    return _BEFORE_UNIT.sub(HARD_SPACE, escape(clean(text)))


def _side(is_figure: bool, more: str = "") -> str:
    """What sets figures to the right; with ``short`` two of them share a line of a card."""
    return f' class="number{more}"' if is_figure else ""


def _is_figure(value: Any) -> bool:
    return value is None or (isinstance(value, int | float) and not isinstance(value, bool))


MOST_DECIMALS = 4


def decimals_needed(cells: Sequence[Any]) -> int | None:
    """How many decimals the numbers of a column need together, 4 at most; None where there is no fraction to write.

    >>> decimals_needed([1.5, 2.0, None]), decimals_needed([3, 4]), decimals_needed(["a"])
    (1, None, None)
    """
    numbers = [cell for cell in cells if isinstance(cell, float)]
    texts = (f"{number:.{MOST_DECIMALS}f}".rstrip("0") for number in numbers)
    return max((len(text.partition(".")[2]) for text in texts), default=None)
