"""Everything that may be in a kit: what the catalogue sells and what is owned already, as one numbered list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from catalog_schema.gear import Extra, Gear, Priced, Rope
from catalog_schema.units import from_si
from recommender.kit.problem import UNLIMITED
from recommender.ratings import Policy, retired
from recommender.work.tables import OwnedGear

CENTS = 100
GRAMS = 1000
TEXTILE_TABLES = ("ropes", "slings")


class SoldLength(Protocol):
    """A rope in one length on offer."""

    @property
    def id(self) -> str: ...
    @property
    def rope(self) -> Rope: ...
    @property
    def length(self) -> float: ...
    @property
    def price(self) -> float: ...


class Sold(Protocol):
    """What is read of a catalogue."""

    @property
    def rope_lengths(self) -> Sequence[SoldLength]: ...
    def tables(self) -> dict[str, tuple[Gear, ...]]: ...


@dataclass(frozen=True)
class StockItem:
    """One item that may be in a kit.

    Attributes
    ----------
    id : str
        Id in the catalogue; owned gear has ``owned:`` before it, and a number after it if it has several rows.
    gear_id : str
        Id in the catalogue.
    table : str
        Table of the catalogue.
    gear : Gear
        The row it comes from.
    condition : {'bought', 'new', 'sound'}
    price : int
        [cent], 0 for owned gear
    mass : int
        [g]
    limit : int
        Pieces owned, or ``UNLIMITED``.
    length : float
        Ropes only. [m]
    age_years : float
        Since first use; owned gear only. [yr]
    """

    id: str
    gear_id: str
    table: str
    gear: Gear
    condition: str
    price: int
    mass: int
    limit: int
    length: float = 0.0
    age_years: float = 0.0

    @property
    def owned(self) -> bool:
        """Whether it is on the truck already."""
        return self.limit < UNLIMITED


def stock(catalogue: Sold, owned: Iterable[OwnedGear], policy: Policy) -> tuple[list[StockItem], list[str]]:
    """All items that may be in a kit, by table and in the order of the catalogue, and notes on owned gear left out.

    Parameters
    ----------
    catalogue : Catalogue
    owned : iterable of OwnedGear
        Rows whose ``item`` is in the catalogue.
    policy : Policy
        Says when gear is retired.

    Returns
    -------
    list of StockItem, list of str
    """
    for_sale = _for_sale(catalogue)
    by_id = {item.gear.id: item for item in for_sale} | {item.id: item for item in for_sale}
    on_truck: list[StockItem] = []
    notes: list[str] = []
    for number, row in enumerate(owned, start=1):
        sold = by_id[row.item]
        years = from_si(row.age, "yr", "age")
        reason = retired(sold.table in TEXTILE_TABLES, years, row.condition, policy)
        if reason is not None:
            notes.append(f"Owned {row.count} x {row.item} is left out: {reason}")
            continue
        taken = f"owned:{row.item}"
        name = taken if all(item.id != taken for item in on_truck) else f"{taken}#{number}"
        on_truck.append(_owned_item(sold, row, name))
    ordered = [item for table in catalogue.tables() for item in (*on_truck, *for_sale) if item.table == table]
    return ordered, notes


def _for_sale(catalogue: Sold) -> list[StockItem]:
    items = [
        StockItem(
            sold.id, sold.id, "ropes", sold.rope, "bought", _cents(sold.price),
            round(sold.length * sold.rope.mass_per_length * GRAMS), UNLIMITED, sold.length,
        )
        for sold in catalogue.rope_lengths
    ]  # fmt: skip
    for table, rows in catalogue.tables().items():
        for gear in rows:
            if isinstance(gear, Priced):
                mass = round(gear.mass * GRAMS)
                items.append(
                    StockItem(gear.id, gear.id, table, gear, "bought", _cents(gear.price), mass, UNLIMITED)
                )
    return items


def _owned_item(sold: StockItem, row: OwnedGear, name: str) -> StockItem:
    length = row.length if row.length is not None else sold.length
    mass = sold.mass
    if isinstance(sold.gear, Rope):
        mass = round(length * sold.gear.mass_per_length * GRAMS)
    years = from_si(row.age, "yr", "age")
    return StockItem(name, row.item, sold.table, sold.gear, row.condition, 0, mass, row.count, length, years)


def _cents(price: float) -> int:
    return round(price * CENTS)


def standing_needs(
    items: Sequence[StockItem], climbers: int, ground_workers: int, crews: int
) -> list[tuple[list[int], int]]:
    """What the crew needs whatever the work: for each kind of extra, the items that would do and how many.

    ``climbers`` and ``ground_workers`` are those of one crew. Rows of one kind that differ in ``per`` or ``count`` are
    needs of their own.
    """
    heads = {
        "climber": climbers * crews,
        "ground_worker": ground_workers * crews,
        "person": (climbers + ground_workers) * crews,
        "crew": crews,
        "kit": 1,
    }
    needs: dict[tuple[str, str, int], list[int]] = {}
    for position, item in enumerate(items):
        if isinstance(item.gear, Extra):
            needs.setdefault((item.gear.kind, item.gear.per, item.gear.count), []).append(position)
    return [(members, heads[per] * count) for (_, per, count), members in needs.items() if heads[per]]
