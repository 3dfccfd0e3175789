"""Whether a kit covers a load case: distinct physical items for all needs of a way (Hall's condition)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from recommender.kit.problem import Ints, KitProblem, Ways
from recommender.kit.reduce import tidy_ways
from recommender.kit.spools import is_cuttable


def covered_cases(
    problem: KitProblem, counts: Ints, known: NDArray[np.bool_] | None = None
) -> NDArray[np.bool_]:
    """Which load cases a kit covers.

    Parameters
    ----------
    problem : KitProblem
    counts : array of int, shape (items,)
        Pieces of each item in the kit.
    known : array of bool, shape (cases,), optional
        Load cases that are known to be covered already; they are not looked at again.

    Returns
    -------
    array of bool, shape (cases,)
        None beyond the known ones where the kit has lines that its spools don't hold: it is no kit.
    """
    covered = np.zeros(len(problem.case_names), dtype=bool) if known is None else known.copy()
    if not is_cuttable(problem.spools, counts):
        return covered
    ways = problem.ways(np.flatnonzero(~covered), counts > 0)
    copies = problem.copies_of(ways.case)
    if np.any(copies > 1):  # setups side by side may have different lines, as in the model
        ways = tidy_ways(ways)
        copies = problem.copies_of(ways.case)
    plenty = _has_plenty(ways, counts, copies)
    covered[ways.case[plenty]] = True
    for row in np.flatnonzero(~plenty):
        case = ways.case[row]
        if not covered[case]:
            covered[case] = can_fill(way_sets(ways, int(row)) * int(copies[row]), counts)
    return covered


def _has_plenty(ways: Ways, counts: Ints, copies: Ints) -> NDArray[np.bool_]:
    """Ways whose every need has as many pieces as there are needs that share an item with it: surely filled."""
    rivals = np.zeros(ways.has_part.shape, dtype=np.int64)
    for part in range(len(ways.parts)):
        rivals += (ways.needs & ways.needs[:, part, None]).any(axis=2)
    pieces = ways.flags(ways.needs) @ counts[ways.universe]
    return np.asarray((pieces >= rivals * copies[:, None]).all(axis=1))


def way_sets(ways: Ways, row: int) -> list[tuple[int, ...]]:
    """The needs of one way as tuples of items, parts that it has only."""
    return [tuple(ways.members(need).tolist()) for need in ways.needs[row] if need.any()]


def can_fill(needs: Sequence[tuple[int, ...]], counts: Ints) -> bool:
    """Whether distinct physical items fill all needs.

    Hall's theorem: a filling exists exactly if every group of needs has at least as many pieces in the union of its
    sets as it has members. Needs that share no item with others are a group of their own, so only groups of needs
    that overlap are tried.

    >>> can_fill([(0, 1), (1,)], np.array([1, 1])), can_fill([(0, 1), (0, 1)], np.array([1, 0]))
    (True, False)
    """
    first = [next((item for item in need if counts[item]), -1) for need in needs]
    if -1 in first:
        return False
    if len(set(first)) == len(first):
        return True
    groups: dict[frozenset[int], int] = {}
    for need in needs:
        groups[frozenset(need)] = groups.get(frozenset(need), 0) + 1
    for component in _overlapping(list(groups)):
        for size in range(1, len(component) + 1):
            for chosen in combinations(component, size):
                pool = frozenset().union(*chosen)
                wanted = sum(count for need, count in groups.items() if need <= pool)
                if sum(int(counts[item]) for item in pool) < wanted:
                    return False
    return True


def _overlapping(sets: list[frozenset[int]]) -> list[list[frozenset[int]]]:
    """Sets grouped into components that are joined by shared items."""
    components: list[list[frozenset[int]]] = []
    for current in sets:
        joined = [group for group in components if any(current & other for other in group)]
        components = [group for group in components if group not in joined]
        components.append([current, *(other for group in joined for other in group)])
    return components


def unions_of_overlapping(needs: Iterable[int]) -> set[int]:
    """All unions of needs of one way that are joined by shared items, single needs included (for the model's rows).

    Sets are the bits of whole numbers.

    >>> sorted(unions_of_overlapping([0b0011, 0b0110, 0b1000]))
    [3, 6, 7, 8]
    """
    distinct = {need for need in needs if need}
    found = set(distinct)
    frontier = distinct
    while frontier:
        frontier = {
            current | need
            for current in frontier
            for need in distinct
            if current & need and current | need not in found
        }
        found |= frontier
    return found
