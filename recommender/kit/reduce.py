"""Reductions of the kit problem that keep its optimum: cost, then mass, then number of different items.

Four steps, each with its argument; ``tests/kit/test_against_brute_force.py`` holds them against the unreduced model.

1. *Lines move to harder ways.* If way B of a load case needs no more than way A on every part but the line (each set
   a superset, or the part not there), every line of B also works in A. A's line set is widened by B's.
2. *Dominated ways.* If way B needs no more than way A on every part, line included, A is never needed.
3. *Dominated items.* If item j stands in every need in which item i stands, costs no more, and at the same price
   weighs no more, each piece of i in an optimal kit can be replaced by one of j: all ways stay filled, cost and mass
   do not rise, and no different item is added but j for i. j must be an item that can be bought (not limited).
   A line from a spool has no price of its own, and takes length that another line may need: it is replaced only by a
   line of the same spool that is no longer, which fits on the spool in its place. Spools are kept with their lines.
4. *Separable standing needs.* A standing need whose items stand nowhere else is filled by itself, cheapest first;
   not where it asks for spools or lines from them, which share their price.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.problem import UNLIMITED, Ints, KitProblem, Ways, Words, distinct
from recommender.kit.spools import may_stand_for

LINE = "line"


def tidy_ways(ways: Ways) -> Ways:
    """Steps 1 and 2 for every load case of ``ways``; rows stay grouped by load case."""
    kept = [_tidy_case(ways.take(ways.case == case)) for case in np.unique(ways.case)]
    if not kept:
        return ways
    case = np.concatenate([part.case for part in kept])
    return replace(ways, case=case, needs=np.concatenate([part.needs for part in kept]))


def _tidy_case(ways: Ways) -> Ways:
    ways = _merge_equal(ways)
    if LINE not in ways.parts:
        return ways.take(~_dominated(_no_harder(ways, range(len(ways.parts)))))
    line = ways.parts.index(LINE)
    easier = _no_harder(ways, [part for part in range(len(ways.parts)) if part != line])
    with_line = ways.has_part[:, line]
    needs = ways.needs.copy()
    for row in np.flatnonzero(with_line):
        needs[row, line] = np.bitwise_or.reduce(ways.needs[easier[row] & with_line, line], axis=0)
    widened = replace(ways, needs=needs)
    return widened.take(~_dominated(easier & _no_harder(widened, [line])))


def _dominated(easier: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Ways with another way that needs no more; of equals the first stays."""
    earlier = np.tri(len(easier), k=-1, dtype=bool)
    return np.asarray((easier & (~easier.T | earlier)).any(axis=1))


def _merge_equal(ways: Ways) -> Ways:
    """Ways that differ in the line only become one."""
    if LINE not in ways.parts or not len(ways):
        return ways
    line = ways.parts.index(LINE)
    has_line = ways.has_part[:, line, None].astype(np.uint64)
    others = np.hstack([has_line, np.delete(ways.needs, line, axis=1).reshape(len(ways), -1)])
    first, group = distinct(others)
    merged = ways.needs[first].copy()
    lines = np.zeros_like(merged[:, line])
    np.bitwise_or.at(lines, group, ways.needs[:, line])
    merged[:, line] = lines
    return replace(ways, case=ways.case[first], needs=merged)


def _no_harder(ways: Ways, parts: Iterable[int]) -> NDArray[np.bool_]:
    """Entry (a, b): way b needs no more than way a on each of the parts; true on the diagonal."""
    result = np.ones((len(ways), len(ways)), dtype=bool)
    has = ways.has_part
    for part in parts:
        first, number = distinct(ways.needs[:, part])
        inside = _subset(ways.needs[first, part])[np.ix_(number, number)]
        result &= ~has[None, :, part] | (has[:, None, part] & inside)
    return result


def _subset(sets: Words) -> NDArray[np.bool_]:
    """Entry (a, b): set a lies within set b."""
    inside = np.ones((len(sets), len(sets)), dtype=bool)
    for word in range(sets.shape[1]):
        inside &= (sets[:, None, word] & ~sets[None, :, word]) == 0
    return inside


def useful_items(
    problem: KitProblem, ways: Ways, no_worse: NDArray[np.bool_] | None = None
) -> NDArray[np.bool_]:
    """Step 3: flags of the items that are worth keeping for ``ways`` and the standing needs.

    Parameters
    ----------
    problem : KitProblem
    ways : Ways
        The ways that the model will be built from.
    no_worse : array of bool, shape (items, items), optional
        Entry (a, b): item b is no worse than a in what else the model looks at (wear, age).

    Returns
    -------
    array of bool, shape (items,)
        False for items that stand in no need, and for dominated ones.
    """
    every = ways.needs.reshape(-1, ways.needs.shape[2])
    every = every[distinct(every)[0]]
    member = np.zeros((len(every) + len(problem.standing), problem.item_count), dtype=bool)
    member[: len(every), ways.universe] = ways.flags(every)
    for row, (items, _) in enumerate(problem.standing, start=len(every)):
        member[row, list(items)] = True
    used = member.any(axis=0)
    columns = member[:, used].astype(np.float32)
    stands_in_all = columns.T @ (1 - columns) == 0
    if no_worse is not None:
        stands_in_all &= no_worse[np.ix_(used, used)]
    flags = _without_dominated(problem, np.flatnonzero(used), stands_in_all)
    for spool in problem.spools:
        flags[spool.item] |= flags[spool.cut_items].any()
    return flags


def _without_dominated(
    problem: KitProblem, items: Ints, stands_in_all: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Drop item a where some item b stands in all its needs and is no worse in price, then mass, then position."""
    price, mass, position = problem.price[items], problem.mass[items], np.arange(len(items))
    cheaper = price[None, :] < price[:, None]
    same_price = price[None, :] == price[:, None]
    lighter = mass[None, :] < mass[:, None]
    same_mass = mass[None, :] == mass[:, None]
    wider = stands_in_all & ~stands_in_all.T
    earlier = position[None, :] < position[:, None]
    preferred = cheaper | (same_price & (lighter | (same_mass & (wider | (stands_in_all.T & earlier)))))
    if problem.spools:
        allowed = may_stand_for(problem.spools, items)
        stands_in_all = stands_in_all & allowed
        preferred |= ~allowed.T  # the shorter of two lines of a spool
    buyable = problem.limit[items] >= UNLIMITED
    dominated = (stands_in_all & preferred & buyable[None, :]).any(axis=1)
    flags = np.zeros(problem.item_count, dtype=bool)
    flags[items[~dominated]] = True
    return flags


def choose_separable(problem: KitProblem) -> tuple[Ints, KitProblem]:
    """Step 4: pieces for the standing needs that touch nothing else, and the problem without these needs.

    Returns
    -------
    array of int, shape (items,)
        Pieces chosen.
    KitProblem
        With the other standing needs only.
    """
    chosen = np.zeros(problem.item_count, dtype=np.int64)
    shares = problem.source.serving(problem.item_count).astype(int)
    for items, _ in problem.standing:
        shares[list(items)] += 1
    for spool in problem.spools:
        shares[[spool.item, *spool.cut_items]] += 2
    left = []
    for items, count in problem.standing:
        members = list(items)
        if np.any(shares[members] > 1) or problem.limit[members].sum() < count:
            left.append((items, count))
            continue
        for item in sorted(members, key=lambda i: (problem.price[i], problem.mass[i], -problem.limit[i], i)):
            chosen[item] = min(count, int(problem.limit[item]))
            count -= int(chosen[item])
    return chosen, replace(problem, standing=tuple(left))
