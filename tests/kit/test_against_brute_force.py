"""The model's optimum against every kit tried, on random small problems."""

from __future__ import annotations

import importlib.util
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.kit.problem import UNLIMITED, KitProblem, ways_from_lists
from recommender.kit.solve import SolverSettings, Status, solve

_spec = importlib.util.spec_from_file_location("brute_force", Path(__file__).with_name("brute_force.py"))
assert _spec is not None and _spec.loader is not None
brute_force: Any = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(brute_force)

PARTS = ("line", "redirect", "redirect_sling", "brake_sling")


def random_cases(rng: random.Random, items: int) -> list[list[dict[str, list[int]]]]:
    """Load cases over a stock whose last third are slings that two parts may share."""
    thirds = [range(0, items // 3), range(items // 3, 2 * items // 3), range(2 * items // 3, items)]
    pools = dict(zip(PARTS, (thirds[0], thirds[1], thirds[2], thirds[2]), strict=True))
    cases = []
    for _ in range(rng.randint(1, 4)):
        ways = []
        for _ in range(rng.randint(1, 3)):
            parts = rng.sample(PARTS, rng.randint(1, len(PARTS)))
            ways.append(
                {part: rng.sample(list(pools[part]), rng.randint(1, len(pools[part]))) for part in parts}
            )
        cases.append(ways)
    return cases


def problem_of(
    seed: int, items: int
) -> tuple[KitProblem, list[list[dict[str, list[int]]]], list[tuple[list[int], int]]]:
    rng = random.Random(seed)
    cases = random_cases(rng, items)
    price = [rng.randint(1, 6) for _ in range(items)]
    mass = [rng.randint(1, 4) for _ in range(items)]
    limit = [UNLIMITED] * items
    for item in rng.sample(range(items), items // 4):
        price[item], limit[item] = 0, 1
    standing = [(rng.sample(range(items), 2), 1)] if rng.random() < 0.3 else []
    problem = KitProblem(
        tuple(f"i{k}" for k in range(items)),
        np.array(price), np.array(mass), np.array(limit),
        tuple(f"c{k}" for k in range(len(cases))),
        ways_from_lists(cases, items),
        tuple((tuple(members), count) for members, count in standing),
    )  # fmt: skip
    return problem, cases, standing


def totals(problem: KitProblem, pieces: np.ndarray) -> tuple[int, int, int]:
    return int(problem.price @ pieces), int(problem.mass @ pieces), int((pieces > 0).sum())


@pytest.mark.parametrize("seed", range(200))
def test_model_equals_every_kit_tried(seed: int) -> None:
    problem, cases, standing = problem_of(seed, 6 + seed % 3)
    best = brute_force.best_kit(problem.price, problem.mass, problem.limit, cases, standing, most=2)
    result = solve(problem)
    if best is None:
        assert result.status is Status.INFEASIBLE
    else:
        assert result.status is Status.PROVEN_OPTIMAL
        assert totals(problem, result.pieces) == best


@settings(max_examples=200, deadline=None)
@given(st.integers(min_value=1000, max_value=10**9), st.integers(min_value=6, max_value=24))
def test_reduction_keeps_cost_mass_and_number_of_items(seed: int, items: int) -> None:
    problem, _, _ = problem_of(seed, items)
    reduced = solve(problem, SolverSettings(reduce=True, cases_at_once=1 + seed % 3))
    plain = solve(problem, SolverSettings(reduce=False))
    assert reduced.status == plain.status
    if plain.status is Status.PROVEN_OPTIMAL:
        assert totals(problem, reduced.pieces) == totals(problem, plain.pieces)


@pytest.mark.parametrize("seed", range(20))
def test_both_solvers_agree(seed: int) -> None:
    problem, _, _ = problem_of(seed, 9)
    highs, cbc = solve(problem), solve(problem, SolverSettings(solver="CBC"))
    assert (highs.solver, cbc.solver) == ("HiGHS", "CBC")
    assert highs.status == cbc.status
    if highs.status is Status.PROVEN_OPTIMAL:
        assert totals(problem, highs.pieces) == totals(problem, cbc.pieces)


@pytest.mark.parametrize("seed", range(500, 560))
def test_several_setups_at_once_equal_every_kit_tried(seed: int) -> None:
    problem, cases, standing = problem_of(seed, 6)
    copies = [1 + (seed + k) % 2 for k in range(len(cases))]
    problem = replace(problem, copies=np.array(copies))
    closed = [brute_force.widened(ways) for ways in cases]
    best = brute_force.best_kit(
        problem.price, problem.mass, problem.limit, closed, standing, most=4, copies=copies
    )
    result = solve(problem)
    assert (result.status is Status.INFEASIBLE) == (best is None)
    if best is not None:
        assert totals(problem, result.pieces) == best


def test_setups_side_by_side_may_have_different_lines() -> None:
    """Two setups at once, one owned rope of each kind: the second way needs no more, so its line does too."""
    cases = [
        [{"line": [0], "redirect": [2]}, {"line": [1], "redirect": [2]}],
        [{"line": [1], "redirect": [2]}],
    ]
    problem = KitProblem(
        ("a", "b", "block"), np.array([0, 0, 5]), np.ones(3, dtype=np.int64), np.array([1, 1, UNLIMITED]),
        ("c", "d"), ways_from_lists(cases, 3), copies=np.array([2, 1]),
    )  # fmt: skip
    result = solve(problem)
    assert (result.status, result.pieces.tolist()) == (Status.PROVEN_OPTIMAL, [1, 1, 2])
