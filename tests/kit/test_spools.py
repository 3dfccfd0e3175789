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

Case = list[dict[str, Any]]
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


@pytest.mark.parametrize("seed", range(500, 520))
def test_growth_and_reduction_keep_the_optimum(seed: int) -> None:
    problem, _, _ = random_problem(seed)
    reduced, plain = solve(problem), solve(problem, SolverSettings(reduce=False))
    assert reduced.status == plain.status
    if plain.status is Status.PROVEN_OPTIMAL:
        assert np.array_equal(totals(problem, reduced.pieces), totals(problem, plain.pieces))


def test_the_random_problems_are_about_spools() -> None:
    """In a good part of them the best kit cuts lines; in some two from one spool, in some a spool is not enough."""
    best = [(problem, solve(problem).pieces) for problem, _, _ in map(random_problem, range(40))]
    lines = [[int(pieces[spool.cut_items].sum()) for spool in problem.spools] for problem, pieces in best]
    spools = [[int(pieces[spool.item]) for spool in problem.spools] for problem, pieces in best]
    assert sum(any(each) for each in lines) >= 15
    assert any(n > m for a, b in zip(lines, spools, strict=True) for n, m in zip(a, b, strict=True))
    assert any(m > 1 for each in spools for m in each)


# --- a published optimum ----------------------------------------------------------------------------------------


def orders_problem(spool: int, orders: dict[int, int]) -> KitProblem:
    """Lines that are ordered, all cut from spools of price 1: the cutting-stock problem."""
    count = len(orders) + 1
    price, nothing = np.eye(1, count, dtype=np.int64)[0], np.zeros(count, dtype=np.int64)
    return KitProblem(
        tuple(f"i{k}" for k in range(count)), price, nothing, np.full(count, UNLIMITED), (),
        ways_from_lists([], count),
        tuple(((item,), pieces) for item, pieces in enumerate(orders.values(), start=1)),
        spools=(Spool(0, spool, tuple((item, length) for item, length in enumerate(orders, start=1))),),
    )  # fmt: skip


def test_rolls_of_nine_metres_are_cut_as_in_print() -> None:
    """13 rolls: Pedroso, Rais, Kubo and Muramatsu, Mathematical Optimization: Solving Problems using SCIP and Python,
    chapter Bin packing and cutting stock problems, orders for different roll lengths; proven there by the length."""
    orders = {2: 4, 3: 2, 4: 6, 5: 6, 6: 2, 7: 2, 8: 2}
    problem = orders_problem(9, orders)
    result = solve(problem)
    assert (result.status, result.cost) == (Status.PROVEN_OPTIMAL, 13)
    assert result.pieces.tolist() == [13, *orders.values()]
    assert is_cuttable(problem.spools, result.pieces)


# --- by hand ----------------------------------------------------------------------------------------------------

M = 1000
"""A metre in millimetres."""


def rope_problem(
    lines: Sequence[int],
    needs: Sequence[tuple[list[int], int]],
    spool_price: int,
    rope_price: int,
    spool: int = 100,
) -> KitProblem:
    """A rope (item 0) or lines from a spool (items 2 ...) for load cases: items that would do, and setups at once."""
    count = 2 + len(lines)
    price = np.array([rope_price, spool_price, *(0 for _ in lines)])
    mass = np.array([3, 5, *(0 for _ in lines)])
    cases: list[Case] = [[{"line": items}] for items, _ in needs]
    return KitProblem(
        ("rope", "spool", *(f"cut {a}m" for a in lines)), price, mass, np.full(count, UNLIMITED),
        tuple(f"c{k}" for k in range(len(cases))), ways_from_lists(cases, count),
        copies=np.array([copies for _, copies in needs]),
        spools=(Spool(1, spool * M, tuple((2 + k, a * M) for k, a in enumerate(lines))),),
    )  # fmt: skip


def test_one_spool_beats_two_ropes() -> None:
    result = solve(rope_problem([45], [([0, 2], 2)], spool_price=150, rope_price=90))
    assert (result.cost, result.pieces.tolist()) == (150, [0, 1, 2])


def test_what_is_cut_off_is_not_sold_twice() -> None:
    """Two lines of 60 m don't come off 100 m: a spool and a fifth, 144, would be cheaper than two ropes."""
    result = solve(rope_problem([60], [([0, 2], 2)], spool_price=120, rope_price=80))
    assert (result.cost, result.pieces.tolist()) == (160, [2, 0, 0])
    no_rope = solve(rope_problem([60], [([2], 2)], spool_price=120, rope_price=80))
    assert (no_rope.cost, no_rope.pieces.tolist()) == (240, [0, 2, 2])


