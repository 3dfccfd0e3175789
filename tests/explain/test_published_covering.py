"""Published covering problems, encoded as kit problems: an item is a facility, a load case what it has to cover."""

from __future__ import annotations

import numpy as np
import pytest

from recommender.explain.purchases import Purchases
from recommender.explain.questions import KitQuestions
from recommender.kit.problem import UNLIMITED, KitProblem, ways_from_lists
from recommender.kit.solve import SolverSettings, Status, solve

# W. L. Winston, Operations Research: Applications and Algorithms, section 9.2, example 5 (fire stations in Kilroy
# County): minutes between the six cities; as retold in two sets of lecture notes, which both give the optimum.
MINUTES = np.array(
    [
        [0, 10, 20, 30, 30, 20],
        [10, 0, 25, 35, 20, 10],
        [20, 25, 0, 15, 30, 20],
        [30, 35, 15, 0, 15, 25],
        [30, 20, 30, 15, 0, 14],
        [20, 10, 20, 25, 14, 0],
    ]
)
REACH = 15

# H. A. Taha, Operations Research: An Introduction, 8th ed., example 9.1-2 (security telephones at the corners of eleven
# streets of a campus): the corners of each street, and the optimum of four telephones, at corners 1, 2, 5 and 7; as
# retold in two public repositories, which agree on the streets; the optimum is printed in one of them.
STREETS = [(1, 2), (2, 3), (4, 5), (7, 8), (6, 7), (2, 6), (1, 6), (4, 7), (2, 4), (5, 8), (3, 5)]
TELEPHONES = {1, 2, 5, 7}

# Gurobi Optimization, modeling-examples, cell_tower_coverage (2020): regions each tower covers, its cost in 0.1 million
# USD, inhabitants of each region; budget 20 million. Printed result: 7,051 people, all; towers 0, 2 and 4; 71 % of it.
TOWERS = [{0, 1, 5}, {0, 7, 8}, {2, 3, 4, 6}, {2, 5, 6}, {0, 2, 6, 7, 8}, {3, 4, 8}]
TOWER_COST = [42, 61, 52, 55, 48, 92]
PEOPLE = [523, 690, 420, 1010, 1200, 850, 400, 1008, 950]


def covering(covers: list[set[int]], cost: list[int], demands: int) -> KitProblem:
    """Facilities as items, one need for each demand: any facility that covers it."""
    cases = [
        [{"facility": [k for k, reached in enumerate(covers) if case in reached]}] for case in range(demands)
    ]
    count = len(covers)
    return KitProblem(
        tuple(f"f{k}" for k in range(count)), np.array(cost), np.ones(count, dtype=np.int64),
        np.full(count, UNLIMITED), tuple(f"d{k}" for k in range(demands)), ways_from_lists(cases, count),
    )  # fmt: skip


@pytest.mark.parametrize("solver", ["HiGHS", "CBC"])
def test_two_fire_stations_cover_the_six_cities(solver):
    within = [set(np.flatnonzero(row <= REACH).tolist()) for row in MINUTES]
    solution = solve(covering(within, [1] * 6, 6), SolverSettings(solver=solver))
    assert solution.status is Status.PROVEN_OPTIMAL
    assert solution.cost == 2
    assert np.flatnonzero(solution.pieces).tolist() == [1, 3]  # cities 2 and 4


@pytest.mark.parametrize("solver", ["HiGHS", "CBC"])
def test_four_telephones_serve_the_eleven_streets(solver):
    serves = [{street for street, ends in enumerate(STREETS) if corner in ends} for corner in range(1, 9)]
    problem = covering(serves, [1] * 8, len(STREETS))
    solution = solve(problem, SolverSettings(solver=solver))
    assert (solution.status, solution.cost) == (Status.PROVEN_OPTIMAL, len(TELEPHONES))
    printed = np.array([int(corner in TELEPHONES) for corner in range(1, 9)])
    for pieces in (solution.pieces, printed):
        assert KitQuestions(problem).covered(pieces).all(), "there may be several optima; each covers all"


def test_towers_cover_everybody_with_71_percent_of_the_budget():
    problem = covering(TOWERS, TOWER_COST, len(PEOPLE))
    people = np.array(PEOPLE, dtype=float)
    purchases = Purchases(KitQuestions(problem), np.ones(len(PEOPLE), dtype=bool), people)
    found = purchases.for_sum(200)
    assert float(people[found.covers].sum()) == 7051.0
    assert np.flatnonzero(found.pieces).tolist() == [0, 2, 4]
    assert found.added / 200 == pytest.approx(0.71)


def test_one_tower_for_each_smaller_budget_by_hand():
    """Derived from the same table: the best single tower for 50 is 4 (3,301 people), for 60 it is still tower 4."""
    problem = covering(TOWERS, TOWER_COST, len(PEOPLE))
    people = np.array(PEOPLE, dtype=float)
    purchases = Purchases(KitQuestions(problem), np.ones(len(PEOPLE), dtype=bool), people)
    for budget, towers in ((50, [4]), (60, [4]), (100, [2, 4]), (42, [0])):
        found = purchases.for_sum(budget)
        assert np.flatnonzero(found.pieces).tolist() == towers
    assert float(people[purchases.for_sum(50).covers].sum()) == 523 + 420 + 400 + 1008 + 950
