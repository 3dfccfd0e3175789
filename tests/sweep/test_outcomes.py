"""What comes of a draw, against fresh plans, a known probability, and larger kits."""

from __future__ import annotations

from dataclasses import replace
from math import log, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from recommender.kit.cover import covered_cases
from recommender.kit.fits import Fits
from recommender.kit.planning import plan_kit, prepare
from recommender.kit.solve import solve
from recommender.loads import Demands
from recommender.sweep.draws import season_plan
from recommender.sweep.kits import JudgedKit, NoKitToJudge, UnfitKit, cheapest_kit, kit_of, owned_kit
from recommender.sweep.outcomes import SeasonJudge
from recommender.sweep.running import outcome_of, sweep
from recommender.sweep.settings import SweepSettings
from recommender.work.cases import load_cases
from recommender.work.plan import Plan
from recommender.work.tables import OwnedGear

ONLY_JUDGE = SweepSettings(cheapest_kits=False)


@pytest.mark.parametrize("number", range(1, 6))
def test_costs_are_those_of_planning_the_season_by_itself(plan: Plan, kit: JudgedKit, number: int) -> None:
    settings = SweepSettings(price_percent=0, size_percent=25)
    judge = SeasonJudge(plan, settings, kit)
    outcome = judge.outcome(number)
    drawn = season_plan(plan, judge.season(number))
    fresh = plan_kit(drawn)  # with its independent check
    assert (outcome.status, outcome.cost) == (fresh.status, fresh.purchase_cost if fresh.items else None)
    if fresh.items:
        mass = {item.id: item.mass for item in judge.prepared.fits.items}
        assert sum(mass[item] * count for item, count in outcome.items.items()) / 1000 == pytest.approx(
            fresh.mass_kg
        )
        assert len(outcome.items) == len(fresh.items)
    assert outcome.beyond == tuple(one.job for one in fresh.uncovered)
    prepared = prepare(drawn)
    covered = covered_cases(prepared.problem, kit.counts(prepared.fits.items))
    assert outcome.failed == tuple(job.job for job, fits in zip(drawn.jobs, covered, strict=True) if not fits)
    assert outcome.pieces == {job.job: job.pieces_per_season for job in drawn.jobs}


def test_drawn_prices_decide_the_cost(plan: Plan, kit: JudgedKit) -> None:
    judge = SeasonJudge(plan, SweepSettings(size_percent=0, pieces="expected"), kit)
    for number in (1, 2):
        problem = replace(prepare(plan).problem, price=judge.season(number).price)
        assert round(100 * (judge.outcome(number).cost or 0)) == solve(problem).cost


def test_a_season_beyond_the_catalogue_has_no_kit(plan: Plan, kit: JudgedKit) -> None:
    heavy = plan.jobs[0].model_copy(update={"mass": 5e4, "mass_high": 6e4})
    outcome = outcome_of(replace(plan, jobs=(heavy, *plan.jobs[1:])), SweepSettings(size_percent=0), 1, kit)
    assert (outcome.status, outcome.cost, outcome.items) == ("no kit", None, {})
    assert outcome.beyond == outcome.failed == (heavy.job,)


def test_the_judge_covers_alike_with_and_without_looking_for_kits(plan: Plan, kit: JudgedKit) -> None:
    both = [SeasonJudge(plan, settings, kit) for settings in (SweepSettings(), ONLY_JUDGE)]
    for number in range(1, 6):
        with_kits, without = (judge.outcome(number) for judge in both)
        assert (with_kits.pieces, with_kits.failed) == (without.pieces, without.failed)
        assert (without.status, without.cost, without.items) == (None, None, {})


def test_probability_where_it_is_known(plan: Plan) -> None:
    """One job type of stated mass, lowered without slack: covered up to a mass that is found by halving.

    The mass is log-normal: across squared times along gives a deviation of sqrt(5) * ln(1.1).
    """
    stems = {"stem_at_redirect": 0.19, "stem_at_brake": 0.19}
    job = plan.jobs[0].model_copy(update={"mass": 50.0, "mass_high": 50.0, **stems})
    one = replace(plan, jobs=(job,))
    kit = cheapest_kit(one)
    settings = ONLY_JUDGE.model_copy(update={"size_percent": 0})
    low, high = 50.0, 500.0
    while high - low > 0.01:
        middle = (low + high) / 2
        heavier = job.model_copy(update={"mass": middle, "mass_high": middle})
        covered = outcome_of(replace(one, jobs=(heavier,)), settings, 1, kit).covered
        low, high = (middle, high) if covered else (low, middle)
    for across in (0.62, 1.6):  # stems five deviations off are no obstacle for this kit
        other = job.model_copy(update={name: across * size for name, size in stems.items()})
        assert outcome_of(replace(one, jobs=(other,)), settings, 1, kit).covered
    usual = low / 1.12  # so that the probability is not near 0 or 1
    job = job.model_copy(update={"mass": usual, "mass_high": usual})
    known = NormalDist().cdf(log(low / usual) / (sqrt(5) * log(1.1)))
    assert 0.6 < known < 0.8
    draws = 600
    result = sweep(
        replace(one, jobs=(job,)),
        ONLY_JUDGE.model_copy(update={"draws": draws}),
        kit=kit,
        processes=1,
    )
    assert result.coverage is not None
    assert result.coverage.probability == pytest.approx(known, abs=3 * sqrt(known * (1 - known) / draws))
    assert result.coverage.low <= known <= result.coverage.high