def test_a_spool_is_used_to_its_end() -> None:
    """60 + 40 of 100 m, for one load case that needs 60 m and one that needs two lines of 40 m."""
    result = solve(rope_problem([40, 60], [([0, 3], 1), ([0, 2, 3], 2)], spool_price=120, rope_price=100))
    assert (result.cost, result.pieces.tolist()) == (120, [0, 1, 1, 1])
    longer = solve(rope_problem([41, 60], [([0, 3], 1), ([0, 2, 3], 2)], spool_price=120, rope_price=100))
    assert longer.cost == 200


def test_no_spool_where_a_rope_is_cheaper() -> None:
    result = solve(rope_problem([45], [([0, 2], 1)], spool_price=91, rope_price=90))
    assert result.pieces.tolist() == [1, 0, 0]


def test_no_line_is_cut_longer_or_oftener_than_is_needed() -> None:
    result = solve(rope_problem([20, 30, 50], [([2, 3, 4], 1), ([3, 4], 1)], spool_price=10, rope_price=1))
    assert result.pieces.tolist() == [0, 1, 0, 1, 0]


def test_lines_on_several_spools_are_counted_one_by_one() -> None:
    """Five lines of 34 m: two on each spool of 100 m."""
    result = solve(rope_problem([34], [([2], 5)], spool_price=10, rope_price=1))
    assert result.pieces.tolist() == [0, 3, 5]


def test_spools_of_no_further_use_are_left_out_of_the_model() -> None:
    """Nested lines for two setups at once: two lines of the longest kind are enough, and one spool holds them."""
    problem = rope_problem([20, 30, 50], [([0, 2, 3, 4], 2), ([0, 3, 4], 1), ([0, 4], 1)], 10, 1)
    ways = problem.ways()
    items = useful_items(problem, ways)
    use = spools_of_use(problem, ways, items, np.full(problem.item_count, 2))[0]
    assert (use.spools, use.lines) == (1, 2)
    model = build(problem, ways, items)
    assert model.pieces[1].upBound == 1


def test_quick_kit_pays_for_its_spools() -> None:
    problem = rope_problem([60], [([0, 2], 3)], spool_price=10, rope_price=90)
    quick = quick_kit(problem)
    assert quick is not None
    assert (quick.cost, quick.pieces.tolist()) == (30, [0, 3, 3])


def test_a_kit_whose_lines_do_not_fit_covers_nothing() -> None:
    problem = rope_problem([60], [([0, 2], 1)], spool_price=10, rope_price=90)
    assert covered_cases(problem, np.array([0, 1, 1])).tolist() == [True]
    assert covered_cases(problem, np.array([0, 1, 2])).tolist() == [False]
    assert covered_cases(problem, np.array([0, 0, 1])).tolist() == [False]


def test_without_its_spool_a_line_is_not_to_be_had() -> None:
    problem = rope_problem([60], [([0, 2], 1)], spool_price=10, rope_price=90)
    none_left = KitProblem(
        problem.item_ids, problem.price, problem.mass, np.array([UNLIMITED, 0, UNLIMITED]), problem.case_names,
        problem.source, copies=problem.copies, spools=problem.spools,
    )  # fmt: skip
    assert solve(none_left).pieces.tolist() == [1, 0, 0]
    assert quick_kit(none_left).pieces.tolist() == [1, 0, 0]  # type: ignore[union-attr]


@pytest.mark.parametrize("seed", range(100))
def test_the_cutting_list_needs_the_fewest_spools(seed: int) -> None:
    rng = random.Random(seed)
    spool = rng.randint(10, 30)
    lengths = [rng.randint(2, spool) for _ in range(rng.randint(1, 8))]
    fewest = fewest_spools(tuple(lengths), spool)
    lists = cutting_list(lengths, spool, fewest)
    assert lists is not None
    assert len(lists) <= fewest
    assert sorted(line for lines in lists for line in lines) == sorted(lengths)
    assert all(sum(lines) <= spool for lines in lists)
    assert cutting_list(lengths, spool, fewest - 1) is None
    assert len(first_fit(lengths, spool)) >= fewest


def test_what_is_wrong_with_a_spool_is_named() -> None:
    with pytest.raises(ValueError, match="item 2 must be 1 to 100 mm long, not 101"):
        Spool(1, 100, ((2, 101),))
    with pytest.raises(ValueError, match="above 0 mm"):
        Spool(1, 0, ())
    one, price = np.ones(3, dtype=np.int64), np.array([1, 1, 0])
    made: dict[str, Any] = {"case_names": (), "source": ways_from_lists([], 3), "limit": one}
    with pytest.raises(ValueError, match="price 0 and mass 0"):
        KitProblem(("a", "b", "c"), price, one, spools=(Spool(1, 100, ((2, 50),)),), **made)
    with pytest.raises(ValueError, match="no item in common"):
        KitProblem(("a", "b", "c"), price, price, spools=(Spool(1, 9, ((2, 5),)), Spool(2, 9, ())), **made)
