"""Gear that is owned: what may be planned with, what has to be inspected, what retires; and a plain list instead."""

from __future__ import annotations

import io
import zipfile
from datetime import date

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.dashboard import bring_in, frame, state
from recommender.dashboard.checking import Checked
from recommender.dashboard.listing import listing
from recommender.dashboard.register_rows import (
    SOON,
    Result,
    blank_piece,
    dues,
    item_picks,
    preview_rows,
    registered,
    retirement_rows,
    standing,
    with_inspections,
)
from recommender.dashboard.shown import lines, plain, table
from recommender.dashboard.table_editor import edit_table
from recommender.dashboard.uploads import OWNED as OWNED_TABLES
from recommender.ratings.settings import Policy
from recommender.report.figures import counted
from recommender.store import records_of
from recommender.work.inspections import DAILY, Due, Register
from recommender.work.register import register_files

REGISTER, INSPECTIONS, OWNED = "register", "inspections", "owned"
FIRST_SHOWN, FEW = 8, 6
TOGETHER, PASSED_ON = "inspected_together", "passed_on"
ALL_DUES = "all_dues"
RESULTS: dict[Result, str] = {"passed": ":material/check:", "failed": ":material/block:"}


def show() -> None:
    """The page."""
    st.title("Owned gear")
    st.markdown(
        "What do I have, is it sound, and what has to be looked at next? Kits are planned with sound gear only. Left "
        "out of them is what is overdue, until it is inspected; what failed, until it passes; and for good what is "
        "retired: taken out of use, worn, or too old."
    )
    frame.standing()
    checked, today = state.checked(), date.today()
    if checked.catalogue is None:
        st.info("The gear to choose from comes first: items here are named by their ids there.")
        frame.link("gear", "Bring in the gear")
    register, policy = checked.register, checked.policy
    counts = bool(state.draft().rows(REGISTER)) and (register is None or bool(register.items))
    if register is not None and policy is not None and counts:
        _what_counts(register, policy, today)
        _due(register, policy, today)
    _tables(checked, today, counts=counts)
    if register is not None and policy is not None and counts:
        st.subheader("What is planned with, and until when")
        listing(retirement_rows(register, policy, today), first="Piece")
    _files(register)
    frame.cautions()


def _what_counts(register: Register, policy: Policy, today: date) -> None:
    owned, notes = register.owned_gear(policy, today)
    pieces, planned = sum(one.count for one in register.items), sum(one.count for one in owned)
    with st.container(horizontal=True, gap="large"):
        st.metric("Planned with", f"{planned} of {pieces} pieces", width="content")
        st.metric("Inspections overdue", len(register.overdue(policy, today)), width="content")
        st.metric(f"Due within {SOON} days", len(register.due_within(policy, today, SOON)), width="content")
        st.metric("Failed or retired", len(register.retired(policy, today)), width="content")
    st.markdown("**Planning only with sound gear**")
    if not register.inspections:
        st.info("No inspection is written down yet: what should have had one by now counts as overdue.")
    if notes:
        with st.expander(
            f"{counted(len(notes), 'remark')} on what is left out, and why", expanded=len(notes) < FEW
        ):
            lines(notes)
    else:
        st.text("Every registered piece is planned with.")


def _due(register: Register, policy: Policy, today: date) -> None:
    st.subheader("Inspections, the first due first")
    st.caption(plain("Besides: " + "; ".join(one.note for one in DAILY) + "."))
    found = dues(register, policy, today)
    every = (
        st.toggle(f"All {len(found)}, not only the first {FIRST_SHOWN}", key=ALL_DUES)
        if len(found) > FIRST_SHOWN
        else True
    )
    for one in found if every else found[:FIRST_SHOWN]:
        _one_due(one, today)
    gone = register.retired(policy, today)
    failed = [one.item.id for one in gone if one.may_pass]
    _passed_together([*(one.item.id for one in found), *failed], today)
    if failed:
        piece = st.selectbox("A piece that failed", failed, index=None, key="other_piece")
        if piece is not None:
            _buttons(piece, today)
    retired = [f"{one.item.id} ({one.item.item}): {one}" for one in gone if not one.may_pass]
    if retired:
        with st.expander(f"Retired, no inspection brings them back ({len(retired)})"):
            lines(retired)


def _passed_together(pieces: list[str], today: date) -> None:
    """Several inspections of one day, written down together."""
    with st.container(horizontal=True, vertical_alignment="bottom", key="passed_together"):
        st.multiselect("These passed their inspection", pieces, key=TOGETHER)
        st.date_input("on", today, max_value=today, key=PASSED_ON, width=160)
        st.button("Write it down", icon=RESULTS["passed"], on_click=_inspected_together)


def _one_due(one: Due, today: date) -> None:
    with st.container(border=True, horizontal=True, vertical_alignment="center", key=f"due_{one.item.id}"):
        with st.container(width="stretch", gap="xxsmall"):
            st.markdown(f"**{plain(one.item.id)}** ({plain(one.item.item)}): {standing(one.due, today)}")
            last = (
                f"last on {one.last.day.isoformat()}, {one.last.result}"
                if one.last
                else "none written down yet"
            )
            rule = one.rule.partition(" (")[0]
            st.caption(
                plain(f"due {one.due.isoformat()}; {rule}; {last}"), help=plain(f"The rule: {one.rule}")
            )
        _buttons(one.item.id, today)


