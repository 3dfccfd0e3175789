"""Two to four ropes in one job: who wins and why, tension over time, every figure, and exercises for a lesson."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Literal

import streamlit as st

from catalog_schema.catalogue import Catalogue
from catalog_schema.units import UnitSystem
from recommender.charts.marks import LARGE_TYPE_SIZE, TYPE_SIZE
from recommender.charts.tension_time import tension_chart, tension_rows
from recommender.dashboard import asked, frame, state
from recommender.dashboard.listing import Filled, listing
from recommender.dashboard.pictures import picture
from recommender.dashboard.piece_sliders import piece_sliders
from recommender.dashboard.sections import Sections
from recommender.dashboard.shown import lines, plain
from recommender.dashboard.solving import Answer, digest_of
from recommender.explain.changed_job import changed_job
from recommender.explain.rope_gear import kit_takes
from recommender.explain.rope_match import FEWEST, MOST, RopeMatch
from recommender.kit.result import KitResult
from recommender.report.figures import as_listed, counted, mass
from recommender.report.rope_exercises import exercises
from recommender.report.rope_words import (
    HARDEST,
    heading_of,
    in_words,
    listed,
    respects_by_rope,
    verdict_sentence,
    verdicts,
)
from recommender.report.ropes_text import READING, figure_rows, what_is_compared
from recommender.work.plan import Plan

STATES = {"jam": "With the line locked", "working": "As planned"}
BESIDE = {True: "The kit's redirect and brake", False: "The strongest that take these ropes"}
WALL = """<style>
[data-testid=stSidebar], [data-testid=stExpandSidebarButton], [data-testid=stHeader] { display: none; }
[data-testid=stMainBlockContainer] h2 { font-size: 2.6rem; line-height: 1.25; }
</style>"""
"""For a screen at the wall: nothing beside the comparison."""


def show() -> None:
    """The page."""
    found = asked.kit_in_hand()
    large = found is not None and bool(st.session_state.get("large_view"))
    if not large:
        st.title("Rope against rope")
        st.markdown(
            "The same piece on different ropes: which one is gentler on the gear, lighter, cheaper, and why."
        )
        frame.standing()
    if found is None:
        st.info("There is no kit to compare ropes for.", icon=":material/info:")
        frame.link("kit", "See why")
    else:
        match, is_other = _asked(found[0], found[1])
        if match is not None:
            (_at_the_wall if large else _at_hand)(match, state.system(), is_other)
    frame.cautions()


def _asked(answer: Answer, kit: KitResult) -> tuple[RopeMatch | None, bool]:
    """The comparison that the choices on the page ask for, and whether its piece is another than the planned one."""
    st.toggle("Large view, to show to a class", key="large_view")
    with st.expander("What is compared", expanded=not st.session_state.get("large_view")):
        job, ropes = _choice(answer, kit)
        plan = _other_piece(answer.plan, job)
        if len(ropes) < FEWEST:
            st.info(f"Choose {FEWEST} to {MOST} ropes.", icon=":material/info:")
            return None, False
        rows = [rope for rope in answer.plan.catalogue.ropes if rope.id in ropes]
        fits = kit_takes(answer.plan.catalogue, kit, job, rows)
        with_kit = st.radio(
            "Redirect, slings and brake", [True, False], index=0 if fits else 1, horizontal=True,
            format_func=BESIDE.__getitem__, key=f"beside_{job}_{'_'.join(ropes)}",
        )  # fmt: skip
    match = asked.tried(lambda: asked.ropes_of(plan, tuple(ropes), job, kit if with_kit else None))
    return match, plan is not answer.plan


def _other_piece(plan: Plan, job: str) -> Plan:
    """The plan with the piece that the sliders make of the job type's; the plan itself where it can't be so."""
    if not st.toggle("With another piece than planned", key="other_piece"):
        return plan
    place = next(k for k, one in enumerate(plan.jobs) if one.job == job)
    change = piece_sliders(plan.jobs[place], f"rope_{place}_{digest_of(plan)[:12]}", state.system())
    other = asked.tried(lambda: changed_job(plan.jobs[place], change))
    if other is None or other == plan.jobs[place]:
        return plan
    st.markdown("For this comparison only: the plan stays as it is.")
    return replace(plan, jobs=tuple(other if k == place else one for k, one in enumerate(plan.jobs)))


def _choice(answer: Answer, kit: KitResult) -> tuple[str, list[str]]:
    names = _rope_names(answer.plan.catalogue, state.system())
    jobs = [one.job for one in kit.assignments]
    catches = [one for one in kit.assignments if one.technique == "catch"]
    heaviest = max(catches or kit.assignments, key=lambda one: one.piece_mass_kg).job
    job = st.selectbox("Job type", jobs, index=jobs.index(heaviest), key="rope_job")
    first = asked.first_ropes_of(answer.plan, job, kit)
    ropes = st.multiselect(
        f"Ropes, {FEWEST} to {MOST}",
        list(names),
        default=first,
        max_selections=MOST,
        format_func=names.__getitem__,
        key=f"ropes_{job}_{'_'.join(first)}",
    )
    return job, ropes


def _rope_names(catalogue: Catalogue, system: UnitSystem) -> dict[str, str]:
    return {
        rope.id: f"{rope.id}: {rope.name}"
        + ("" if (size := as_listed(rope.diameter, "size", system)) in rope.name else f", {size}")
        for rope in catalogue.ropes
    }


def _at_the_wall(match: RopeMatch, system: UnitSystem, is_other: bool) -> None:
    """Few things, large: the verdict, the figures that say so, the course."""
    st.html(WALL)
    st.header(plain(verdict_sentence(match, system)))
    _piece(match, system, is_other)
    _respects(match, system, large=True)
    _courses(match, system, LARGE_TYPE_SIZE)


def _piece(match: RopeMatch, system: UnitSystem, is_other: bool) -> None:
    what = "NOT the planned piece: changed on this page" if is_other else "the planned piece"
    st.text(f"Piece of {mass(match.piece_mass_kg, system)} in {match.job}, {what}.")


def _at_hand(match: RopeMatch, system: UnitSystem, is_other: bool) -> None:
    st.subheader(plain(verdict_sentence(match, system)))
    sections = Sections()
    _piece(match, system, is_other)
    _respects(match, system)
    _courses(match, system, TYPE_SIZE)
    sections.heading("In words")
    st.text(in_words(match, system))
    lines([what_is_compared(match, system), *match.notes])
    names = [rope.id for rope in match.ropes]
    rows = figure_rows(match, system)
    figures = [{"Figure": row[0], **dict(zip(names, row[1:], strict=True))} for row in rows]
    with sections.folded("Every figure", f"{counted(len(figures), 'figure')} of each rope"):
        st.text(READING)
        listing(figures, first="Figure", stack=False)
    sections.heading("Exercises")
    _lesson(match, system)
    sections.links()


def _respects(match: RopeMatch, system: UnitSystem, *, large: bool = False) -> None:
    """What each rope comes to in each respect, and which is better."""
    alone = sum(rope.carries for rope in match.ropes) == 1
    better = {
        one.respect: ("even" if one.even and not alone else listed(one.best)) + one.why_even
        for one in verdicts(match, system)
    }
    shares = {heading_of(rope): rope.highest[1] for rope in match.ropes}
    listing(
        [
            {
                "Less is better": name[:1].upper() + name[1:],
                **{
                    one: Filled(text, shares[one]) if name == HARDEST else text
                    for one, text in by_rope.items()
                },
                "Best": better[name],
            }
            for name, by_rope in respects_by_rope(match, system).items()
        ],
        first="Less is better",
        stack=False,
        large=large,
    )


def _courses(match: RopeMatch, system: UnitSystem, type_size: int) -> None:
    names: tuple[Literal["jam", "working"], ...] = ("jam", "working")
    courses = {state: rows for state in names if (rows := tension_rows(match, system, state))}
    if not courses:
        return
    st.subheader("Tension over time")
    told = list(courses)
    chosen = told[0]
    if len(told) > 1:
        chosen = st.radio(
            "Line at the brake", told, format_func=STATES.__getitem__, horizontal=True, key="course_state"
        )
    picture(tension_chart(courses[chosen], type_size), f"tension_{chosen}", type_size)
    st.markdown(
        "Usual piece, stretch of the rope's sheet, no damping: to understand, never to choose gear by."
    )


def _lesson(match: RopeMatch, system: UnitSystem) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        answers = st.toggle("Show the answers", key="answers")
        for with_answers, label in ((False, "Exercise sheet (PDF)"), (True, "The sheet with answers (PDF)")):
            name = "exercises-with-answers.pdf" if with_answers else "exercises.pdf"
            st.download_button(
                label, _sheet(match, system, with_answers), name, "application/pdf", icon=":material/download:",
                on_click="ignore",
            )  # fmt: skip
    for number, one in enumerate(exercises(match, system, answers=answers), start=1):
        with st.container(border=True, gap="xxsmall"):
            st.text(f"{number}. {one.question}")
            if one.answer:
                st.caption("Answer")
                st.text(one.answer)


def _sheet(match: RopeMatch, system: UnitSystem, answers: bool) -> asked.Built:
    def build() -> bytes:
        from recommender.files.exercises_pdf import exercises_pdf

        return exercises_pdf(match, system, answers=answers, date=datetime.date.today())

    return build
