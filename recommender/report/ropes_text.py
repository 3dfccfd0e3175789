"""A comparison of ropes as text."""

from __future__ import annotations

from collections.abc import Callable

from catalog_schema.units import UnitSystem, show
from recommender.explain.rope_match import RopeFigures, RopeMatch
from recommender.report.figures import (
    as_listed,
    force,
    length_needed,
    mark_if_locked,
    mass,
    money,
    percent,
    words,
)
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.rope_exercises import exercises
from recommender.report.rope_words import in_words, price_per_length
from recommender.report.specification import catalogue_id

READING = (
    "To plan by: the load that gear is chosen by (largest piece, stiff rope, worse end of the friction). Usual: from a "
    "simulation with the usual piece and the stretch of the sheet, without damping; to understand, never to "
    "choose by. Locked: the line does not run at the brake."
)
NONE = "-"


def ropes_text(match: RopeMatch, system: UnitSystem, *, lesson: bool = False, answers: bool = False) -> str:
    """The comparison in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}
    lesson, answers : bool
        Whether exercises are put behind it, and their answers.

    Returns
    -------
    str
    """
    lines = [
        *heading(match.plan, match.notice),
        "",
        *wrapped(f"Ropes in '{match.job}' ({match.technique}). {what_is_compared(match, system)}"),
        "",
        *_table(match, system),
        "",
        *wrapped(in_words(match, system)),
        "",
        *wrapped(READING),
    ]
    if lesson:
        lines += section("Exercises", _lesson(match, system, answers))
    return "\n".join([*lines, *ending(match.notes, match.cautions)])


def what_is_compared(match: RopeMatch, system: UnitSystem) -> str:
    """The piece, how it is caught, and the gear beside each rope, in words.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}

    Returns
    -------
    str
    """
    gear = ", ".join(f"{words(part)} {catalogue_id(item)}" for part, item in sorted(match.parts.items()))
    piece = (
        f"{mass(match.piece_mass_typical_kg, system)} usual, {mass(match.piece_mass_kg, system)} to plan for"
    )
    run = ""
    if match.technique == "catch":
        let_run = show(match.run_m, "length", system)
        run = f", caught with the line let run {let_run}" if match.run_m else ", caught on a locked line"
    return f"Piece: {piece}{run}. Beside each rope: {gear}."


def _lesson(match: RopeMatch, system: UnitSystem, answers: bool) -> list[str]:
    lines: list[str] = []
    for number, one in enumerate(exercises(match, system, answers=answers), start=1):
        lines += wrapped(one.question, first=f"{number}. ", rest="   ")
        lines += wrapped(one.answer, first="   Answer: ", rest="   ") if one.answer else []
    return lines


def _table(match: RopeMatch, system: UnitSystem) -> list[str]:
    columns = [Column(""), *(Column(rope.id, True) for rope in match.ropes)]
    return table(columns, figure_rows(match, system))


def figure_rows(match: RopeMatch, system: UnitSystem) -> list[list[str]]:
    """A row for each figure: its name, and what it is for each rope; rows that no rope has are left out.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}

    Returns
    -------
    list of list of str
    """

    def newtons(value: float | None) -> str:
        return NONE if value is None else force(value, system)

    def metres(value: float | None) -> str:
        return NONE if value is None else length_needed(value, system)

    figures: list[tuple[str, Callable[[RopeFigures], str]]] = [
        ("may be used", lambda rope: "yes" if rope.carries else "no"),
        ("diameter", lambda rope: as_listed(rope.diameter_m, "size", system)),
        ("breaking strength", lambda rope: as_listed(rope.min_break_n, "force", system, "down")),
        ("line, to plan by", lambda rope: newtons(rope.line_n)),
        ("line, locked", lambda rope: newtons(rope.line_jam_n)),
        ("line, usual piece", lambda rope: newtons(rope.usual_n)),
        ("line, usual piece, locked", lambda rope: newtons(rope.usual_jam_n)),
        ("redirect and sling, to plan by", lambda rope: newtons(rope.reaction_n)),
        ("redirect and sling, locked", lambda rope: newtons(rope.reaction_jam_n)),
        ("brake, to plan by", lambda rope: newtons(rope.brake_n)),
        ("drop below the cut", lambda rope: metres(rope.drop_below_cut_m)),
        ("way of the usual piece", lambda rope: metres(rope.usual_stop_m)),
        ("stretch at work", lambda rope: f"{100 * rope.stretch:.1f} %"),
    ]
    parts = dict.fromkeys(part for rope in match.ropes for part in rope.utilisation)
    figures += [(f"used: {words(part)}", lambda rope, part=part: _used(rope, part)) for part in parts]  # type: ignore[misc]
    figures += [
        ("length", lambda rope: show(rope.length_m, "length", system, rounding="down")),
        ("mass dry", lambda rope: mass(rope.mass_dry_kg, system)),
        ("mass wet", lambda rope: mass(rope.mass_wet_kg, system)),
        ("price", lambda rope: money(rope.price, match.currency)),
        ("price per length", lambda rope: price_per_length(rope, match.currency, system)),
        ("seasons of life", lambda rope: NONE if rope.seasons is None else f"{rope.seasons:.1f}"),
        (
            "price per season",
            lambda rope: (
                NONE if rope.price_per_season is None else money(rope.price_per_season, match.currency)
            ),
        ),
    ]
    rows = [[name, *(show_one(rope) for rope in match.ropes)] for name, show_one in figures]
    return [row for row in rows if any(cell != NONE for cell in row[1:])]


def _used(rope: RopeFigures, part: str) -> str:
    if part not in rope.utilisation:
        return NONE
    return percent(rope.utilisation[part]) + mark_if_locked(rope.governing[part])
