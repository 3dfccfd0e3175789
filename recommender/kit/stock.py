"""Everything that may be in a kit: what the catalogue sells and what is owned already, as one numbered list."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Protocol

from catalog_schema.catalogue import cut_id
from catalog_schema.gear import Extra, Gear, Priced, Rope
from catalog_schema.units import from_si
from recommender.kit.problem import UNLIMITED
from recommender.kit.spools import Spool
from recommender.ratings import Policy, retired
from recommender.work.tables import OwnedGear

CENTS = 100
GRAMS = 1000
MILLIMETRES = 1000
ROUNDING = 1e-9
"""Relative allowance where a length needed meets a whole metre: rounding only."""
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
        Ropes only; 0 for a spool that is cut, which is no line itself. [m]
    age_years : float
        Since first use; owned gear only. [yr]
    spool_length : float
        Rope on a spool that is cut, else 0. [m]
    cut_from : str
        Id of the spool that a line is cut from; then it has neither price nor mass, its spool has both.
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
    spool_length: float = 0.0
    cut_from: str = ""

    @property
    def owned(self) -> bool:
        """Whether it is on the truck already."""
        return self.limit < UNLIMITED


def stock(
    catalogue: Sold,
    owned: Iterable[OwnedGear],
    policy: Policy,
    line_lengths: Collection[float] | None = None,
) -> tuple[list[StockItem], list[str]]:
    """All items that may be in a kit, by table and in the order of the catalogue, and notes on owned gear left out.

    Parameters
    ----------
    catalogue : Catalogue
    owned : iterable of OwnedGear
        Rows whose ``item`` is in the catalogue.
    policy : Policy
        Says when gear is retired.
    line_lengths : collection of float, optional
        Lengths that lines are needed in: spools are cut to them. Left out, a spool is one line, uncut. [m]

    Returns
    -------
    list of StockItem, list of str
    """
    for_sale = list(_for_sale(catalogue, line_lengths))
    by_id = {item.gear.id: item for item in for_sale} | {item.id: item for item in for_sale}
    on_truck: list[StockItem] = []
    notes: list[str] = [] if line_lengths is not None else list(uncut_notes(catalogue))
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


def uncut_notes(catalogue: Sold) -> Iterator[str]:
    """What to say where rope on spools is not cut; nothing if there is none."""
    spools = [sold.id for sold in catalogue.rope_lengths if sold.rope.spool_length is not None]
    if spools:
        yield f"Rope on spools is reckoned as one line a spool here, uncut: {', '.join(spools)}"


def _for_sale(catalogue: Sold, line_lengths: Collection[float] | None) -> Iterator[StockItem]:
    for sold in catalogue.rope_lengths:
        price, mass = _cents(sold.price), round(sold.length * sold.rope.mass_per_length * GRAMS)
        if sold.rope.spool_length is None or line_lengths is None:
            yield StockItem(
                sold.id, sold.id, "ropes", sold.rope, "bought", price, mass, UNLIMITED, sold.length
            )
            continue
        yield StockItem(
            sold.id, sold.id, "ropes", sold.rope, "bought", price, mass, UNLIMITED, spool_length=sold.length
        )
        for length in lengths_to_cut(sold.rope, line_lengths):
            id = cut_id(sold.rope.id, length)
            yield StockItem(id, id, "ropes", sold.rope, "bought", 0, 0, UNLIMITED, length, cut_from=sold.id)
    for table, rows in catalogue.tables().items():
        for gear in rows:
            if isinstance(gear, Priced):
                mass = round(gear.mass * GRAMS)
                yield StockItem(gear.id, gear.id, table, gear, "bought", _cents(gear.price), mass, UNLIMITED)


def lengths_to_cut(spool: Rope, line_lengths: Iterable[float]) -> list[float]:
    """Lengths of the lines that are worth cutting from a spool, rising. [m]

    Each length needed rounded up to a whole metre, not below the shortest cut that the row allows and not above what is
    on the spool; lines longer than that can't be cut from it.

    Parameters
    ----------
    spool : Rope
        Sold by the spool.
    line_lengths : iterable of float
        Lengths that lines are needed in. [m]

    Returns
    -------
    list of float
    """
    most, least = spool.spool_length or 0.0, spool.shortest_cut or 0.0
    return sorted(
        {
            min(max(float(ceil(needed * (1 - ROUNDING))), least), most)
            for needed in line_lengths
            if needed * (1 - ROUNDING) <= most
        }
    )


def spools_of(items: Sequence[StockItem]) -> tuple[Spool, ...]:
    """The spools among some items, with the lines that may be cut from them."""
    return tuple(
        Spool(
            position,
            _millimetres(spool.spool_length),
            tuple((k, _millimetres(cut.length)) for k, cut in enumerate(items) if cut.cut_from == spool.id),
        )
        for position, spool in enumerate(items)
        if spool.spool_length
    )


def _millimetres(length: float) -> int:
    return floor(length * MILLIMETRES * (1 + ROUNDING))


def _owned_item(sold: StockItem, row: OwnedGear, name: str) -> StockItem:
    length = row.length if row.length is not None else sold.length or sold.spool_length
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
