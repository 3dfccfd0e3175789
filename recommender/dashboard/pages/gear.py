"""The gear to choose from: bring it in, look through it, and take blank tables home."""

from __future__ import annotations

import streamlit as st

from catalog_schema.catalogue import Catalogue
from catalog_schema.units import UnitSystem
from recommender.charts.strength import strength_chart, strength_rows
from recommender.charts.words import headline
from recommender.dashboard import frame, state
from recommender.dashboard.draft import DEMO_GEAR
from recommender.dashboard.kit_tables import gear_rows
from recommender.dashboard.shown import file_problems, table
from recommender.dashboard.templates import template_archive, template_workbook

WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def show() -> None:
    """The page."""
    st.title("Gear to choose from")
    st.markdown(
        "The kit is put together from these tables. Ratings and prices are yours: copy them from tags and sheets."
    )
    bring, blank = st.columns([2, 1])
    with bring:
        _bring_in()
    with blank:
        _blank_tables(state.system())
    _problems()
    catalogue = state.draft().catalogue
    if catalogue is None:
        st.info("There is no gear yet: choose files above, or take the invented gear to try.")
    else:
        _look_through(catalogue, state.system())
    frame.cautions()


def _bring_in() -> None:
    with st.container(border=True, height="stretch"):
        st.markdown("**Bring in your own**")
        st.file_uploader(
            "One workbook (.xlsx) with a sheet for each table, or one CSV file for each table",
            type=["xlsx", "csv"],
            accept_multiple_files=True,
            key=state.UPLOADER,
            on_change=state.take_files,
        )
        st.button("Take the invented gear of the examples", on_click=state.use_demo_gear)


def _blank_tables(system: UnitSystem) -> None:
    with st.container(border=True, height="stretch"):
        st.markdown("**Blank tables to fill in**")
        st.markdown("With one example row each, in the units chosen at the side.")
        st.download_button(
            "Workbook", _workbook(system), "catalogue.xlsx", WORKBOOK_TYPE, icon=":material/download:"
        )
        st.download_button("CSV files", _archive(system), "catalogue.zip", icon=":material/download:")


def _problems() -> None:
    upload = state.upload()
    if upload is None:
        return
    if upload.catalogue is not None:
        st.success("These files are sound and are used from now on.", icon=":material/check:")
        st.text(upload.name)
        return
    st.error(
        f"{frame.counted(len(upload.problems), 'problem')}: these files are not used. "
        "The gear below is what was there before.",
        icon=":material/error:",
    )
    file_problems(upload.problems)


def _look_through(catalogue: Catalogue, system: UnitSystem) -> None:
    st.subheader("In use now")
    st.text(state.draft().gear_from)
    if state.draft().gear_from == DEMO_GEAR:
        st.caption(
            "Invented: no such item can be bought. Use it to try the planner, never to rate or order gear."
        )
    filled = {name: rows for name, rows in catalogue.tables().items() if rows}
    tabs = st.tabs([f"{headline(name)} ({len(rows)})" for name, rows in filled.items()])
    for tab, rows in zip(tabs, filled.values(), strict=True):
        with tab:
            table(gear_rows(rows, system), first="Name", height=380)
    st.subheader("Ropes: strength against diameter")
    st.altair_chart(strength_chart(strength_rows(catalogue.ropes, system)), key="strength")
    st.caption("Breaking strength of the new, dry rope as its sheet states it: not a load that it may carry.")


@st.cache_data
def _workbook(system: UnitSystem) -> bytes:
    return template_workbook(system)


@st.cache_data
def _archive(system: UnitSystem) -> bytes:
    return template_archive(system)
