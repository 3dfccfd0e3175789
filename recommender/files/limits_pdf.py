"""The limits sheet on one page: for the truck, in black and white."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterator
from itertools import groupby
from typing import Any, Literal

from reportlab.platypus import Paragraph
from reportlab.platypus import Table as Drawn

from catalog_schema.units import UnitSystem, unit_of
from recommender.charts.words import part_place
from recommender.explain.limits import LimitRow, LimitsSheet
from recommender.files.letters import as_markup
from recommender.files.pages import (
    BAND,
    BOLD_TEXT,
    INK,
    LOOK,
    SMALL,
    TITLE,
    Paper,
    Story,
    bullets,
    cell,
    cell_styles,
    page_count,
    paragraph,
    printed,
    space,
)
from recommender.files.tables import with_unit
from recommender.report.figures import as_listed, mark_if_locked, mass_allowed, words
from recommender.report.limits_words import (
    PLANNED,
    PLANNED_READING,
    bands_together,
    crew_words,
    planned_lines,
)
from recommender.report.specification import catalogue_id

SIZES = (7.8, 7.2, 6.6, 6.0, 5.6)
"""Sizes of letters that are tried until the sheet fits on its page. [pt]"""

LEADING_COLUMNS = 5
Planned = Literal["table", "words", "heavy"]
"""How the planned pieces are told: as a table, in words, or the too heavy ones alone."""
READING = (
    "The largest piece that may come off, with everything on it: mass, and length of a straight log without "
    "branches by its diameter at the big end. The lower of the two holds. A height is that of the redirect "
    "above the ground. One person: what one holds at the brake. No figure: it may not be taken. Between two "
    "diameters the thicker one counts."
)
NO_ROOM = "There are {} notes on this plan: read them in its report."


def limits_pdf(
    sheet: LimitsSheet, system: UnitSystem, *, date: datetime.date | None = None, species: str = ""
) -> bytes:
    """A limits sheet on one page: A4, or Letter with US units.

    Parameters
    ----------
    sheet : LimitsSheet
    system : {'metric', 'us'}
        Units; masses, lengths and upper heights are rounded down, lower ones up.
    date : date, optional
        To print on the page.
    species : str, optional
        For which the lengths of logs hold; the heaviest of the plan, and so all of them, if left out.

    Returns
    -------
    bytes
        A PDF file; the same input gives the same bytes.

    Raises
    ------
    ValueError
        If the sheet has no such species.
    """
    if species and species not in sheet.species:
        raise ValueError(f"species must be one of {', '.join(sheet.species)}, not {species!r}")
    paper = Paper(f"Limits sheet: {sheet.plan}", sheet.cautions, system, date)
    wood = species or sheet.heaviest
    kept: tuple[tuple[bool, Planned], ...] = (
        (True, "table"),
        (False, "table"),
        (False, "words"),
        (False, "heavy"),
    )
    choices = [(size, *one) for one in kept for size in SIZES]
    chosen = next(
        (one for one in choices if page_count(_story(sheet, paper, wood, *one), paper) == 1), choices[-1]
    )
    return printed(lambda: _story(sheet, paper, wood, *chosen), paper)


def _story(
    sheet: LimitsSheet, paper: Paper, wood: str, size: float, with_notes: bool, planned: Planned
) -> Story:
    letters = _letters(sheet)
    wet = "wet or dry" if sheet.wet else "dry only"
    story: Story = [
        paragraph(f"Limits sheet: {sheet.plan}", TITLE),
        *([paragraph(sheet.notice, BOLD_TEXT)] if sheet.notice else []),
        paragraph(crew_words(sheet, paper.system), BOLD_TEXT),
        paragraph(f"Holds for {sheet.gear}, in the setups below, {wet}. {READING}", SMALL),
        paragraph(_about_logs(sheet, wood), SMALL),
        space(1),
        _limits(sheet, paper, wood, size, letters),
        space(2),
        _setups(sheet, paper, size, letters),
        space(1),
        *_planned(sheet, paper, size, planned),
    ]
    if sheet.notes and not with_notes:
        return [*story, paragraph(NO_ROOM.format(len(sheet.notes)), SMALL)]
    return [*story, *bullets(sheet.notes, SMALL)]


def _about_logs(sheet: LimitsSheet, wood: str) -> str:
    if not wood:
        return "No lengths of logs: the wood table has none of the plan's species. Weigh or reckon the piece."
    others = [name for name in sheet.species if name != wood]
    if wood != sheet.heaviest or not others:
        return f"Lengths of logs are for {wood} only, green, at the upper end of its weight."
    return (
        f"Lengths of logs are for {wood}, green, at the upper end of its weight: the heaviest species of the plan, so "
        f"they hold for {', '.join(others)} too."
    )


def _limits(sheet: LimitsSheet, paper: Paper, wood: str, size: float, letters: dict[str, str]) -> Any:
    system = paper.system
    left, right = cell_styles(size)
    diameters = [_diameter(one, system) for one in sheet.diameters_m] if wood else []
    log = f"longest log [{unit_of('length', system)}] by diameter [{unit_of('stem', system)}]" if wood else ""
    top = [
        with_unit("height", "length", system),
        with_unit("largest piece", "mass", system),
        with_unit("one person", "mass", system),
        "limit set by",
        "setup",
        log,
    ]
    rows = [
        [cell(one, right if k in (1, 2) else left, bold=True) for k, one in enumerate(top)]
        + [""] * (len(diameters) - 1),
        [*[""] * LEADING_COLUMNS, *(cell(one, right, bold=True) for one in diameters)],
    ]
    look = [*LOOK, ("SPAN", (LEADING_COLUMNS, 0), (-1, 0)), ("LINEBELOW", (0, 0), (-1, 0), 0, BAND),
            ("BACKGROUND", (0, 1), (-1, 1), BAND), ("LINEBELOW", (0, 1), (-1, 1), 0.9, INK)]  # fmt: skip
    about = {manner.name: manner.assumptions(system) for manner in sheet.manners}
    for manner, bands in groupby(bands_together(sheet.rows), lambda row: row.manner):
        look += [
            ("SPAN", (0, len(rows)), (-1, len(rows))),
            ("LINEABOVE", (0, len(rows)), (-1, len(rows)), 0.9, INK),
        ]
        text = Paragraph(f"<b>{as_markup(manner)}</b>   {as_markup(about.get(manner, ''))}", left)
        rows.append([text, *[""] * (len(top) + len(diameters) - 2)])
        for band in bands:
            if not band.largest_mass_kg:
                look.append(("SPAN", (3, len(rows)), (-1, len(rows))))
            rows.append(_row(band, sheet, wood, system, letters, (left, right)))
    look.append(("FONTSIZE", (0, 0), (-1, -1), size))
    look.append(("LEADING", (0, 0), (-1, -1), size * 1.22))
    shares = [13, 10, 9, 15, 7, *[7] * len(diameters)] if diameters else [20, 16, 14, 30, 10, 10]
    widths = [paper.room * share / sum(shares) for share in shares]
    return Drawn(rows, colWidths=widths, repeatRows=2, style=look, hAlign="LEFT")


def _row(
    row: LimitRow,
    sheet: LimitsSheet,
    wood: str,
    system: UnitSystem,
    letters: dict[str, str],
    styles: tuple[Any, Any],
) -> list[Any]:
    left, right = styles
    height = f"{_figure(row.height_from_m, 'up', system)} to {_figure(row.height_to_m, 'down', system)}"
    rest = [""] * max(len(sheet.diameters_m) if wood else 1, 1)
    if not row.largest_mass_kg:
        return [cell(height, left), cell("none", right, bold=True), "", cell(row.why_not, left), "", *rest]
    held_by = words(row.held_by) + mark_if_locked(row.state, ",")
    found = row.lengths(wood)
    lengths = (
        [cell("–" if one is None else _figure(one, "down", system, 1), right) for one in found]
        if wood
        else rest
    )
    largest = _bare(row.largest_mass_kg, system)
    start = [
        cell(height, left),
        cell(largest, right, bold=True),
        cell("–" if row.one_person_kg is None else _bare(row.one_person_kg, system), right),
        cell(held_by, left),
        cell(letters[_key(row)], left),
    ]
    return [*start, *(lengths or rest)]


def _bare(kilograms: float, system: UnitSystem) -> str:
    return mass_allowed(kilograms, system).split(" ")[0]


def _figure(metres: float, rounding: str, system: UnitSystem, decimals: int = 0) -> str:
    shown = as_listed(metres, "length", system, rounding)  # type: ignore[arg-type]
    number = shown.split(" ")[0]
    return number if "." in number or not decimals else f"{number}.0"


def _diameter(metres: float, system: UnitSystem) -> str:
    """A diameter of the heading, rounded down: a log as thick as it says is not thicker than what was reckoned."""
    return as_listed(metres, "stem", system, "down").split(" ")[0]


def _setups(sheet: LimitsSheet, paper: Paper, size: float, letters: dict[str, str]) -> Any:
    left, _ = cell_styles(size)
    names = ("setup", "parts", "stem at redirect", "stem at brake or lifter")
    rows = [[cell(name, left, bold=True) for name in names]]
    ranges: dict[str, list[LimitRow]] = defaultdict(list)
    for row in sheet.rows:
        if row.largest_mass_kg:
            ranges[_key(row)].append(row)
    for key, members in ranges.items():
        at = [_stems([getattr(row, name) for row in members], paper.system) for name in
              ("stem_at_redirect_m", "stem_at_brake_m")]  # fmt: skip
        rows.append([cell(one, left) for one in (letters[key], key, *at)])
    shares = (7, 59, 17, 17)
    return Drawn(rows, colWidths=[paper.room * one / 100 for one in shares], style=list(LOOK), hAlign="LEFT")


def _planned(sheet: LimitsSheet, paper: Paper, size: float, how: Planned) -> Story:
    """The plan's own pieces against what may be taken, job by job; without room in words, or the worst alone."""
    lines = planned_lines(sheet, paper.system)
    if not lines:
        return []
    if how != "table":
        told = [line for line in lines if how == "words" or "TOO HEAVY" in line["margin"]]
        return [paragraph("; ".join(_planned_words(line) for line in told) + ".", SMALL)] if told else []
    left, _ = cell_styles(size)
    rows = [[cell(name, left, bold=True) for name in lines[0]]]
    rows += [[cell(text, left) for text in line.values()] for line in lines]
    shares = (25, 15, 10, 13, 20, 17)
    widths = [paper.room * one / sum(shares) for one in shares]
    table = Drawn(rows, colWidths=widths, style=list(LOOK), hAlign="LEFT")
    return [paragraph(f"{PLANNED}. {PLANNED_READING}", SMALL), table, space(1)]


