"""What to buy in which season, and what is cut smaller or given away until then."""

from __future__ import annotations

from datetime import date

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.charts.cash import cash_chart, cash_rows
from recommender.dashboard import asked, bring_in, frame, state
from recommender.dashboard.kit_tables import EXTRAS
from recommender.dashboard.listing import listing
from recommender.dashboard.pictures import picture
from recommender.dashboard.season_rows import (
    budget_rows,
    cut_rows,
    given_rows,
    purchase_rows,
    sum_of,
    wear_rows,
)
from recommender.dashboard.shown import lines, plain, shortfall
from recommender.dashboard.solving import digest_of
from recommender.dashboard.table_editor import edit_table
from recommender.dashboard.uploads import SEASONS as SEASON_TABLES
from recommender.report.figures import money, percent
from recommender.report.seasons_text import MORE_MONEY
from recommender.seasons.result import SeasonPlan, SeasonsResult
from recommender.work.plan import Plan

UNPROVEN = ("planned, optimum not proven", "stopped")
LONGER, SLOWER = "seasons_seconds", 5.0
"""Where a session keeps how long to look, and how many times as long the next look takes."""
WAYS = ("job", "pieces_per_season", "most_pieces", "cut_minutes", "hire_price", "crews_at_once")
"""Columns of the work table that say what else can be done with a piece."""


def show() -> None:
    """The page."""
    st.title("Seasons")
    st.markdown(
        "When money comes season by season: what to buy when, and what to cut smaller or give away until then, at the "
        "least cost in all?"
    )
    frame.standing()
    _tables()
    answer = state.answer()
    if answer is None:
        frame.link("work", "Write down the work")
    elif asked.wanted("seasons", digest_of(answer.plan), "Plan the seasons"):
        _answer(answer.plan)
    if answer is not None and not answer.plan.seasons:
        st.caption("This plan names no seasons: it is taken as one season without a budget.")
    frame.cautions()


def _answer(plan: Plan) -> None:
    """The plan over the seasons; where time was up, it says so and can be given more."""
    digest = digest_of(plan)
    longer = st.session_state.get(LONGER)
    seconds = longer[1] if longer and longer[0] == digest else asked.PATIENCE.time_limit
    result = asked.tried(lambda: asked.seasons_of(plan, seconds))
    if result is None:
        return
    if result.status in UNPROVEN:
        told = (
            "No plan was found, nor that there is none"
            if not result.seasons
            else f"This plan is at most {percent(result.gap)} too dear"
        )
        hope = "A longer one may find a better plan." if result.seasons else "A longer one may tell."
        ended = f"the search ended after {result.solve_seconds:.0f} s"
        st.warning(plain(f"{told}: {ended}. {hope}"), icon=":material/timer:")
        st.button(
            f"Look for {SLOWER * seconds:.0f} s", key="seasons_longer",
            on_click=_look_longer, args=(digest, SLOWER * seconds),
        )  # fmt: skip
    _plan(result, state.system())
    if any(season.budget is not None for season in result.seasons):
        _more_money(plan, result)


def _look_longer(digest: str, seconds: float) -> None:
    st.session_state[LONGER] = (digest, seconds)


def _more_money(plan: Plan, result: SeasonsResult) -> None:
    """What each budget is worth, worked out on demand."""
    st.subheader("What more money in a season would save")
    st.markdown("A plan is made anew for every sum: this can take minutes.")
    if not asked.wanted("budgets", f"{result.cost} {digest_of(plan)}", "Work it out", aside=True):
        return
    view = asked.tried(lambda: asked.budgets_of(plan, result.cost))
    if view is not None:
        listing(budget_rows(view), first="Season")
        st.markdown(MORE_MONEY)


def _tables() -> None:
    budgets, by_season, ways = st.tabs(["Budgets", "Work that differs", "Cut smaller, give away"])
    with budgets:
        st.caption("The budget is for gear. An empty budget is no limit.")
        st.button("A season", icon=":material/add:", on_click=_add_season)
        edit_table("seasons", columns=("season", "budget", "work", "note"), switch=False)
    with by_season:
        st.caption("Pieces of a job type in a season, where they differ from the work mix.")
        st.button(
            "A change", icon=":material/add:", on_click=_add_change,
            disabled=not (state.draft().rows("seasons") and state.checked().jobs),
        )  # fmt: skip
        edit_table("season_work", switch=False)
    with ways:
        st.caption(
            "Into how many pieces one may be cut, what a cut takes, and what it costs to have somebody else do it."
        )
        edit_table("work", view="ways", columns=WAYS, switch=False)
    frame.link("settings", "What an hour of a crew costs, what money is worth a season later")
    bring_in.tables(SEASON_TABLES)


def _add_season() -> None:
    rows = state.draft().rows("seasons")
    last = str(rows[-1].get("season") or "") if rows else str(date.today().year - 1)
    frame.add_row("seasons", **({"season": str(int(last) + 1)} if last.isdecimal() else {}), budget=None)


def _add_change() -> None:
    season, job = state.draft().rows("seasons")[0].get("season"), state.checked().jobs[0].job
    frame.add_row("season_work", season=season or "", job=job)


def _plan(result: SeasonsResult, system: UnitSystem) -> None:
    if not result.seasons and result.status not in UNPROVEN:
        st.error(plain(f"No plan over the seasons: {result.status}."), icon=":material/block:")
    for one in result.uncovered:
        shortfall(one, is_of_a_job=result.shortage is None)
    if result.seasons:
        _totals(result)
        picture(cash_chart(cash_rows(result)), "cash")
        st.caption("Bars: what each season costs. Strokes: its budget for gear, where it has one.")
    for season in result.seasons:
        _season(season, result.currency, system)
    st.subheader("Notes")
    lines(result.notes)
    if result.seasons:
        st.caption(
            plain(
                f"{result.solver}: {result.status}, gap {100 * result.gap:.2f} %, {result.solve_seconds:.1f} s."
            )
        )


def _totals(result: SeasonsResult) -> None:
    figures = {
        "To buy in all": result.purchase_cost,
        "Crew time of extra cuts": result.crew_cost,
        "For what is given away": result.hire_cost,
        "Worth today": result.cost,
    }
    with st.container(horizontal=True, gap="medium"):
        for name, amount in figures.items():
            st.metric(name, plain(money(amount, result.currency)), width="content")


def _season(season: SeasonPlan, currency: str, system: UnitSystem) -> None:
    st.subheader(plain(f"Season {season.season}"))
    budget = (
        "no budget named" if season.budget is None else f"of a budget of {money(season.budget, currency)}"
    )
    share = f"{100 * season.share_with_kit:.0f} % of the work done with the kit"
    st.caption(plain(f"{money(season.purchase_cost, currency)} to buy, {budget}; {share}."))
    for title, items in (
        ("Rigging gear to buy", [one for one in season.purchases if one.table != EXTRAS]),
        ("For the crew, to buy", [one for one in season.purchases if one.table == EXTRAS]),
    ):
        if items:
            st.markdown(f"**{title}**")
            listing(purchase_rows(items, currency), first="Item", total=sum_of(items, currency), about=title)
    if not season.purchases:
        st.text("Nothing to buy.")
    for title, rows in (
        ("Given away", given_rows(season, currency)),
        ("Cut smaller", cut_rows(season, currency, system)),
        ("Life of lines used up so far, where 100 % is one line", wear_rows(season)),
    ):
        if rows:
            st.markdown(f"**{title}**")
            listing(rows, first=next(iter(rows[0])), about=title)
