"""Two to four ropes in one job: tension over time, figures side by side, and what they say."""

from __future__ import annotations

import streamlit as st

from catalog_schema.catalogue import Catalogue
from catalog_schema.gear import Rope
from catalog_schema.units import UnitSystem
from recommender.charts.tension_time import tension_chart, tension_rows
from recommender.dashboard import asked, frame, state
from recommender.dashboard.shown import lines, table
from recommender.explain.rope_match import FEWEST, MOST, RopeMatch
from recommender.kit.result import KitResult
from recommender.report.figures import as_listed, mass, words
from recommender.report.rope_words import exercises, in_words
from recommender.report.ropes_text import READING, figure_rows
from recommender.report.specification import catalogue_id

STATES = {"working": "As planned", "jam": "With the line locked"}


def show() -> None:
    """The page."""
    st.title("Rope against rope")
    st.markdown("The same piece on different ropes, over the redirect and the brake of the kit.")
    frame.standing()
    found = asked.kit_in_hand()
    if found is None:
        st.info(
            "There is no kit whose redirect and brake could stand beside the ropes.", icon=":material/info:"
        )
        frame.link("kit", "See why")
    else:
        answer, kit = found
        catalogue, system = answer.plan.catalogue, state.system()
        job, ropes = _choice(catalogue, kit, system)
        if len(ropes) < FEWEST:
            st.info(f"Choose {FEWEST} to {MOST} ropes.", icon=":material/info:")
        else:
            match = asked.tried(lambda: asked.ropes_of(answer.plan, tuple(ropes), job, kit))
            if match is not None:
                _match(match, system)
    frame.cautions()


def _choice(catalogue: Catalogue, kit: KitResult, system: UnitSystem) -> tuple[str, list[str]]:
    names = {
        rope.id: f"{rope.id}: {rope.name}, {as_listed(rope.diameter, 'size', system)}"
        for rope in catalogue.ropes
    }
    jobs = [one.job for one in kit.assignments]
    catches = [one.job for one in kit.assignments if one.technique == "catch"]
    job = st.selectbox("Job type", jobs, index=jobs.index(catches[-1]) if catches else 0)
    first = _first_ropes(catalogue, kit, job)
    ropes = st.multiselect(
        f"Ropes, {FEWEST} to {MOST}",
        list(names),
        default=first,
        max_selections=MOST,
        format_func=lambda id: names[id],
        key=f"ropes_{job}_{'_'.join(first)}",
    )
    return job, ropes


def _first_ropes(catalogue: Catalogue, kit: KitResult, job: str) -> list[str]:
    """To begin with: the line of the kit, and the strongest rope that there is."""
    line = next(one.parts["line"] for one in kit.assignments if one.job == job)
    found = catalogue.item(catalogue_id(line))
    own = found.id if isinstance(found, Rope) else catalogue_id(line).split("/")[0]
    strongest = max(catalogue.ropes, key=lambda rope: rope.min_break).id
    return list(dict.fromkeys([own, strongest]))


def _match(match: RopeMatch, system: UnitSystem) -> None:
    st.text(in_words(match, system))
    _courses(match, system)
    st.subheader("Side by side")
    rows = figure_rows(match, system)
    names = [rope.id for rope in match.ropes]
    table([{"Figure": row[0], **dict(zip(names, row[1:], strict=True))} for row in rows], first="Figure")
    st.caption(READING)
    gear = ", ".join(f"{words(part)} {catalogue_id(item)}" for part, item in sorted(match.parts.items()))
    piece = (
        f"{mass(match.piece_mass_typical_kg, system)} usual, {mass(match.piece_mass_kg, system)} to plan for"
    )
    lines([f"Piece: {piece}. Beside each rope: {gear}.", *match.notes])
    _lesson(match, system)


def _courses(match: RopeMatch, system: UnitSystem) -> None:
    courses = {state: tension_rows(match, system, state) for state in ("working", "jam")}
    told = [state for state, rows in courses.items() if rows]
    if not told:
        return
    st.subheader("Tension over time")
    state_shown = told[0]
    if len(told) > 1:
        state_shown = st.radio(
            "Line at the brake", told, format_func=STATES.__getitem__, horizontal=True, key="course_state"
        )
    st.altair_chart(tension_chart(courses[state_shown]), key=f"tension_{state_shown}")
    st.caption(
        "Usual piece, stretch of the rope's sheet, no damping: to understand, never to choose gear by."
    )


def _lesson(match: RopeMatch, system: UnitSystem) -> None:
    st.subheader("Exercises")
    answers = st.toggle("Show the answers", key="answers")
    for number, one in enumerate(exercises(match, system, answers=answers), start=1):
        with st.container(border=True, gap="xxsmall"):
            st.text(f"{number}. {one.question}")
            if one.answer:
                st.caption("Answer")
                st.text(one.answer)
