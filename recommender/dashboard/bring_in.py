"""Bringing tables in from files: choose them, say what unclear headings mean, and go on in the table."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import streamlit as st

from recommender.charts.words import headline
from recommender.dashboard import draft as drafts
from recommender.dashboard import state
from recommender.dashboard.difference_rows import changes_in_words, difference_rows
from recommender.dashboard.sheets import GEAR_SHEETS, SHEETS
from recommender.dashboard.shown import file_problems, plain, table
from recommender.dashboard.uploads import GEAR, LEFT_OUT, Settled, Tables, Unclear, Upload, read_upload
from recommender.report.figures import counted
from recommender.store import PlanParts, Record, Rows, differences

KEEP = "keep_other_tables"
MOST_HEIGHT = 360
"""Of the table of what would change. [px]"""
PENDING = "pending"


HANDED_IN = "handed_in"
"""How often files were handed in: each time the place for them is empty again, so that none is read twice."""


def uploader(tables: Tables, times: int = 0) -> str:
    """Key of the place where files of some tables are handed in."""
    return f"uploader_{tables.name}_{times}"


def tables(wanted: Tables) -> None:
    """A place where files of some tables are handed in, out of the way; what is unclear about them follows."""
    names = " and ".join(wanted.sheets)
    with st.expander(f"Bring in from files: {names}", icon=":material/upload_file:"):
        _chooser(wanted, f"One workbook (.xlsx) with these sheets, or CSV files of these names: {names}")
        st.caption("You see what would change before they take the place of the rows that are here now.")
    unclear(wanted)


def _chooser(wanted: Tables, label: str) -> None:
    key = uploader(wanted, st.session_state.get(HANDED_IN, 0))
    st.file_uploader(
        label,
        type=["xlsx", "csv"],
        accept_multiple_files=True,
        key=key,
        on_change=_read,
        args=(wanted, key),
    )


def gear() -> None:
    """Where files of gear are handed in."""
    with st.container(border=True, height="stretch"):
        st.markdown("**Bring in your own**")
        st.toggle(
            "Keep the tables that these files don't bring", key=KEEP,
            help="Else they take the place of all the gear that is here now",
        )  # fmt: skip
        _chooser(GEAR, "One workbook (.xlsx) with a sheet for each table, or one CSV file for each table")
        st.button("Take the invented gear of the examples", on_click=_take_demo_gear)


def unclear(wanted: Tables) -> None:
    """What has to be said about the files that were handed in last, before their rows are taken."""
    pending = cast("Upload | None", st.session_state.get(PENDING))
    if pending is None or pending.tables is not wanted:
        return
    found = pending.unclear()
    with st.container(border=True):
        st.markdown(f"**{plain(pending.name)}**")
        if pending.problems:
            st.error(
                f"{counted(len(pending.problems), 'problem')} with these files.",
                icon=":material/error:",
            )
            file_problems(
                sorted(pending.problems, key=lambda one: (one.file, one.sheet or "", one.line or 0))
            )
        for one in found:
            _heading(one)
        if pending.grids:
            ready = all(st.session_state.get(_key(one)) is not None for one in found)
            if ready and wanted is not GEAR:
                _what_would_change(pending)
            st.caption(
                "Cells that can't be read come along as they were written, and are put right in the table. "
                "What is below is what was there before."
            )
            st.button("Take these tables", type="primary", disabled=not ready, on_click=_take_pending)
        st.button("Leave them", on_click=_forget)


def _what_would_change(pending: Upload) -> None:
    """Row by row what these tables would change, before they take the place of those that are here."""
    after = pending.rows(_settled(pending))
    found = differences(
        {name: _in_full(name, state.draft().rows(name)) for name in after},
        {name: _in_full(name, rows) for name, rows in after.items()},
    )
    if not found:
        st.text("They say the same as what is here now.")
        return
    for one in found:
        st.text(f"{SHEETS[one.document].title}: {changes_in_words(one)}.")
    table(difference_rows(found, state.system(), "Now", "In these files"), first="Row", height=MOST_HEIGHT)


def _in_full(name: str, rows: Rows) -> list[Record]:
    """Rows in which a blank cell holds what it is taken for, so that leaving it blank is no change."""
    blank = SHEETS[name].defaults
    return [
        {**blank, **{column: cell for column, cell in row.items() if cell not in (None, "")}} for row in rows
    ]


def _settled(pending: Upload) -> Settled:
    return {(one.table, one.place): st.session_state[_key(one)] for one in pending.unclear()}


def _heading(one: Unclear) -> None:
    problem = one.problem
    place = f"{headline(one.table)}, column {one.place + 1}"
    st.selectbox(
        plain(f"{place} '{problem.column}': {problem.message}. What is it?"),
        one.options,
        index=None,
        format_func=lambda text: "leave this column out" if text == LEFT_OUT else text,
        placeholder=problem.hint,
        key=_key(one),
    )


def _key(one: Unclear) -> str:
    return f"heading {one.table} {one.place}"


def _read(wanted: Tables, key: str) -> None:
    chosen = st.session_state.get(key) or []
    st.session_state.pop(PENDING, None)
    if not chosen:
        return
    st.session_state[HANDED_IN] = st.session_state.get(HANDED_IN, 0) + 1
    may_lack = wanted is GEAR and bool(st.session_state.get(KEEP))
    upload = read_upload([(file.name, file.getvalue()) for file in chosen], wanted, may_lack=may_lack)
    is_kept = wanted is GEAR or not any(state.draft().rows(wanted.sheets[name].name) for name in upload.grids)
    if upload.problems or upload.unclear() or not is_kept:
        st.session_state[PENDING] = upload
    else:
        _take(upload, {})


def _take_pending() -> None:
    upload = cast(Upload, st.session_state[PENDING])
    _take(upload, _settled(upload))
    _forget()


def _forget() -> None:
    st.session_state.pop(PENDING, None)


def _take(upload: Upload, settled: Settled) -> None:
    rows = upload.rows(settled)
    before = state.draft()
    if upload.tables is not GEAR:
        state.edit(before.with_rows(**rows), f"Rows from {upload.name}")
    else:
        _take_gear(before, rows, upload.name)
    state.tell(f"{upload.name}: used from now on.")


def _take_gear(before: PlanParts, rows: dict[str, Rows], name: str) -> None:
    if st.session_state.get(KEEP):
        source = "; ".join(dict.fromkeys(one for one in (before.gear_from, name) if one))
    else:
        rows = {sheet.name: rows.get(sheet.name, ()) for sheet in GEAR_SHEETS.values()}
        source = name
    state.edit(replace(before, gear_from=source).with_rows(**rows), f"Gear from {name}")
    state.show_faults()


def _take_demo_gear() -> None:
    catalogue = drafts.demo_catalogue()
    _forget()
    if catalogue is not None:
        state.edit(
            drafts.with_gear(state.draft(), catalogue, drafts.DEMO_GEAR), "The invented gear of the examples"
        )
