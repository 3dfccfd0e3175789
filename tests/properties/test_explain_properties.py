"""What must hold of answers about kits, whatever the problem."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.explain.alternatives import different_kits
from recommender.explain.purchases import Purchases
from recommender.explain.questions import KitQuestions

_path = Path(__file__).parents[1] / "explain" / "small_problems.py"
_spec = importlib.util.spec_from_file_location("small_problems_for_properties", _path)
assert _spec is not None and _spec.loader is not None
_module = importlib.util.module_from_spec(_spec)
sys.modules["small_problems_for_properties"] = _module
_spec.loader.exec_module(_module)

seeds = st.integers(min_value=0, max_value=10**9)
few = settings(max_examples=15, deadline=None)


@few
@given(seeds, st.integers(0, 40), st.integers(0, 20))
def test_more_money_never_covers_less(seed, budget, more):
    one = _module.small(seed, 9)
    purchases = Purchases(KitQuestions(one.problem), np.ones(len(one.cases), dtype=bool), one.weight)
    small, large = purchases.for_sum(budget), purchases.for_sum(budget + more)
    assert small.weight <= large.weight
    assert small.added <= budget and large.added <= budget + more
    assert purchases.covered(small.pieces)[small.covers].all()


@few
@given(seeds)
def test_one_more_load_case_never_lowers_the_cost(seed):
    one = _module.small(seed, 9)
    questions = KitQuestions(one.problem)
    cases = np.ones(len(one.cases), dtype=bool)
    whole = questions.cheapest(cases)
    if whole is None:
        return
    for case in range(len(cases)):
        fewer = cases.copy()
        fewer[case] = False
        found = questions.cheapest(fewer)
        assert found is not None and found.cost <= whole.cost


@few
@given(seeds, st.floats(0, 0.5), st.floats(0, 0.5))
def test_a_higher_limit_never_makes_the_first_alternative_more_alike(seed, within, more):
    one = _module.small(seed, 9)
    questions = KitQuestions(one.problem)
    cases = np.ones(len(one.cases), dtype=bool)
    best = questions.cheapest(cases)
    if best is None:
        return
    bought = (best.pieces > 0) & (one.problem.price > 0)
    shared = []
    for share in (within, within + more):
        first = next(different_kits(questions, cases, best.pieces, share), None)
        shared.append(bought.sum() if first is None else int((bought & (first.pieces > 0)).sum()))
        assert first is None or questions.covered(first.pieces).all()
    assert shared[1] <= shared[0]


@few
@given(seeds)
def test_steps_are_nested_and_end_with_everything(seed):
    one = _module.small(seed, 9)
    purchases = Purchases(KitQuestions(one.problem), np.ones(len(one.cases), dtype=bool), one.weight)
    everything = purchases.all_of_it()
    if everything is None:
        return
    before = np.zeros(one.problem.item_count, dtype=np.int64)
    covers = purchases.covered(before)
    for step in purchases.path(everything):
        assert np.all(step.pieces >= before) and np.all(step.covers >= covers)
        before, covers = step.pieces, step.covers
    assert covers.all() and int(one.problem.price @ before) == everything.added
