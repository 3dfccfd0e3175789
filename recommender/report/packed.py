"""How much room a kit takes up on the truck: an estimate with its band, from sizes where there are any, else from mass.

A line is a cylinder of its diameter and length over the share of a bag that rope fills. Of all other gear a catalogue
states the mass only: that over a loose density.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor, pi

from catalog_schema.catalogue import Catalogue, RopeLength
from catalog_schema.gear import Rope
from catalog_schema.units import UnitSystem, from_si
from recommender.kit.result import KitItem
from recommender.report.specification import catalogue_id
from recommender.sourced import COMMON_PRACTICE, Sourced

HOW = (
    "An estimate by common practice, no source: a line fills 35 to 60 % of its bag; of other gear the mass over a "
    "loose density. The catalogue states no packed sizes."
)
LITRES = 1000.0

ROPE_FILLS = (
    Sourced(0.35, "-", COMMON_PRACTICE, note="share of a bag that flaked rope fills, loosely by hand"),
    Sourced(0.60, "-", COMMON_PRACTICE, note="share of a bag that rope fills, coiled and pressed"),
)
LOOSE_DENSITY = {
    "slings": (
        Sourced(300.0, "kg/m3", COMMON_PRACTICE, note="slings, loosely bagged"),
        Sourced(550.0, "kg/m3", COMMON_PRACTICE, note="slings, coiled and pressed"),
    ),
    "extras": (
        Sourced(70.0, "kg/m3", COMMON_PRACTICE, note="helmets and the like"),
        Sourced(300.0, "kg/m3", COMMON_PRACTICE, note="boots, folded clothes, bags"),
    ),
}
METAL = (
    Sourced(700.0, "kg/m3", COMMON_PRACTICE, note="blocks, bollards, lifters: side by side in a box"),
    Sourced(2000.0, "kg/m3", COMMON_PRACTICE, note="small metal gear, lying close"),
)


@dataclass(frozen=True)
class Room:
    """Room on the truck: least and most. [m3]"""

    least: float
    most: float

    def in_words(self, system: UnitSystem) -> str:
        """The band, rounded outwards: litres or cubic feet.

        >>> Room(0.0612, 0.1388).in_words("metric"), Room(0.0612, 0.1388).in_words("us")
        ('61 to 139 L', '2.1 to 5.0 ft³')
        """
        unit, step = ("ft³", 10.0) if system == "us" else ("L", 1.0)
        least, most = (
            from_si(one, "ft**3", "volume") if system == "us" else one * LITRES
            for one in (self.least, self.most)
        )
        decimals = 1 if system == "us" else 0
        return (
            f"{floor(least * step) / step:,.{decimals}f} to {ceil(most * step) / step:,.{decimals}f} {unit}"
        )


def room_for(items: Iterable[KitItem], catalogue: Catalogue) -> Room:
    """The room that items of a kit take up.

    Parameters
    ----------
    items : iterable of KitItem
    catalogue : Catalogue
        That they come from.

    Returns
    -------
    Room
    """
    rooms = [_room(item, catalogue) for item in items]
    return Room(least=sum(one.least for one in rooms), most=sum(one.most for one in rooms))


def _room(item: KitItem, catalogue: Catalogue) -> Room:
    if item.table == "ropes" and item.length_m is not None:
        solid = pi / 4 * _diameter(item, catalogue) ** 2 * item.length_m * item.quantity
        loose, close = (float(share) for share in ROPE_FILLS)
        return Room(least=solid / close, most=solid / loose)
    loose, close = (float(density) for density in LOOSE_DENSITY.get(item.table, METAL))
    whole = item.quantity * item.mass_kg
    return Room(least=whole / close, most=whole / loose)


def _diameter(item: KitItem, catalogue: Catalogue) -> float:
    found = catalogue.item(catalogue_id(item.id))
    rope = found.rope if isinstance(found, RopeLength) else found
    return rope.diameter if isinstance(rope, Rope) else 0.0
