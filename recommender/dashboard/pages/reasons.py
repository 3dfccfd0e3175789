"""Why each item is in the kit, what each job type adds, and what small changes to the work would change."""

from __future__ import annotations

import streamlit as st

from recommender.dashboard import asked, frame
from recommender.dashboard.listing import listing
from recommender.dashboard.reason_rows import ADDS, item_rows, job_rows, what_if_rows
from recommender.dashboard.shown import lines, plain
from recommender.dashboard.solving import digest_of
from recommender.explain.answers import Answer, WhyResult
from recommender.report.figures import money
from recommender.report.reasons_text import unfinished


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
        frame.link("whatif", "Try out what other work would cost")
    frame.cautions()


def _reasons(result: WhyResult) -> None:
    st.metric("Cheapest kit", plain(money(result.purchase_cost, result.currency)), width="content")
    st.subheader("Items of the kit")
    st.markdown("A cheaper item is tried in place of one piece, with the rest of the setup as it is.")
    listing(item_rows(result), first="Item")
    st.subheader("What each job type adds")
    st.markdown(ADDS)
    listing(job_rows(result), first="Job type")
    st.subheader("If the work were a little different")
    listing(what_if_rows(result), first="Job type")
    _unfinished(result)
    lines(result.notes)


def _unfinished(result: Answer) -> None:
    lines([text for text in unfinished(result.complete, result.proven) if text])
