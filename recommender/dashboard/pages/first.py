"""What to buy first with a sum of money: the steps, the share of the work that each covers, and what is missing."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.charts.money_share import money_share_chart, money_share_rows
from recommender.dashboard import asked, frame, state
from recommender.dashboard.first_rows import leave_out_rows, more_money_rows, purchase_steps, remedy_rows
from recommender.dashboard.kit_tables import extras_to_buy, gear_to_buy, together
from recommender.dashboard.listing import listing
from recommender.dashboard.pictures import picture
from recommender.dashboard.shown import lines, plain
from recommender.dashboard.solving import Answer, digest_of
from recommender.explain.answers import FirstResult
from recommender.report.figures import money
from recommender.report.purchases_text import MORE, NO_SHORTER, after_the_steps, answer_in_words, share_down
from recommender.report.reasons_text import unfinished

STEP = 50.0
"""Of the sum, in units of the currency."""


def show() -> None:
    """The page."""
    st.title("First purchases")
    st.markdown(
        "The money does not reach for everything: what to buy first, and how much of the work that covers."
    )
    frame.standing()
    answer = state.answer()
    if answer is None:
        frame.link("work", "Write down the work")
    else:
        _ask(answer)
    frame.cautions()


def _ask(answer: Answer) -> None:
    plan, currency = answer.plan, answer.plan.catalogue.currency
    gear_only = plan.settings.extras and st.toggle(
        "Gear only: what the crew needs (helmets, training ...) is there already", key="gear_only"
    )
    if gear_only:
        plan = replace(plan, settings=plan.settings.model_copy(update={"extras": False}))
    spend = st.number_input(
        f"Sum to spend [{currency}]" if currency else "Sum to spend",
        min_value=0.0,
        value=_half_of_the_gear(answer, gear_only),
        step=STEP,
        format="%.0f",
        key=f"spend_{digest_of(plan)[:12]}",
    )
    if asked.wanted("first", f"{spend} {digest_of(plan)}", "What to buy first"):
        result = asked.tried(lambda: asked.first_of(plan, spend))
        if result is not None:
            _answer(result, state.system())


def _half_of_the_gear(answer: Answer, gear_only: bool) -> float:
    """To begin with: what the crew needs, where it is asked for, and half of what the rigging gear of the kit costs."""
    if answer.result is None or not answer.result.items:
        return 20 * STEP
    crew = 0.0 if gear_only else together(extras_to_buy(answer.result))
    wanted = crew + together(gear_to_buy(answer.result)) / 2
    return STEP * ceil(wanted / STEP)


def _answer(result: FirstResult, system: UnitSystem) -> None:
    with st.container(horizontal=True, gap="medium"):
        if result.share:
            st.metric("Share of the pieces covered", share_down(result.share), width="content")
            st.metric("For", plain(money(result.cost, result.currency)), width="content")
        else:
            st.metric("Pieces covered", "none", width="content")
        st.metric("All of the work takes", plain(money(result.all_at_once, result.currency)), width="content")
    st.text(answer_in_words(result))
    picture(money_share_chart(money_share_rows(result, result.currency), result.spend), "money_share")
    st.markdown("Filled: within the sum. Hollow: beyond it. Dashed stroke: the sum.")
    no_shorter = NO_SHORTER if any(drop.longest_piece_m is None for drop in result.drops) else ""
    for title, rows, behind in (
        ("Step by step", purchase_steps(result), ""),
        (MORE, more_money_rows(result), after_the_steps(result)),
        ("For all other work within the sum, leave out", leave_out_rows(result, system), no_shorter),
        ("What would make the sum pay for all of the work", remedy_rows(result), ""),
    ):
        if rows:
            st.subheader(title)
            listing(rows, first=next(iter(rows[0])))
            lines([behind] if behind else [])
    if result.not_carried:
        st.text(f"Nothing in the catalogue carries: {', '.join(result.not_carried)}.")
    lines([text for text in unfinished(result.complete, result.proven) if text])
    lines(result.notes)
