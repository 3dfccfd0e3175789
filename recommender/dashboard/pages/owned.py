"""Gear that is owned: what may be planned with, what has to be inspected, what retires; and a plain list instead."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import date

import streamlit as st

from recommender.dashboard import bring_in, frame, state
from recommender.dashboard.checking import Checked
from recommender.dashboard.register_rows import (
    SOON,
    Result,
    dues,
    registered,
    retirement_rows,
    standing,
    with_inspections,
)
from recommender.dashboard.shown import lines, plain, table
from recommender.dashboard.table_editor import edit_table
from recommender.dashboard.uploads import OWNED as OWNED_TABLES
from recommender.work.inspections import DAILY, Due, Register
from recommender.work.register import register_files

REGISTER, INSPECTIONS, OWNED = "register", "inspections", "owned"
FIRST_SHOWN, FEW = 8, 6
TOGETHER = "inspected_together"
ALL_DUES = "all_dues"
RESULTS: dict[Result, str] = {"passed": ":material/check:", "failed": ":material/block:"}


def show() -> None:
    """The page."""
    st.title("Owned gear")
    st.markdown(
        "What do I have, is it sound, and what has to be looked at next? Kits are planned with sound gear only: what "
        "is retired, failed, worn or overdue for its inspection is left out until it is put right."
    )
    checked, today = state.checked(), date.today()
    if checked.catalogue is None:
        st.info("The gear to choose from comes first: items here are named by their ids there.")
        frame.link("gear", "Bring in the gear")
    has_register = bool(state.draft().rows(REGISTER))
    if has_register and checked.register is not None:
        _what_counts(checked, checked.register, today)
        _due(checked.register, today)
    _tables(has_register)
    if has_register and checked.register is not None and checked.policy is not None:
        st.subheader("Retirement")
        table(retirement_rows(checked.register, checked.policy, today), first="Piece")
    _files(checked.register)
    frame.cautions()


def _what_counts(checked: Checked, register: Register, today: date) -> None:
    if checked.policy is None:
        return
    owned, notes = register.owned_gear(checked.policy, today)
    pieces, counted = sum(one.count for one in register.items), sum(one.count for one in owned)
    late = register.overdue(today)
    soon = [one for one in register.due_within(today, SOON) if one not in late]
    with st.container(horizontal=True, gap="large"):
        st.metric("Planned with", f"{counted} of {pieces} pieces", width="content")
        st.metric("Inspections overdue", len(late), width="content")
        st.metric(f"Due within {SOON} days", len(soon), width="content")
    st.markdown("**Planning only with sound gear**")
    if not register.inspections:
        st.info("No inspection is written down yet: what should have had one by now counts as overdue.")
    if notes:
        with st.expander(
            f"{frame.counted(len(notes), 'remark')} on what is left out, and why", expanded=len(notes) < FEW
        ):
            lines(notes)
    else:
        st.text("Every registered piece is planned with.")


def _due(register: Register, today: date) -> None:
    st.subheader("Inspections, the first due first")
    st.caption(plain("Besides: " + "; ".join(one.note for one in DAILY) + "."))
    found = dues(register, today)
    every = st.toggle("All of them", key=ALL_DUES) if len(found) > FIRST_SHOWN else True
    for one in found if every else found[:FIRST_SHOWN]:
        _one_due(one, today)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.multiselect("Several that passed together", [one.item.id for one in found], key=TOGETHER)
        st.button("All of these passed today", on_click=_inspected_together, args=(today,))
    others = [item.id for item in register.items if item.id not in {one.item.id for one in found}]
    if others:
        piece = st.selectbox("A piece that is out of use", others, index=None, key="other_piece")
        if piece is not None:
            _buttons(piece, today)


def _one_due(one: Due, today: date) -> None:
    with st.container(border=True, horizontal=True, vertical_alignment="center", key=f"due_{one.item.id}"):
        with st.container(width="stretch", gap="xxsmall"):
            st.markdown(f"**{plain(one.item.id)}** ({plain(one.item.item)}): {standing(one.due, today)}")
            last = (
                f"last on {one.last.day.isoformat()}, {one.last.result}"
                if one.last
                else "none written down yet"
            )
            st.caption(plain(f"{one.due.isoformat()}; {one.rule}; {last}"))
        _buttons(one.item.id, today)


def _buttons(piece: str, today: date) -> None:
    for result, icon in RESULTS.items():
        st.button(
            f"{result.capitalize()} today", icon=icon, key=f"{result} {piece}", on_click=_inspected,
            args=(piece, today, result),
        )  # fmt: skip


def _tables(has_register: bool) -> None:
    of_register, of_inspections, of_owned = st.tabs(["Register", "Inspections", "Plain list"])
    with of_register:
        st.caption("One row a piece (or a few alike), with a number of your own and its days.")
        _add_button(REGISTER, "A piece")
        edit_table(REGISTER)
    with of_inspections:
        _add_button(INSPECTIONS, "An inspection")
        edit_table(INSPECTIONS)
    with of_owned:
        st.caption(
            "For those who keep no register. "
            + (
                "It does not count now: the register does."
                if has_register
                else "It is what kits are planned with."
            )
        )
        _add_button(OWNED, "An item")
        edit_table(OWNED)
        plan = state.checked().plan
        if not has_register and plan is not None and plan.owned:
            st.button("Make a register of this list", on_click=_make_register)


def _add_button(name: str, label: str) -> None:
    st.button(label, icon=":material/add:", key=f"add {name}", on_click=_adder(name))


def _adder(name: str) -> Callable[[], None]:
    def add() -> None:
        catalogue, register = state.checked().catalogue, state.draft().rows(REGISTER)
        today = date.today()
        days: dict[str, dict[str, object]] = {INSPECTIONS: {"day": today}, REGISTER: {"first_use": today}}
        own = days.get(name, {})
        if name == INSPECTIONS:
            own["piece"] = register[0].get("id") if register else "R-001"
        elif catalogue is not None and catalogue.rope_lengths:
            own["item"] = catalogue.rope_lengths[0].id
        frame.add_row(name, **own)

    return add


def _files(register: Register | None) -> None:
    bring_in.tables(OWNED_TABLES)
    if register is not None and register.items:
        st.download_button(
            "Register and inspections (CSV files)", lambda: _archive(register), "register.zip", "application/zip",
            icon=":material/download:", on_click="ignore",
        )  # fmt: skip


def _archive(register: Register) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in register_files(register.items, register.inspections, state.system()).items():
            archive.writestr(name, content)
    return out.getvalue()


def _inspected(piece: str, day: date, result: Result) -> None:
    rows = with_inspections(state.draft().rows(INSPECTIONS), [piece], day, result)
    state.edit_rows(INSPECTIONS, rows, f"{piece} {result}")


def _inspected_together(day: date) -> None:
    pieces = st.session_state.get(TOGETHER) or []
    if pieces:
        rows = with_inspections(state.draft().rows(INSPECTIONS), pieces, day, "passed")
        state.edit_rows(INSPECTIONS, rows, f"{frame.counted(len(pieces), 'piece')} passed")
        st.session_state[TOGETHER] = []


def _make_register() -> None:
    plan = state.checked().plan
    if plan is not None:
        state.edit_rows(REGISTER, registered(plan.owned, date.today()), "made of the plain list")
