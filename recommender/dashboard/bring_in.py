"""Bringing gear in from files: choose them, say what unclear headings mean, and go on in the table."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import streamlit as st

from recommender.charts.words import headline
from recommender.dashboard import draft as drafts
from recommender.dashboard import frame, state
from recommender.dashboard.sheets import GEAR_SHEETS
from recommender.dashboard.shown import file_problems, plain
from recommender.dashboard.uploads import LEFT_OUT, Settled, Unclear, Upload, read_upload

UPLOADER = "uploader"
KEEP = "keep_other_tables"
PENDING = "pending"


def files() -> None:
    """Where files are handed in."""
    with st.container(border=True, height="stretch"):
        st.markdown("**Bring in your own**")
        st.toggle(
            "Keep the tables that these files don't bring", key=KEEP,
            help="Else they take the place of all the gear that is here now",
        )  # fmt: skip
        st.file_uploader(
            "One workbook (.xlsx) with a sheet for each table, or one CSV file for each table",
            type=["xlsx", "csv"],
            accept_multiple_files=True,
            key=UPLOADER,
            on_change=_read,
        )
        st.button("Take the invented gear of the examples", on_click=_take_demo_gear)


def unclear() -> None:
    """What has to be said about the files that were handed in last, before their rows are taken."""
    pending = cast("Upload | None", st.session_state.get(PENDING))
    if pending is None:
        return
    found = pending.unclear()
    with st.container(border=True):
        st.markdown(f"**{plain(pending.name)}**")
        if pending.problems:
            st.error(
                f"{frame.counted(len(pending.problems), 'problem')} with these files.",
                icon=":material/error:",
            )
            file_problems(pending.problems)
        for one in found:
            _heading(one)
        if pending.grids:
            ready = all(st.session_state.get(_key(one)) is not None for one in found)
            st.caption(
                "Cells that can't be read come along as they were written, and are put right in the table. "
                "The gear below is what was there before."
            )
            st.button("Take these tables", type="primary", disabled=not ready, on_click=_take_pending)
        st.button("Leave them", on_click=_forget)


def _heading(one: Unclear) -> None:
    problem = one.problem
    place = f"{headline(one.table)}, column {one.place + 1}"
    st.selectbox(
        plain(f"{place} '{problem.column}': {problem.message}. What is it?"),
        one.options,
        index=None,
        format_func=lambda text: "leave this column out" if text == LEFT_OUT else text,
        placeholder=plain(problem.hint),
        key=_key(one),
    )


def _key(one: Unclear) -> str:
    return f"heading {one.table} {one.place}"


def _read() -> None:
    chosen = st.session_state.get(UPLOADER) or []
    st.session_state.pop(PENDING, None)
    if not chosen:
        return
    upload = read_upload([(file.name, file.getvalue()) for file in chosen])
    if upload.problems or upload.unclear():
        st.session_state[PENDING] = upload
    else:
        _take(upload, {})


def _take_pending() -> None:
    upload = cast(Upload, st.session_state[PENDING])
    _take(upload, {(one.table, one.place): st.session_state[_key(one)] for one in upload.unclear()})
    _forget()


def _forget() -> None:
    st.session_state.pop(PENDING, None)


def _take(upload: Upload, settled: Settled) -> None:
    rows = upload.rows(settled)
    before = state.draft()
    if st.session_state.get(KEEP):
        source = "; ".join(dict.fromkeys(one for one in (before.gear_from, upload.name) if one))
    else:
        rows = {sheet.name: rows.get(sheet.name, ()) for sheet in GEAR_SHEETS.values()}
        source = upload.name
    state.edit(replace(before, gear_from=source).with_rows(**rows), f"Gear from {upload.name}")
    state.tell(f"The gear of {upload.name} is used from now on.")


def _take_demo_gear() -> None:
    catalogue = drafts.demo_catalogue()
    _forget()
    if catalogue is not None:
        state.edit(
            drafts.with_gear(state.draft(), catalogue, drafts.DEMO_GEAR), "The invented gear of the examples"
        )
