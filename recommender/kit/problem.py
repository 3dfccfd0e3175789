"""The kit problem as sets and numbers, free of rigging: what may be bought, and every way to rig each load case.

A *need* is a set of items of which one has to be on hand for a part. A *way* to rig a load case is a list of needs,
one for each part of its setup; one physical item serves one part at a time. A kit covers a load case when it can
fill all needs of at least one way with different physical items. Sets are packed into 64-bit words: bit ``i % 64``
of word ``i // 64`` stands for item ``i``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

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


@dataclass(frozen=True)
class Ways:
    """Every way to rig every load case, one row a way.

    Attributes
    ----------
    case : array of int, shape (ways,)
        Position of the load case.
    needs : array of uint64, shape (ways, parts, words)
        The items that would do for each part; all zero where the way has no such part.
    parts : tuple of str
        Names of the parts.
    """

    case: Ints
    needs: Words
    parts: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.case)

    def take(self, rows: NDArray[np.bool_] | Ints) -> Ways:
        """The chosen rows."""
        return Ways(self.case[rows], self.needs[rows], self.parts)

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """The ways of some load cases that still work with some of the items (a ``WaySource``)."""
        needs = self.needs & pack(items)
        fillable = (needs.any(axis=2) | ~self.has_part).all(axis=1) & np.isin(self.case, cases)
        return Ways(self.case[fillable], needs[fillable], self.parts)

    @cached_property
    def has_part(self) -> NDArray[np.bool_]:
        """Whether each way has each part, shape (ways, parts)."""
        return np.asarray(self.needs.any(axis=2))

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """Flags of the items that stand in a need (a ``WaySource``)."""
        every = np.bitwise_or.reduce(self.needs.reshape(-1, self.needs.shape[2]), axis=0)
        return unpack(every, item_count)


class WaySource(Protocol):
    """Gives the ways of some load cases with some items; :class:`Ways` is one, the feasibility arrays are another."""

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """Every way to rig ``cases`` when only ``items`` (flags) may be used."""
        ...

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """Flags of the items that may stand in a need of a way."""
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
    standing : tuple of (words, count)
        Sets of items of which ``count`` pieces are needed whatever the load cases (the crew's extras).
    """

    item_ids: tuple[str, ...]
    price: Ints
    mass: Ints
    limit: Ints
    case_names: tuple[str, ...]
    source: WaySource
    standing: tuple[tuple[Words, int], ...] = ()

    def __post_init__(self) -> None:
        count = len(self.item_ids)
        if not (len(self.price) == len(self.mass) == len(self.limit) == count):
            raise ValueError(f"price, mass and limit must have one entry for each of the {count} items")
        if np.any(self.price < 0) or np.any(self.mass < 0) or np.any(self.limit < 0):
            raise ValueError("price, mass and limit must not be negative")

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

    def members(self, words: Words) -> list[int]:
        """Items of one packed set, in order."""
        return [int(item) for item in np.flatnonzero(unpack(words, len(self.item_ids)))]


def as_words(items: Iterable[int], item_count: int) -> Words:
    """A set of item positions as words.

    >>> as_words([0, 2], 3)
    array([5], dtype=uint64)
    """
    flags = np.zeros(item_count, dtype=bool)
    flags[list(items)] = True
    return pack(flags)


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
            needs[row, parts.index(part)] = as_words(items, item_count)
    return Ways(np.array([case for case, _ in rows], dtype=np.int64), needs, parts)
