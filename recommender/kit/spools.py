"""Rope on spools: lines cut from them, how many spools some lines need, and who cuts what from which.

A spool is bought whole. The lines cut from it are items of their own that cost nothing and weigh nothing: the spool has
their price and their mass. Lengths are whole millimetres, so that sums are exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Spool:
    """A spool among the items of a kit problem.

    Attributes
    ----------
    item : int
        The spool itself, which has the price.
    length : int
        Rope on it. [mm]
    cuts : tuple of (int, int)
        Lines that may be cut from it: item and length, none longer than the spool. [-], [mm]
    """

    item: int
    length: int
    cuts: tuple[tuple[int, int], ...]

    def __post_init__(self) -> None:
        if self.length <= 0:
            raise ValueError(f"length must be above 0 mm, not {self.length}")
        for item, length in self.cuts:
            if not 0 < length <= self.length:
                raise ValueError(f"cuts: item {item} must be 1 to {self.length} mm long, not {length}")

    @property
    def cut_items(self) -> list[int]:
        """The items that are cut from it."""
        return [item for item, _ in self.cuts]

    def lengths(self, pieces: Ints) -> list[int]:
        """Length of every line that a kit has cut from spools of this kind, longest first. [mm]"""
        each = [length for item, length in self.cuts for _ in range(int(pieces[item]))]
        return sorted(each, reverse=True)


def first_fit(lengths: Iterable[int], spool: int) -> list[list[int]]:
    """Lines cut one by one, the longest first, each from the first spool that still has enough.

    Parameters
    ----------
    lengths : iterable of int
        None above ``spool``. [mm]
    spool : int
        Rope on a new spool. [mm]

    Returns
    -------
    list of list of int
        Lines of each spool. Not always the fewest spools.

    Examples
    --------
    >>> first_fit([40, 30, 60, 70], 100)
    [[70, 30], [60, 40]]
    """
    cut: list[list[int]] = []
    for length in sorted(lengths, reverse=True):
        room = next((lines for lines in cut if sum(lines) + length <= spool), None)
        if room is None:
            cut.append([length])
        else:
            room.append(length)
    return cut


def cutting_list(lengths: Sequence[int], spool: int, spools: int) -> list[list[int]] | None:
    """Lines cut from a number of spools, found by search; None if they can't be.

    The first spool is filled in every way that holds the longest line and leaves no room for a further one, the fullest
    first; then the next with what is left. A state that failed is not tried again.

    Parameters
    ----------
    lengths : sequence of int
        [mm]
    spool : int
        Rope on each spool. [mm]
    spools : int

    Returns
    -------
    list of list of int, or None
        Lines of each spool that is cut.

    Examples
    --------
    First fit needs three spools here.

    >>> cutting_list([50, 40, 30, 30, 30, 20], 100, 2)
    [[50, 30, 20], [40, 30, 30]]
    >>> cutting_list([60, 50], 100, 1) is None
    True
    """
    simple = first_fit(lengths, spool)
    if len(simple) <= spools:
        return simple
    failed: set[tuple[tuple[int, ...], int]] = set()

    def search(left: tuple[int, ...], more: int) -> list[list[int]] | None:
        if not left:
            return []
        if sum(left) > more * spool or (left, more) in failed:
            return None
        for lines in sorted(set(_fillings(left, spool)), key=lambda chosen: (-sum(chosen), chosen)):
            rest = search(_without(left, lines), more - 1)
            if rest is not None:
                return [list(lines), *rest]
        failed.add((left, more))
        return None

    return search(tuple(sorted(lengths, reverse=True)), spools)


def _fillings(left: tuple[int, ...], room: int) -> Iterator[tuple[int, ...]]:
    """Ways to fill a spool with the longest line and others, until no further one fits; ``left`` falls."""

    def extend(start: int, room: int) -> Iterator[tuple[int, ...]]:
        fitting = [k for k in range(start, len(left)) if left[k] <= room]
        for k in fitting:
            if k > start and left[k] == left[k - 1] and k - 1 in fitting:
                continue
            for others in extend(k + 1, room - left[k]):
                yield (left[k], *others)
        yield ()

    for others in extend(1, room - left[0]):
        chosen = (left[0], *others)
        rest = _without(left, chosen)
        if not rest or rest[-1] > room - sum(chosen):
            yield chosen


def _without(left: tuple[int, ...], lines: tuple[int, ...]) -> tuple[int, ...]:
    rest = list(left)
    for line in lines:
        rest.remove(line)
    return tuple(rest)


def is_cuttable(spools: Iterable[Spool], pieces: Ints) -> bool:
    """Whether the lines of a kit can be cut from the spools in it."""
    return all(
        cutting_list(spool.lengths(pieces), spool.length, int(pieces[spool.item])) is not None
        for spool in spools
    )


def with_spools(spools: Iterable[Spool], pieces: Ints) -> Ints:
    """A kit with as many spools as its lines need when they are cut by first fit; none is taken out."""
    enough = pieces.copy()
    for spool in spools:
        needed = len(first_fit(spool.lengths(pieces), spool.length))
        if cutting_list(spool.lengths(pieces), spool.length, int(pieces[spool.item])) is None:
            enough[spool.item] = needed
    return enough


def usable(spools: Iterable[Spool], items: Flags) -> Flags:
    """Flags of items without the lines whose spool is not among them."""
    kept = items.copy()
    for spool in spools:
        if not items[spool.item]:
            kept[spool.cut_items] = False
    return kept


def shares_of_price(spools: Iterable[Spool], price: Ints) -> Ints:
    """Prices with each line at its share of its spool, rounded up: only to compare, the spool is what is paid."""
    shared = price.copy()
    for spool in spools:
        for item, length in spool.cuts:
            shared[item] = -(-int(price[spool.item]) * length // spool.length)
    return shared


def may_stand_for(spools: Iterable[Spool], items: Ints) -> Flags:
    """Entry (a, b): buying item b in the place of item a needs no further spool, shape (items, items).

    Lines from spools cost what their spool costs: they stand only for lines of the same spool that are no shorter, and
    no item stands for them or for a spool.
    """
    place = {int(item): k for k, item in enumerate(items)}
    allowed = np.ones((len(items), len(items)), dtype=bool)
    for spool in spools:
        own = [place[item] for item in (spool.item, *spool.cut_items) if item in place]
        allowed[own, :] = False
        allowed[:, own] = False
    for spool in spools:
        cuts = [(place[item], length) for item, length in spool.cuts if item in place]
        for a, longer in cuts:
            for b, length in cuts:
                allowed[a, b] = length <= longer
    return allowed
