"""The kit problem as sets and numbers, free of rigging: what may be bought, and every way to rig each load case.

A *need* is a set of items of which one has to be on hand for a part. A *way* to rig a load case is a list of needs,
one for each part of its setup; one physical item serves one part at a time. A kit covers a load case when it can
fill all needs of at least one way with different physical items. Sets are packed into 64-bit words: bit ``i % 64``
of word ``i // 64`` stands for item ``i``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from recommender.kit.spools import Spool

Words = NDArray[np.uint64]
Ints = NDArray[np.int64]

UNLIMITED = 1000
"""The limit of an item that can be bought: more pieces than any setup could use at once."""


def word_count(items: int) -> int:
    """Words needed for a set over ``items`` items, at least 1."""
    return max(1, -(-items // 64))


def pack(flags: NDArray[np.bool_]) -> Words:
    """Boolean flags of shape (..., items) as words of shape (..., words).

    >>> pack(np.array([True, False, True]))
    array([5], dtype=uint64)
    """
    items = flags.shape[-1]
    padded = np.zeros((*flags.shape[:-1], word_count(items) * 64), dtype=bool)
    padded[..., :items] = flags
    packed = np.packbits(padded, axis=-1, bitorder="little")
    return np.ascontiguousarray(packed).view("<u8").astype(np.uint64, copy=False)


def unpack(words: Words, items: int) -> NDArray[np.bool_]:
    """The inverse of :func:`pack`: words of shape (..., words) as flags of shape (..., items)."""
    as_bytes = np.ascontiguousarray(words.astype("<u8", copy=False)).view(np.uint8)
    return np.unpackbits(as_bytes, axis=-1, bitorder="little", count=items).astype(bool)


def distinct(rows: Words) -> tuple[Ints, Ints]:
    """Distinct rows: position of the first of each, and for every row the number of its like.

    Rows are told apart by a hash; should two different rows ever share one, they are compared in full.

    >>> distinct(np.array([[7, 1], [7, 2], [7, 1]], dtype=np.uint64))
    (array([0, 1]), array([0, 1, 0]))
    """
    odd = np.random.default_rng(1).integers(0, 2**63, rows.shape[1], dtype=np.uint64) * 2 + 1
    mixed = (rows ^ (rows >> np.uint64(29))) * odd
    hashed = (mixed ^ (mixed >> np.uint64(32))).sum(axis=1, dtype=np.uint64)
    _, first, number = np.unique(hashed, return_index=True, return_inverse=True)
    if not np.array_equal(rows[first[number]], rows):
        _, first, number = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first)
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return first[order], rank[number.reshape(-1)]


def as_number(words: Words) -> int:
    """One packed set as the bits of a whole number."""
    return int.from_bytes(words.tobytes(), "little")


def as_words(number: int, count: int) -> Words:
    """The inverse of :func:`as_number`, as ``count`` words."""
    return np.frombuffer(number.to_bytes(8 * count, "little"), dtype=np.uint64)


@dataclass(frozen=True)
class Ways:
    """Every way to rig some load cases, one row a way.

    Attributes
    ----------
    case : array of int, shape (ways,)
        Position of the load case.
    needs : array of uint64, shape (ways, parts, words)
        The items that would do for each part; all zero where the way has no such part.
    parts : tuple of str
        Names of the parts.
    universe : array of int
        The item that each bit stands for, ascending.
    """

    case: Ints
    needs: Words
    parts: tuple[str, ...]
    universe: Ints

    def __len__(self) -> int:
        return len(self.case)

    def take(self, rows: NDArray[np.bool_] | Ints) -> Ways:
        """The chosen rows."""
        return replace(self, case=self.case[rows], needs=self.needs[rows])

    def members(self, words: Words) -> Ints:
        """Items of one packed set, ascending."""
        return self.universe[np.flatnonzero(self.flags(words))]

    def flags(self, words: Words) -> NDArray[np.bool_]:
        """Packed sets, shape (..., words), as flags over ``universe``."""
        return unpack(words, len(self.universe))

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """The ways of some load cases that still work with some of the items (a ``WaySource``)."""
        rows = np.isin(self.case, cases)
        kept = items[self.universe]
        needs = pack(self.flags(self.needs[rows])[..., kept])
        fillable = (needs.any(axis=2) | ~self.has_part[rows]).all(axis=1)
        return Ways(self.case[rows][fillable], needs[fillable], self.parts, self.universe[kept])

    @cached_property
    def has_part(self) -> NDArray[np.bool_]:
        """Whether each way has each part, shape (ways, parts)."""
        return np.asarray(self.needs.any(axis=2))

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """Flags of the items that stand in a need (a ``WaySource``)."""
        every = np.bitwise_or.reduce(self.needs.reshape(-1, self.needs.shape[2]), axis=0)
        flags = np.zeros(item_count, dtype=bool)
        flags[self.members(every)] = True
        return flags

    def hardest_first(self, price: Ints, case_count: int) -> Ints:
        """The load cases in their own order (a ``WaySource``)."""
        return np.arange(case_count)


class WaySource(Protocol):
    """Gives the ways of some load cases with some items; :class:`Ways` is one, the feasibility arrays are another."""

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """Every way to rig ``cases`` when only ``items`` (flags) may be used."""
        ...

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """Flags of the items that may stand in a need of a way."""
        ...

    def hardest_first(self, price: Ints, case_count: int) -> Ints:
        """All load cases, roughly the dearest to rig first; any order gives the same optimum."""
        ...


@dataclass(frozen=True)
class KitProblem:
    """What the integer programme decides on.

    Attributes
    ----------
    item_ids : tuple of str
        One id an item; owned items and items to buy are separate.
    price : array of int
        In the smallest unit of money; 0 for owned items.
    mass : array of int
        [g]
    limit : array of int
        Most pieces that may be in the kit: how many are owned, or ``UNLIMITED`` for what can be bought.
    case_names : tuple of str
        One name a load case.
    source : WaySource
        Gives every way to rig a load case.
    standing : tuple of (items, count)
        Sets of items of which ``count`` pieces are needed whatever the load cases (the crew's extras).
    copies : array of int, shape (cases,)
        Setups of each load case that are up at once; one where left out.
    spools : tuple of Spool
        Spools among the items, and the lines that may be cut from them. These have neither price nor mass.
    """

    item_ids: tuple[str, ...]
    price: Ints
    mass: Ints
    limit: Ints
    case_names: tuple[str, ...]
    source: WaySource
    standing: tuple[tuple[tuple[int, ...], int], ...] = ()
    copies: Ints | None = None
    spools: tuple[Spool, ...] = ()

    def __post_init__(self) -> None:
        count = len(self.item_ids)
        if not (len(self.price) == len(self.mass) == len(self.limit) == count):
            raise ValueError(f"price, mass and limit must have one entry for each of the {count} items")
        if np.any(self.price < 0) or np.any(self.mass < 0) or np.any(self.limit < 0):
            raise ValueError("price, mass and limit must not be negative")
        self._check_spools()

    def _check_spools(self) -> None:
        own = [item for spool in self.spools for item in (spool.item, *spool.cut_items)]
        if len(set(own)) != len(own):
            raise ValueError("spools must have no item in common")
        cuts = [item for spool in self.spools for item in spool.cut_items]
        if np.any(self.price[cuts]) or np.any(self.mass[cuts]):
            raise ValueError("spools: lines that are cut must have price 0 and mass 0, their spool has both")

    def copies_of(self, cases: Ints) -> Ints:
        """Setups of some load cases that are up at once."""
        return np.ones(len(cases), dtype=np.int64) if self.copies is None else self.copies[cases]

    @property
    def item_count(self) -> int:
        """Items that may be in the kit."""
        return len(self.item_ids)

    @property
    def every_case(self) -> Ints:
        """Positions of all load cases."""
        return np.arange(len(self.case_names), dtype=np.int64)

    def ways(self, cases: Ints | None = None, items: NDArray[np.bool_] | None = None) -> Ways:
        """Ways of some (or all) load cases with some (or all) items."""
        return self.source.restricted(
            self.every_case if cases is None else cases,
            np.ones(self.item_count, dtype=bool) if items is None else items,
        )

    def uncovered(self) -> tuple[int, ...]:
        """Load cases that no way can rig, whatever is bought."""
        rigged = set(self.ways().case.tolist())
        return tuple(case for case in range(len(self.case_names)) if case not in rigged)


def ways_from_lists(cases: Sequence[Sequence[dict[str, Iterable[int]]]], item_count: int) -> Ways:
    """Ways from plain lists: for each load case its ways, each a mapping part -> items that would do.

    >>> ways_from_lists([[{"line": [0, 1], "brake": [2]}]], 3).needs.tolist()
    [[[4], [3]]]
    """
    parts = tuple(sorted({part for ways in cases for way in ways for part in way}))
    rows = [(case, way) for case, ways in enumerate(cases) for way in ways]
    needs = np.zeros((len(rows), len(parts), word_count(item_count)), dtype=np.uint64)
    for row, (_, way) in enumerate(rows):
        for part, items in way.items():
            flags = np.zeros(item_count, dtype=bool)
            flags[list(items)] = True
            needs[row, parts.index(part)] = pack(flags)
    case = np.array([case for case, _ in rows], dtype=np.int64)
    return Ways(case, needs, parts, np.arange(item_count))
