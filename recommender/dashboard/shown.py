"""Tables, problems and texts on the screen. What people wrote in tables is never taken as markup."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import streamlit as st

from catalog_schema.problems import Problem
from recommender.charts.words import headline
from recommender.dashboard.listing import decimals_needed, listing
from recommender.dashboard.records import FIRST_ROW
from recommender.kit.result import Uncovered
from recommender.report.figures import ended, words

_PUNCTUATION = re.compile(r"([!-/:-@\[-`{-~])")
_APART = "\u2060"
"""Word joiner: invisible; keeps addresses and names of pictures from being recognised."""


def plain(text: str) -> str:
    """A text that shows as it is where Streamlit expects markup.

    >>> plain("**10** [a](b)").replace(_APART, "")
    '\\\\*\\\\*10\\\\*\\\\* \\\\[a\\\\]\\\\(b\\\\)'
    """
    on_one_line = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    escaped = _PUNCTUATION.sub(r"\\\1", on_one_line)
    return re.sub(r"(\\[:@/]|\\\.(?!\d))", rf"\1{_APART}", escaped)


def table(rows: Sequence[dict[str, Any]], *, first: str = "", height: int | None = None) -> None:
    """Rows as a table to read; the numbers of a column all have as many decimals as one of them needs.

    Parameters
    ----------
    rows : sequence of mapping
        Heading to cell.
    first : str, optional
        The column that stays in sight when the table is moved sideways.
    height : int, optional
        In pixels; as high as its rows without it.
    """
    import pandas as pd

    settings: dict[str, Any] = {}
    for name in rows[0] if rows else ():
        decimals = decimals_needed([row[name] for row in rows])
        if decimals is not None:
            settings[name] = st.column_config.NumberColumn(format=f"%.{decimals}f")
    if first:
        settings[first] = st.column_config.TextColumn(pinned=True, width="medium")
    st.dataframe(
        pd.DataFrame(list(rows)),
        hide_index=True,
        column_config=settings,
        height="content" if height is None else height,
        placeholder="",
    )


def file_problems(problems: Sequence[Problem]) -> None:
    """Problems of files as a table whose words wrap: place, what stands there, what is wrong, what to do."""
    rows = [
        {
            "File": problem.file + (f" [{problem.sheet}]" if problem.sheet else ""),
            "Row": str(problem.line or ""),
            "Column": problem.column,
            "Found": problem.value[:60],
            "What is wrong": problem.message,
            "What to do": problem.hint,
        }
        for problem in problems
    ]
    told = [name for name in rows[0] if any(row[name] for row in rows)] if rows else []
    listing(
        [{name: row[name] for name in told} for row in rows], first="File", about="Problems of these files"
    )


def row_problem(problem: Problem, names: Sequence[str]) -> None:
    """A problem of a table that is edited: the row by its number in a file and name, what is wrong and what to do."""
    place = problem.line - FIRST_ROW
    name = names[place] if 0 <= place < len(names) else ""
    row = f"Row {problem.line}{f', {name}' if name else ''}" if problem.line else "Whole table"
    column = f" - {headline(problem.column)}" if problem.column else ""
    found = f" (found '{problem.value[:60]}')" if problem.value else ""
    with st.container(border=True, gap="xxsmall"):
        st.markdown(f"**{plain(row + column)}**")
        st.text(f"{headline(problem.message)}{found}. {ended(words(problem.hint))}")


def lines(texts: Sequence[str]) -> None:
    """Sentences under each other."""
    for text in texts:
        st.text(text)


def shortfall(one: Uncovered, *, is_of_a_job: bool = True) -> None:
    """What of a job type, or of several together, can't be carried, by how much, and what would help."""
    with st.container(border=True):
        st.markdown(f"**{plain(one.job)}**" + (f" ({one.technique})" if is_of_a_job else ""))
        part, short, remedy = st.columns([1, 2, 2])
        with part:
            st.caption("Part that falls short")
            st.text(headline(one.part))
        with short:
            st.caption("By how much")
            st.text(one.shortfall)
        with remedy:
            st.caption("What would help")
            st.text(one.remedy)
            lines([f"Or: {other}" for other in one.other_remedies])
