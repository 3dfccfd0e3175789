"""What a limits sheet says of its crew and of the plan's own pieces: the same words on screen, on paper and as text."""

from __future__ import annotations

from collections.abc import Iterable
from math import floor

from catalog_schema.units import UnitSystem
from recommender.explain.limit_hold import CREWS_HOLD
from recommender.explain.limits import LimitRow, LimitsSheet
from recommender.explain.planned_pieces import PlannedPiece
from recommender.report.figures import (
    counted,
    length_needed,
    mark_if_locked,
    mass,
    mass_allowed,
    percent,
    printed,
    words,
)
from recommender.report.hold_words import on_the_tail
from recommender.report.specification import OWNED_MARK, catalogue_id

TOO_HEAVY = "TOO HEAVY"
PLANNED = "The planned pieces"
PLANNED_READING = (
    "Each planned piece at its own height, length and slack, in the setup that the plan gives it. A row of the sheet "
    "must hold for every height in it and for the worst stem and slack, so that it may say less."
)


def crew_words(sheet: LimitsSheet, system: UnitSystem) -> str:
    """The crew and the wraps that a sheet holds for."""
    climbers, workers = (
        counted(number, name)
        for number, name in ((sheet.climbers, "climber"), (sheet.ground_workers, "ground worker"))
    )
    if not sheet.wraps:
        return f"Holds with a crew of {climbers} and {workers}."
    wraps = ", ".join(f"{most:g} on {_named(brake)}" for brake, most in sorted(sheet.wraps.items()))
    tail = workers if sheet.ground_workers else "one person"
    each = printed(sheet.hold_n, "force", system, "down")
    return (
        f"Holds with a crew of {climbers} and {workers}: {tail} on the tail ({each} each), and as many wraps as "
        f"fit on the brake: {wraps}. No row is more than they hold on slippery line once the piece hangs still (let "
        "run in a catch: as it runs); at the peak of a piece that is lowered, slippery line may run on. With fewer "
        "wraps or hands, take less."
    )


def bands_together(rows: Iterable[LimitRow]) -> list[LimitRow]:
    """The rows of a sheet, one for all heights that follow each other with nothing to be taken for the same reason."""
    told: list[LimitRow] = []
    for row in rows:
        last = told[-1] if told else None
        if last is not None and row.why_not and (row.manner, row.why_not) == (last.manner, last.why_not):
            told[-1] = last.model_copy(update={"height_to_m": row.height_to_m})
        else:
            told.append(row)
    return told


def planned_lines(sheet: LimitsSheet, system: UnitSystem) -> list[dict[str, str]]:
    """Job by job: what is planned, what may be taken there, and who holds it; what is too heavy comes first."""
    return [
        {
            "job type": one.job,
            "planned": f"{mass(one.mass_kg, system)}, {length_needed(one.length_m, system)} long",
            "largest": mass_allowed(one.allowed_kg, system) if one.allowed_kg else "none",
            "margin": margin(one),
            "limit set by": _ended_by(one, system),
            "on the tail": _on_the_tail(one, sheet.ground_workers),
        }
        for one in sorted(sheet.planned, key=lambda one: one.margin >= 0)
    ]


def margin(one: PlannedPiece) -> str:
    """How much heavier than planned a piece may be, rounded down; or by how much the planned one is too heavy, up."""
    if not one.allowed_kg:
        return TOO_HEAVY
    share = floor(100 * one.margin + 1e-7)
    if share < 0:
        return f"{TOO_HEAVY}, {percent(one.mass_kg / one.allowed_kg - 1)} over"
    return f"{share} % more"


def _ended_by(one: PlannedPiece, system: UnitSystem) -> str:
    if one.held_by == CREWS_HOLD:
        return f"{CREWS_HOLD} (gear {mass_allowed(one.gear_kg, system)})"
    return words(one.held_by) + mark_if_locked(one.state, ",")


def _on_the_tail(one: PlannedPiece, there: int) -> str:
    """Who the planned piece needs behind the brake."""
    if not one.people:
        return "nobody: no brake" if one.gear_kg else "-"
    return on_the_tail(one.people, there)


def _named(brake: str) -> str:
    return catalogue_id(brake) + (" (owned)" if brake.startswith(OWNED_MARK) else "")
