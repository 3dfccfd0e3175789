"""What to ask for in a shop: an item of the catalogue in words and figures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from catalog_schema.catalogue import Catalogue, RopeLength
from catalog_schema.gear import Brake, Connector, Extra, Gear, Lifter, Redirect, Rope, Sling
from catalog_schema.units import Rounding, UnitSystem
from recommender.kit.result import KitItem
from recommender.report.figures import as_listed, words

OWNED_MARK = "owned:"


def catalogue_id(item_id: str) -> str:
    """The id in the catalogue of an item of a kit: owned gear has a mark before it and may have a number behind.

    >>> catalogue_id("owned:DB127-45"), catalogue_id("owned:R1#3"), catalogue_id("R1/45m")
    ('DB127-45', 'R1', 'R1/45m')
    """
    if not item_id.startswith(OWNED_MARK):
        return item_id
    return item_id.removeprefix(OWNED_MARK).rsplit("#", 1)[0]


def called(item_id: str) -> str:
    """An item of a kit by its id in the catalogue, with a word where it is owned.

    >>> called("owned:R1#3"), called("R1/45m")
    ('R1 (owned)', 'R1/45m')
    """
    return catalogue_id(item_id) + (" (owned)" if item_id.startswith(OWNED_MARK) else "")


def counted_ids(item_ids: Iterable[str]) -> str:
    """Items by their ids in the catalogue, each once, with its number where there are several.

    >>> counted_ids(["owned:LH-7#1", "TS-4", "LH-7"])
    'LH-7 (2), TS-4'
    """
    counts = Counter(catalogue_id(one) for one in item_ids)
    return ", ".join(f"{id} ({count})" if count > 1 else id for id, count in counts.items())


def specification(item: KitItem, catalogue: Catalogue, system: UnitSystem) -> str:
    """An item of a kit as a buyer asks for it: id, kind, sizes, and strength as its sheet states it.

    Strengths and lengths are rounded down, ranges inwards; thicknesses are nominal.
    """
    found = catalogue.item(catalogue_id(item.id))
    gear: Gear = found.rope if isinstance(found, RopeLength) else found
    parts = list(_DESCRIBE[type(gear)](gear, system))
    if item.length_m is not None:
        parts.insert(1, f"{as_listed(item.length_m, 'length', system, 'down')} long")
    return "; ".join([catalogue_id(item.id), *parts])


def _rope(rope: Rope, system: UnitSystem) -> Iterator[str]:
    yield f"{words(rope.fibre)}, {words(rope.construction)}, {_thickness(rope.diameter, system)}"
    yield _break(rope.min_break, rope.break_basis, system)
    yield words(rope.termination)


def _redirect(redirect: Redirect, system: UnitSystem) -> Iterator[str]:
    bearing = "" if redirect.bearing == "none" else f", {redirect.bearing} bearing"
    yield words(redirect.kind) + bearing + (" with its own sling" if redirect.own_sling else "")
    yield _for_rope(redirect, system)
    yield from _rated(redirect, system)
    yield "allowed for catching" if redirect.takes_catch else "not for catching"


def _sling(sling: Sling, system: UnitSystem) -> Iterator[str]:
    yield f"{words(sling.kind)} sling, {words(sling.fibre)}, {_thickness(sling.diameter, system)}"
    yield _stems(sling, system)
    if sling.min_break is not None:
        yield _break(sling.min_break, sling.break_basis, system)
    if sling.hitch_break is not None:
        yield f"break in its hitch {as_listed(sling.hitch_break, 'force', system, 'down')}"
    if sling.wll is not None:
        yield f"WLL {as_listed(sling.wll, 'force', system, 'down')}"


def _brake(brake: Brake, system: UnitSystem) -> Iterator[str]:
    yield words(brake.kind)
    yield _for_rope(brake, system)
    if brake.stem_min is not None:
        yield _stems(brake, system)
    yield from _rated(brake, system)
    yield "allowed for catching" if brake.takes_catch else "not for catching"


def _lifter(lifter: Lifter, system: UnitSystem) -> Iterator[str]:
    parts = f", {lifter.tackle_parts} parts" if lifter.tackle_parts else ""
    yield words(lifter.kind) + parts + (" with its own brake" if lifter.own_brake else "")
    yield f"WLL {as_listed(lifter.wll, 'force', system, 'down')}"
    if lifter.travel is not None:
        yield f"travel {as_listed(lifter.travel, 'length', system, 'down')}"
    yield _for_rope(lifter, system) + (" (three-strand only)" if lifter.laid_rope_only else "")


def _connector(connector: Connector, system: UnitSystem) -> Iterator[str]:
    yield words(connector.kind)
    yield from _rated(connector, system)


def _extra(extra: Extra, system: UnitSystem) -> Iterator[str]:
    yield f"{words(extra.kind)} for each {words(extra.per)}"


_DESCRIBE: dict[type[Gear], Callable[[Any, UnitSystem], Iterator[str]]] = {
    Rope: _rope,
    Redirect: _redirect,
    Sling: _sling,
    Brake: _brake,
    Lifter: _lifter,
    Connector: _connector,
    Extra: _extra,
}


def _break(strength: float, basis: str, system: UnitSystem) -> str:
    shown = as_listed(strength, "force", system, "down")
    return f"break {shown}" + (" on average" if basis == "average" else "")


def _rated(gear: Redirect | Brake | Connector, system: UnitSystem) -> Iterator[str]:
    if gear.min_break is not None:
        yield _break(gear.min_break, "minimum", system)
    if gear.wll is not None:
        yield f"WLL {as_listed(gear.wll, 'force', system, 'down')}"


def _for_rope(gear: Redirect | Brake | Lifter, system: UnitSystem) -> str:
    low, high = _thickness(gear.rope_min, system, "up"), _thickness(gear.rope_max, system, "down")
    return f"for rope {low} to {high}"


def _thickness(value: float, system: UnitSystem, rounding: Rounding = "nearest") -> str:
    """A thickness; inches with the millimetres behind them, for rounded alone a rope and what takes it may differ."""
    shown = as_listed(value, "size", system, rounding)
    millimetres = round(1000 * value, 6)
    return f"{shown} ({millimetres:.0f} mm)" if system == "us" and millimetres % 1 == 0 else shown


def _stems(gear: Sling | Brake, system: UnitSystem) -> str:
    low, high = gear.stem_min or 0.0, gear.stem_max or 0.0
    return f"stems {as_listed(low, 'stem', system, 'up')} to {as_listed(high, 'stem', system, 'down')}"