def _buttons(piece: str, today: date) -> None:
    for result, icon in RESULTS.items():
        st.button(
            f"{result.capitalize()} today", icon=icon, key=f"{result} {piece}", on_click=_inspected,
            args=(piece, today, result),
        )  # fmt: skip


def _tables(checked: Checked, today: date, *, counts: bool) -> None:
    of_register, of_inspections, of_owned = st.tabs(["Register", "Inspections", "Plain list"])
    items = item_picks(checked.catalogue) if checked.catalogue is not None else None
    picks = {"item": items} if items else None
    rows = state.draft().rows(REGISTER)
    with of_register:
        if not rows and state.draft().rows(OWNED):
            _instead_of_the_list(checked, today)
        else:
            st.caption(
                "One row a piece (or a few alike), with a number of your own and its days. It is planned with once its "
                "item, its condition and a day are filled in."
            )
            st.button("A piece", icon=":material/add:", key=f"add {REGISTER}", on_click=_add_piece)
            edit_table(REGISTER, picks=picks)
    with of_inspections:
        st.caption("A piece, a day and what was found make an inspection.")
        st.button("An inspection", icon=":material/add:", key=f"add {INSPECTIONS}", on_click=_add_inspection)
        numbers = {str(row["id"]): f"{row['id']}: {row.get('item') or ''}" for row in rows if row.get("id")}
        edit_table(INSPECTIONS, picks={"piece": numbers} if numbers else None)
    with of_owned:
        now = "It does not count now: the register does." if counts else "It is what kits are planned with."
        st.caption(f"For those who keep no register. {now} A row counts once its item is chosen.")
        st.button("An item", icon=":material/add:", key=f"add {OWNED}", on_click=_add_item)
        edit_table(OWNED, picks=picks)


def _instead_of_the_list(checked: Checked, today: date) -> None:
    """What a register of the plain list would be, and what it would change, before there is one."""
    items = registered(checked.owned, today)
    st.info(
        f"Kits are planned with the plain list: {counted(len(state.draft().rows(OWNED)), 'row')}, "
        f"{counted(len(items), 'piece')}. A register takes its place as soon as one piece in it is filled in.",
        icon=":material/info:",
    )
    if checked.catalogue is not None and checked.policy is not None and items:
        register = Register(items, (), checked.catalogue)
        late, gone = register.overdue(checked.policy, today), register.retired(checked.policy, today)
        if late:
            st.warning(
                f"As a register, {len(late)} of {counted(len(items), 'piece')} would be overdue and left out, "
                "since no inspection is written down. Once it is made, 'These passed their inspection' writes down "
                "several at once, with the day on which they did."
                + (f" {counted(len(gone), 'piece')} retired or worn would stay left out." if gone else ""),
                icon=":material/warning:",
            )
        table(preview_rows(register, checked.policy, today), first="Piece", height=300)
    with st.container(horizontal=True):
        st.button("Make a register of this list", type="primary", disabled=not items, on_click=_make_register)
        st.button("Begin a register with an empty row", key=f"add {REGISTER}", on_click=_add_piece)


def _add_piece() -> None:
    rows = state.draft().rows(REGISTER)
    state.edit_rows(REGISTER, (*rows, blank_piece(rows, state.draft().rows(INSPECTIONS))), "a new piece")


def _add_inspection() -> None:
    day = {"day": date.today().isoformat()}
    state.edit_rows(INSPECTIONS, (*state.draft().rows(INSPECTIONS), day), "a new inspection")


def _add_item() -> None:
    state.edit_rows(OWNED, (*state.draft().rows(OWNED), {"count": 1}), "a new item")


def _files(register: Register | None) -> None:
    bring_in.tables(OWNED_TABLES)
    if register is not None and register.items:
        system = state.system()  # the file is built in another thread, which knows no session
        st.download_button(
            "Register and inspections (CSV files)", lambda: _archive(register, system), "register.zip",
            "application/zip", icon=":material/download:", on_click="ignore",
        )  # fmt: skip


def _archive(register: Register, system: UnitSystem) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in register_files(register.items, register.inspections, system).items():
            archive.writestr(name, content)
    return out.getvalue()


def _inspected(piece: str, day: date, result: Result) -> None:
    rows = with_inspections(state.draft().rows(INSPECTIONS), [piece], day, result)
    state.edit_rows(INSPECTIONS, rows, f"{piece} {result}")


def _inspected_together() -> None:
    pieces, day = st.session_state.get(TOGETHER) or [], st.session_state.get(PASSED_ON)
    if pieces and isinstance(day, date):
        rows = with_inspections(state.draft().rows(INSPECTIONS), pieces, day, "passed")
        state.edit_rows(INSPECTIONS, rows, f"{counted(len(pieces), 'piece')} passed on {day.isoformat()}")
        st.session_state[TOGETHER] = []


def _make_register() -> None:
    rows = records_of(registered(state.checked().owned, date.today()))
    state.edit_rows(REGISTER, rows, "made of the plain list")
