"""Two kits side by side as rows for the screen: the present one and the one for changed work; kits that differ."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from catalog_schema.units import UnitSystem
from recommender.charts.words import headline, part_place
from recommender.dashboard.kit_tables import TableRow
from recommender.explain.answers import AlternativeKit, AlternativesResult, Change
from recommender.kit.result import Assignment, KitResult
from recommender.report.changes_text import more_or_less
from recommender.report.figures import force, length_needed, mark_if_locked, mass, money, percent, words
from recommender.report.hold_words import held_words
from recommender.report.specification import OWNED_MARK, catalogue_id

NOTHING = "-"


def kit_rows(now: KitResult, then: KitResult, system: UnitSystem) -> list[TableRow]:
    """What two kits come to."""
    figures: tuple[tuple[str, Callable[[KitResult], str]], ...] = (
        ("Kit to buy", lambda kit: money(kit.purchase_cost, kit.currency)),
        ("Mass of the kit, dry", lambda kit: mass(kit.mass_kg, system)),
        ("Hardest-working part", _hardest),
    )
    rows = [_row(name, of(now), of(then), now, then) for name, of in figures]
    if now.assignments and then.assignments and then.purchase_cost != now.purchase_cost:
        difference = more_or_less(then.purchase_cost - now.purchase_cost, then.currency)
        rows[0]["Changed"] += f", {difference}"
    return rows


def _row(name: str, left: str, right: str, now: KitResult, then: KitResult) -> TableRow:
    return {
        "Figure": name,
        "Now": left if now.assignments else now.status,
        "Changed": right if then.assignments else then.status,
    }


def _hardest(kit: KitResult) -> str:
    if not kit.assignments:
        return NOTHING
    one = max(kit.assignments, key=lambda each: each.highest[1])
    part, share = one.highest
    return f"{words(part)} {percent(share)}, {one.job}"


def load_rows(now: Assignment | None, then: Assignment | None, system: UnitSystem) -> list[TableRow]:
    """Piece, forces, gear and utilisation of one job type, now and changed."""
    figures: dict[str, Callable[[Assignment], str]] = {
        "Piece, largest": lambda one: mass(one.piece_mass_kg, system),
        "Tension of the line": lambda one: force(one.line_tension_n, system),
        "Force on the redirect": lambda one: force(one.redirect_reaction_n, system),
        "Tension at the brake": lambda one: (
            force(one.brake_tension_n, system) if one.brake_tension_n else NOTHING
        ),
        "Pull on the lifter": lambda one: force(one.lifter_pull_n, system) if one.lifter_pull_n else NOTHING,
        "Tension, line locked": lambda one: (
            force(one.line_tension_jam_n, system) if one.line_tension_jam_n else NOTHING
        ),
        "On the redirect, line locked": lambda one: (
            force(one.redirect_reaction_jam_n, system) if one.redirect_reaction_jam_n else NOTHING
        ),
        "Drop below the cut": lambda one: (
            NOTHING if one.drop_below_cut_m is None else length_needed(one.drop_below_cut_m, system)
        ),
        "On the tail": lambda one: held_words(one.holding) if one.holding else NOTHING,
        "Line needed": lambda one: length_needed(one.line_needed_m, system),
    }
    parts = sorted({part for one in (now, then) if one for part in one.utilisation}, key=part_place)
    rows = [
        {"Figure": name, **{when: NOTHING if one is None else of(one) for when, one in _pair(now, then)}}
        for name, of in figures.items()
    ]
    rows += [
        {"Figure": headline(part), **{when: _part(one, part) for when, one in _pair(now, then)}}
        for part in parts
    ]
    return [row for row in rows if row["Now"] != NOTHING or row["Changed"] != NOTHING]


def _pair(now: Assignment | None, then: Assignment | None) -> tuple[tuple[str, Assignment | None], ...]:
    return ("Now", now), ("Changed", then)


def _part(one: Assignment | None, part: str) -> str:
    if one is None or part not in one.utilisation:
        return NOTHING
    used = percent(one.utilisation[part]) + mark_if_locked(one.governing[part])
    return f"{catalogue_id(one.parts[part])}, used {used}"


def kit_changes(now: KitResult, then: KitResult) -> list[TableRow]:
    """Items that the changed kit has more, and that it has no more."""
    items = {item.id: item for item in (*now.items, *then.items)}
    pieces = Counter({item.id: item.quantity for item in then.items})
    pieces.subtract({item.id: item.quantity for item in now.items})
    return change_rows(
        [
            Change(id=id, name=items[id].name, pieces=count, price=count * items[id].unit_price)
            for id, count in pieces.items()
            if count
        ],
        then.currency,
    )


def change_rows(changes: list[Change], currency: str) -> list[TableRow]:
    """Pieces more or fewer, with what they cost."""
    return [
        {
            "Item": f"{one.name} ({catalogue_id(one.id)}{', owned' if one.id.startswith(OWNED_MARK) else ''})",
            "Pieces": f"{one.pieces:+d}",
            "Cost": more_or_less(one.price, currency),
        }
        for one in sorted(changes, key=lambda one: -one.pieces)
    ]


def alternative_title(
    number: int, kit: AlternativeKit, result: AlternativesResult, system: UnitSystem
) -> str:
    """What a kit costs and weighs against the cheapest, and how much of it is other."""
    heavier = kit.mass_kg - result.mass_kg
    weighs = (
        f"{mass(abs(heavier), system)} {'heavier' if heavier > 0 else 'lighter'}" if heavier else "as heavy"
    )
    cost = more_or_less(kit.gear_cost - result.gear_cost, result.currency)
    part, share = max((one.highest for one in kit.assignments), key=lambda pair: pair[1])
    return (
        f"Kit {number}: {cost}, {weighs}; {kit.different} of {kit.out_of} bought items are other ones; hardest part "
        f"{words(part)}, {percent(share)}"
    )
