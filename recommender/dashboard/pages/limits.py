"""The largest pieces that the kit, or the gear that is owned, may take down."""

from __future__ import annotations

import datetime

import streamlit as st

from catalog_schema.units import UnitSystem, unit_of
from recommender.charts.limit_heights import limit_chart, limit_rows
from recommender.dashboard import asked, frame, state
from recommender.dashboard.limit_tables import mass_rows, nothing_lines, planned_rows, setup_rows
from recommender.dashboard.listing import listing
from recommender.dashboard.pictures import picture
from recommender.dashboard.sections import Sections
from recommender.dashboard.shown import lines, plain
from recommender.explain.limits import LimitsSheet
from recommender.files.limits_pdf import limits_pdf
from recommender.report.figures import counted
from recommender.report.limits_text import READING
from recommender.report.limits_words import PLANNED, PLANNED_READING, crew_words

KIT, OWNED = "The kit of this plan", "The gear that is owned"


def show() -> None:
    """The page."""
    st.title("Limits")
    st.markdown(
        "The largest piece that may come off, by technique and rigging height: that of the redirect above the ground."
    )
    frame.standing()
    answer, found = state.answer(), asked.kit_in_hand()
    choices = [KIT] if found else []
    if answer is not None and answer.plan.owned:
        choices.append(OWNED)
    if answer is None or not choices:
        st.info("There is no gear in hand yet, so there are no limits.", icon=":material/info:")
        frame.link("kit", "See the kit")
    else:
        plan = answer.plan
        chosen = (
            st.radio("With", choices, horizontal=True, key="limits_of") if len(choices) > 1 else choices[0]
        )
        kit = found[1] if found and chosen == KIT else None
        sheet = asked.tried(lambda: asked.limits_of(plan, kit))
        if sheet is not None:
            _sheet(sheet, state.system())
    frame.cautions()


def _sheet(sheet: LimitsSheet, system: UnitSystem) -> None:
    frame.short_caution()
    sections = Sections()
    heavy = [one.job for one in sheet.planned if one.margin < 0]
    if heavy:
        st.error(
            f"Planned and too heavy: {plain(', '.join(heavy))}. See below.", icon=":material/front_hand:"
        )
    st.warning(plain(crew_words(sheet, system)), icon=":material/group:")
    picture(limit_chart(limit_rows(sheet, system)), "limit_heights")
    species = ""
    if sheet.species:
        species = st.selectbox(
            "Logs of", sheet.species, index=sheet.species.index(sheet.heaviest), key="limits_species"
        )
    st.download_button(
        "One page for the truck (PDF)",
        lambda: limits_pdf(sheet, system, date=datetime.date.today(), species=species),
        "limits.pdf",
        "application/pdf",
        icon=":material/download:",
    )
    if sheet.planned:
        rows = planned_rows(sheet, system)
        told = (
            f"{len(heavy)} of {counted(len(rows), 'planned piece')} TOO HEAVY"
            if heavy
            else "None is too heavy"
        )
        with sections.folded(PLANNED, f"{told}: how far each is from its limit"):
            st.text(PLANNED_READING)
            listing(rows, first="Job type", about=PLANNED)
    sections.heading("The sheet")
    st.text(READING)
    if species:
        st.text(f"Columns by thickness: the longest log, in {unit_of('length', system)}.")
    found, nothing = mass_rows(sheet, species, system), nothing_lines(sheet, system)
    for manner in sheet.manners:
        sections.heading(manner.name)
        st.text(f"{manner.assumptions(system)}.")
        lines(nothing[manner.name])
        if found[manner.name]:
            first = next(iter(found[manner.name][0]))
            listing(found[manner.name], first=first, stack=False, about=manner.name)
    gear = setup_rows(sheet, system)
    with sections.folded("Gear", f"The gear of each letter: {counted(len(gear), 'setup')}"):
        listing(gear, first="Setup")
    sections.heading("Notes")
    st.text(f"Gear counted as {'wet' if sheet.wet else 'dry'}.")
    lines(sheet.notes)
    sections.links()
