"""Rows that were given another name: which of their values stayed, so that nothing of an example goes on unseen."""

from __future__ import annotations

from typing import cast

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.charts.words import headline
from recommender.dashboard import state
from recommender.dashboard.rounding import in_grid
from recommender.dashboard.sheets import GEAR_SHEETS, SHEETS, Sheet
from recommender.dashboard.shown import plain
from recommender.store import Record, Rows

ABOUT = ("work", "trees", *(sheet.name for sheet in GEAR_SHEETS.values()))
"""Tables whose rows people make their own by naming them."""
_RENAMED = "renamed_rows"


def remember(name: str, before: Rows, after: Rows) -> None:
    """Note whether an edit has given a row of a table another name."""
    key = SHEETS[name].key
    if name in ABOUT and len(before) == len(after):
        for old, new in zip(before, after, strict=True):
            if old.get(key) and new.get(key) and old[key] != new[key]:
                _renamed()[name] = str(old[key]), str(new[key])


def show(name: str) -> None:
    """What the row that was named last still has of the one it was, with a way to blank it."""
    sheet, (old, new) = SHEETS[name], _renamed().get(name, ("", ""))
    row = next((one for one in state.draft().rows(name) if new and one.get(sheet.key) == new), None)
    if row is None:
        return
    stayed = stayed_values(sheet, row, state.system())
    if not stayed:
        return
    with st.container(border=True, key=f"left_over_{sheet.file}"):
        st.markdown(
            f"**{plain(new)}** was **{plain(old)}**. It keeps all that you have not changed, also this:"
        )
        st.text("; ".join(f"{heading}: {cell}" for heading, cell in stayed.values()) + ".")
        with st.container(horizontal=True):
            st.button("Blank these", key=f"blank {name}", on_click=_blank, args=(name, new, tuple(stayed)))
            st.button("They are right", key=f"keep {name}", on_click=_forget, args=(name,))


def stayed_values(sheet: Sheet, row: Record, system: UnitSystem) -> dict[str, tuple[str, str]]:
    """Columns that a row could do without and that hold something of their own: heading and cell as they are shown."""
    headings = sheet.headings(system)
    return {
        name: (headline(headings[name]), _in_words(in_grid(row[name], column, system)))
        for name, column in sheet.columns.items()
        if not column.is_required and row.get(name) not in (None, "", [], sheet.defaults[name])
    }


def _in_words(cell: object) -> str:
    return {True: "yes", False: "no"}[cell] if isinstance(cell, bool) else str(cell)


def _blank(name: str, row_name: str, columns: tuple[str, ...]) -> None:
    key = SHEETS[name].key
    rows = [
        {**row, **dict.fromkeys(columns)} if row.get(key) == row_name else row
        for row in state.draft().rows(name)
    ]
    _forget(name)
    state.edit_rows(name, rows, f"values blanked of {row_name}")


def _forget(name: str) -> None:
    _renamed().pop(name, None)


def _renamed() -> dict[str, tuple[str, str]]:
    return cast("dict[str, tuple[str, str]]", st.session_state.setdefault(_RENAMED, {}))
