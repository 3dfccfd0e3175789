"""The stories that README.md tells of three people: what it says is asked again in other ways, or worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
import scenarios

from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.report.larger_text import first_to_carry
from recommender.sweep.larger import larger_plan
from recommender.work.plan import Plan

MINUTE = 1 / 60
"""Of an hour."""


def without_extras(plan: Plan) -> Plan:
    return replace(plan, settings=plan.settings.model_copy(update={"extras": False}))


def gear_for(plan: Plan, jobs: set[str]) -> KitResult:
    """The cheapest rigging gear for some job types, checked once more."""
    chosen = without_extras(replace(plan, jobs=tuple(job for job in plan.jobs if job.job in jobs)))
    result = plan_kit(chosen)
    assert result.status == "planned" and not check_kit(chosen, result)
    return result


def test_the_new_owner_buys_first_what_covers_most_for_a_small_sum() -> None:
    """Planned anew: what is covered costs what is said, and no job type more is to be had for the sum."""
    plan, _ = scenarios.demo("new_owner")
    found = scenarios.first_with_a_small_sum()
    assert found.spend == scenarios.SMALL_SUM
    covered = {job for step in found.steps if step.within_sum for job in step.new_jobs}
    share = {job.job: job.share for job in plan.jobs}
    assert found.share == pytest.approx(sum(share[job] for job in covered))
    assert gear_for(plan, covered).purchase_cost == found.cost <= found.spend
    left = set(share) - covered
    assert left == {drop.job for drop in found.drops}
    for job in left:
        more = gear_for(plan, covered | {job}).purchase_cost
        assert found.next_gain is not None and more >= found.next_gain.cost > found.spend
    everything = gear_for(plan, set(share)).purchase_cost
    assert everything == found.all_at_once
    assert found.remedies[-1].kind == "money"
    assert found.remedies[-1].change == f"spend EUR {everything - found.spend:.2f} more"


def test_the_new_owner_pays_for_room_for_larger_pieces() -> None:
    """Seasons with larger pieces than stated, and kits for them: dearer ones carry far more."""
    plan, result = scenarios.demo("new_owner")
    found = scenarios.room_for_larger_pieces()
    stated, first = found.kits[0], first_to_carry(found.kits, 0.9)
    assert stated.purchase_cost == result.purchase_cost
    assert first is not None and first.coverage is not None and stated.coverage is not None
    assert stated.coverage.high < first.coverage.low, "apart by more than chance"
    again = plan_kit(larger_plan(plan, first.percent))
    assert again.purchase_cost == first.purchase_cost
    assert not check_kit(larger_plan(plan, first.percent), again)


def test_the_company_buys_by_season_and_cuts_smaller_until_then() -> None:
    """Budgets are kept, extra cuts cost minutes times rate, and what was cut is whole once its rope is bought."""
    plan, result = scenarios.demo("company")
    found = scenarios.company_seasons()
    first, second = found.seasons[:2]
    for season in found.seasons:
        paid = sum(one.quantity * one.unit_price for one in season.purchases)
        assert season.purchase_cost == pytest.approx(paid, abs=0.01)
        assert season.budget is None or paid <= season.budget
    rows = {job.job: job for job in plan.jobs}
    rate = plan.settings.money.crew_rate
    cut = {job.job: job for job in first.jobs if job.pieces_of_each > 1}
    for name, job in cut.items():
        row = rows[name]
        pieces = plan.settings.pieces_per_season * row.share
        hours = pieces * (job.pieces_of_each - 1) * row.cut_minutes * MINUTE
        assert job.pieces == pytest.approx(pieces)
        assert job.crew_cost == pytest.approx(hours * rate)
        whole = row.length_high or row.length
        assert job.longest_piece_m == pytest.approx(whole / job.pieces_of_each)
        later = next(one for one in second.jobs if one.job == name)
        assert later.pieces_of_each == 1 and later.longest_piece_m == pytest.approx(whole)
        strong = {one.id for one in second.purchases if one.table == "ropes"}
        assert later.setup is not None and later.setup.parts["line"] in strong, (
            "the rope that was bought for it"
        )
    assert result.purchase_cost > (first.budget or 0.0), "or nothing would have to be cut"


def test_the_trainer_shows_that_a_stiff_rope_makes_the_same_log_harder() -> None:
    """The same log, once on the kit's rope and once on the thick one only, both with gear that carries it."""
    plan, result = scenarios.demo("training_ground")
    thick = next(rope for rope in plan.catalogue.ropes if rope.id == "DB16-30")
    only = replace(plan, catalogue=replace(plan.catalogue, ropes=(thick,)))
    other = plan_kit(only)
    assert not check_kit(plan, result) and not check_kit(only, other)
    soft, stiff = (
        next(one for one in kit.assignments if one.job == "birch logs caught") for kit in (result, other)
    )
    rope = next(one.rope for one in plan.catalogue.rope_lengths if one.id == soft.parts["line"])
    assert rope.diameter < thick.diameter and rope.min_break < thick.min_break
    assert soft.piece_mass_kg == stiff.piece_mass_kg
    assert soft.line_tension_n == pytest.approx(stiff.line_tension_n, rel=0.02), (
        "while it runs, the brake decides"
    )
    for state in ("line_tension_jam_n", "redirect_reaction_jam_n", "brake_tension_jam_n"):
        assert getattr(soft, state) < getattr(stiff, state)
    assert other.purchase_cost > result.purchase_cost