def test_without_any_spread_the_plan_s_kit_always_does(plan: Plan, kit: JudgedKit) -> None:
    settings = SweepSettings(draws=8, size_percent=0, share_percent=0, price_percent=0, pieces="expected")
    result = sweep(plan, settings, kit=kit, processes=1)
    assert result.coverage is not None and result.costs is not None
    assert (result.coverage.probability, result.coverage.share_of_pieces) == (1.0, 1.0)
    cost = plan_kit(plan).purchase_cost
    assert (result.costs.lowest, result.costs.highest, result.costs.mean) == pytest.approx((cost, cost, cost))
    assert {item.id: item.most_pieces for item in result.items} == dict(kit.pieces)
    assert all(item.share == 1.0 and item.mean_pieces == item.judged for item in result.items)


def _failed(plan: Plan, kit: JudgedKit) -> list[set[str]]:
    judge = SeasonJudge(plan, ONLY_JUDGE, kit)
    return [set(judge.outcome(number).failed) for number in range(1, 26)]


def test_a_larger_kit_never_covers_less(plan: Plan, kit: JudgedKit) -> None:
    items = prepare(plan).fits.items
    rng = np.random.default_rng(5)
    small = dict(kit.pieces)
    before = _failed(plan, kit)
    gained = 0
    for _ in range(3):
        more = rng.choice(len(items), size=15, replace=False)
        small |= {items[k].id: small.get(items[k].id, 0) + 1 for k in more}
        after = _failed(plan, JudgedKit("larger", small))
        for failed, still in zip(before, after, strict=True):
            assert still <= failed
            gained += len(failed) - len(still)
        before = after
    assert gained > 0, "no kit was larger in what matters: the test shows nothing"


def _same(some: Demands, others: Demands) -> bool:
    return all(
        np.array_equal(getattr(some, name), getattr(others, name)) for name in Demands.__dataclass_fields__
    )


def test_other_cases_for_the_same_gear(plan: Plan, kit: JudgedKit) -> None:
    """Ratings that are kept give the same ways as ratings worked out anew, for techniques known and new."""
    fits = prepare(plan).fits
    fits.rate_all()
    judge = SeasonJudge(plan, SweepSettings(), kit)
    line = plan.settings.line
    drawn = load_cases(judge.season(2).jobs, line, 300)
    lifted = load_cases(
        [plan.jobs[0].model_copy(update={"technique": "lift", "lift_height": 1.0, "wet": False})], line, 300
    )
    for cases in (drawn, drawn[1:], (*lifted, *drawn), ()):
        kept = fits.with_cases(cases)
        fresh = Fits(cases, fits.items, fits.policy, fits.crew)
        assert kept.cases == fresh.cases and _same(kept.demands, fresh.demands)
        some, others = (
            one.restricted(np.arange(len(cases)), np.ones(len(fits.items), dtype=bool))
            for one in (kept, fresh)
        )
        assert np.array_equal(some.case, others.case) and np.array_equal(some.needs, others.needs)
    assert fits.with_cases(drawn).redirects is fits.redirects, "ratings were worked out again"


def test_kits_to_judge(plan: Plan, kit: JudgedKit) -> None:
    items = prepare(plan).fits.items
    assert kit_of(plan_kit(plan)).pieces == kit.pieces
    with pytest.raises(NoKitToJudge, match="no owned gear"):
        owned_kit(plan)
    brake = plan.catalogue.brakes[0].id
    some = replace(plan, owned=(OwnedGear(item=brake, count=2), OwnedGear(item=brake, condition="worn")))
    assert owned_kit(some).pieces == {f"owned:{brake}": 2}
    with pytest.raises(UnfitKit, match=f"more pieces than are owned of owned:{brake}"):
        JudgedKit("", {f"owned:{brake}": 3}).counts(prepare(some).fits.items)
    with pytest.raises(UnfitKit, match="no item nothing"):
        JudgedKit("", {"nothing": 1}).counts(items)
    beyond = plan.jobs[0].model_copy(update={"mass": 5e4, "mass_high": 6e4})
    with pytest.raises(NoKitToJudge, match="no kit covers"):
        cheapest_kit(replace(plan, jobs=(beyond,)))
