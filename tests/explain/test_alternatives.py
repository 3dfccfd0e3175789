"""Kits that differ most, against every kit tried; and those of the invented plans."""

from __future__ import annotations

import numpy as np
import pytest

from recommender.explain.alternatives import alternatives, different_kits
from recommender.explain.questions import KitQuestions
from recommender.kit.problem import UNLIMITED


def shared(counts, kits):
    """How many items of the kits are used, counted once for each kit that has them."""
    return sum(1 for kit in kits for item in kit if counts[item])


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("within", [0.1, 0.6])
def test_each_kit_differs_most_and_is_the_cheapest_at_that(small, seed, within):
    one = small(seed)
    everything = np.ones(len(one.cases), dtype=bool)
    questions = KitQuestions(one.problem)
    best = questions.cheapest(everything)
    assert best is not None
    bought = {k for k in range(one.problem.item_count) if one.problem.limit[k] >= UNLIMITED}
    kits = [{k for k in bought if best.pieces[k]}]
    most = int(best.cost * (1 + within) + 1e-9)
    fitting = [
        (counts, cost)
        for counts, cost, covers in one.kits()
        if len(covers) == len(one.cases) and cost <= most
    ]
    for found in different_kits(questions, everything, best.pieces, within):
        assert one.covers(found.pieces.tolist()) == frozenset(range(len(one.cases)))
        allowed = [
            (shared(counts, kits), cost) for counts, cost in fitting
            if all(any(not counts[item] for item in kit) for kit in kits)
        ]  # fmt: skip
        assert (shared(found.pieces, kits), found.cost) == min(allowed)
        kits.append({k for k in bought if found.pieces[k]})
    if len(kits) < 4 and kits[0]:
        assert not [
            counts for counts, _ in fitting if all(any(not counts[item] for item in kit) for kit in kits)
        ]


def test_a_negative_share_is_refused(small):
    one = small(1)
    questions = KitQuestions(one.problem)
    with pytest.raises(ValueError, match=r"within must be at least 0, not -0\.1"):
        next(different_kits(questions, np.ones(len(one.cases), dtype=bool), np.ones(6, dtype=int), -0.1))


@pytest.mark.parametrize("name", ["new_owner", "training_ground"])
def test_invented_plans_have_alternatives_that_differ(demo, name):
    """Every kit passes the independent check on the way, or an error would be raised."""
    plan, best = demo(name)
    result = alternatives(plan, best, 0.1)
    assert result.complete and result.proven and len(result.kits) == 3
    item_sets = [frozenset(item.id for item in kit.items if not item.owned) for kit in result.kits]
    assert len(set(item_sets)) == 3
    for kit in result.kits:
        assert result.gear_cost <= kit.gear_cost <= result.gear_cost * 1.1 + 1e-9
        assert kit.purchase_cost - kit.gear_cost == pytest.approx(result.purchase_cost - result.gear_cost)
        assert kit.purchase_cost == pytest.approx(
            result.purchase_cost + sum(one.price for one in kit.changes)
        )
        assert {one.job for one in kit.assignments} == {job.job for job in plan.jobs}
        assert kit.different >= 1


def test_the_first_alternative_differs_no_less_when_it_may_cost_more(demo):
    plan, best = demo("training_ground")
    first = [alternatives(plan, best, within).kits[0].different for within in (0.05, 0.2)]
    assert first[0] <= first[1]


def test_an_interrupted_search_gives_the_kits_found(demo):
    plan, best = demo("training_ground")

    def stop_after_one(done, total, what):
        if done == 2:
            raise KeyboardInterrupt

    result = alternatives(plan, best, 0.1, progress=stop_after_one)
    assert not result.complete and len(result.kits) == 1
