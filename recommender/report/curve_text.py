"""Cost against the size of the largest piece, as text."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor

from catalog_schema.units import UnitSystem, show
from recommender.explain.answers import CurveResult, CurveStep
from recommender.report.changes_text import changes_in_words
from recommender.report.figures import amount, mass, money
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, table, wrapped
from recommender.report.reasons_text import unfinished

READING = (
    "Each row holds up to that share of the planned size; all of these job types are made shorter or longer alike. The "
    "length and the mass are those of the longest and the heaviest of their pieces; lengths are rounded down, masses "
    "up. Beyond the last size nothing was looked at."
)
NEVER = (
    "From half to one and a half of these sizes there is no kit for all of the work: 'kitplan plan' says which job "
    "types nothing in the catalogue carries."
)
NO_KIT = "nothing in the catalogue carries it"


def curve_text(result: CurveResult, system: UnitSystem) -> str:
    """The steps of the curve, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    result : CurveResult
    system : {'metric', 'us'}

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    lines = heading(result.plan, result.notice)
    lines += [
        "",
        *wrapped(f"Cost of the kit against the size of the largest piece, for: {'; '.join(result.jobs)}."),
    ]
    if result.purchase_cost is not None:
        lines += wrapped(f"As planned: {money(result.purchase_cost, result.currency)}.")
    if result.complete and all(step.purchase_cost is None for step in result.steps):
        lines += ["", *wrapped(NEVER)]
    else:
        lines += ["", *_table(result.steps, result.currency, system), "", *wrapped(READING)]
    lines += unfinished(result.complete, result.proven)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _table(steps: Sequence[CurveStep], currency: str, system: UnitSystem) -> list[str]:
    columns = (
        Column("up to", True), Column("longest", True), Column("heaviest", True),
        Column(f"kit{f' [{currency}]' if currency else ''}", True), Column("against the row above"),
    )  # fmt: skip
    return table(columns, [_row(step, system) for step in steps])


def _row(step: CurveStep, system: UnitSystem) -> tuple[str, ...]:
    sizes = f"{floor(1000 * step.to_scale + 1e-6) / 10:.1f} %"
    length = show(step.largest_length_m, "length", system, rounding="down")
    if step.purchase_cost is None:
        return sizes, length, mass(step.largest_mass_kg, system), "-", NO_KIT
    changed = changes_in_words(step.changes) if step.changes else "-"
    return sizes, length, mass(step.largest_mass_kg, system), amount(step.purchase_cost), changed
