"""A planned kit as rows of tables for the screen, with the same figures as everywhere else."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from catalog_schema.catalogue import Catalogue
from catalog_schema.columns import columns_of
from catalog_schema.gear import Gear
from catalog_schema.units import Rounding, UnitSystem, unit_label, unit_of
from catalog_schema.writing import header_of
from recommender.charts.words import headline, part_place
from recommender.dashboard.listing import Filled
from recommender.dashboard.sheets import LAST_COLUMNS
from recommender.explain.crews import job_of
from recommender.explain.neighbours import Neighbours
from recommender.kit.result import Assignment, KitItem, KitResult
from recommender.report.changes_text import more_or_less
from recommender.report.figures import (
    as_listed,
    force,
    length_needed,
    mark_if_locked,
    mass,
    mass_of_gear,
    percent,
    words,
)
from recommender.report.hold_words import held_words
from recommender.report.specification import catalogue_id, specification

TableRow = dict[str, Any]
EXTRAS = "extras"
KINDS_IN_ORDER = ("ropes", "redirects", "slings", "brakes", "lifters", "connectors", EXTRAS)


def gear_to_buy(result: KitResult) -> tuple[KitItem, ...]:
    """What is bought for rigging."""
    return tuple(item for item in result.items if not item.owned and item.table != EXTRAS)


def extras_to_buy(result: KitResult) -> tuple[KitItem, ...]:
    """What is bought for the crew and goes with the gear."""
    return tuple(item for item in result.items if not item.owned and item.table == EXTRAS)


def together(items: Iterable[KitItem]) -> float:
    """Price of all items."""
    return sum(item.price for item in items)


def to_buy_rows(
    items: Iterable[KitItem], catalogue: Catalogue, currency: str, system: UnitSystem
) -> list[TableRow]:
    """Items with their prices, and what to ask for in a shop."""
    unit = _in(currency)
    return [
        {
            "Item": item.name,
            "Pieces": item.quantity,
            "What to ask for": specification(item, catalogue, system),
            f"Each{unit}": item.unit_price,
            f"Together{unit}": item.price,
            **_mass_cell(item, system),
        }
        for item in _in_order(items)
    ]


def sum_row(items: Sequence[KitItem], currency: str, system: UnitSystem) -> TableRow:
    """The last line of a list to buy: pieces, price and mass of all its items."""
    whole = sum(item.quantity * item.mass_kg for item in items)
    return {
        "Item": "Together",
        "Pieces": sum(item.quantity for item in items),
        f"Together{_in(currency)}": together(items),
        f"Mass [{unit_of('mass', system)}]": _number(
            mass_of_gear(whole, sum(item.quantity for item in items), system)
        ),
    }


def owned_rows(result: KitResult, catalogue: Catalogue, system: UnitSystem) -> list[TableRow]:
    """What the kit takes from the gear that is there already."""
    return [
        {
            "Item": item.name,
            "Pieces": item.quantity,
            "Which one": specification(item, catalogue, system),
            **_mass_cell(item, system),
        }
        for item in _in_order(item for item in result.items if item.owned)
    ]


def force_rows(result: KitResult, system: UnitSystem) -> list[TableRow]:
    """The forces of every job type's largest piece, rounded up; with the line locked where pieces are caught."""
    unit = unit_label(unit_of("force", system))
    columns: dict[str, Callable[[Assignment], float]] = {
        "Line": lambda one: one.line_tension_n,
        "Line, locked": lambda one: one.line_tension_jam_n,
        "Redirect": lambda one: one.redirect_reaction_n,
        "Redirect, locked": lambda one: one.redirect_reaction_jam_n,
        "Brake": lambda one: one.brake_tension_n,
        "Brake, locked": lambda one: one.brake_tension_jam_n,
        "Lifter": lambda one: one.lifter_pull_n,
    }
    used = [name for name, of in columns.items() if any(of(one) for one in result.assignments)]
    return [
        {
            "Job type": one.job,
            "Technique": one.technique,
            **_piece_cells(one, system),
            **{f"{name} [{unit}]": _force_cell(columns[name](one), system) for name in used},
            **_hardest_cells(one),
        }
        for one in result.assignments
    ]


def utilisation_rows(result: KitResult) -> list[TableRow]:
    """How hard every part works: a row for each job type, a column for each part; a locked line is written out."""
    parts = sorted({part for one in result.assignments for part in one.utilisation}, key=part_place)
    return [
        {"Job type": one.job, **{headline(part): _used_cell(one, part) for part in parts}}
        for one in result.assignments
    ]


def crews_together(rows: Sequence[TableRow]) -> list[TableRow]:
    """Rows of the crews of a job type, one for those that read the same, which names them all.

    A filled cell is as full as the fullest of theirs.
    """
    alike: dict[tuple[object, ...], list[TableRow]] = {}
    for row in rows:
        name = job_of(row["Job type"])
        told = (
            cell.text if isinstance(cell, Filled) else cell
            for head, cell in row.items()
            if head != "Job type"
        )
        alike.setdefault((name, *told), []).append(row)
    return [_one_of(same) for same in alike.values()]


def _one_of(same: Sequence[TableRow]) -> TableRow:
    names = [str(row["Job type"]) for row in same]
    job = job_of(names[0])
    crews = " and ".join(name.removeprefix(job).lstrip(", ") for name in names)
    cells = {head: [row[head] for row in same] for head in same[0]}
    fullest = {
        head: max(alike, key=lambda cell: cell.share) if isinstance(alike[0], Filled) else alike[0]
        for head, alike in cells.items()
    }
    return {**fullest, "Job type": f"{job}, {crews}" if len(same) > 1 else names[0]}


