"""The loads of a plan's job types as text."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from catalog_schema.units import UnitSystem
from recommender.kit.result import Holding
from recommender.report.figures import force, length_needed, mass, words
from recommender.report.hold_words import held_words
from recommender.report.kit_text import ending, heading
from recommender.report.layout import WIDTH, Column, section, table, wrapped
from recommender.report.loads import ForceSpan, JobLoads, LoadsResult
from recommender.report.specification import called

READING = (
    "Forces are those of the largest piece to plan for, rounded up. 'Here' is with the cheapest line that carries the "
    "job type, over the cheapest redirect that goes with it; 'all' is the span over every line that carries it. "
    "'Locked' is a catch with the line locked at the brake."
)


def loads_text(result: LoadsResult, system: UnitSystem) -> str:
    """The loads of every job type, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    result : LoadsResult
    system : {'metric', 'us'}

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    jobs = [
        line for one in result.jobs for line in section(f"{one.job} ({one.technique})", _job(one, system))
    ]
    lines = [*heading(result.plan, result.notice), "", *wrapped(READING), *jobs]
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _job(one: JobLoads, system: UnitSystem) -> Iterator[str]:
    piece = f"{mass(one.piece_mass_typical_kg, system)} usual, {mass(one.piece_mass_kg, system)} to plan for"
    line = length_needed(one.line_needed_m, system)
    yield from wrapped(f"piece: {piece}; line needed: {line}", first="  ", rest="    ")
    if not one.rope:
        text = "not carried by any setup on offer ('kitplan plan' says what falls short); 'all' is over every rope"
    else:
        count = f"{one.ropes_that_carry} of {one.ropes_on_offer} ropes carry it (each length counts)"
        text = f"here: {called(one.rope)} over {called(one.redirect)}; {count}"
    yield from wrapped(text, first="  ", rest="    ")
    for text in _forces(one, system):
        yield f"  {text}"
    if one.holding is not None:
        yield from wrapped(_held(one.holding), first="  ", rest="    ")


def _held(hold: Holding) -> str:
    """Wraps for one ground worker, rounded up."""
    hanging, peak = (f"{ceil(10 * wraps) / 10:.1f}" for wraps in (hold.wraps_hanging, hold.wraps_peak))
    text = (
        f"one ground worker holds it with {hanging} wraps while it hangs, {peak} at the peak (slippery line)"
    )
    if hold.verdict != "held by one":
        text += f"; with the {hold.wraps_max:g} that fit on any brake: {held_words(hold)}"
    return text


def _forces(one: JobLoads, system: UnitSystem) -> list[str]:
    columns = [Column("force"), Column("here", True), Column("all", True)]
    if one.jam:
        columns += [Column("locked, here", True), Column("locked, all", True)]
    rows = []
    for name, span in one.working.items():
        jam = _cells(one.jam[name], system) if one.jam else []
        rows.append([words(name), *_cells(span, system), *jam])
    return table(columns, rows, WIDTH - 2) if rows else []


def _cells(span: ForceSpan, system: UnitSystem) -> list[str]:
    here = "-" if span.with_reference_n is None else force(span.with_reference_n, system)
    least = force(span.least_n, system).split(" ")[0]
    return [here, f"{least} to {force(span.most_n, system)}"]
