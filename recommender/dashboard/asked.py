"""Answers that take seconds: worked out when they are asked for, and kept by the digest of their plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Literal, TypeVar

import streamlit as st

from recommender.dashboard import state
from recommender.dashboard.searching import Search, bar
from recommender.dashboard.shown import plain
from recommender.dashboard.solving import Answer, digest_of
from recommender.dashboard.takeaway import More
from recommender.explain.answers import AlternativesResult, CurveResult, FirstResult, WhyResult
from recommender.explain.crews import by_crew
from recommender.explain.limits import LimitsSheet, limits_sheet
from recommender.explain.neighbours import Neighbours, neighbours
from recommender.explain.rope_choice import telling_ropes
from recommender.explain.rope_match import RopeMatch, compare_ropes
from recommender.kit.result import KitResult
from recommender.kit.solver import KitSolution, SolverSettings
from recommender.seasons.result import BudgetView, SeasonsResult
from recommender.work.plan import Plan

T = TypeVar("T")
Built = Callable[[], bytes]
"""Makes the content of a file when somebody asks for it."""
PATIENCE = SolverSettings(time_limit=60.0, relative_gap=1e-3)
"""Of somebody in front of a screen; the gap says how far from the cheapest the answer may be then."""
ALL_LOWERED = -1
KEPT, MOST_KEPT = "answers_kept", 24
"""Answers of a session that took long."""
ASKING = "asking"
"""Where a session keeps which question is asked now."""
SEARCH = "search"
"""Where a session keeps the search that runs, or ran last."""
LONGEST_STOP = 60.0
"""Seconds that a search may need to end."""


def wanted(name: str, subject: str, label: str, *, aside: bool = False) -> bool:
    """Whether an answer about a subject was asked for; a button that asks for it, as long as it was not.

    Parameters
    ----------
    name : str
        Of the question.
    subject : str
        Digest of what it is about; an answer about another one does not count.
    label : str
        Of the button.
    aside : bool
        Whether it is a question beside the one of the page.
    """
    key = f"asked_{name}"
    before = st.session_state.get(key)
    if before == subject:
        st.session_state[ASKING] = key
        return True
    if before is not None:
        st.info("The question has changed since it was answered last: ask again.", icon=":material/history:")
    kind: Literal["primary", "secondary"] = "secondary" if aside else "primary"
    st.button(label, key=f"ask_{name}", type=kind, on_click=_ask, args=(key, subject))
    return False


def _ask(key: str, subject: str) -> None:
    st.session_state[key] = subject


def kit_in_hand() -> tuple[Answer, KitResult] | None:
    """The last kit that was found, with its plan; None without one."""
    answer = state.answer()
    if answer is None or answer.result is None or not answer.result.assignments:
        return None
    return answer, answer.result


def tried(question: Callable[[], T]) -> T | None:
    """An answer, or None after the screen was told why there is none."""
    try:
        return question()
    except (ValueError, ArithmeticError, RuntimeError) as error:
        st.error("This can't be worked out; no result of it may be used.", icon=":material/error:")
        st.text(f"{type(error).__name__}: {error}")
        return None


def seasons_of(plan: Plan, seconds: float = PATIENCE.time_limit) -> SeasonsResult:
    """What to buy in which season; the best plan that was found in so many seconds."""
    from recommender.seasons import Watch, plan_seasons

    settings = replace(PATIENCE, time_limit=seconds)
    return _kept(
        "seasons", f"{seconds:g} {digest_of(plan)}", "Looking for the cheapest purchases over all seasons",
        lambda search: plan_seasons(plan, settings, Watch(search.stop, search)), can_stop=True,
    )  # fmt: skip


def budgets_of(plan: Plan, cost: float) -> BudgetView:
    """What more money in each season would save, beside a plan of some cost."""
    from recommender.seasons import Watch, budget_view

    return _kept(
        "budgets", f"{cost} {digest_of(plan)}", "Plans with more money",
        lambda search: budget_view(plan, cost, PATIENCE, Watch(search.stop, search)),
    )  # fmt: skip


def limits_of(plan: Plan, kit: KitResult | None) -> LimitsSheet:
    """The largest pieces for a plan's kit, or without it for the gear that is owned."""
    return _limits(digest_of(plan), kit is None, plan, kit)


def ropes_of(plan: Plan, ropes: tuple[str, ...], job: str, kit: KitResult | None) -> RopeMatch:
    """Ropes side by side in one job, with the gear of the kit, or without it with the strongest that takes them."""
    return _ropes(digest_of(plan), ropes, job, kit is None, plan, kit)


def first_ropes_of(plan: Plan, job: str, kit: KitResult) -> tuple[str, ...]:
    """The ropes to compare first in a job."""
    return _first_ropes(digest_of(plan), job, plan, kit)


def next_sizes_of(plan: Plan, kit: KitResult) -> tuple[Neighbours, ...]:
    """The next size of everything that is rigged."""
    return _next_sizes(digest_of(plan), plan, kit)


def crews_of(plan: Plan, kit: KitResult) -> KitResult:
    """A kit with the setups of every crew."""
    return _crews(digest_of(plan), plan, kit)


def reasons_of(plan: Plan) -> WhyResult:
    """Why each item is in the cheapest kit."""
    from recommender.explain.reasons import explain

    return _kept(
        "reasons", digest_of(plan), "Kits without each item and each job type",
        lambda progress: explain(plan, _cheapest(plan), progress=progress),
    )  # fmt: skip


