"""A planned kit as text: what to buy, what is used of what is owned, how it is rigged, and how hard it works."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor

from catalog_schema.catalogue import Catalogue
from catalog_schema.units import UnitSystem
from recommender.explain.crews import told_apart
from recommender.kit.result import Assignment, KitItem, KitResult, TextileLife, Uncovered
from recommender.report.figures import (
    amount,
    as_listed,
    force,
    length_needed,
    mass,
    mass_of_gear,
    money,
    percent,
    state_words,
    words,
)
from recommender.report.hold_words import held_words, too_heavy
from recommender.report.layout import Column, bullets, section, table, wrapped
from recommender.report.specification import OWNED_MARK, catalogue_id, specification

READING = (
    "Piece: usual / largest to plan for; every force is that of the largest. Line: highest tension, in a catch with "
    "the line running as planned; locked: the same with the line locked; drop: how far below the cut the lowest wood "
    "may come, of the height that is free there; pull: on the lifter. Used: load over rating of the part that works "
    "hardest, and the state in which it does; over 100 % is refused."
)
WEAR = (
    "Seasons: from now, by a planning rule (policy, [wear]) for the number of loads, every piece counted as the "
    "largest, and by age. Inspection before each use decides; a line that jammed hard, or is cut, burnt or chafed, "
    "goes at once."
)
TECHNIQUE_WORDS = {"lower": "Lowered", "lift": "Lifted", "catch": "Caught"}


def kit_text(
    result: KitResult, catalogue: Catalogue, system: UnitSystem, every: KitResult | None = None
) -> str:
    """The whole result, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    result : KitResult
    catalogue : Catalogue
        What it was planned with: says what to ask for in a shop.
    system : {'metric', 'us'}
    every : KitResult, optional
        The same with the setups of every crew (:func:`recommender.explain.crews.by_crew`), told where they differ.

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    every = every or result
    if result.status.startswith("planned"):
        body = [
            *_shopping_list(result, catalogue, system, told_apart(every.assignments)),
            *_work(result.assignments, system, every.assignments),
        ]
        body += _lives(result.lives)
    else:
        body = list(_no_kit(result))
    return "\n".join([*heading(result.plan, result.notice), *body, *ending(every.notes, result.cautions)])


def heading(plan: str, notice: str) -> list[str]:
    """The name of the plan, and what must be shown with its results."""
    return [*wrapped(plan or "Rigging kit"), *(wrapped(notice) if notice else [])]


def ending(notes: Iterable[str], cautions: Iterable[str]) -> list[str]:
    """What was taken for granted, and the cautions that stand under every load and every kit."""
    return [*section("Notes", bullets(notes)), *section("Cautions", bullets(cautions))]


def _shopping_list(
    result: KitResult, catalogue: Catalogue, system: UnitSystem, assignments: Sequence[Assignment]
) -> Iterator[str]:
    bought = [item for item in result.items if not item.owned]
    gear = [item for item in bought if item.table != "extras"]
    extras = [item for item in bought if item.table == "extras"]
    prices = f", prices in {result.currency}" if result.currency else ""
    yield from section(f"Rigging gear to buy{prices}", _priced(gear, catalogue, system))
    yield from section(f"For the crew, to buy{prices}", _priced(extras, catalogue, system))
    owned = [item for item in result.items if item.owned]
    yield from section("Used of what is owned", _owned(owned, catalogue, system))
    yield from section("To cut from the spools", [line for one in bought for line in _cuts(one, system)])
    yield ""
    yield from wrapped(_total(result, gear, extras), rest="  ")
    whole, rigging = (
        result.mass_kg,
        sum(one.quantity * one.mass_kg for one in result.items if one.table != "extras"),
    )
    yield from wrapped(f"Mass, dry: {mass(whole, system)}; of it rigging gear {mass(rigging, system)}.")
    yield from wrapped(_solved(result))
    heavy = too_heavy(assignments)
    if heavy:
        yield from ["", *wrapped(heavy)]


