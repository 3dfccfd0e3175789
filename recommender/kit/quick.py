"""A quick kit that covers every load case.

The quick kit is built case by case: for a case that is not covered yet, the way that adds least to the cost. It is no
optimum, but an upper bound of one; and the cases that forced it to grow are a good choice of cases to begin with.
A line from a spool is compared at its share of the spool's price; as many spools as first fit needs are then paid for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases, way_sets
from recommender.kit.problem import Ints, KitProblem, Ways, distinct
from recommender.kit.spools import shares_of_price, usable, with_spools

NEVER = np.iinfo(np.int64).max // 4


@dataclass(frozen=True)
class QuickKit:
    """A kit that covers every load case: pieces by item, its cost, and the cases that made it grow."""

    pieces: Ints
    cost: int
    cases: Ints


def quick_kit(
    problem: KitProblem, begin: Ints | None = None, covered: NDArray[np.bool_] | None = None
) -> QuickKit | None:
    """A kit for all load cases and standing needs, or None where some case has no way, or spools are too few.

    Parameters
    ----------
    problem : KitProblem
    begin, covered : arrays, optional
        A kit to add to, and the load cases that it covers.

    Returns
    -------
    QuickKit or None
    """
    pieces = np.zeros(problem.item_count, dtype=np.int64) if begin is None else begin
    if covered is None:
        covered = np.zeros(len(problem.case_names), dtype=bool)
    grown: list[int] = []
    price = shares_of_price(problem.spools, problem.price)
    limit = np.where(usable(problem.spools, problem.limit > 0), problem.limit, 0)
    order = problem.source.hardest_first(price, len(problem.case_names))
    while not covered.all():
        case = int(order[np.flatnonzero(~covered[order])[0]])
        ways = problem.ways(np.array([case]))
        filled = _cheapest_filling(problem, ways, pieces, price, limit)
        if filled is None:
            return None
        pieces = with_spools(problem.spools, filled)
        grown.append(case)
        covered = covered_cases(problem, pieces, covered)
    for items, count in problem.standing:
        for item in sorted(items, key=lambda i: int(price[i])):
            more = min(count - int(pieces[list(items)].sum()), int(limit[item] - pieces[item]))
            pieces[item] += max(0, more)
    pieces = with_spools(problem.spools, pieces)
    if any(pieces[spool.item] > problem.limit[spool.item] for spool in problem.spools):
        return None
    return QuickKit(pieces, int(problem.price @ pieces), np.array(sorted(grown), dtype=np.int64))


def _cheapest_filling(problem: KitProblem, ways: Ways, pieces: Ints, price: Ints, limit: Ints) -> Ints | None:
    """The kit with the pieces added that the cheapest way still needs."""
    added = _least_prices(ways, pieces, price)
    copies = problem.copies_of(ways.case)
    for row in np.argsort(added.sum(axis=1), kind="stable"):
        kit, used, complete = pieces.copy(), np.zeros_like(pieces), True
        for need in sorted(way_sets(ways, int(row)) * int(copies[row]), key=len):
            at_hand = [item for item in need if used[item] < kit[item]]
            for_sale = [item for item in need if kit[item] < limit[item]]
            if not at_hand and not for_sale:
                complete = False
                break
            item = at_hand[0] if at_hand else min(for_sale, key=lambda i: int(price[i]))
            kit[item] += 0 if at_hand else 1
            used[item] += 1
        if complete:
            return kit
    return None


def _least_prices(ways: Ways, pieces: Ints, price: Ints) -> Ints:
    """Least price of an item for each need, 0 where one is at hand or there is no such part: (ways, parts)."""
    price = np.where(pieces[ways.universe] > 0, 0, price[ways.universe])
    least = np.zeros(ways.has_part.shape, dtype=np.int64)
    for part in range(len(ways.parts)):
        first, number = distinct(ways.needs[:, part])
        of_set = np.where(ways.flags(ways.needs[first, part]), price, NEVER).min(axis=1, initial=NEVER)
        least[:, part] = of_set[number]
    return np.where(ways.has_part, least, 0)