def curve_of(plan: Plan, job: int) -> CurveResult:
    """Cost against the largest piece of one job type, by its place, or of all that are lowered."""
    from recommender.explain.curve import cost_curve

    jobs = None if job == ALL_LOWERED else [job]
    return _kept(
        "curve", f"{job} {digest_of(plan)}", "The cheapest kit at many sizes",
        lambda progress: cost_curve(plan, jobs, progress=progress),
    )  # fmt: skip


def alternatives_of(plan: Plan, within: float) -> AlternativesResult:
    """Kits whose rigging gear costs at most a share more than the cheapest, and that differ most."""
    from recommender.explain.alternatives import alternatives

    return _kept(
        "alternatives", f"{within} {digest_of(plan)}", "Kits that differ",
        lambda progress: alternatives(plan, _cheapest(plan), within, settings=PATIENCE, progress=progress),
    )  # fmt: skip


def first_of(plan: Plan, spend: float) -> FirstResult:
    """What to buy first with a sum."""
    from recommender.explain.first import first_purchases

    return _kept(
        "first", f"{spend} {digest_of(plan)}", "What to buy first",
        lambda progress: first_purchases(plan, spend, settings=PATIENCE, progress=progress),
    )  # fmt: skip


def worked_out(plan: Plan) -> More:
    """What was worked out in this session about a plan, for its files."""
    digest, answers = digest_of(plan), st.session_state.get(KEPT, {})
    return More(
        why=answers.get(("reasons", digest)),
        seasons=_last(answers, "seasons", digest),
        first=_last(answers, "first", digest),
    )


def _last(answers: dict[tuple[str, str], Any], name: str, digest: str) -> Any:
    """The last answer to a question about a plan; None without one."""
    found = [
        answer for (asked, subject), answer in answers.items() if asked == name and subject.endswith(digest)
    ]
    return found[-1] if found else None


def _cheapest(plan: Plan) -> KitSolution:
    """The cheapest kit, every spool taken for one line, as questions about it want it."""
    from recommender.kit.planning import prepare, whole_spools
    from recommender.kit.solve import solve
    from recommender.kit.solver import USABLE

    best = solve(prepare(whole_spools(plan)).problem)
    if best.status not in USABLE:
        raise RuntimeError(f"the search for the kit ended with {best.status!r}")
    return best


def _kept(
    name: str, subject: str, what: str, question: Callable[[Search], T], *, can_stop: bool = False
) -> T:
    """An answer of this session, looked for where it is not there yet; a search says how far it is and can be stopped.

    With ``can_stop`` the answer of a search that was stopped counts, as far as it got; else the question is not asked
    any more then.
    """
    answers: dict[tuple[str, str], Any] = st.session_state.setdefault(KEPT, {})
    place = (name, subject)
    _wait_for_stopped(place, answers)
    if place not in answers:
        screen = st.empty()
        with screen.container(), st.spinner(plain(what), show_time=True):
            search = st.session_state[SEARCH] = Search(bar(), can_stop=can_stop)
            st.button("Stop looking", key=f"stop_{name}", icon=":material/stop_circle:", on_click=search.end)
            try:
                found = question(search)
                if search.counts:
                    answers[place] = found
            finally:
                search.over.set()
        screen.empty()
        for old in list(answers)[: max(len(answers) - MOST_KEPT, 0)]:
            del answers[old]
    answer: T = answers[place]
    return answer


def _wait_for_stopped(place: tuple[str, str], answers: Mapping[tuple[str, str], Any]) -> None:
    """Wait for a search that was stopped; where it leaves no answer, its question is not asked any more."""
    search: Search | None = st.session_state.get(SEARCH)
    if search is None or not search.is_ended:
        return
    with st.spinner("Stopping the search ..."):
        search.over.wait(LONGEST_STOP)
    del st.session_state[SEARCH]
    if place not in answers:
        st.session_state.pop(st.session_state[ASKING], None)
        state.tell("The search was stopped before there was an answer.")
        st.rerun()


@st.cache_data(max_entries=32, show_spinner="Looking for the largest pieces ...")
def _limits(digest: str, is_owned: bool, _plan: Plan, _kit: KitResult | None) -> LimitsSheet:
    return limits_sheet(_plan, _kit)


@st.cache_data(max_entries=32, show_spinner="Working out each rope ...")
def _ropes(
    digest: str, ropes: tuple[str, ...], job: str, is_strongest: bool, _plan: Plan, _kit: KitResult | None
) -> RopeMatch:
    return compare_ropes(_plan, ropes, job, _kit)


@st.cache_data(max_entries=64, show_spinner="Working out which ropes to set side by side ...")
def _first_ropes(digest: str, job: str, _plan: Plan, _kit: KitResult) -> tuple[str, ...]:
    return telling_ropes(_plan, job, _kit)


@st.cache_data(max_entries=32, show_spinner=False)
def _next_sizes(digest: str, _plan: Plan, _kit: KitResult) -> tuple[Neighbours, ...]:
    return neighbours(_plan, _kit)


@st.cache_data(max_entries=32, show_spinner=False)
def _crews(digest: str, _plan: Plan, _kit: KitResult) -> KitResult:
    return by_crew(_plan, _kit)
