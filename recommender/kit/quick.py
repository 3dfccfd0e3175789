"""A quick kit that covers every load case, and what its cost says about the items worth looking at.

The quick kit is built case by case: for a case that is not covered yet, the way that adds least to the cost. It is no
optimum, but an upper bound of one; and the cases that forced it to grow are a good choice of cases to begin with.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases, way_sets
from recommender.kit.problem import Ints, KitProblem, Ways

NEVER = np.iinfo(np.int64).max // 4


@dataclass(frozen=True)
class QuickKit:
    """A kit that covers every load case: pieces by item, its cost, and the cases that made it grow."""

    pieces: Ints
    cost: int
    cases: Ints


def quick_kit(problem: KitProblem) -> QuickKit | None:
    """A kit for all load cases and standing needs, or None where some case has no way.

    Parameters
    ----------
    problem : KitProblem

    Returns
    -------
    QuickKit or None
    """
    pieces = np.zeros(problem.item_count, dtype=np.int64)
    covered = np.zeros(len(problem.case_names), dtype=bool)
    grown: list[int] = []
    order = problem.source.hardest_first(problem.price, len(problem.case_names))
    while not covered.all():
        case = int(order[np.flatnonzero(~covered[order])[0]])
        ways = problem.ways(np.array([case]))
        filled = _cheapest_filling(problem, ways, pieces)
        if filled is None:
            return None
        pieces = filled
        grown.append(case)
        covered = covered_cases(problem, pieces, covered)
    for items, count in problem.standing:
        for item in sorted(items, key=lambda i: int(problem.price[i])):
            more = min(count - int(pieces[list(items)].sum()), int(problem.limit[item] - pieces[item]))
            pieces[item] += max(0, more)
    return QuickKit(pieces, int(problem.price @ pieces), np.array(sorted(grown), dtype=np.int64))


def _cheapest_filling(problem: KitProblem, ways: Ways, pieces: Ints) -> Ints | None:
    """The kit with the pieces added that the cheapest way still needs."""
    added = _least_prices(problem, ways, pieces)
    for row in np.argsort(added.sum(axis=1), kind="stable"):
        kit, used, complete = pieces.copy(), np.zeros_like(pieces), True
        for need in sorted(way_sets(ways, int(row)), key=len):
            at_hand = [item for item in need if used[item] < kit[item]]
            for_sale = [item for item in need if kit[item] < problem.limit[item]]
            if not at_hand and not for_sale:
                complete = False
                break
            item = at_hand[0] if at_hand else min(for_sale, key=lambda i: int(problem.price[i]))
            kit[item] += 0 if at_hand else 1
            used[item] += 1
        if complete:
            return kit
    return None


def _least_prices(problem: KitProblem, ways: Ways, pieces: Ints) -> Ints:
    """Least price of an item for each need, 0 where one is at hand or there is no such part: (ways, parts)."""
    price = np.where(pieces[ways.universe] > 0, 0, problem.price[ways.universe])
    least = np.zeros(ways.has_part.shape, dtype=np.int64)
    for part in range(len(ways.parts)):
        sets, number = np.unique(ways.needs[:, part], axis=0, return_inverse=True)
        of_set = np.where(ways.flags(sets), price, NEVER).min(axis=1, initial=NEVER)
        least[:, part] = of_set[number.reshape(-1)]
    return np.where(ways.has_part, least, 0)


def affordable_items(problem: KitProblem, ways: Ways, most: int) -> NDArray[np.bool_]:
    """Items that a kit of cost ``most`` or less may hold.

    A kit with item i costs at least the price of i, and beside it, for every load case, the least prices of all needs
    that i can't fill in the cheapest way for that. If that is above ``most``, i is in no kit worth having.

    Parameters
    ----------
    problem : KitProblem
    ways : Ways
        Of some load cases.
    most : int
        Cost of a kit that is known.

    Returns
    -------
    array of bool, shape (items,)
    """
    least = _least_prices(problem, ways, np.zeros(problem.item_count, dtype=np.int64)).astype(float)
    beside = np.zeros(len(ways.universe))
    for case in np.unique(ways.case):
        rows = np.flatnonzero(ways.case == case)
        saved = np.zeros((len(rows), len(ways.universe)), dtype=np.float32)
        for part in range(len(ways.parts)):
            sets, number = np.unique(ways.needs[rows, part], axis=0, return_inverse=True)
            flags = ways.flags(sets).astype(np.float32)
            saved += flags[number.reshape(-1)] * least[rows, part, None].astype(np.float32)
        beside = np.maximum(beside, (least[rows].sum(axis=1)[:, None] - saved).min(axis=0))
    flags = np.ones(problem.item_count, dtype=bool)
    flags[ways.universe] = problem.price[ways.universe] + np.floor(beside) <= most
    return flags
