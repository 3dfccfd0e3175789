"""The work mix: an editable table, what is wrong with it row by row, and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from catalog_schema.columns import Column
from catalog_schema.units import UnitSystem
from recommender.charts.words import headline
from recommender.dashboard import frame, state, work_table
from recommender.dashboard.shown import plain, row_problem, table
from recommender.dashboard.species import species_rows
from recommender.work.plan import SHARE_TOLERANCE
from recommender.work.tables import TECHNIQUES, JobType

DTYPES = {"number": "float64", "whole": "float64", "yes_no": "boolean"}
TECHNIQUE_LABELS = {"lower": "lowering", "lift": "lifting", "catch": "catching"}


def show() -> None:
    """The page."""
    st.title("Work")
    st.markdown(
        "One row for each kind of piece that you take down: what it is, how big, and how it comes down. "
        "Click a cell to change it; the kit follows."
    )
    _standing()
    _toolbar()
    _editor()
    with st.container():
        _problems()
    frame.cautions()
    with st.expander("Species that the wood table knows"):
        table(species_rows(state.system()), first="Name", height=300)


def _toolbar() -> None:
    history = state.draft().work
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.button("Undo", icon=":material/undo:", on_click=state.undo, disabled=not history.before)
        st.button("Redo", icon=":material/redo:", on_click=state.redo, disabled=not history.undone)
        for technique in TECHNIQUES:
            about = f"A new row for {TECHNIQUE_LABELS[technique]}, to be changed"
            icon = ":material/add:"
            st.button(technique, help=about, icon=icon, on_click=state.add_example, args=(technique,))
        fits = abs(work_table.share_sum(state.draft().work.now) - 1.0) <= SHARE_TOLERANCE
        st.button("Make shares 100 %", icon=":material/percent:", on_click=state.even_out, disabled=fits)
        st.toggle("Every column", key="every_column", on_change=state.restart_editor)


def _editor() -> None:
    given, system = state.editor(), state.system()
    texts = work_table.headings(system)
    st.data_editor(
        _frame_of(given.rows, system),
        key=given.key,
        num_rows="dynamic",
        hide_index=True,
        column_order=[texts[name] for name in given.columns],
        column_config={
            texts[name]: _settings(column, texts[name]) for name, column in work_table.COLUMNS.items()
        },
        on_change=state.take_edit,
        height="content",
        placeholder="",
    )


def _standing() -> None:
    """What the table comes to now."""
    rows, problems = state.draft().work.now, state.checked().problems
    total = work_table.share_sum(rows)
    with st.container(horizontal=True, gap="large", vertical_alignment="bottom"):
        st.metric("Shares together", f"{100 * total:.4g} %", width="content")
        st.metric("Rows", len(rows), width="content")
        st.metric("Problems", len(problems), width="content")
        with st.container(key="kit_total", width="content"):
            cost = "Kit to buy (earlier table)" if state.is_behind() else "Kit to buy"
            st.metric(cost, plain(frame.total_in_words()))
        frame.link("kit", "See the kit")


def _problems() -> None:
    frame.standing()
    jobs = [str(row.get("job") or "") for row in state.draft().work.now]
    for problem in state.checked().problems:
        row_problem(problem, jobs)


def _frame_of(rows: Sequence[work_table.Record], system: UnitSystem) -> pd.DataFrame:
    """The rows as a frame in which each column has the type of its cells, even where all are blank."""
    shown = work_table.shown_rows(rows, system)
    return pd.DataFrame(
        {
            text: pd.Series(
                [row[text] for row in shown], dtype=DTYPES.get(work_table.COLUMNS[name].sort, "object")
            )
            for name, text in work_table.headings(system).items()
        }
    )


def _settings(column: Column, text: str) -> Any:
    """The editor's settings of a declared column."""
    label, default = headline(text), work_table.DEFAULTS[column.name]
    about = JobType.model_fields[column.name].description
    if column.choices:
        return st.column_config.SelectboxColumn(
            label, help=about, options=list(column.choices), default=default
        )
    if column.sort == "yes_no":
        return st.column_config.CheckboxColumn(label, help=about, default=default)
    if column.sort in ("number", "whole"):
        return st.column_config.NumberColumn(label, help=about, default=default, format="%.4g")
    return st.column_config.TextColumn(
        label, help=about, pinned=column.name == "job", width="medium" if column.name == "job" else None
    )
