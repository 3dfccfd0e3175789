"""The next size up and down of each item of a kit: what it costs, how hard it works there, and what fails.

A neighbour is of the same kind and make (the same fibre and construction of a rope, the same kind of redirect ...) and
the next thicker or thinner rope, or the next stronger or weaker item. It takes the place of every piece of the item, in
every setup that uses it, with the rest of the setup as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal, NamedTuple

from recommender.explain.swaps import Swaps
from recommender.kit.fits import Fits
from recommender.kit.planning import prepare
from recommender.kit.result import KitItem, KitResult, Typed
from recommender.kit.setups import Setup, SetupRater, plain_part
from recommender.kit.stock import CENTS, StockItem
from recommender.kit.way_builder import FULL
from recommender.work.plan import Plan

Direction = Literal["up", "down"]

FAMILY = {
    "ropes": ("fibre", "construction", "termination"),
    "redirects": ("kind", "takes_catch", "own_sling"),
    "slings": ("kind", "fibre"),
    "brakes": ("kind", "takes_catch"),
    "lifters": ("kind", "own_brake"),
    "connectors": ("kind",),
}
"""What a neighbour has in common with an item, by table."""


class Neighbour(Typed):
    """The next size of an item. ``price_change`` is for all its pieces.

    ``used`` is how hard it works itself, at most, where it fits; None where it fits nowhere. ``fails`` are the job
    types in which it does not do; for the first of them ``misfit`` says why it doesn't fit, or ``over`` and
    ``over_part`` which part of the setup is loaded above its rating, and how far.
    """

    direction: Direction
    id: str
    name: str
    price_change: float
    used: float | None
    fails: tuple[str, ...] = ()
    misfit: str = ""
    over: float | None = None
    over_part: str = ""


class Neighbours(Typed):
    """An item of the kit with its neighbours; ``used_now`` is how hard it works, at most, and ``job`` where."""

    id: str
    name: str
    table: str
    quantity: int
    used_now: float
    job: str
    sizes: tuple[Neighbour, ...]


def neighbours(plan: Plan, result: KitResult) -> tuple[Neighbours, ...]:
    """The next sizes of everything in a kit that is rigged; not of lines that are cut from a spool.

    Parameters
    ----------
    plan : Plan
    result : KitResult
        Of that plan.

    Returns
    -------
    tuple of Neighbours
        In the order of the kit.
    """
    fits = prepare(plan).fits
    places = {item.id: k for k, item in enumerate(fits.items)}
    rater = SetupRater(fits)
    setups = [
        rater.rate(case, {part: places[id] for part, id in one.parts.items()})
        for case, one in enumerate(result.assignments)
    ]
    search = _Search(fits, setups, Swaps(fits, setups, plan.settings.units))
    found = [search.about(item, places[item.id]) for item in result.items if item.id in places]
    return tuple(one for one in found if one is not None)


class _Failure(NamedTuple):
    job: str
    misfit: str
    over: float
    part: str


class _Search:
    def __init__(self, fits: Fits, setups: Sequence[Setup], swaps: Swaps) -> None:
        self.fits, self.setups, self.swaps = fits, setups, swaps

    def about(self, item: KitItem, place: int) -> Neighbours | None:
        using = [setup for setup in self.setups if place in setup.parts.values()]
        if not using:
            return None
        hardest = max(using, key=lambda setup: _own(setup, place))
        directions: tuple[Direction, ...] = ("down", "up")
        return Neighbours(
            id=item.id,
            name=item.name,
            table=item.table,
            quantity=item.quantity,
            used_now=_own(hardest, place),
            job=self.fits.cases[hardest.case].job,
            sizes=tuple(
                self._neighbour(direction, item, place, other, using)
                for direction in directions
                if (other := self._next(place, direction)) is not None
            ),
        )

    def _next(self, place: int, direction: Direction) -> int | None:
        """The nearest in size among what is sold of the same make; of a rope the shortest that is as long."""
        own = self.fits.items[place]
        sign = 1 if direction == "up" else -1
        like = [
            k
            for k, other in enumerate(self.fits.items)
            if not other.owned and not other.cut_from and _family(other) == _family(own)
        ]
        beyond = [k for k in like if sign * _larger(self.fits.items[k], own) > 0]
        if own.table == "ropes":
            beyond = [k for k in beyond if self.fits.items[k].length >= own.length]
        return min(beyond, key=lambda k: _nearness(self.fits.items[k], own), default=None)

    def _neighbour(
        self, direction: Direction, item: KitItem, place: int, other: int, using: Sequence[Setup]
    ) -> Neighbour:
        used: list[float] = []
        failures: list[_Failure] = []
        for setup in using:
            share, failure = self._in_place(setup, place, other)
            used += [] if share is None else [share]
            failures += [] if failure is None else [failure]
        failures.sort(key=lambda one: (not one.misfit, -one.over))
        new, told = self.fits.items[other], failures[0] if failures else None
        return Neighbour(
            direction=direction,
            id=new.id,
            name=new.gear.name,
            price_change=item.quantity * (new.price / CENTS - item.unit_price),
            used=max(used, default=None),
            fails=tuple(one.job for one in failures),
            misfit=told.misfit if told else "",
            over=told.over if told and not told.misfit else None,
            over_part=told.part if told and not told.misfit else "",
        )

    def _in_place(self, setup: Setup, place: int, other: int) -> tuple[float | None, _Failure | None]:
        """How hard a neighbour works in a setup where it fits, and how it fails there."""
        job = self.fits.cases[setup.case].job
        parts = {part: other if own == place else own for part, own in setup.parts.items()}
        for part in (part for part, own in setup.parts.items() if own == place):
            for why in self.swaps.misfits(setup.case, part, parts):
                return None, _Failure(job, f"as {plain_part(part).replace('_', ' ')}, {why}", 0.0, part)
        rated = self.swaps.rater.rate(setup.case, parts)
        over, part = max((share, part) for part, share in rated.utilisation.items())
        return _own(rated, other), _Failure(job, "", over, part) if over > FULL else None


def _own(setup: Setup, place: int) -> float:
    """How hard an item works in a setup that it is in."""
    return max(setup.utilisation[part] for part, item in setup.parts.items() if item == place)


def _family(item: StockItem) -> tuple[Any, ...]:
    return (item.table, *(getattr(item.gear, name) for name in FAMILY.get(item.table, ())))


def _nearness(other: StockItem, own: StockItem) -> tuple[float, float, int]:
    return abs(_larger(other, own)), other.length, other.price


def _larger(other: StockItem, own: StockItem) -> float:
    """How much larger one is than the other: thicker for a rope, else stronger, where both state it in one way."""
    names = ("diameter",) if own.table == "ropes" else ("min_break", "hitch_break", "wll")
    pairs = ((getattr(other.gear, name, None), getattr(own.gear, name, None)) for name in names)
    return next((float(one - two) for one, two in pairs if one is not None and two is not None), 0.0)
