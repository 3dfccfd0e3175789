"""Every way to rig some load cases with some items: boolean arrays of what carries, fits and is allowed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from catalog_schema.gear import Brake, Connector, Lifter, Redirect, Sling
from recommender.kit.holding import crew_holds
from recommender.kit.problem import Ints, Ways, Words, pack, word_count
from recommender.work.cases import column

if TYPE_CHECKING:
    from recommender.kit.fits import Fits, TableFits

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
TOLERANCE = 1e-9
"""Relative allowance for rounding when a demand meets a capacity; far below any figure that is shown."""
FULL = 1 + TOLERANCE
"""The highest utilisation that is allowed."""


def over(demand: Floats, capacity: Floats) -> Floats:
    """Utilisation: demand over capacity, the larger of the states; 0 without a demand, infinite without a capacity."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = demand / capacity
    return np.asarray(np.where(demand > 0, ratio, 0.0).max(axis=0))


def _where(fit: Flags, ratio: Floats) -> Floats:
    """Infinite where an item does not fit at all."""
    return np.where(fit, ratio, np.inf)


class WayBuilder:
    """Arrays for some load cases (j), lines (k), kinds of redirect (f) and items (i), and the ways from them."""

    def __init__(self, fits: Fits, cases: Ints, items: Flags) -> None:
        self.fits, self.cases = fits, cases
        self.universe = np.flatnonzero(items)
        self.load_cases = [fits.cases[case] for case in cases]
        self.regime = fits.regime[cases]
        ropes = np.flatnonzero(items[fits.rope_positions])
        self.rope_positions = fits.rope_positions[ropes]
        self.kinds, self.kind_of_rope = np.unique(fits.line_of[ropes], return_inverse=True)
        self.rope_length = np.array([fits.items[k].length for k in self.rope_positions])
        self.items = items
        self.diameter = fits.lines.diameter[self.kinds]
        self.lifting = np.array([case.technique == "lift" for case in self.load_cases], dtype=bool)

    def demand(self, name: str) -> Floats:
        """A demand cut to the load cases and lines: (states, j, k, f)."""
        whole: Floats = getattr(self.fits.demands, name)
        return whole[:, self.cases][:, :, self.kinds]

    def flat(self, name: str) -> Any:
        """A demand without states: (j, k, f)."""
        return getattr(self.fits.demands, name)[self.cases][:, self.kinds]

    def of_case(self, name: str) -> Floats:
        """An attribute of the load cases: (j,)."""
        return column(self.load_cases, name)

    def line_ratio(self) -> Floats:
        """Utilisation of the straight line; infinite where formulas or clearance forbid it: (j, k, f)."""
        clear = self.flat("drop") <= self.of_case("clearance")[:, None, None]
        return _where(clear, self.strength_ratio())

    def strength_ratio(self) -> Floats:
        """Utilisation of the straight line, whatever the clearance; infinite where no formula holds: (j, k, f)."""
        straight = self.fits.bends[0][:, self.regime][:, :, self.kinds]
        return _where(self.flat("valid"), over(self.demand("line"), straight[..., None]))

    def long_enough(self) -> Flags:
        """Whether each rope is long enough: (j, ropes)."""
        return np.asarray(self.rope_length >= self.of_case("line_needed")[:, None] * (1 - TOLERANCE))

    def line_words(self) -> Words:
        """Ropes of each line that are long enough: (j, k, words)."""
        of_kind = self.kind_of_rope[None, :] == np.arange(len(self.kinds))[:, None]
        return self.words(self.long_enough()[:, None, :] & of_kind[None, :, :], self.rope_positions)

    def words(self, flags: Flags, positions: Ints) -> Words:
        """Flags over some items as words over ``universe``."""
        whole = np.zeros((*flags.shape[:-1], len(self.universe)), dtype=bool)
        whole[..., np.searchsorted(self.universe, positions)] = flags
        return pack(whole)

    def takes_rope(self, gear: Sequence[Any]) -> Flags:
        """Whether each item takes each line's diameter: (k, i)."""
        low = np.array([item.rope_min for item in gear])
        high = np.array([item.rope_max for item in gear])
        return np.asarray(
            (self.diameter[:, None] >= low - TOLERANCE) & (self.diameter[:, None] <= high + TOLERANCE)
        )

    def fits_stem(self, gear: Sequence[Any], where: str) -> Flags:
        """Whether each item goes round the stem: (j, i); items without a stem range fit anywhere."""
        low = np.array([item.stem_min if item.stem_min is not None else 0.0 for item in gear])
        high = np.array([item.stem_max if item.stem_max is not None else np.inf for item in gear])
        stem = self.of_case(where)[:, None]
        thinnest = self.of_case("thinnest_at_redirect")[:, None] if where == "stem_at_redirect" else stem
        return np.asarray((thinnest >= low - TOLERANCE) & (stem <= high + TOLERANCE))

    def redirect_ratio(self, rows: Ints, gear: Sequence[Redirect], friction: int) -> Floats:
        """Utilisation of redirects of one kind of friction, and of the line's bend over them: (j, k, i)."""
        capacity = self.fits.redirects.capacity[:, self.regime][:, :, rows][:, :, None, :]
        ratio = over(self.demand("reaction")[..., friction, None], capacity)
        bent = self.fits.bends[1][:, self.regime][:, :, self.kinds][..., rows]
        np.maximum(ratio, over(self.demand("line")[..., friction, None], bent), out=ratio)
        return _where(self.redirect_fits(gear, friction), ratio)

    def redirect_fits(self, gear: Sequence[Redirect], friction: int) -> Flags:
        """Whether redirects take the line, go on the stem, can be set, and may lift: (j, k, i)."""
        settable = np.array([item.set_from_ground for item in gear], dtype=bool)
        fits = self.takes_rope(gear)[None] & self.fits_stem(gear, "stem_at_redirect")[:, None, :]
        fits &= (settable[None, :] | ~self.of_case("from_ground").astype(bool)[:, None])[:, None, :]
        if not self.fits.frictions[friction].has_sheave:
            fits &= ~self.lifting[:, None, None]
        return fits

    def held_ratio(
        self, table: TableFits, rows: Ints, gear: Sequence[Any], force: str, where: str | None
    ) -> Floats:
        """Utilisation of items that carry a force and, if ``where`` is given, go round a stem: (j, k, f, i)."""
        capacity = table.capacity[:, self.regime][:, :, rows][:, :, None, None, :]
        ratio = over(self.demand(force)[..., None], capacity)
        return ratio if where is None else _where(self.fits_stem(gear, where)[:, None, None, :], ratio)

    def brake_ratio(self, rows: Ints, gear: Sequence[Brake]) -> Floats:
        """Utilisation of brakes, and of the line's bend round their drums: (j, k, f, i)."""
        ratio = self.held_ratio(self.fits.brakes, rows, gear, "brake", "stem_at_brake")
        bent = self.fits.bends[2][:, self.regime][:, :, self.kinds][..., rows][:, :, :, None, :]
        np.maximum(ratio, over(self.demand("brake")[..., None], bent), out=ratio)
        return _where(self.takes_rope(gear)[None, :, None, :] & self.held(gear), ratio)

    def held(self, gear: Sequence[Brake]) -> Flags:
        """Whether the people on the ground hold the piece with each brake, where they must: (j, k, f, i)."""
        if not self.fits.crew.holds_every_piece:
            return np.ones((1, 1, 1, len(gear)), dtype=bool)
        high = np.array([kind.r_high for kind in self.fits.frictions])
        hanging = self.of_case("weight")[:, None] * high
        wraps = np.array([item.wraps_max for item in gear])
        hand = self.fits.policy.hand.hold
        return crew_holds(self.fits.crew, self.load_cases, hanging, self.demand("brake")[0], wraps, hand)

    def lifter_ratio(self, rows: Ints, gear: Sequence[Lifter], own_brake: bool) -> Floats:
        """Utilisation of lifters with or without a brake, and of the people who pull them: (j, k, f, i)."""
        force = "lifter_holding" if own_brake else "lifter"
        ratio = self.held_ratio(self.fits.lifters, rows, gear, force, "stem_at_brake")
        np.maximum(ratio, self.demand("lifter")[0][..., None] / self.fits.tackle_pull[rows], out=ratio)
        travel = np.array([np.inf if item.travel is None else item.travel for item in gear])
        laid_only = np.array([item.laid_rope_only for item in gear], dtype=bool)
        grips = self.takes_rope(gear) & (self.fits.lines.laid[self.kinds][:, None] | ~laid_only[None, :])
        reaches = self.flat("travel")[..., None] <= travel
        return _where(reaches & grips[None, :, None, :] & self.lifting[:, None, None, None], ratio)

    def ways(self) -> Ways:
        """All ways, from every mix of friction and of what redirect, brake and lifter need to hang."""
        holders = _Holders(self)
        blocks: list[tuple[Ints, dict[str, Words]]] = []
        line_ok, line_words = self.line_ratio() <= FULL, self.line_words()
        for redirects in self._redirect_groups():
            ok_line = line_ok[:, :, redirects.friction]
            for brakes, lifters in product(self._brake_groups(), self._lifter_groups()):
                chosen = self.lifting if lifters is not None else ~self.lifting
                if brakes is None and (lifters is None or not lifters.own_brake):
                    continue
                if brakes is not None and lifters is not None and lifters.own_brake:
                    continue
                needs = {"line": line_words, "redirect": redirects.words}
                needs |= holders.of("redirect", redirects, redirects.friction)
                for name, group in (("brake", brakes), ("lifter", lifters)):
                    if group is not None:
                        needs[name] = group.words[:, :, redirects.friction]
                        needs |= holders.of(name, group, redirects.friction)
                blocks.append(self._rows(ok_line & chosen[:, None], needs))
        return self._joined(blocks)

    def _rows(self, ok: Flags, needs: dict[str, Words]) -> tuple[Ints, dict[str, Words]]:
        for words in needs.values():
            ok = ok & words.any(axis=2)
        j, k = np.nonzero(ok)
        return self.cases[j], {part: words[j, k] for part, words in needs.items()}

    def _joined(self, blocks: list[tuple[Ints, dict[str, Words]]]) -> Ways:
        parts = tuple(dict.fromkeys(part for _, needs in blocks for part in needs)) or ("line",)
        total = sum(len(case) for case, _ in blocks)
        needs = np.zeros((total, len(parts), word_count(len(self.universe))), dtype=np.uint64)
        start = 0
        for case, block in blocks:
            for part, words in block.items():
                needs[start : start + len(case), parts.index(part)] = words
            start += len(case)
        case = np.concatenate([case for case, _ in blocks]) if blocks else np.zeros(0, dtype=np.int64)
        order = np.argsort(case, kind="stable")
        return Ways(case[order], needs[order], parts, self.universe)

    def _redirect_groups(self) -> list[_Group]:
        table = self.fits.redirects
        rows, _, positions = table.cut(self.items)
        gear = self.fits.gear(table, rows)
        groups = []
        for friction, kind in enumerate(self.fits.frictions):
            of_kind = np.array([friction_name(item) == kind.name for item in gear], dtype=bool)
            for own, connectors in sorted(
                {(g.own_sling, g.connectors) for g, f in zip(gear, of_kind, strict=True) if f}
            ):
                like = [g.own_sling == own and g.connectors == connectors for g in gear]
                chosen = np.flatnonzero(of_kind & np.array(like, dtype=bool))
                ok = self.redirect_ratio(rows[chosen], [gear[k] for k in chosen], friction) <= FULL
                groups.append(_Group(self.words(ok, positions[chosen]), own, connectors, friction=friction))
        return groups

    def _brake_groups(self) -> list[_Group | None]:
        rows, _, positions = self.fits.brakes.cut(self.items)
        gear = self.fits.gear(self.fits.brakes, rows)
        groups: list[_Group | None] = [None]
        for own, connectors in sorted({(item.own_sling, item.connectors) for item in gear}):
            chosen = np.array(
                [k for k, g in enumerate(gear) if (g.own_sling, g.connectors) == (own, connectors)], dtype=int
            )
            ok = self.brake_ratio(rows[chosen], [gear[k] for k in chosen]) <= FULL
            groups.append(_Group(self.words(ok, positions[chosen]), own, connectors))
        return groups

    def _lifter_groups(self) -> list[_Group | None]:
        if not self.lifting.any():
            return [None]
        rows, _, positions = self.fits.lifters.cut(self.items)
        gear = self.fits.gear(self.fits.lifters, rows)
        groups: list[_Group | None] = [None]
        for key in sorted({(item.own_sling, item.connectors, item.own_brake) for item in gear}):
            chosen = np.array(
                [k for k, g in enumerate(gear) if (g.own_sling, g.connectors, g.own_brake) == key], dtype=int
            )
            ok = self.lifter_ratio(rows[chosen], [gear[k] for k in chosen], key[2]) <= FULL
            groups.append(_Group(self.words(ok, positions[chosen]), key[0], key[1], own_brake=key[2]))
        return groups


