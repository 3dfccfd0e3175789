"""Why each item is in the kit, what each job type adds, and what the kit costs as pieces grow."""

from __future__ import annotations

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.charts.cost_curve import cost_chart, cost_rows
from recommender.dashboard import asked, frame, state
from recommender.dashboard.reason_rows import item_rows, job_rows, step_rows, what_if_rows
from recommender.dashboard.shown import lines, picture, plain, table
from recommender.dashboard.solving import digest_of
from recommender.explain.answers import Answer, WhyResult
from recommender.report.figures import money
from recommender.report.reasons_text import unfinished
from recommender.work.plan import Plan


def show() -> None:
    """The page."""
    st.title("Reasons")
    st.markdown("Why the kit is as it is: which work needs which item, and what a cheaper one would fail at.")
    frame.standing()
    found = asked.kit_in_hand()
    if found is None:
        st.info("There is no kit to give reasons for.", icon=":material/info:")
        frame.link("kit", "See the kit")
    else:
        plan = found[0].plan
        if asked.wanted("reasons", digest_of(plan), "Look for the reasons"):
            result = asked.tried(lambda: asked.reasons_of(plan))
            if result is not None:
                _reasons(result)
        _curve(plan, state.system())
    frame.cautions()


def _reasons(result: WhyResult) -> None:
    st.metric("Cheapest kit", plain(money(result.purchase_cost, result.currency)), width="content")
    st.subheader("Items of the kit")
    st.caption("A cheaper item is tried in place of one piece, with the rest of the setup as it is.")
    table(item_rows(result), first="Item")
    st.subheader("What each job type adds")
    st.caption(
        "The cost of the kit less that of the cheapest kit for all other work. Job types share gear, so these sums do "
        "not add up to the whole."
    )
    table(job_rows(result), first="Job type")
    st.subheader("If the work were a little different")
    table(what_if_rows(result), first="Job type")
    _unfinished(result)
    lines(result.notes)


def _curve(plan: Plan, system: UnitSystem) -> None:
    st.subheader("Cost against the largest piece")
    names = {number: job.job for number, job in enumerate(plan.jobs)}
    if any(job.technique == "lower" for job in plan.jobs):
        names = {asked.ALL_LOWERED: "All that are lowered", **names}
    job = st.selectbox("Pieces that change", list(names), format_func=lambda one: names[one], key="curve_job")
    if not asked.wanted("curve", f"{job} {digest_of(plan)}", "Draw the curve"):
        return
    result = asked.tried(lambda: asked.curve_of(plan, job))
    if result is None:
        return
    picture(cost_chart(cost_rows(result, result.currency, system)), "cost_curve")
    st.caption("Pieces from half to one and a half of their planned length.")
    table(step_rows(result, system))
    _unfinished(result)


def _unfinished(result: Answer) -> None:
    lines([text for text in unfinished(result.complete, result.proven) if text])
