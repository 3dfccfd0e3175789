"""What keeps the plan on the screen from being the one that is saved, at the top of every page, with the ways out."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from recommender.dashboard import keeping, state
from recommender.dashboard.difference_rows import difference_rows
from recommender.dashboard.draft import needs_a_name
from recommender.dashboard.shelf import open_again, shelf, store
from recommender.dashboard.shown import plain, table
from recommender.store import Documents, EditedElsewhere, NoSuchPlan, StoreError, differences

OWN_NAME = "own_name_text"
COPY = "Keep mine as a copy"


def show() -> None:
    """The notices, if there are any."""
    said = state.told()
    if said:
        st.info(plain(said), icon=":material/info:")
    if needs_a_name(state.draft()):
        _ask_for_a_name()
    fault = shelf().fault
    if fault:
        st.error(
            "**Nothing is saved.** The place where plans are kept can't be opened: everything here is gone when this "
            "program ends. Take your plan home as a file.",
            icon=":material/cloud_off:",
        )
        st.text(fault)
        st.button("Try to open it again", on_click=_open_again)
    trouble = state.kept().trouble
    if isinstance(trouble, EditedElsewhere):
        _elsewhere(trouble)
    elif isinstance(trouble, NoSuchPlan):
        st.error(plain(str(trouble)), icon=":material/delete:")
        st.button(COPY, on_click=_keep_as_copy)
    elif trouble is not None:
        st.error("**The last edit is not saved.**", icon=":material/cloud_off:")
        st.text(str(trouble))
        st.button("Try to save it again", on_click=state.save_again)


def _ask_for_a_name() -> None:
    with st.container(border=True, horizontal=True, vertical_alignment="bottom", key="own_name"):
        st.text_input(
            "Nothing of the example is left in this plan: its notice is gone. What is the plan called?",
            placeholder=state.draft().settings.name, key=OWN_NAME, max_chars=200,
        )  # fmt: skip
        st.button("Give it this name", on_click=_take_name)


def _take_name() -> None:
    _tried(lambda: state.rename(str(st.session_state.get(OWN_NAME) or state.draft().settings.name)))


def _elsewhere(trouble: EditedElsewhere) -> None:
    is_edited = trouble.mine is not None
    with st.container(border=True, key="elsewhere"):
        st.warning(
            "**This plan was changed in another window.** "
            + (
                "What you have changed here is not saved yet: choose."
                if is_edited
                else "What you see is older."
            ),
            icon=":material/call_split:",
        )
        st.caption(plain(f"There: {trouble.theirs.what}"))
        if is_edited:
            rows = difference_rows(
                differences(trouble.theirs.documents, state.draft().documents()), state.system()
            )
            with st.expander("What differs: there, and here"):
                table(rows, first="Where")
        with st.container(horizontal=True):
            st.button("Take what is there", on_click=_take_theirs, type="primary")
            if is_edited:
                if _or_none(lambda: keeping.both_edits(store(), state.held())) is not None:
                    st.button("Put both together", on_click=_put_together)
                st.button(COPY, on_click=_keep_as_copy)


def _or_none(look: Callable[[], Documents | None]) -> Documents | None:
    try:
        return look()
    except StoreError:
        return None


def _open_again() -> None:
    """Open the store once more; the plan in hand goes into it as a new one once it is edited."""
    open_again()
    state.hold((state.draft(), keeping.Kept()))


def _take_theirs() -> None:
    _tried(lambda: state.hold(keeping.opened(store(), state.kept().plan_id, state.draft())))


def _put_together() -> None:
    _tried(lambda: state.hold(keeping.put_together(store(), state.held(), state.session_id())))


def _keep_as_copy() -> None:
    what = "copy of what another window had changed"
    _tried(lambda: state.hold(keeping.created(store(), state.draft(), what, state.session_id())))


def _tried(step: Callable[[], None]) -> None:
    try:
        step()
    except StoreError as error:
        state.tell(str(error))
