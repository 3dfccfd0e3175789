"""A planned kit as a PDF report: what to buy, how it is rigged, what it carries, why, and what all that rests on."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import replace

from reportlab.lib.units import mm
from reportlab.platypus import KeepTogether

from catalog_schema.units import UnitSystem, unit_label, unit_of
from recommender.diagrams.setup import draw_setup
from recommender.explain.answers import FirstResult, WhyResult
from recommender.explain.crews import by_crew
from recommender.files.assumptions import settings_table, short_policy_table, sources_table
from recommender.files.buying_tables import first_table, season_sums_table, season_work_table, seasons_table
from recommender.files.drawings import Drawing
from recommender.files.kit_tables import (
    LOADS_READING,
    group_table,
    holding_table,
    lives_table,
    loads_table,
    setups_table,
    uncovered_table,
    utilisation_table,
)
from recommender.files.letters import MISSING, MISSING_NOTE, printable
from recommender.files.order_list import COVERED_BY, order_groups, summary
from recommender.files.pages import (
    BOLD_TEXT,
    HEADING,
    SMALL,
    TITLE,
    Paper,
    Story,
    beside,
    bullets,
    paragraph,
    printed,
    section,
    space,
    titled,
    with_its_heading,
)
from recommender.files.reasons_tables import items_why_table, jobs_why_table
from recommender.files.tables import Heading, Table, figure, texts
from recommender.kit.result import Assignment, KitResult
from recommender.report.kit_text import TECHNIQUE_WORDS
from recommender.seasons.result import SeasonsResult
from recommender.work.cases import load_cases
from recommender.work.plan import Plan

TWO_ROWS_LEAVE = 23 * mm
"""Height of a page that two rows of drawings do not take: their heading, and the space between them. [pt]"""
DRAWN_READING = (
    "The job type in which a part works hardest. A sketch: heights and pieces to scale within reason, forces as arrows "
    "in proportion, each with the figure that is planned for."
)
CLOSE_TO_FULL = 0.85
"""Utilisation from which a cell is shaded."""


def report_pdf(
    result: KitResult,
    plan: Plan,
    system: UnitSystem,
    *,
    date: datetime.date | None = None,
    why: WhyResult | None = None,
    seasons: SeasonsResult | None = None,
    first: FirstResult | None = None,
) -> bytes:
    """The whole plan on paper: A4, or Letter with US units.

    Parameters
    ----------
    result : KitResult
    plan : Plan
        What it was planned with.
    system : {'metric', 'us'}
    date : date, optional
        To print on every page.
    why : WhyResult, optional
        Reasons for each item, to be printed too.
    seasons, first : SeasonsResult, FirstResult, optional
        The plan over seasons and what to buy first, to be printed too.

    Returns
    -------
    bytes
        A PDF file; the same input gives the same bytes.
    """
    paper = Paper(plan.settings.name, result.cautions, system, date)

    def story() -> Story:
        more = [*_reasons(why, paper.room), *_buying(seasons, first, paper.room)]
        return [*_beginning(result, plan, system), *_body(result, plan, paper, more)]

    return printed(story, paper)


def order_pdf(
    result: KitResult, plan: Plan, system: UnitSystem, *, date: datetime.date | None = None
) -> bytes:
    """The order list alone on paper, with a box to tick in each line.

    Parameters and result are those of :func:`report_pdf`.
    """
    paper = Paper(f"Order list: {plan.settings.name}", result.cautions, system, date)

    def story() -> Story:
        return [
            *_beginning(result, plan, system, "Order list: "),
            *_order(result, plan, paper, with_box=True),
        ]

    return printed(story, paper)


def _beginning(result: KitResult, plan: Plan, system: UnitSystem, before: str = "") -> Story:
    story: Story = [paragraph(before + plan.settings.name, TITLE)]
    if result.notice:
        story.append(paragraph(result.notice, BOLD_TEXT))
    if not result.items:
        return [*story, paragraph(_no_kit(result), BOLD_TEXT)]
    figures = summary(result, plan, system)
    return [*story, *(paragraph(f"{name}: {figure}") for name, figure in figures), space(1)]


def _no_kit(result: KitResult) -> str:
    if result.status == "stopped":
        return "The solver stopped before it found a kit. There is nothing to buy by this plan."
    return "No kit: nothing in the catalogue carries all of the work with its design factors."


def _body(result: KitResult, plan: Plan, paper: Paper, more: Story) -> Story:
    room, system = paper.room, paper.system
    story = [*_order(result, plan, paper), *section(uncovered_table(result), room)]
    every = by_crew(plan, result)
    if result.assignments:
        story += section(setups_table(every), room)
        story += _drawn_setups(result, plan, paper)
        story += _loads(result, paper)
        story += section(utilisation_table(every), room, 7.4, lambda used: used >= CLOSE_TO_FULL)
        story += [*section(holding_table(every), room), *section(lives_table(result), room)]
    story += more
    story += [
        *section(settings_table(plan, system), room),
        *section(short_policy_table(plan.policy, system), room, 7.2),
    ]
    story += [*titled("Notes", bullets(every.notes)), *titled("Cautions", bullets(result.cautions))]
    story += section(sources_table(plan), room, 7.2)
    return [*story, *_about_letters(result, plan)]


def _reasons(why: WhyResult | None, room: float) -> Story:
    if why is None:
        return []
    return [*section(items_why_table(why), room, 7.2), *section(jobs_why_table(why), room, 7.2)]


def _buying(seasons: SeasonsResult | None, first: FirstResult | None, room: float) -> Story:
    story: Story = []
    if seasons is not None:
        for table in (season_sums_table(seasons), seasons_table(seasons), season_work_table(seasons)):
            story += section(table, room, 7.2)
    return story if first is None else [*story, *section(first_table(first), room, 7.2)]


def _order(result: KitResult, plan: Plan, paper: Paper, with_box: bool = False) -> Story:
    groups = order_groups(result, plan, paper.system)
    if not groups:
        return []
    story: Story = []
    for group in groups:
        table = group_table(group, result.currency, paper.system)
        story += section(_with_box(table) if with_box else table, paper.room)
        listed = sum(figure(line.mass).number or 0.0 for line in group.lines if line.mass)
        weight = f"{listed:,.1f} {unit_label(unit_of('mass', paper.system))}"
        price = f"{result.currency} {group.price:,.2f}, " if group.is_bought else ""
        story += [space(1), paragraph(f"Together: {price}{weight}", BOLD_TEXT)]
    return [*story, space(1), paragraph(COVERED_BY, SMALL)]


def _with_box(table: Table) -> Table:
    rows = tuple((*texts("☐"), *row) for row in table.rows)
    return replace(table, headings=(Heading("got", 5), *table.headings), rows=rows)


def hardest_setups(result: KitResult) -> tuple[Assignment, ...]:
    """Of each technique the setup with the part that works hardest of all."""
    hardest: dict[str, Assignment] = {}
    for one in result.assignments:
        before = hardest.get(one.technique)
        if before is None or max(one.utilisation.values()) > max(before.utilisation.values()):
            hardest[one.technique] = one
    return tuple(hardest[technique] for technique in TECHNIQUE_WORDS if technique in hardest)


def _drawn_setups(result: KitResult, plan: Plan, paper: Paper) -> Story:
    """The hardest setup of each technique, drawn as on the screen; two beside each other."""
    cases = {
        case.job: case for case in load_cases(plan.jobs, plan.settings.line, plan.settings.pieces_per_season)
    }
    deep = (paper.depth - TWO_ROWS_LEAVE) / 2
    pictures = [
        Drawing(draw_setup(one, cases[one.job], paper.system, plan.catalogue), paper.room / 2 - 4 * mm, deep)
        for one in hardest_setups(result)
    ]
    rows = [beside(pictures[k : k + 2], paper.room) for k in range(0, len(pictures), 2)]
    heading = [
        paragraph("The hardest setup of each technique, drawn", HEADING),
        paragraph(DRAWN_READING, SMALL),
    ]
    return [KeepTogether([*heading, *rows[:1]]), *rows[1:]] if rows else []


def _loads(result: KitResult, paper: Paper) -> Iterator[object]:
    before = [paragraph("Loads", HEADING), paragraph(LOADS_READING, SMALL)]
    for technique, word in TECHNIQUE_WORDS.items():
        table = loads_table(result, paper.system, technique)
        if table:
            kept = [k for k, heading in enumerate(table.headings) if heading.text != "technique"]
            rows = tuple(tuple(row[k] for k in kept) for row in table.rows)
            shown = Table(word, tuple(table.headings[k] for k in kept), rows)
            yield from with_its_heading([*before, paragraph(word, BOLD_TEXT)], shown, paper.room, 7.2)
            yield space(2)
            before = []


def _about_letters(result: KitResult, plan: Plan) -> Story:
    """A note if any letter of the result could not be printed."""
    whole = printable(f"{result} {plan.settings.name}")
    return [paragraph(MISSING_NOTE, SMALL)] if MISSING in whole else []
