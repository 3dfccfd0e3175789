"""Spools: the model against every kit and every cutting tried, against a published optimum, and by hand."""

from __future__ import annotations

import importlib.util
import random
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from recommender.kit.cover import covered_cases
from recommender.kit.formulation import build, spools_of_use
from recommender.kit.problem import UNLIMITED, KitProblem, ways_from_lists
from recommender.kit.quick import quick_kit
from recommender.kit.reduce import useful_items
from recommender.kit.solve import SolverSettings, Status, solve
from recommender.kit.spools import Spool, cutting_list, first_fit, is_cuttable

_spec = importlib.util.spec_from_file_location("brute_force", Path(__file__).with_name("brute_force.py"))
assert _spec is not None and _spec.loader is not None
brute_force: Any = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(brute_force)

Case = list[dict[str, list[int]]]
Totals = tuple[int, int, int, int]

ROPES, BLOCKS = [0, 1], [2, 3]
MOST = 2
"""No load case here asks for more pieces of an item: two lines, or one line in two setups."""


# --- every kit and every cutting tried --------------------------------------------------------------------------


@cache
def fewest_spools(lengths: tuple[int, ...], spool: int) -> int:
    """The fewest spools, by trying every line on every spool."""

    def place(left: tuple[int, ...], rooms: tuple[int, ...]) -> int:
        if not left:
            return len(rooms)
        best = place(left[1:], (*rooms, spool - left[0]))
        for k, room in enumerate(rooms):
            if room >= left[0]:
                best = min(best, place(left[1:], (*rooms[:k], room - left[0], *rooms[k + 1 :])))
        return best

    return place(lengths, ())


def random_problem(seed: int) -> tuple[KitProblem, list[Case], list[int]]:
    """Ropes and blocks that are sold by the piece, two spools with one to two lines each, one to three load cases."""
    rng = random.Random(seed)
    spools, count = [], 4
    for _ in range(2):
        length = rng.randint(8, 14)
        lines = sorted(rng.sample(range(2, length + 1), rng.randint(1, 2)))
        spools.append(Spool(count, length, tuple((count + 1 + k, a) for k, a in enumerate(lines))))
        count += 1 + len(lines)
    price, mass, limit = np.zeros((3, count), dtype=np.int64)
    limit[:] = UNLIMITED
    for item in (*ROPES, *BLOCKS, *(spool.item for spool in spools)):
        price[item], mass[item] = rng.randint(1, 9), rng.randint(1, 4)
    if rng.random() < 0.3:
        price[0], limit[0] = 0, 1
    if rng.random() < 0.2:
        limit[spools[0].item] = 1
    nested = rng.random() < 0.6
    cases = [random_case(rng, spools, nested) for _ in range(rng.randint(1, 3))]
    copies = [rng.randint(1, 2) if len(case) == 1 and "second" not in case[0] else 1 for case in cases]
    lines = [item for spool in spools for item in spool.cut_items]
    standing = [(tuple(rng.sample([*ROPES, *lines], 2)), rng.randint(1, 2))] if rng.random() < 0.2 else []
    problem = KitProblem(
        tuple(f"i{k}" for k in range(count)), price, mass, limit, tuple(f"c{k}" for k in range(len(cases))),
        ways_from_lists(cases, count), tuple(standing), np.array(copies), tuple(spools),
    )  # fmt: skip
    return problem, cases, copies


def random_case(rng: random.Random, spools: Sequence[Spool], nested: bool) -> Case:
    two = rng.random() < 0.4
    ways = []
    for _ in range(rng.randint(1, 2)):
        way = {"line": random_lines(rng, spools, nested), "redirect": rng.sample(BLOCKS, rng.randint(1, 2))}
        if two:
            way["second"] = random_lines(rng, spools, nested)
        ways.append(way)
    return ways


def random_lines(rng: random.Random, spools: Sequence[Spool], nested: bool) -> list[int]:
    """Lines that would do; nested: of a spool all that are long enough."""
    chosen = rng.sample(ROPES, rng.randint(0, 1))
    for spool in spools:
        if nested:
            chosen += spool.cut_items[rng.randint(0, len(spool.cuts)) :]
        else:
            chosen += [item for item in spool.cut_items if rng.random() < 0.5]
    return chosen or [spools[0].cuts[-1][0]]


def kits(problem: KitProblem) -> Iterator[tuple[Totals, list[int]]]:
    """Every kit with at most ``MOST`` pieces of an item, with the fewest spools for its lines; the best ones first."""
    bought = [spool.item for spool in problem.spools]
    plain = [k for k in range(problem.item_count) if k not in bought]
    tops = [range(min(int(problem.limit[k]), MOST) + 1) for k in plain]
    counts = np.zeros((int(np.prod([len(top) for top in tops])), problem.item_count), dtype=np.int64)
    counts[:, plain] = list(product(*tops))
    for spool in problem.spools:
        lines = counts[:, spool.cut_items]
        for chosen in np.unique(lines, axis=0):
            lengths = tuple(a for (_, a), n in zip(spool.cuts, chosen, strict=True) for _ in range(n))
            counts[(lines == chosen).all(axis=1), spool.item] = fewest_spools(lengths, spool.length)
    counts = counts[(counts[:, bought] <= problem.limit[bought]).all(axis=1)]
    every = totals(problem, counts.T)
    for row in np.lexsort(every[::-1]):
        yield tuple(int(total[row]) for total in every), counts[row].tolist()  # type: ignore[misc]


def totals(problem: KitProblem, counts: Any) -> Any:
    """What is made least, in this order: cost, mass, different items without lines, length cut; (items, kits)."""
    length = dict.fromkeys(range(problem.item_count), 0)
    length |= {item: a for spool in problem.spools for item, a in spool.cuts}
    bought = np.array([not length[item] for item in length])
    lengths = np.array(list(length.values()))
    return problem.price @ counts, problem.mass @ counts, (counts[bought] > 0).sum(axis=0), lengths @ counts


def best_totals(problem: KitProblem, cases: Sequence[Case], copies: Sequence[int]) -> Totals | None:
    for total, counts in kits(problem):
        if all(sum(counts[i] for i in items) >= count for items, count in problem.standing) and all(
            any(
                brute_force.serves(counts, [set(need) for need in way.values() for _ in range(n)])
                for way in ways
            )
            for ways, n in zip(cases, copies, strict=True)
        ):
            return total
    return None


@pytest.mark.parametrize("seed", range(200))
def test_model_equals_every_kit_and_every_cutting_tried(seed: int) -> None:
    problem, cases, copies = random_problem(seed)
    best = best_totals(problem, cases, copies)
    result = solve(problem)
    if best is None:
        assert result.status is Status.INFEASIBLE
    else:
        assert result.status is Status.PROVEN_OPTIMAL
        assert totals(problem, result.pieces) == best
        assert is_cuttable(problem.spools, result.pieces)
        assert covered_cases(problem, result.pieces).all()
