"""Cost against the largest piece: every step is planned again on both of its sides."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from recommender.explain.curve import HIGH, LOW, CostCurve, cost_curve
from recommender.kit.diagnosis import shortened
from recommender.kit.planning import plan_kit


def planned(plan, jobs, scale):
    """The cost of the plan with some job types made larger or smaller, None without a kit."""
    changed = tuple(shortened(job, scale) if job.job in jobs else job for job in plan.jobs)
    result = plan_kit(replace(plan, jobs=changed))
    return None if result.status == "no kit" else result.purchase_cost


@pytest.mark.parametrize("job", [None, 5])
def test_both_sides_of_every_step_cost_what_planning_says(demo, job):
    plan, best = demo("training_ground")
    curve = cost_curve(plan, None if job is None else [job], resolution=0.02)
    assert curve.complete and curve.proven and curve.purchase_cost == best.cost / 100
    assert curve.steps[0].from_scale == LOW and curve.steps[-1].to_scale == pytest.approx(HIGH)
    for step in curve.steps:
        assert planned(plan, curve.jobs, step.from_scale) == step.purchase_cost
        assert planned(plan, curve.jobs, step.to_scale) == step.purchase_cost
    for before, after in pairwise(curve.steps):
        assert before.next_from_scale == after.from_scale
        assert 0 < after.from_scale - before.to_scale <= 0.02
        if before.purchase_cost is None:
            assert after.purchase_cost is None
            continue
        if after.purchase_cost is not None:
            assert before.purchase_cost < after.purchase_cost
            changed = sum(one.price for one in after.changes)
            assert changed == pytest.approx(after.purchase_cost - before.purchase_cost)


def test_all_lowered_job_types_change_together(demo):
    plan, _ = demo("training_ground")
    curve = cost_curve(plan, resolution=0.1)
    assert curve.jobs == tuple(job.job for job in plan.jobs if job.technique == "lower")
    longest = max(job.length_high or job.length for job in plan.jobs if job.technique == "lower")
    assert curve.steps[-1].largest_length_m == pytest.approx(longest * HIGH)


def test_a_larger_catch_ends_where_nothing_carries_it(demo):
    """Low and heavy butt logs twice as long: more than anything in the invented catalogue stops."""
    plan, _ = demo("new_owner")
    position = next(k for k, job in enumerate(plan.jobs) if job.job == "pine butt logs")
    curve = CostCurve(plan, [position])
    curve.look([0.5, 1.0, 2.0])
    costs = [step.purchase_cost for step in curve.steps()]
    assert costs[-1] is None and costs[:-1] == sorted(costs[:-1]) and len(costs) == 3


def test_no_resolution_is_refused(demo):
    plan, _ = demo("training_ground")
    with pytest.raises(ValueError, match="resolution must be above 0, not 0"):
        cost_curve(plan, resolution=0.0)


def test_an_interrupted_search_gives_the_sizes_found(demo):
    plan, _ = demo("training_ground")
    seen = []

    def stop_after_four(done, total, what):
        seen.append(what)
        if len(seen) == 4:
            raise KeyboardInterrupt

    curve = cost_curve(plan, progress=stop_after_four)
    assert not curve.complete and curve.steps
    assert curve.purchase_cost is not None
