"""Why items are in the kit and what job types add: every answer is asked again of the planner itself."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from recommender.explain.reasons import LONGER, MORE_RUN, explain
from recommender.explain.swaps import ALIKE
from recommender.kit.cover import covered_cases
from recommender.kit.diagnosis import shortened
from recommender.kit.planning import plan_kit, prepare

NAMES = ["new_owner", "company", "training_ground"]


@pytest.fixture(scope="module")
def why(demo):
    """The reasons for the whole kit of an invented plan, asked once."""

    @cache
    def answer(name):
        plan, best = demo(name)
        return explain(plan, best)

    return answer


def test_what_hangs_otherwise_than_beside_it_is_told_of_crews_at_work_at_once(demo, why):
    plan, best = demo("company")
    problem = prepare(plan).problem
    position = {id: k for k, id in enumerate(problem.item_ids)}
    told = [
        one for item in why("company").items for one in [item.next_cheaper] if one and ALIKE in one.misfit
    ]
    assert [(one.id, one.part) for one in told] == [("PB-XS", "brake")]
    swapped = best.pieces.copy()
    swapped[position["PB-S"]] -= 1
    for more in ("PB-XS", "SH-13"):
        swapped[position[more]] += 1
    lost = {problem.case_names[k] for k in np.flatnonzero(~covered_cases(problem, swapped))}
    assert lost == set(told[0].jobs)


@pytest.mark.parametrize("name", NAMES)
def test_every_bought_item_is_needed_and_no_cheaper_one_would_do(demo, why, name):
    plan, best = demo(name)
    problem = prepare(plan).problem
    position = {id: k for k, id in enumerate(problem.item_ids)}
    result = why(name)
    assert result.complete and result.proven
    assert {item.id for item in result.items} == {problem.item_ids[k] for k in np.flatnonzero(best.pieces)}
    for item in result.items:
        if item.for_crew:
            assert item.table == "extras"
            continue
        assert item.owned or item.forced_by
        without = best.pieces.copy()
        without[position[item.id]] = 0
        covered = covered_cases(problem, without)
        assert set(item.forced_by) == {problem.case_names[k] for k in np.flatnonzero(~covered)}
        for cheaper in (item.next_cheaper, item.nearest):
            if cheaper is None:
                continue
            swapped = best.pieces.copy()
            swapped[position[item.id]] -= 1
            swapped[position[cheaper.id]] += 1
            lost = {problem.case_names[k] for k in np.flatnonzero(~covered_cases(problem, swapped))}
            assert cheaper.jobs and set(cheaper.jobs) == lost
            assert cheaper.unit_price < item.unit_price
            assert (cheaper.utilisation is None) != (cheaper.misfit == "")
            assert cheaper.utilisation is None or cheaper.utilisation > 1


@pytest.mark.parametrize("name", NAMES)
def test_the_next_cheaper_item_is_the_dearest_of_the_cheaper_ones(demo, why, name):
    plan, best = demo(name)
    prepared = prepare(plan)
    kit = {prepared.problem.item_ids[k]: int(n) for k, n in enumerate(best.pieces)}
    for item in why(name).items:
        cheaper = [
            one.price / 100 for one in prepared.fits.items
            if one.table == item.table and one.price < round(100 * item.unit_price) and kit[one.id] < one.limit
        ]  # fmt: skip
        if item.next_cheaper is not None:
            assert item.next_cheaper.unit_price == max(cheaper)
        elif not item.for_crew and not item.owned:
            assert not cheaper


def test_what_a_job_type_adds_is_what_planning_without_it_saves(demo, why):
    plan, best = demo("training_ground")
    for reason in why("training_ground").jobs:
        rest = replace(plan, jobs=tuple(job for job in plan.jobs if job.job != reason.job))
        assert reason.adds == pytest.approx(best.cost / 100 - plan_kit(rest).purchase_cost)
        assert reason.adds == pytest.approx(-sum(one.price for one in reason.without))


def test_what_a_change_costs_is_what_planning_with_it_costs(demo, why):
    plan, best = demo("training_ground")
    for number, reason in enumerate(why("training_ground").jobs):
        job = plan.jobs[number]
        changed = [shortened(job, LONGER)]
        if job.technique == "catch":
            changed.append(job.model_copy(update={"run": job.run + MORE_RUN}))
        if job.slack:
            changed.append(job.model_copy(update={"slack": 0.0}))
        assert len(changed) == len(reason.what_ifs)
        for other, what_if in zip(changed, reason.what_ifs, strict=True):
            jobs = (*plan.jobs[:number], other, *plan.jobs[number + 1 :])
            result = plan_kit(replace(plan, jobs=jobs))
            if result.status == "no kit":
                assert what_if.cost_change is None
                continue
            assert what_if.cost_change == pytest.approx(result.purchase_cost - best.cost / 100)
            if what_if.items:
                assert sum(one.price for one in what_if.items) == pytest.approx(what_if.cost_change)


def test_more_run_never_costs_more_and_longer_pieces_never_less(why):
    """A running catch is softer and a longer piece heavier: see the force formulas."""
    for name in NAMES:
        for reason in why(name).jobs:
            for what_if in reason.what_ifs:
                if what_if.cost_change is None:
                    continue
                longer = what_if.change.startswith("pieces")
                assert what_if.cost_change >= 0 if longer else what_if.cost_change <= 0


def test_one_named_item_says_what_a_kit_without_it_costs(demo):
    plan, best = demo("training_ground")
    problem = prepare(plan).problem
    item = problem.item_ids.index("PB-S")
    assert best.pieces[item]
    (reason,) = explain(plan, best, items=[item]).items
    kept = tuple(row for row in plan.catalogue.brakes if row.id != "PB-S")
    rest = plan_kit(
        replace(plan, catalogue=plan.catalogue.__class__(**{**_parts(plan.catalogue), "brakes": kept}))
    )
    assert reason.saves == pytest.approx(rest.purchase_cost - best.cost / 100)


def _parts(catalogue):
    return {**catalogue.tables(), "currency": catalogue.currency}


def test_the_new_owner_can_save_on_the_short_rope_by_letting_it_run(why):
    """The rope for low, heavy butt logs is the one that a longer run or less slack makes lighter (common practice)."""
    jobs = {one.job: one for one in why("new_owner").jobs}
    butts = jobs["pine butt logs"]
    assert butts.adds > 0
    changes = {what_if.change: what_if.cost_change for what_if in butts.what_ifs}
    softer = [change for name, change in changes.items() if "run" in name or "slack" in name]
    assert len(softer) == 2 and all(change is not None and change < 0 for change in softer)


def test_an_interrupted_search_gives_the_reasons_found(demo):
    plan, best = demo("training_ground")

    def stop_after_two(done, total, what):
        if done == 2:
            raise KeyboardInterrupt

    result = explain(plan, best, progress=stop_after_two)
    assert not result.complete and len(result.items) == 2 and not result.jobs
