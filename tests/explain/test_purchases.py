"""The largest share for a sum and the steps to it, against every kit tried; and those of the invented plans."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from recommender.explain.first import first_purchases
from recommender.explain.purchases import Purchases
from recommender.explain.questions import KitQuestions
from recommender.kit.diagnosis import shortened
from recommender.kit.planning import plan_kit


def purchases_of(one):
    everything = np.ones(len(one.cases), dtype=bool)
    return Purchases(KitQuestions(one.problem), everything, one.weight)


@pytest.mark.parametrize("seed", range(80))
def test_largest_share_for_a_sum_equals_every_kit_tried(small, seed):
    one = small(seed)
    purchases, kits = purchases_of(one), one.kits()
    for budget in (0, 3, 7, 12, 20, 40):
        weighed = [
            (-int(sum(purchases.weight[list(covers)])), cost) for _, cost, covers in kits if cost <= budget
        ]
        best = min(weighed)
        found = purchases.for_sum(budget)
        assert (-found.weight, found.added) == best
        assert found.proven


@pytest.mark.parametrize("seed", range(60))
def test_each_step_adds_the_most_per_money_and_only_adds(small, seed):
    one = small(seed)
    purchases, kits = purchases_of(one), one.kits()
    everything = frozenset(range(len(one.cases)))
    target = purchases.for_sum(10)
    before, seen = np.zeros(one.problem.item_count, dtype=int), one.covers(purchases.owned.tolist())
    reached = False
    for step in purchases.path(target):
        assert np.all(step.pieces >= before)
        covers = one.covers((step.pieces + purchases.owned).tolist())
        assert covers == frozenset(np.flatnonzero(step.covers).tolist())
        inside = frozenset(np.flatnonzero(target.covers).tolist()) - seen
        most = target.pieces if inside else np.full(one.problem.item_count, 2)
        ratio = _best_ratio(one, purchases, kits, before, seen, most)
        added = one.cost(step.pieces) - one.cost(before)
        gained = sum(purchases.weight[list(covers)]) - sum(purchases.weight[list(seen)])
        assert gained / added == pytest.approx(ratio)
        before, seen = step.pieces, covers
        reached |= frozenset(np.flatnonzero(target.covers).tolist()) <= seen
        if reached and inside:
            assert one.cost(step.pieces) == target.added
    assert seen == everything


def _best_ratio(one, purchases, kits, there, seen, most):
    """The largest weight per money over all kits that hold what is there."""
    ratios = []
    for counts, _, covers in kits:
        bought = np.where(purchases.sold, counts, 0)
        if np.any(bought < there) or np.any(bought > most) or not covers - seen:
            continue
        added = one.cost(bought) - one.cost(there)
        gained = sum(purchases.weight[list(covers)]) - sum(purchases.weight[list(seen)])
        if added and gained > 0:
            ratios.append(gained / added)
    return max(ratios)


@pytest.mark.parametrize("seed", range(25))
def test_the_next_gain_is_the_least_sum_that_covers_more(small, seed):
    one = small(seed)
    purchases = purchases_of(one)
    everything = purchases.all_of_it()
    best = purchases.for_sum(5)
    if everything is None or best.weight >= everything.weight:
        return
    least = min(cost for _, cost, covers in one.kits() if sum(purchases.weight[list(covers)]) > best.weight)
    assert purchases.next_gain(best, everything).added == least


def test_a_negative_sum_is_refused(demo):
    plan, _ = demo("training_ground")
    with pytest.raises(ValueError, match="spend must be at least 0, not -1"):
        first_purchases(plan, -1.0)


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_steps_with_enough_money_lead_to_the_cheapest_kit(demo, name):
    """Nested, checked, and in all no dearer than buying at once."""
    plan, best = demo(name)
    result = first_purchases(plan)
    assert result.complete and result.proven and result.share == pytest.approx(1.0)
    assert result.all_in_steps == result.all_at_once == result.cost == best.cost / 100
    _steps_are_sound(result)
    assert all(step.within_sum for step in result.steps)
    assert not result.drops and not result.remedies


def _steps_are_sound(result):
    assert [step.share for step in result.steps] == sorted(step.share for step in result.steps)
    for before, after in pairwise(result.steps):
        assert after.cost_so_far == pytest.approx(before.cost_so_far + after.cost)
        assert all(one.pieces > 0 for one in after.buy)
    for step in result.steps:
        assert step.cost == pytest.approx(sum(one.price for one in step.buy))
        if step.what == "gear":
            assert step.new_jobs


def test_a_new_owner_buys_one_lowering_setup_first(demo):
    """One half-inch line with what it needs does most of the work: common practice, no source."""
    plan, best = demo("new_owner")

    def stop_before_remedies(done, total, what):
        if done == 4:
            raise KeyboardInterrupt

    spend = best.cost / 100 - 86.0
    result = first_purchases(plan, spend, progress=stop_before_remedies)
    _steps_are_sound(result)
    assert [step.what for step in result.steps][:2] == ["crew", "gear"]
    assert result.steps[0].share == 0.0 and result.steps[1].share > 0.5
    ropes = [
        one.id for one in result.steps[1].buy if one.id in {row.id for row in plan.catalogue.rope_lengths}
    ]
    assert len(ropes) == 1 and _diameter(plan, ropes[0]) == pytest.approx(0.0127)
    assert result.cost <= spend < result.all_at_once <= result.all_in_steps
    within = [step for step in result.steps if step.within_sum]
    assert within[-1].share == pytest.approx(result.share)
    assert result.next_gain is not None and result.next_gain.share > result.share
    assert [one.sum - spend for one in result.more] == pytest.approx([100.0, 500.0])


def _diameter(plan, id):
    found = plan.catalogue.item(id)
    return getattr(found, "rope", found).diameter


def test_remedies_make_the_sum_pay_for_everything(demo):
    """Each is planned again, and they stand by the work that they make."""
    plan, best = demo("training_ground")
    spend = best.cost / 100 - 8.0
    result = first_purchases(plan, spend)
    assert result.complete and result.proven
    assert result.remedies[-1].kind == "money" and result.remedies[-1].purchase_cost == best.cost / 100
    others = result.remedies[:-1]
    assert others and all(one.purchase_cost <= spend for one in others)
    assert [one.extra_pieces for one in others] == sorted(one.extra_pieces for one in others)
    dropped = {drop.job for drop in result.drops}
    rest = tuple(job for job in plan.jobs if job.job not in dropped)
    assert dropped and plan_kit(replace(plan, jobs=rest)).purchase_cost <= spend
    (all_shorter,) = [one for one in others if one.kind == "cut" and len(one.jobs) == len(plan.jobs)]
    share = float(all_shorter.change.split(" %")[0].split()[-1]) / 100
    shorter = tuple(shortened(job, share) for job in plan.jobs)
    assert plan_kit(replace(plan, jobs=shorter)).purchase_cost == pytest.approx(all_shorter.purchase_cost)


def test_the_sum_that_does_not_pay_for_the_crew_covers_nothing(demo):
    plan, _ = demo("training_ground")
    result = first_purchases(plan, 100.0)
    assert result.share == 0.0 and result.cost == 0.0
    assert not any(step.within_sum for step in result.steps)


def test_owned_gear_counts_before_any_money_is_spent(demo):
    """What is sound on the company's trucks stands before all steps; none of it is bought again."""
    plan, _ = demo("company")
    result = first_purchases(plan)
    first = result.steps[0]
    assert first.what == "owned" and first.cost == 0.0 and not first.buy
    assert not any(one.id.startswith("owned:") for step in result.steps for one in step.buy)


def test_an_interrupted_search_gives_the_steps_found(demo):
    plan, _ = demo("training_ground")

    def stop_at_steps(done, total, what):
        if done == 3:
            raise KeyboardInterrupt

    result = first_purchases(plan, 4800.0, progress=stop_at_steps)
    assert not result.complete and result.steps and not result.remedies
