"""The work mix: job types in a table, or trees and the pieces that they come apart into; and pictures of the mix."""

from __future__ import annotations

import streamlit as st

from recommender.charts.mix import mass_class_chart, mass_class_rows, mix_chart, mix_rows
from recommender.dashboard import bring_in, frame, state, work_rows
from recommender.dashboard.pictures import picture
from recommender.dashboard.setting_widgets import settings_of
from recommender.dashboard.shown import lines, plain, table
from recommender.dashboard.species import species_rows
from recommender.dashboard.table_editor import edit_table
from recommender.dashboard.tree_pieces import piece_rows
from recommender.dashboard.uploads import WORK as WORK_TABLES
from recommender.work.cases import load_cases
from recommender.work.plan import Plan
from recommender.work.tables import TECHNIQUES, Technique
from recommender.work.tree_reading import tree_notes

TECHNIQUE_LABELS = {"lower": "lowering", "lift": "lifting", "catch": "catching"}
WORK, TREES = "work", "trees"


def show() -> None:
    """The page."""
    st.title("Work")
    st.markdown(
        "What comes down, how big, how high, and in which way? One row for each kind of piece; or describe the trees, "
        "and the pieces follow. Click a cell to change it; the kit follows."
    )
    _standing()
    settings_of("crew")
    pieces, trees = st.tabs(["Pieces", f"Trees ({len(state.draft().rows(TREES))})"])
    with pieces:
        _toolbar()
        edit_table(WORK)
        lines(work_rows.taper_notes(state.checked().jobs, state.system()))
    with trees:
        _trees()
    bring_in.tables(WORK_TABLES)
    frame.standing()
    plan = state.checked().plan
    if plan is not None:
        _pictures(plan)
    frame.cautions()
    with st.expander("Species that the wood table knows"):
        table(species_rows(state.system()), first="Name", height=300)


def _standing() -> None:
    """What the table comes to now."""
    rows = state.draft().rows(WORK)
    with st.container(horizontal=True, gap="medium", vertical_alignment="bottom"):
        st.metric("Shares together", f"{100 * work_rows.share_sum(rows):.4g} %", width="content")
        st.metric("Rows", len(rows), width="content")
        st.metric("Problems", len(state.checked().problems), width="content")
        with st.container(key="kit_total", width="content"):
            cost = "Kit to buy (earlier plan)" if state.is_behind() else "Kit to buy"
            st.metric(cost, plain(frame.total_in_words()))
        frame.link("kit", "See the kit")


def _toolbar() -> None:
    rows = state.draft().rows(WORK)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for technique in TECHNIQUES:
            about = f"A new row for {TECHNIQUE_LABELS[technique]}, to be changed"
            icon = ":material/add:"
            st.button(technique, help=about, icon=icon, on_click=_add, args=(technique,))
        fits = work_rows.adds_up(rows)
        st.button("Make shares 100 %", icon=":material/percent:", on_click=_even_out, disabled=fits)


def _trees() -> None:
    st.caption(
        "Pieces from trees come on top of the rows under 'Pieces', with the counts that follow from the trees."
    )
    st.button("A kind of tree", icon=":material/add:", on_click=frame.add_row, args=(TREES,))
    edit_table(TREES)
    found = state.checked()
    if found.from_trees:
        st.markdown("**The pieces that these trees give**")
        table(piece_rows(found.from_trees, state.system()), first="Job type")
        lines(list(tree_notes(found.trees, found.from_trees, state.system())))
        st.button("Make them rows of the work table, to be changed one by one", on_click=_take_pieces)


def _pictures(plan: Plan) -> None:
    cases = load_cases(plan.jobs, plan.settings.line, plan.settings.pieces_per_season)
    st.subheader("The mix")
    weights, heights = st.columns(2)
    with weights:
        picture(mass_class_chart(mass_class_rows(cases, state.system())), "mix_masses")
        st.caption("Pieces in a season by the largest mass that is planned for.")
    with heights:
        picture(mix_chart(mix_rows(cases, state.system())), "mix_heights")
        st.caption("Usual to largest mass against the rigging height.")


def _add(technique: Technique) -> None:
    state.edit_rows(
        WORK, work_rows.with_example(state.draft().rows(WORK), technique), f"a row to {technique}"
    )


def _even_out() -> None:
    state.edit_rows(WORK, work_rows.evened_out(state.draft().rows(WORK)), "shares made 100 %")


def _take_pieces() -> None:
    plan = state.checked().plan
    if plan is None:
        state.tell("Put right what is wrong first: then the pieces can be taken over.")
        return
    rows = work_rows.with_pieces(state.draft().rows(WORK), plan.jobs)
    state.edit(state.draft().with_rows(work=rows, trees=()), "Work: the pieces of the trees taken over")
