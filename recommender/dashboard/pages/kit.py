"""The kit: what to buy, what is owned, how hard each part works; or what can't be carried and what would help."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from recommender.charts.utilisation import utilisation_chart, utilisation_rows
from recommender.dashboard import frame, state
from recommender.dashboard.kit_tables import (
    extras_to_buy,
    force_rows,
    gear_to_buy,
    owned_rows,
    rig_rows,
    to_buy_rows,
    together,
)
from recommender.dashboard.shown import lines, plain, shortfall, table
from recommender.dashboard.solving import Answer
from recommender.dashboard.takeaway import takeaways
from recommender.diagrams.setup import draw_setup
from recommender.kit.result import KitItem, KitResult
from recommender.report.figures import mass, money
from recommender.work.cases import load_case

SIDEWAYS = "<style>.st-key-utilisation { overflow-x: auto; }</style>"
"""On a narrow screen the picture is moved sideways, not the page."""


def show() -> None:
    """The page."""
    st.title("Kit")
    st.text(state.draft().settings.name)
    frame.standing()
    answer = state.answer()
    if answer is None:
        frame.link("work", "Write down the work")
        frame.link("gear", "Bring in the gear")
    elif answer.result is not None and answer.result.assignments:
        _kit(answer, answer.result)
    elif answer.result is not None:
        _no_kit(answer.result)
    if answer is None or answer.result is None or not answer.result.assignments:
        frame.cautions()


def _kit(answer: Answer, result: KitResult) -> None:
    _totals(result)
    frame.cautions()
    system, catalogue = state.system(), answer.plan.catalogue
    _buy("Rigging gear to buy", gear_to_buy(result), answer, result)
    _buy("For the crew, to buy", extras_to_buy(result), answer, result)
    _take_home(answer, result)
    owned = owned_rows(result, catalogue, system)
    if owned:
        st.subheader("Used of what you own")
        table(owned, first="Item")
    st.subheader("How hard each part works")
    st.caption(
        "Load over rating with all design factors taken; over 100 % is refused. 'jam' and an edge mark parts that are "
        "judged by the line locking in a catch, with the factor of survival."
    )
    st.html(SIDEWAYS)
    with st.container(key="utilisation"):
        st.altair_chart(utilisation_chart(utilisation_rows(result)), width="content", key="utilisation_chart")
    st.subheader("Forces")
    st.caption("Of the largest piece planned for, rounded up.")
    table(force_rows(result, system), first="Job type")
    st.subheader("What to rig")
    table(rig_rows(result, system), first="Job type")
    _drawn(answer, result)
    _small_print(result)


def _buy(title: str, items: Sequence[KitItem], answer: Answer, result: KitResult) -> None:
    if not items:
        return
    st.subheader(title)
    st.caption(f"Together {plain(money(together(items), result.currency))}")
    table(to_buy_rows(items, answer.plan.catalogue, result.currency, state.system()), first="Item")


def _take_home(answer: Answer, result: KitResult) -> None:
    st.subheader("To take home")
    with st.container(horizontal=True):
        for one in takeaways(result, answer.plan, state.system()):
            st.download_button(
                one.label, one.build, one.name, one.media_type, icon=":material/download:", on_click="ignore"
            )


def _drawn(answer: Answer, result: KitResult) -> None:
    st.subheader("Drawn")
    setups = {one.job: one for one in result.assignments}
    name = st.selectbox("Job type", list(setups), key="drawn_job")
    plan = answer.plan
    job = next(one for one in plan.jobs if one.job == name)
    case = load_case(job, plan.settings.line, plan.settings.pieces_per_season)
    picture = draw_setup(setups[name], case, state.system(), plan.catalogue)
    with st.container(key="drawn"):
        st.image(picture, width=560, alt=plain(f"How {name} is rigged"))


def _totals(result: KitResult) -> None:
    pieces = [sum(item.quantity for item in result.items if item.owned is owned) for owned in (False, True)]
    with st.container(horizontal=True, gap="large"):
        with st.container(key="kit_total", width="content"):
            st.metric("Total to buy", plain(money(result.purchase_cost, result.currency)))
        st.metric("Mass of the kit, dry", mass(result.mass_kg, state.system()), width="content")
        st.metric("Pieces to buy / owned", f"{pieces[0]} / {pieces[1]}", width="content")
        frame.hardest_part(result)


def _no_kit(result: KitResult) -> None:
    if result.status == "stopped":
        st.error("The search stopped before it found a kit.", icon=":material/timer_off:")
        return
    st.error(
        "No kit: nothing in the tables carries all of this work with its design factors.",
        icon=":material/block:",
    )
    if not result.uncovered:
        st.markdown("Each job type can be carried by itself, but not all of them with one kit.")
    for one in result.uncovered:
        shortfall(one)
    _small_print(result)


def _small_print(result: KitResult) -> None:
    st.subheader("Notes")
    lines(result.notes)
    if result.assignments:
        proof = "proven to be the cheapest" if result.status == "planned" else "not proven to be the cheapest"
        st.caption(f"{result.solver}: {proof}, gap {100 * result.gap:.1f} %, {result.solve_seconds:.2f} s.")
