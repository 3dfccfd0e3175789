"""What a cheaper item fails at in the place of one that is in the kit: by how much too weak, or why it doesn't fit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from catalog_schema.units import UnitSystem, show
from recommender.explain.answers import CheaperItem
from recommender.kit.fits import Fits
from recommender.kit.problem import Ints
from recommender.kit.setups import Setup, SetupRater, plain_part
from recommender.kit.stock import CENTS
from recommender.kit.way_builder import FULL, TOLERANCE
from recommender.work.cases import LoadCase

NEVER = float("inf")
NOT_FOR_CATCHING = "it is not rated for catching"
ALIKE = "; setups that are rigged at once for a job type hang in the same way"
EXACT = 3
"""Decimals of a thickness where it is held against a limit."""
HELD = ("redirect", "brake", "lifter")
"""Parts that hang in a sling or a connector, or bring one."""


@dataclass(frozen=True)
class Failure:
    """How a swapped item fails in one load case.

    Where it doesn't fit, ``misfit`` says why and ``ratio`` is infinite, or 1 where it only lacks what it hangs in.
    """

    case: int
    part: str
    ratio: float
    misfit: str = ""


class Swaps:
    """Puts other items into setups and says how they fail.

    Parameters
    ----------
    fits : Fits
    setups : sequence of Setup
        One for each load case, as the kit rigs it.
    units : {'metric', 'us'}
        For what is said of sizes.
    copies : array of int, shape (cases,), optional
        Setups that each load case needs at once; one of each if left out.
    """

    def __init__(
        self, fits: Fits, setups: Sequence[Setup], units: UnitSystem, copies: Ints | None = None
    ) -> None:
        self.fits, self.rater, self.units, self.copies = fits, SetupRater(fits), units, copies
        self.setups = {setup.case: setup for setup in setups}

    def worst(self, item: int, other: int, cases: Sequence[int]) -> Failure | None:
        """The worst failure with ``other`` for one piece of ``item``; None where every setup works all the same."""
        failures = [self.failure(item, other, case) for case in cases]
        return max((one for one in failures if one is not None), key=lambda one: one.ratio, default=None)

    def failure(self, item: int, other: int, case: int) -> Failure | None:
        """How the setup of a load case fails with ``other`` for one piece of ``item``, where it fails least."""
        setup = self.setups[case]
        tries = [self._failure_at(setup, part, other) for part in self._places(setup, item)]
        failed = [one for one in tries if one is not None]
        return None if len(failed) < len(tries) or not failed else min(failed, key=lambda one: one.ratio)

    def _places(self, setup: Setup, item: int) -> list[str]:
        """Parts where an item stands; or, as in the setup of another crew, could stand instead of what is shown."""
        places = [part for part, used in setup.parts.items() if used == item]
        if places:
            return places
        table = self.fits.items[item].table
        like = [part for part, used in setup.parts.items() if self.fits.items[used].table == table]
        return [part for part in like if self._failure_at(setup, part, item) is None]

    def _failure_at(self, setup: Setup, part: str, other: int) -> Failure | None:
        parts = {**setup.parts, part: other}
        for misfit in self.misfits(setup.case, part, parts):
            return Failure(setup.case, part, NEVER, misfit)
        lacking = next(self._hanging_misfits(part, parts), "")
        rated = self.rater.rate(setup.case, parts)
        worst = max(rated.utilisation, key=lambda name: rated.utilisation[name])
        ratio = rated.utilisation[worst]
        if np.isinf(ratio):
            return Failure(setup.case, worst, NEVER, self._unrated(setup.case))
        if ratio > FULL:
            return Failure(setup.case, worst, ratio)
        if lacking and self.copies is not None and self.copies[setup.case] > 1:
            lacking += ALIKE
        return Failure(setup.case, part, FULL, lacking) if lacking else None

    def misfits(self, case: int, part: str, parts: dict[str, int]) -> Iterator[str]:
        """Why the item at a part doesn't go with the rest of a setup, in words."""
        load_case, gear = self.fits.cases[case], self._gear(parts[part])
        kind = plain_part(part)
        if kind == "line":
            yield from self._line_misfits(load_case, case, parts)
            return
        if kind.endswith("connector"):
            return
        if load_case.technique == "catch" and not getattr(gear, "takes_catch", True):
            yield NOT_FOR_CATCHING
        where = load_case.stem_at_redirect if kind.startswith("redirect") else load_case.stem_at_brake
        yield from self._stem_misfit(gear, where)
        if kind in HELD:
            yield from self._rope_misfit(gear, self._gear(parts["line"]), "it")
        if kind == "redirect":
            yield from self._redirect_misfits(load_case, case, gear, parts)
        if kind == "lifter":
            yield from self._lifter_misfits(case, gear, self._gear(parts["line"]), parts)

    def _line_misfits(self, load_case: LoadCase, case: int, parts: dict[str, int]) -> Iterator[str]:
        rope, line = self.fits.items[parts["line"]], self.rater.line_of[parts["line"]]
        if rope.length < load_case.line_needed * (1 - TOLERANCE):
            yield (
                f"it is {self._show(rope.length, 'length', 'down')} long, "
                f"{self._show(load_case.line_needed, 'length', 'up')} are needed"
            )
        for part in HELD:
            if part in parts:
                yield from self._rope_misfit(self._gear(parts[part]), rope.gear, f"the {part}")
        yield from self._flight_misfits(load_case, case, line, self.rater.friction(parts["redirect"]))

    def _flight_misfits(self, load_case: LoadCase, case: int, line: int, friction: int) -> Iterator[str]:
        """What depends on line and redirect together: whether formulas hold, and how far a caught piece comes."""
        if not self.fits.demands.valid[case, line, friction]:
            yield "the force formulas do not hold for a fall on such a line"
            return
        drop = float(self.fits.demands.drop[case, line, friction])
        if drop > load_case.clearance:
            yield (
                f"the piece comes {self._show(drop, 'length', 'up')} below the cut, "
                f"{self._show(load_case.clearance, 'length', 'down')} are free"
            )

    def _rope_misfit(self, gear: Any, rope: Any, taker: str) -> Iterator[str]:
        if not gear.rope_min - TOLERANCE <= rope.diameter <= gear.rope_max + TOLERANCE:
            sizes = (gear.rope_min, gear.rope_max, rope.diameter)
            low, high, size = (self._show(one, "size", "nearest", EXACT) for one in sizes)
            yield f"{taker} takes line of {low} to {high}, the line is {size}"

    def _stem_misfit(self, gear: Any, stem: float) -> Iterator[str]:
        low = 0.0 if getattr(gear, "stem_min", None) is None else gear.stem_min
        high = NEVER if getattr(gear, "stem_max", None) is None else gear.stem_max
        if stem > high + TOLERANCE:
            yield (
                f"it goes round stems of up to {self._show(high, 'stem', 'down')}, "
                f"the stem is {self._show(stem, 'stem', 'up')}"
            )
        elif stem < low - TOLERANCE:
            yield (
                f"it goes round stems from {self._show(low, 'stem', 'up')}, "
                f"the stem is {self._show(stem, 'stem', 'down')}"
            )

    def _hanging_misfits(self, part: str, parts: dict[str, int]) -> Iterator[str]:
        """What the item at a part would have to hang in; it can be bought, so that it is told last."""
        kind, gear = plain_part(part), self._gear(parts[part])
        if kind not in HELD:
            return
        if not gear.own_sling and f"{kind}_sling" not in parts:
            yield "it needs a sling, which the setup does not have"
        has = sum(1 for part in parts if plain_part(part) == f"{kind}_connector")
        if gear.connectors > has:
            needed = "a connector" if gear.connectors == 1 else f"{gear.connectors} connectors"
            yield f"it needs {needed}, the setup has {has or 'none'}"

    def _redirect_misfits(
        self, load_case: LoadCase, case: int, gear: Any, parts: dict[str, int]
    ) -> Iterator[str]:
        if load_case.from_ground and not gear.set_from_ground:
            yield "it can't be set from the ground"
        friction = self.rater.friction(parts["redirect"])
        if load_case.technique == "lift" and not self.fits.frictions[friction].has_sheave:
            yield "it has no sheave, and lifting never goes over a ring"
        yield from self._flight_misfits(load_case, case, self.rater.line_of[parts["line"]], friction)

    def _lifter_misfits(self, case: int, gear: Any, rope: Any, parts: dict[str, int]) -> Iterator[str]:
        if gear.laid_rope_only and rope.construction != "three_strand":
            yield "it grips laid rope only"
        if gear.own_brake != ("brake" not in parts):
            yield "it has no brake of its own" if "brake" not in parts else "it brings a brake of its own"
        line, friction = self.rater.line_of[parts["line"]], self.rater.friction(parts["redirect"])
        travel = float(self.fits.demands.travel[case, line, friction])
        if gear.travel is not None and travel > gear.travel:
            yield (
                f"it pulls in {self._show(gear.travel, 'length', 'down')}, "
                f"{self._show(travel, 'length', 'up')} are needed"
            )

    def _unrated(self, case: int) -> str:
        catching = self.fits.cases[case].technique == "catch"
        return NOT_FOR_CATCHING if catching else "it is not rated for this place"

    def _gear(self, item: int) -> Any:
        return self.fits.items[item].gear

    def _show(self, value: float, kind: str, rounding: Any, decimals: int | None = None) -> str:
        number, unit = show(value, kind, self.units, decimals, rounding).split(" ", 1)
        return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}"


def cheaper_items(fits: Fits, kit: Ints, item: int) -> list[int]:
    """Items of the same table that cost less and of which there are more to be had, dearest first."""
    price, table = fits.items[item].price, fits.items[item].table
    found = [
        k
        for k, one in enumerate(fits.items)
        if one.table == table and one.price < price and kit[k] < one.limit and k != item
    ]
    return sorted(found, key=lambda k: (-fits.items[k].price, k))


def as_answer(fits: Fits, other: int, failure: Failure, lost: Sequence[int]) -> CheaperItem:
    """A failure as it is told; ``lost`` are the load cases that the kit no longer covers."""
    item = fits.items[other]
    return CheaperItem(
        id=item.id,
        name=item.gear.name,
        unit_price=item.price / CENTS,
        jobs=tuple(fits.cases[case].job for case in lost),
        job=fits.cases[failure.case].job,
        part=failure.part,
        utilisation=None if failure.misfit else failure.ratio,
        misfit=failure.misfit,
    )
