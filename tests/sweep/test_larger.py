"""Kits for larger pieces: each is the planner's own, and carries what a sweep of that kit says it carries."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from recommender.cli.commands import commands
from recommender.kit.planning import plan_kit
from recommender.report.larger_text import first_to_carry, larger_text
from recommender.sweep.kits import JudgedKit, kit_of
from recommender.sweep.larger import PERCENTS, LargerResult, TooLarge, larger_kits, larger_plan
from recommender.sweep.running import sweep
from recommender.sweep.settings import SweepSettings
from recommender.work.cases import piece_mass
from recommender.work.plan import Plan

SETTINGS = SweepSettings(draws=30, cheapest_kits=False)
PLAN = Path(__file__).parents[2] / "demo_catalog" / "training_ground"


@pytest.fixture(scope="module")
def found(plan: Plan) -> LargerResult:
    return larger_kits(plan, SETTINGS)


def test_each_kit_is_judged_as_a_sweep_judges_it(plan: Plan, kit: JudgedKit, found: LargerResult) -> None:
    assert [one.percent for one in found.kits] == list(PERCENTS) and found.draws == SETTINGS.draws
    assert found.kits[0].items == dict(kit.pieces)
    for one in found.kits:
        judged = sweep(plan, SETTINGS, kit=JudgedKit("", one.items), processes=1)
        assert one.coverage == judged.coverage


def test_each_kit_is_the_cheapest_for_larger_pieces_and_carries_smaller_ones(
    plan: Plan, found: LargerResult
) -> None:
    costs = [one.purchase_cost for one in found.kits]
    assert None not in costs and costs == sorted(costs)  # type: ignore[type-var]
    for one in (found.kits[2], found.kits[-1]):
        result = plan_kit(larger_plan(plan, one.percent))
        assert (kit_of(result).pieces, result.purchase_cost) == (one.items, one.purchase_cost)


def test_room_for_larger_pieces_carries_more_seasons(found: LargerResult) -> None:
    shares = [one.coverage.probability for one in found.kits if one.coverage is not None]
    assert shares[0] < 0.5 < shares[-1]
    first = first_to_carry(found.kits, 0.5)
    assert first is not None and first.coverage is not None and first.coverage.probability >= 0.5
    cheaper = [one for one in found.kits if (one.gear_cost or 0.0) < (first.gear_cost or 0.0)]
    assert all(one.coverage is not None and one.coverage.probability < 0.5 for one in cheaper)
    assert first_to_carry(found.kits, 1.1) is None


def test_larger_is_longer_and_thicker_by_the_share_and_says_so(plan: Plan) -> None:
    larger = larger_plan(plan, 10)
    for before, after in zip(plan.jobs, larger.jobs, strict=True):
        assert (after.length, after.diameter) == pytest.approx((1.1 * before.length, 1.1 * before.diameter))
        assert piece_mass(after).design == pytest.approx(1.331 * piece_mass(before).design, rel=0.03)
    note = "Planned for pieces 10 % larger in diameter and in length than stated, 33 % heavier."
    assert note in plan_kit(larger).notes
    assert larger_plan(plan, 0) is plan


def test_sizes_beyond_the_table_and_beyond_the_catalogue_are_named(plan: Plan) -> None:
    odd = plan.jobs[0].model_copy(update={"diameter": 2.9})
    with pytest.raises(TooLarge, match=f"5 % larger, '{odd.job}' would leave the limits"):
        larger_plan(replace(plan, jobs=(odd,)), 5)
    heavy = plan.jobs[0].model_copy(update={"diameter": 1.0, "length": 6.0, "length_high": 6.0})
    none = larger_kits(replace(plan, jobs=(heavy,)), SETTINGS.model_copy(update={"draws": 2}))
    assert all(one.beyond == (heavy.job,) and one.coverage is None for one in none.kits)
    text = " ".join(larger_text(none).split())
    assert f"no kit: nothing carries {heavy.job}" in text and "no kit even for the sizes as stated" in text


def test_text_names_what_a_buyer_asks_for(found: LargerResult) -> None:
    text = " ".join(larger_text(found).split())
    first = first_to_carry(found.kits, 0.5)
    assert first is not None and first.gear_cost is not None and found.kits[0].gear_cost is not None
    more = f"{first.gear_cost - found.kits[0].gear_cost:,.2f}"
    assert (
        f"50 % of the seasons or more: the kit for pieces {first.percent:g} % larger, EUR {more} more" in text
    )
    assert all(caution in text for caution in found.cautions)


def test_stopped_early_it_says_what_is_known(plan: Plan) -> None:
    def stop_at(count: int) -> LargerResult:
        def progress(done: int, total: int) -> None:
            assert total == len(PERCENTS) + SETTINGS.draws
            if done == count:
                raise KeyboardInterrupt

        return larger_kits(plan, SETTINGS, progress=progress)

    within_kits, within_draws = stop_at(2), stop_at(len(PERCENTS) + 5)
    assert (len(within_kits.kits), within_kits.draws) == (2, 0)
    assert all(one.coverage is None for one in within_kits.kits)
    assert within_draws.draws == 5 and all(one.coverage is not None for one in within_draws.kits)
    assert "by 0 seasons" in " ".join(larger_text(within_kits).split())


def test_commands() -> None:
    def run(*arguments: object) -> str:
        result = CliRunner().invoke(commands, [str(one) for one in arguments], prog_name="kitplan")
        assert result.exit_code == 0, result.output
        return result.stdout

    read = LargerResult.model_validate_json(run("sweep", PLAN, "--larger", "--draws", 2, "--json", "-"))
    assert read.draws == 2
    fifteen = next(one for one in read.kits if one.percent == 15)
    assert f"{fifteen.purchase_cost:,.2f}" in run("plan", PLAN, "--larger", 15)
    too_large = CliRunner().invoke(commands, ["plan", str(PLAN), "--larger", "100"])
    assert too_large.exit_code in (1, 2) and "Traceback" not in too_large.output