def _planned_words(line: dict[str, str]) -> str:
    return f"{line['job type']}: {line['planned']} planned, largest {line['largest']} ({line['margin']})"


def _stems(ranges: list[tuple[float, float | None]], system: UnitSystem) -> str:
    """The stems that all of some ranges hold for, rounded inwards."""
    low = max(one[0] for one in ranges)
    high = min((one[1] for one in ranges if one[1] is not None), default=None)
    least = as_listed(low, "stem", system, "up")
    return f"{least} and more" if high is None else f"{least} to {as_listed(high, 'stem', system, 'down')}"


def _key(row: LimitRow) -> str:
    return "; ".join(_part(part, row.parts[part]) for part in sorted(row.parts, key=part_place))


def _part(part: str, item: str) -> str:
    owned = " (owned)" if item.startswith("owned:") else ""
    return f"{words(part)}: {catalogue_id(item)}{owned}"


def _letters(sheet: LimitsSheet) -> dict[str, str]:
    """Each setup with its letter (a number beyond the alphabet), in the order in which the sheet needs them."""

    def keys() -> Iterator[str]:
        yield from dict.fromkeys(_key(row) for row in sheet.rows if row.largest_mass_kg)

    return {key: chr(ord("A") + k) if k < 26 else str(k + 1) for k, key in enumerate(keys())}