def _used_cell(one: Assignment, part: str) -> Filled | None:
    share = one.utilisation.get(part)
    if share is None:
        return None
    return Filled(percent(share) + mark_if_locked(one.governing[part]), share)


def size_rows(found: Sequence[Neighbours], currency: str) -> list[TableRow]:
    """The next size down and up of each item, and what it would change."""
    return [
        {
            "Item": item.name,
            "Now used": f"{percent(item.used_now)} in {item.job}",
            **{f"Next size {size}": _next_size(item, size, currency) for size in ("down", "up")},
        }
        for item in found
    ]


def _next_size(item: Neighbours, direction: str, currency: str) -> str:
    one = next((size for size in item.sizes if size.direction == direction), None)
    if one is None:
        return "none of this make"
    told = [f"{one.name}: {more_or_less(one.price_change, currency)}"]
    told += [f"used {percent(one.used)}"] if one.used is not None and not one.fails else []
    if one.fails:
        why = one.misfit or f"{words(one.over_part)} loaded to {percent(one.over or 0.0)} of its rating"
        others = len(one.fails) - 1
        told.append(f"does not do in {one.fails[0]}{f' and {others} more' if others else ''}: {why}")
    return "; ".join(told)


def rig_rows(result: KitResult, system: UnitSystem) -> list[TableRow]:
    """Which item is which part of every job type's setup, and the line and people that it takes."""
    parts = sorted({part for one in result.assignments for part in one.parts}, key=part_place)
    length = unit_label(unit_of("length", system))
    return [
        {
            "Job type": one.job,
            f"Line needed [{length}]": _number(length_needed(one.line_needed_m, system)),
            f"Drop below the cut [{length}]": None
            if one.drop_below_cut_m is None
            else _number(length_needed(one.drop_below_cut_m, system)),
            "On the tail": held_words(one.holding) if one.holding else "",
            **{headline(part): catalogue_id(one.parts.get(part, "")) for part in parts},
        }
        for one in result.assignments
    ]


def gear_rows(rows: Sequence[Gear], system: UnitSystem) -> list[TableRow]:
    """A table of the catalogue without the columns in which every row says what is taken for granted."""
    if not rows:
        return []
    model = type(rows[0])
    told = [
        name
        for name, field in model.model_fields.items()
        if field.is_required() or any(getattr(row, name) != field.default for row in rows)
    ]
    texts = dict(zip(model.model_fields, map(headline, header_of(model, system)), strict=True))
    order = sorted(told, key=lambda name: name in LAST_COLUMNS)
    return [{texts[name]: _as_read(row, name, system) for name in order} for row in rows]


def _as_read(row: Gear, name: str, system: UnitSystem) -> str | float | None:
    """A cell of the catalogue; strengths and largest sizes are rounded down, smallest sizes up; inches in fractions."""
    value, column = getattr(row, name), columns_of(type(row))[name]
    if value is None or value == "" or value == ():
        return None
    if column.kind is not None and isinstance(value, float):
        is_down = column.kind == "force" or name.endswith("_max")
        rounding: Rounding = "down" if is_down else "up" if name.endswith("_min") else "nearest"
        listed = as_listed(value, column.kind, system, rounding)
        return listed.rpartition(" ")[0] if (column.kind, system) == ("size", "us") else _number(listed)
    if column.kind is not None:
        return "; ".join(as_listed(one, column.kind, system) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return words(value) if column.choices else value


def hardest(result: KitResult) -> tuple[str, str, str] | None:
    """Utilisation, part and job type of the part that works hardest; None without a kit."""
    if not result.assignments:
        return None
    one = max(result.assignments, key=lambda each: each.highest[1])
    part, share = one.highest
    return percent(share), words(part), one.job


def _in_order(items: Iterable[KitItem]) -> list[KitItem]:
    def place(item: KitItem) -> int:
        return KINDS_IN_ORDER.index(item.table) if item.table in KINDS_IN_ORDER else len(KINDS_IN_ORDER)

    return sorted(items, key=place)


def _piece_cells(one: Assignment, system: UnitSystem) -> TableRow:
    unit = unit_of("mass", system)
    return {
        f"Piece, usual [{unit}]": _number(mass(one.piece_mass_typical_kg, system)),
        f"Piece, largest [{unit}]": _number(mass(one.piece_mass_kg, system)),
    }


def _hardest_cells(one: Assignment) -> TableRow:
    part, share = one.highest
    return {"Hardest part": f"{words(part)}, {percent(share)}{mark_if_locked(one.governing[part])}"}


def _mass_cell(item: KitItem, system: UnitSystem) -> TableRow:
    whole = mass_of_gear(item.quantity * item.mass_kg, item.quantity, system)
    return {f"Mass [{unit_of('mass', system)}]": _number(whole)}


def _in(currency: str) -> str:
    return f" [{currency}]" if currency else ""


def _force_cell(newtons: float, system: UnitSystem) -> float | None:
    return _number(force(newtons, system)) if newtons else None


def _number(text: str) -> float:
    """The number of a figure whose unit stands in the header.

    >>> _number("1,250 lbf")
    1250.0
    """
    return float(text.split(" ")[0].replace(",", ""))