@dataclass(frozen=True)
class _Group:
    """Items of one table that need the same holders: words of shape (j, k, words) or (j, k, f, words)."""

    words: Words
    own_sling: bool
    connectors: int
    friction: int = -1
    own_brake: bool = False


HOLDING_FORCES = {
    "redirect": ("reaction", "stem_at_redirect"),
    "brake": ("brake_anchor", "stem_at_brake"),
    "lifter": ("lifter", "stem_at_brake"),
}
"""The force on what holds each part, and the stem it goes round."""


class _Holders:
    """Slings and connectors for redirect, brake and lifter, worked out once each."""

    def __init__(self, builder: WayBuilder) -> None:
        self.builder = builder
        self.known: dict[tuple[str, str | None], Words] = {}

    def of(self, part: str, group: _Group, friction: int) -> dict[str, Words]:
        """The needs for holding one part."""
        force, where = HOLDING_FORCES[part]
        if group.own_brake:
            force = "lifter_holding"
        needs = {}
        if not group.own_sling:
            needs[f"{part}_sling"] = self._words(force, where)[:, :, friction]
        for number in range(group.connectors):
            name = f"{part}_connector" + (f"_{number + 1}" if number else "")
            needs[name] = self._words(force, None)[:, :, friction]
        return needs

    def _words(self, force: str, where: str | None) -> Words:
        """Connectors that carry a force, or slings that carry it round the stem at a place."""
        if (force, where) not in self.known:
            fits = self.builder.fits
            table = fits.connectors if where is None else fits.slings
            rows, _, positions = table.cut(self.builder.items)
            gear: list[Sling | Connector] = fits.gear(table, rows)
            ok = self.builder.held_ratio(table, rows, gear, force, where) <= FULL
            self.known[force, where] = self.builder.words(ok, positions)
        return self.known[force, where]


def friction_name(redirect: Redirect) -> str:
    """The friction class of a redirect: its bearing, or the kind of ring."""
    return redirect.kind if redirect.bearing == "none" else redirect.bearing
