"""First screen: who is asking, and what the plan in hand comes to."""

from __future__ import annotations

import streamlit as st

from recommender.dashboard import frame, state
from recommender.dashboard.draft import demo_names
from recommender.dashboard.shelf import store
from recommender.dashboard.shown import plain
from recommender.kit.result import KitResult
from recommender.report.figures import mass
from recommender.report.hold_words import too_heavy
from recommender.store import StoreError

PEOPLE = {
    "new_owner": (
        "A new owner",
        "I am kitting out a first truck. I know the trees, not the forces, and I want a list to buy.",
        "Open the first-truck example",
    ),
    "company": (
        "A company",
        "We own gear of known age, send out two crews and want to know what to add.",
        "Open the two-crew example",
    ),
    "training_ground": (
        "A trainer",
        "I explain with numbers why a rope of middle size can beat a thick one.",
        "Open the training example",
    ),
}


MOST_PLANS = 5


def show() -> None:
    """The page."""
    st.title("Which gear carries the work?")
    st.markdown(
        "Say what pieces you take down and what gear there is to choose from. You get the cheapest kit in which every "
        "part carries every load with its design factor, and you see how hard each part works."
    )
    _who_are_you()
    _go_on()
    _plan_in_hand()
    frame.cautions()


def _who_are_you() -> None:
    st.subheader("Who are you?")
    available = demo_names(PEOPLE)
    for place, column in zip((*available, "empty"), st.columns(len(available) + 1), strict=True):
        with column, st.container(border=True, height="stretch", vertical_alignment="distribute"):
            if place == "empty":
                _start_empty()
            else:
                _example(place)


def _example(name: str) -> None:
    who, need, action = PEOPLE[name]
    st.markdown(f"**{who}**\n\n{need}")
    st.button(action, key=f"open_{name}", on_click=state.open_demo, args=(name,), width="stretch")


def _start_empty() -> None:
    st.markdown("**Someone with own figures**\n\nI start with an empty table and bring my own list of gear.")
    st.button("Start empty", key="open_empty", on_click=state.start_empty, width="stretch")


def _go_on() -> None:
    """The plans that were changed last."""
    try:
        entries = [one for one in store().plans() if one.id != state.kept().plan_id][:MOST_PLANS]
    except StoreError as error:
        st.text(str(error))
        return
    if not entries:
        return
    st.subheader("Go on with a saved plan")
    with st.container(horizontal=True):
        for one in entries:
            st.button(plain(one.name), key=f"go_on_{one.id}", on_click=_open_saved, args=(one.id,))
        frame.link("plans", "All plans")


def _open_saved(plan_id: str) -> None:
    try:
        state.open_saved(plan_id)
    except StoreError as error:
        state.tell(str(error))


def _plan_in_hand() -> None:
    draft, answer = state.draft(), state.answer()
    st.subheader(f"In hand: {plain(draft.settings.name)}")
    if draft.settings.notice:
        st.caption(plain(draft.settings.notice))
    frame.standing()
    if answer is not None and answer.result is not None:
        _summary(answer.result)
    with st.container(horizontal=True):
        frame.link("work", "Change the work")
        frame.link("gear", "See the gear to choose from")
        frame.link("kit", "See the kit")


def _summary(result: KitResult) -> None:
    with st.container(horizontal=True, gap="medium"):
        with st.container(key="kit_total", width="content"):
            st.metric("Kit to buy", plain(frame.total_in_words()))
        if result.assignments:
            st.metric("Mass of the kit, dry", mass(result.mass_kg, state.system()), width="content")
            st.metric("Kinds of work carried", len(result.assignments), width="content")
            frame.hardest_part(result)
    heavy = too_heavy(result.assignments)
    if heavy:
        st.error(plain(heavy), icon=":material/front_hand:")
