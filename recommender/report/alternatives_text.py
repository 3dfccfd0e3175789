"""Kits that differ from the cheapest one, as text."""

from __future__ import annotations

from collections.abc import Iterator

from catalog_schema.units import UnitSystem
from recommender.explain.answers import AlternativeKit, AlternativesResult, Change
from recommender.report.changes_text import more_or_less
from recommender.report.figures import amount, mass, money, percent, words
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.reasons_text import unfinished
from recommender.report.specification import OWNED_MARK, catalogue_id

MEASURE = (
    "Measured by the items of the cheapest kit, and of the kits shown before, that a kit does without, however many "
    "pieces; what the crew needs and what is owned do not count. Of kits that differ alike the cheapest is shown."
)


def alternatives_text(result: AlternativesResult, system: UnitSystem) -> str:
    """The kits that differ most, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    result : AlternativesResult
    system : {'metric', 'us'}

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    within = f"{100 * result.within:g} %"
    lines = heading(result.plan, result.notice)
    lines += ["", *wrapped(
        f"Cheapest kit: rigging gear {money(result.gear_cost, result.currency)}, "
        f"with the crew's needs {money(result.purchase_cost, result.currency)}; {mass(result.mass_kg, system)}."
    )]  # fmt: skip
    if not result.kits and result.complete:
        lines += wrapped(
            f"No other kit whose rigging gear costs at most {within} more leaves out any of its items."
        )
    elif result.kits:
        lines += wrapped(
            f"Kits whose rigging gear costs at most {within} more and that differ most. {MEASURE} All of them cover "
            "the work and were checked."
        )
    for number, kit in enumerate(result.kits, start=1):
        more = more_or_less(kit.gear_cost - result.gear_cost, result.currency)
        lines += section(f"Kit {number}: {more}", _kit(kit, result, system))
    lines += unfinished(result.complete, result.proven)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _kit(kit: AlternativeKit, result: AlternativesResult, system: UnitSystem) -> Iterator[str]:
    heavier = kit.mass_kg - result.mass_kg
    weighs = (
        f"{mass(abs(heavier), system)} {'heavier' if heavier > 0 else 'lighter'}" if heavier else "as heavy"
    )
    text = f"{kit.different} of {kit.out_of} bought items of the cheapest kit are not in it; {weighs}."
    yield from wrapped(text, first="  ", rest="  ")
    rows = [_row(one) for one in kit.changes]
    for line in table((Column("pcs", True), Column("item"), Column("cost", True)), rows, 78):
        yield f"  {line}"
    hardest = max(kit.assignments, key=lambda one: one.highest[1])
    part, used = hardest.highest
    yield from wrapped(
        f"works hardest: {words(part)} in '{hardest.job}', {percent(used)}", first="  ", rest="  "
    )


def _row(change: Change) -> tuple[str, str, str]:
    owned = " (owned)" if change.id.startswith(OWNED_MARK) else ""
    return f"{change.pieces:+d}", f"{change.name}{owned}\n{catalogue_id(change.id)}", amount(change.price)
