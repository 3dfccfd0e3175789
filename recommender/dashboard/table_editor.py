"""The editor of any declared table on the screen, with what is wrong row by row beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
import streamlit as st

from catalog_schema.columns import Column
from catalog_schema.units import UnitSystem
from recommender.charts.words import headline
from recommender.dashboard import left_over, records, state
from recommender.dashboard.rounding import in_grid
from recommender.dashboard.sheets import SHEETS
from recommender.dashboard.shown import row_problem
from recommender.dashboard.state import Editor

ROW_WIDTH, KEY_WIDTH = 50, 152
"""Of the column of row numbers and of the one that names a row. [px]"""
ROW, MARK = "Row", "\u26a0"
"""The column of row numbers, and the mark of what is faulty."""
DTYPES = {"yes_no": "boolean"}
MOST_PROBLEMS = 30
"""Shown at once; the others follow as these are put right."""
SCROLLED = 6
"""From so many problems on, their list is scrolled by itself."""


def edit_table(
    name: str,
    *,
    view: str = "",
    columns: Sequence[str] = (),
    switch: bool = True,
    picks: Mapping[str, Mapping[str, str]] | None = None,
) -> None:
    """The editor of a table; every change of a cell is taken and saved at once.

    Parameters
    ----------
    name : str
        Of the table.
    view : str, optional
        Tells editors of the same table apart.
    columns : sequence of str, optional
        What it shows; those that are needed or used without it.
    switch : bool, optional
        Whether all columns can be shown.
    picks : mapping, optional
        Columns whose cells are chosen: what may stand there, with the words that it is offered in.
    """
    if switch:
        st.toggle(
            "Every column", key=state.every_column(name), on_change=state.restart_editors,
            help="Also those that are seldom needed",
        )  # fmt: skip
    given, system = state.editor(name, view=view, columns=columns), state.system()
    headings = given.sheet.headings(system)
    as_text = records.text_columns(given.sheet, given.rows)
    settings = {
        headings[one]: _settings(given, column, headings[one], as_text, (picks or {}).get(one))
        for one, column in given.sheet.columns.items()
    }
    st.data_editor(
        _frame_of(given, system, as_text),
        key=given.key,
        num_rows="dynamic",
        hide_index=True,
        column_order=[ROW, *(headings[one] for one in given.columns)],
        column_config={ROW: _row_numbers(), **settings},
        on_change=_taken,
        args=(given,),
        height="content" if len(given.rows) < 16 else 560,
        placeholder="",
    )
    table_problems(name)
    left_over.show(name)


def _taken(given: Editor) -> None:
    """What was typed, taken; a row that was given another name is remembered."""
    before = state.draft().rows(given.sheet.name)
    state.take_edit(given)
    left_over.remember(given.sheet.name, before, state.draft().rows(given.sheet.name))


def table_problems(name: str) -> None:
    """What is wrong with a table, row by row."""
    sheet = SHEETS[name]
    found = sorted(state.checked().of(sheet), key=lambda one: one.line)
    if not found:
        return
    names = [str(row.get(sheet.key) or "") for row in state.draft().rows(name)]
    key = f"problems_{sheet.file}"
    with st.container(height=360 if len(found) >= SCROLLED else "content", border=False, key=key):
        for problem in found[:MOST_PROBLEMS]:
            row_problem(problem, names)
        if len(found) > MOST_PROBLEMS:
            st.caption(f"And {len(found) - MOST_PROBLEMS} more.")


def _row_numbers() -> Any:
    about = "As in a file, whose header is row 1. A row that has to be put right is marked."
    return st.column_config.TextColumn(ROW, help=about, disabled=True, pinned=True, width=ROW_WIDTH)


def _frame_of(given: Editor, system: UnitSystem, as_text: frozenset[str]) -> pd.DataFrame:
    """The rows as a frame in which each column has the type of its cells, even where all are blank."""
    shown = records.shown_rows(given.sheet, given.rows, system)
    faulty = {line for line, _ in given.faults}
    numbers = range(records.FIRST_ROW, records.FIRST_ROW + len(shown))
    series = {
        ROW: pd.Series([f"{MARK} {one}" if one in faulty else f"{one}" for one in numbers], dtype="object")
    }
    for name, text in given.sheet.headings(system).items():
        sort, cells = given.sheet.columns[name].sort, [row[text] for row in shown]
        if name in as_text:
            series[text] = pd.Series([None if cell is None else str(cell) for cell in cells], dtype="object")
        elif sort == "date":
            series[text] = pd.Series([records.day_of(cell) for cell in cells], dtype="object")
        else:
            series[text] = pd.Series(cells, dtype=DTYPES.get(sort, "object"))
    return pd.DataFrame(series)


def _settings(
    given: Editor, column: Column, text: str, as_text: frozenset[str], picks: Mapping[str, str] | None
) -> Any:
    """The editor's settings of a declared column; one with a faulty cell is marked."""
    label, default = headline(text), given.sheet.defaults[column.name]
    if any(name == column.name for _, name in given.faults):
        label = f"{MARK} {label}"
    about = given.sheet.model.model_fields[column.name].description
    is_key = column.name == given.sheet.key
    if picks is not None:
        words = _with_refused(picks, given, column.name, "not known")
        return st.column_config.SelectboxColumn(
            label, help=about, options=list(words), format_func=lambda one: words[str(one)], pinned=is_key or None,
            width="large" if is_key else "medium",
        )  # fmt: skip
    if column.choices:
        offered = {one: one.replace("_", " ") for one in column.choices}
        words = _with_refused(offered, given, column.name, "not a choice")
        return st.column_config.SelectboxColumn(
            label, help=about, options=list(words), format_func=lambda one: words[str(one)], default=default
        )
    if column.sort in records.NUMBERS:
        shown = in_grid(default, column, state.system())
        return st.column_config.TextColumn(label, help=about, alignment="right", default=shown)
    if column.name in as_text or column.sort in ("text", "list"):
        pinned, width = (True, KEY_WIDTH) if is_key else (None, None)
        return st.column_config.TextColumn(label, help=about, pinned=pinned, width=width)
    if column.sort == "yes_no":
        return st.column_config.CheckboxColumn(label, help=about, default=default)
    return st.column_config.DateColumn(label, help=about, format="YYYY-MM-DD")


def _with_refused(offered: Mapping[str, str], given: Editor, column: str, why: str) -> dict[str, str]:
    """What may stand in a cell, and what does but may not: the grid shows only what it offers, so that is marked."""
    refused = {str(row[column]) for row in given.rows if row.get(column)} - offered.keys()
    return {**offered, **{one: f"{MARK} {one}: {why}" for one in sorted(refused)}}
