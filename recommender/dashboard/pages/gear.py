"""The gear to choose from: bring it in, put it right, look through it, and take blank tables home."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from catalog_schema.catalogue import Catalogue
from catalog_schema.gear import Gear
from catalog_schema.units import UnitSystem, from_si, to_si, unit_label, unit_of
from recommender.charts.price_strength import price_chart, price_rows
from recommender.charts.strength import strength_chart, strength_rows
from recommender.charts.words import headline
from recommender.dashboard import bring_in, frame, state
from recommender.dashboard.draft import DEMO_GEAR
from recommender.dashboard.gear_filter import Wanted, has, kinds_of, strongest
from recommender.dashboard.kit_tables import gear_rows
from recommender.dashboard.pictures import picture
from recommender.dashboard.sheets import GEAR_SHEETS
from recommender.dashboard.shown import table
from recommender.dashboard.table_editor import edit_table
from recommender.dashboard.templates import template_archive, template_workbook
from recommender.dashboard.uploads import GEAR
from recommender.report.figures import counted

WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
TABLE = "gear_table"


def show() -> None:
    """The page."""
    st.title("Gear to choose from")
    st.markdown(
        "What could be bought, and what does each item carry? The kit is put together from these tables. Ratings and "
        "prices are yours: copy them from tags and sheets."
    )
    bring, blank = st.columns([2, 1])
    with bring:
        bring_in.gear()
    with blank:
        _blank_tables(state.system())
    bring_in.unclear(GEAR)
    if any(state.draft().rows(sheet.name) for sheet in GEAR_SHEETS.values()):
        _in_use()
    else:
        st.info("There is no gear yet: choose files above, or take the invented gear to try.")
    frame.cautions()


def _blank_tables(system: UnitSystem) -> None:
    with st.container(border=True, height="stretch"):
        st.markdown("**Blank tables to fill in**")
        st.markdown("With one example row each, in the units chosen at the side.")
        st.download_button(
            "Workbook", _workbook(system), "catalogue.xlsx", WORKBOOK_TYPE, icon=":material/download:"
        )
        st.download_button("CSV files", _archive(system), "catalogue.zip", icon=":material/download:")


def _in_use() -> None:
    st.subheader("In use now")
    st.text(state.draft().gear_from)
    if state.draft().gear_from == DEMO_GEAR:
        st.caption(
            "Invented: no such item can be bought. Use it to try the planner, never to rate or order gear."
        )
    frame.standing()
    name = _table_in_hand()
    sheet = GEAR_SHEETS[name]
    faults = state.checked().of(sheet)
    catalogue = state.checked().catalogue
    switch = f"change {name}"
    if faults:
        st.session_state[switch] = True
    if st.toggle("Change these rows", key=switch) or catalogue is None:
        edit_table(sheet.name)
    else:
        _look_through(catalogue.tables()[name], catalogue, state.system())
    if catalogue is not None:
        _pictures(catalogue, state.system())


def _table_in_hand() -> str:
    """The table that is looked at; those with problems say so, and the first of them opens where gear came in."""
    labels = {}
    faults = {name: len(state.checked().of(sheet)) for name, sheet in GEAR_SHEETS.items()}
    for name, sheet in GEAR_SHEETS.items():
        count = len(state.draft().rows(sheet.name))
        told = f" - {counted(faults[name], 'problem')}" if faults[name] else ""
        labels[name] = f"{sheet.title} ({count}){told}"
    first = next((name for name, count in faults.items() if count), "")
    if state.are_faults_shown() and first:
        st.session_state[TABLE] = first
    chosen = st.segmented_control(
        "Table",
        list(labels),
        format_func=labels.__getitem__,
        default="ropes",
        key=TABLE,
        required=True,
    )
    return str(chosen)


def _look_through(rows: Sequence[Gear], catalogue: Catalogue, system: UnitSystem) -> None:
    wanted = _wanted(rows, catalogue, system)
    found = [row for row in rows if has(row, wanted)]
    st.caption(f"{len(found)} of {len(rows)} rows")
    table(gear_rows(found, system), first="Name", height=380)


def _wanted(rows: Sequence[Gear], catalogue: Catalogue, system: UnitSystem) -> Wanted:
    """What is looked for."""
    unit = unit_of("force", system)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        text = st.text_input("Has the words", key="gear_words", placeholder="in any cell")
        kinds = st.multiselect("Kind", kinds_of(rows), format_func=headline, key=f"kinds {len(rows)}")
        least = st.number_input(
            f"Strength at least [{unit_label(unit)}]", 0.0, from_si(strongest(rows), unit, "force") or 1.0,
            0.0, key=f"strength {unit} {len(rows)}",
        )  # fmt: skip
        money = f" [{catalogue.currency}]" if catalogue.currency else ""
        most = st.number_input(f"Price at most{money}", 0.0, value=None, key="gear_price")
    return Wanted(text, tuple(kinds), to_si(least, unit, "force"), most)


def _pictures(catalogue: Catalogue, system: UnitSystem) -> None:
    st.subheader("Ropes: strength against diameter")
    picture(strength_chart(strength_rows(catalogue.ropes, system)), "strength")
    st.caption("Breaking strength of the new, dry rope as its sheet states it: not a load that it may carry.")
    rows = price_rows(catalogue.ropes, system)
    if rows:
        st.subheader("Ropes: price against strength")
        picture(price_chart(rows, catalogue.currency), "price")


@st.cache_data
def _workbook(system: UnitSystem) -> bytes:
    return template_workbook(system)


@st.cache_data
def _archive(system: UnitSystem) -> bytes:
    return template_archive(system)
