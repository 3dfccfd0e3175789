"""Looking for rows of a catalogue: by words, kind, strength and price."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog_schema.catalogue import lengths_of
from catalog_schema.gear import Gear, Rope

KIND_COLUMNS = ("construction", "kind")
"""Columns that say of what kind an item is; the first that a table has counts."""


@dataclass(frozen=True)
class Wanted:
    """What is looked for; what is empty, 0 or None is not asked for. Strength in N."""

    text: str = ""
    kinds: tuple[str, ...] = ()
    least_strength: float = 0.0
    most_price: float | None = None


def has(row: Gear, wanted: Wanted) -> bool:
    """Whether a row is what is looked for."""
    told = " ".join(str(cell) for _, cell in row).casefold().replace("_", " ")
    price = price_of(row)
    return (
        all(word in told for word in wanted.text.casefold().split())
        and (not wanted.kinds or kind_of(row) in wanted.kinds)
        and strength_of(row) >= wanted.least_strength
        and (wanted.most_price is None or (price is not None and price <= wanted.most_price))
    )


def kind_of(row: Gear) -> str:
    """Of what kind an item is; empty where its table tells no kinds apart."""
    name = next((name for name in KIND_COLUMNS if name in type(row).model_fields), "")
    return str(getattr(row, name)) if name else ""


def kinds_of(rows: Iterable[Gear]) -> list[str]:
    """The kinds that there are."""
    return sorted({kind for row in rows if (kind := kind_of(row))})


def strength_of(row: Gear) -> float:
    """Breaking strength, else working load limit, else 0. [N]"""
    return float(getattr(row, "min_break", None) or getattr(row, "wll", None) or 0.0)


def strongest(rows: Sequence[Gear]) -> float:
    """The greatest strength among the rows. [N]"""
    return max((strength_of(row) for row in rows), default=0.0)


def price_of(row: Gear) -> float | None:
    """The lowest price that a row is sold at."""
    if isinstance(row, Rope):
        return min((one.price for one in lengths_of(row)), default=None)
    price = getattr(row, "price", None)
    return None if price is None else float(price)