def _total(result: KitResult, gear: Sequence[KitItem], extras: Sequence[KitItem]) -> str:
    text = f"Total to buy: {money(result.purchase_cost, result.currency)}"
    if gear and extras:
        parts = [sum(item.price for item in items) for items in (gear, extras)]
        text += f" (rigging gear {amount(parts[0])}, for the crew {amount(parts[1])})"
    return text + "."


def _solved(result: KitResult) -> str:
    proof = {
        "planned": "proven to be the cheapest kit",
        "planned, optimum not proven": f"not proven to be the cheapest: no kit costs less than "
        f"{money(result.bound, result.currency)}",
    }.get(result.status, result.status)
    gap = f"gap {100 * result.gap:.1f} %"
    return f"Solver: {result.solver}, {result.solve_seconds:.2f} s; {proof} ({gap})."


def _priced(items: Iterable[KitItem], catalogue: Catalogue, system: UnitSystem) -> list[str]:
    columns = (
        Column("pcs", True), Column("item"), Column("each", True), Column("together", True), Column("mass", True)
    )  # fmt: skip
    rows = [
        (
            str(item.quantity), _named(item, catalogue, system), amount(item.unit_price), amount(item.price),
            _mass(item, system),
        )
        for item in items
    ]  # fmt: skip
    return table(columns, rows) if rows else []


def _owned(items: Iterable[KitItem], catalogue: Catalogue, system: UnitSystem) -> list[str]:
    rows = [(str(item.quantity), _named(item, catalogue, system), _mass(item, system)) for item in items]
    return table((Column("pcs", True), Column("item"), Column("mass", True)), rows) if rows else []


def _named(item: KitItem, catalogue: Catalogue, system: UnitSystem) -> str:
    if item.table == "extras":
        return f"{item.name} ({catalogue_id(item.id)})"
    return f"{item.name}\n{specification(item, catalogue, system)}"


def _cuts(item: KitItem, system: UnitSystem) -> Iterator[str]:
    """What to cut from each spool: lines rounded up, what is left on it rounded down."""
    for number, lines in enumerate(item.cutting_list, start=1):
        which = f", spool {number} of {item.quantity}" if item.quantity > 1 else ""
        cut = ", ".join(as_listed(line, "length", system, "up") for line in lines)
        left = as_listed(max(0.0, (item.length_m or 0.0) - sum(lines)), "length", system, "down")
        yield from wrapped(f"{item.id}{which}: {cut}; {left} left", first="- ", rest="  ")


def _mass(item: KitItem, system: UnitSystem) -> str:
    return mass_of_gear(item.quantity * item.mass_kg, item.quantity, system) if item.mass_kg else "-"


def _work(
    assignments: Sequence[Assignment], system: UnitSystem, rigged: Sequence[Assignment]
) -> Iterator[str]:
    for technique, title in TECHNIQUE_WORDS.items():
        chosen = [one for one in assignments if one.technique == technique]
        yield from section(title, _job_table(chosen, system, technique == "catch"))
    yield from ["", *wrapped(READING)]
    setups = [line for one in told_apart(rigged) for line in _rigged_with(one)]
    yield from section("Rigged with (part, item, used)", setups)
    held = [line for one in assignments if one.technique == "catch" for line in _held(one, system)]
    yield from section("Hold at the brake that the planned runs of the catches need", held)


def _lives(lives: Sequence[TextileLife]) -> Iterator[str]:
    """How long ropes and slings last."""
    columns = [Column("item"), Column("loads a season", True), Column("highest load", True)]
    columns += [Column("seasons", True), Column("ends by")]
    rows = [
        (
            catalogue_id(one.item) + (" (owned)" if one.item.startswith(OWNED_MARK) else ""),
            f"{ceil(one.loads_per_season):,d}", percent(one.highest_share), f"{floor(10 * one.seasons) / 10:.1f}",
            one.ends_by,
        )
        for one in lives
    ]  # fmt: skip
    if rows:
        yield from section("How long ropes and slings last (highest load of strength)", table(columns, rows))
        yield from ["", *wrapped(WEAR)]


