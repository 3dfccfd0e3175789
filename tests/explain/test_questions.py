"""The cheapest kit for any load cases and items, and what a load case adds, against every kit tried."""

from __future__ import annotations

import random

import numpy as np
import pytest

from recommender.explain.questions import Found, KitQuestions, TooDear
from recommender.kit.cover import covered_cases
from recommender.kit.solve import solve

SEEDS = range(80)


def flags(count, chosen):
    return np.isin(np.arange(count), list(chosen))


@pytest.mark.parametrize("seed", SEEDS)
def test_cheapest_for_some_cases_and_items_equals_every_kit_tried(small, seed):
    one, rng = small(seed), random.Random(seed + 1)
    questions = KitQuestions(one.problem)
    cases, items = len(one.cases), one.problem.item_count
    kits = one.kits()
    for _ in range(4):
        asked = frozenset(rng.sample(range(cases), rng.randint(1, cases)))
        allowed = set(rng.sample(range(items), rng.randint(items - 2, items)))
        best = min(
            (cost for counts, cost, covers in kits
             if asked <= covers and all(k in allowed for k in range(items) if counts[k])),
            default=None,
        )  # fmt: skip
        found = questions.cheapest(flags(cases, asked), flags(items, allowed))
        assert (None if found is None else found.cost) == best
        if found is not None:
            assert found.proven and covered_cases(one.problem, found.pieces)[list(asked)].all()
            questions.at_hand = found.pieces


@pytest.mark.parametrize("seed", SEEDS)
def test_what_a_load_case_adds_equals_every_kit_tried(small, seed):
    """The cost for all less the cost for all others."""
    one = small(seed)
    everything = frozenset(range(len(one.cases)))
    kits = one.kits()
    if not any(everything <= covers for _, _, covers in kits):
        assert KitQuestions(one.problem).cheapest(flags(len(everything), everything)) is None
        return

    def cheapest(asked):
        return min(cost for _, cost, covers in kits if asked <= covers)

    questions = KitQuestions(one.problem)
    whole = questions.cheapest(flags(len(everything), everything))
    assert whole is not None and whole.cost == cheapest(everything)
    questions.at_hand = whole.pieces
    questions.raise_floor(whole.deciding)
    for case in everything:
        others = everything - {case}
        found = questions.cheapest(flags(len(everything), others), near=whole.pieces)
        assert found is not None
        assert whole.cost - found.cost == cheapest(everything) - cheapest(others)
        if not whole.deciding[case]:
            assert found.cost == whole.cost


@pytest.mark.parametrize("seed", SEEDS)
def test_within_a_sum_is_told_right(small, seed):
    one = small(seed)
    everything = np.ones(len(one.cases), dtype=bool)
    best = min((cost for _, cost, covers in one.kits() if len(covers) == len(one.cases)), default=None)
    questions = KitQuestions(one.problem)
    if best is None:
        assert isinstance(questions.within(everything, 1000), TooDear)
        return
    found = questions.within(everything, best)
    assert isinstance(found, Found) and found.cost == best
    if best:
        short = questions.within(everything, best - 1)
        assert isinstance(short, TooDear)
        assert (
            min(cost for _, cost, covers in one.kits() if set(np.flatnonzero(short.cases)) <= covers) >= best
        )


@pytest.mark.parametrize("seed", SEEDS)
def test_a_case_implied_by_another_is_covered_by_all_its_kits(small, seed):
    one = small(seed)
    implies = KitQuestions(one.problem).implies()
    assert implies.diagonal().all()
    covered = [covers for _, _, covers in one.kits()]
    for a, b in np.argwhere(implies):
        assert all(b in covers for covers in covered if a in covers)


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_same_cost_as_the_planner_on_the_invented_plans(demo, name):
    from recommender.explain.questions import questions_about

    plan, best = demo(name)
    _, questions, cases = questions_about(plan)
    found = questions.cheapest(cases)
    assert found is not None and found.cost + questions.extras_cost == best.cost


@pytest.mark.parametrize("seed", range(20))
def test_the_kit_of_a_whole_problem_is_that_of_the_planner(small, seed):
    one = small(seed)
    found = KitQuestions(one.problem).cheapest(np.ones(len(one.cases), dtype=bool))
    assert found is not None and found.cost == solve(one.problem).cost
