"""Exercises about ropes side by side on paper: for learners with room to write, for the trainer with the answers."""

from __future__ import annotations

import datetime

from catalog_schema.units import UnitSystem
from recommender.explain.rope_match import RopeMatch
from recommender.files.pages import (
    BOLD_TEXT,
    SMALL,
    TITLE,
    Paper,
    Story,
    bullets,
    paragraph,
    printed,
    section,
    space,
    titled,
)
from recommender.files.tables import Heading, Table, texts
from recommender.report.rope_exercises import exercises
from recommender.report.ropes_text import READING, figure_rows, what_is_compared

ROOM_TO_WRITE = 14.0
"""Empty height under a question. [mm]"""


def exercises_pdf(
    match: RopeMatch, system: UnitSystem, *, answers: bool, date: datetime.date | None = None
) -> bytes:
    """The exercises of a comparison as a PDF file: A4, or Letter with US units.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}
    answers : bool
        With the answers and the figures that they come from, else with room to write.
    date : date, optional
        To print on every page.

    Returns
    -------
    bytes
        The same for the same input.
    """
    kind = "Exercises with answers" if answers else "Exercises"
    paper = Paper(f"{kind}: {match.job}", match.cautions, system, date)
    return printed(lambda: _story(match, paper, kind, answers), paper)


def _story(match: RopeMatch, paper: Paper, kind: str, answers: bool) -> Story:
    system = paper.system
    story: Story = [paragraph(f"{kind}: {' against '.join(rope.id for rope in match.ropes)}", TITLE)]
    if match.notice:
        story.append(paragraph(match.notice, BOLD_TEXT))
    story += [
        paragraph(f"Job type: {match.job} ({match.technique}). {what_is_compared(match, system)}"),
        space(2),
    ]
    for number, one in enumerate(exercises(match, system, answers=answers), start=1):
        story.append(paragraph(f"{number}. {one.question}", BOLD_TEXT))
        story.append(paragraph(one.answer) if answers else space(ROOM_TO_WRITE))
        story.append(space(2))
    if answers:
        story += section(_figures(match, system), paper.room)
    return [*story, *titled("Notes", bullets(match.notes, SMALL))]


def _figures(match: RopeMatch, system: UnitSystem) -> Table:
    headings = (Heading("figure", 30), *(Heading(rope.id, 20) for rope in match.ropes))
    rows = tuple(texts(*row) for row in figure_rows(match, system))
    return Table("Figures", headings, rows, READING)