def _job_table(assignments: Sequence[Assignment], system: UnitSystem, catching: bool) -> list[str]:
    lifting = any(one.technique == "lift" for one in assignments)
    columns = [Column("job type"), Column("piece", True), Column("line", True)]
    columns += [Column("locked", True), Column("drop", True)] if catching else []
    columns += [Column("pull", True)] if lifting else []
    columns += [Column("hardest part"), Column("used", True), Column("state")]
    rows = []
    for one in assignments:
        part, used = one.highest
        row = [one.job, _piece(one, system), force(one.line_tension_n, system)]
        row += [force(one.line_tension_jam_n, system), _drop(one, system)] if catching else []
        row += [force(one.lifter_pull_n, system)] if lifting else []
        rows.append([*row, words(part), percent(used), state_words(one.governing[part])])
    return table(columns, rows) if rows else []


def _piece(one: Assignment, system: UnitSystem) -> str:
    usual = mass(one.piece_mass_typical_kg, system).split(" ")[0]
    return f"{usual} / {mass(one.piece_mass_kg, system)}"


def _drop(one: Assignment, system: UnitSystem) -> str:
    if one.drop_below_cut_m is None:
        return "-"
    drop = length_needed(one.drop_below_cut_m, system)
    if one.clearance_m is None:
        return drop
    return f"{drop.split(' ')[0]} of {as_listed(one.clearance_m, 'length', system, 'down')}"


def _rigged_with(one: Assignment) -> list[str]:
    parts = [
        f"{words(part)} {catalogue_id(one.parts[part])} {percent(one.utilisation[part])}"
        for part in sorted(one.parts, key=_place_in_setup)
    ]
    return wrapped(f"{one.job}: {', '.join(parts)}", first="- ", rest="  ")


def _held(one: Assignment, system: UnitSystem) -> list[str]:
    """The hold at the brake in the working state of a catch, and the wraps for one ground worker, rounded up."""
    if one.holding is None:
        return []
    rough, slippery = (
        ceil(10 * wraps) / 10 for wraps in (one.holding.wraps_peak_dry, one.holding.wraps_peak)
    )
    text = (
        f"{one.job}: {force(one.brake_tension_n, system)}: {rough:.1f} (rough line) to {slippery:.1f} (slippery) wraps "
        f"for one ground worker, {one.holding.wraps_max:g} fit; on the tail: {held_words(one.holding)}"
    )
    return wrapped(text, first="- ", rest="  ")


def _place_in_setup(part: str) -> tuple[int, str]:
    """Along the line: itself, what is at the redirect, at the brake, at the lifter."""
    return ("line", "redirect", "brake", "lifter").index(part.split("_")[0]), part


def _no_kit(result: KitResult) -> Iterator[str]:
    yield ""
    if result.status == "stopped":
        yield from wrapped("The solver stopped before it found a kit. Give it more time.")
        return
    yield from wrapped("No kit: nothing in the catalogue carries all of the work with its design factors.")
    if not result.uncovered:
        yield from wrapped("Each job type can be carried, but not all of them with one kit.")
    for one in result.uncovered:
        yield from section(f"Not covered: {one.job} ({one.technique})", _explained(one))


def _explained(one: Uncovered) -> Iterator[str]:
    yield from wrapped(words(one.part), first="  part that falls short: ", rest="    ")
    yield from wrapped(one.shortfall, first="  shortfall: ", rest="    ")
    yield from wrapped(one.remedy, first="  what would help: ", rest="    ")
    for other in one.other_remedies:
        yield from wrapped(other, first="  or: ", rest="    ")
