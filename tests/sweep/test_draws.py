"""What is drawn: the stated distributions, within the limits of the tables, told by seed and number alone."""

from __future__ import annotations

from dataclasses import replace
from math import log, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from pydantic import ValidationError

from recommender.kit.stock import stock
from recommender.sweep.draws import (
    Aspect,
    Season,
    draw_season,
    drawn_means,
    drawn_pieces,
    drawn_prices,
    drawn_sizes,
    resized,
    stream,
)
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan
from recommender.work.tables import JobType, OwnedGear

NORMAL = NormalDist()
MANY = 3000


def season(plan: Plan, number: int, **settings: object) -> Season:
    items, _ = stock(plan.catalogue, plan.owned, plan.policy)
    return draw_season(plan, items, SweepSettings.model_validate(settings), number)


def test_a_draw_is_told_by_seed_and_number(plan: Plan) -> None:
    first, again, next_one, other = (season(plan, *one) for one in ((3,), (3,), (4,), (3,)))
    assert first.jobs == again.jobs and np.array_equal(first.price, again.price)
    assert first.jobs != next_one.jobs and not np.array_equal(first.price, next_one.price)
    assert season(plan, 3, seed=2).jobs != other.jobs


def test_spread_of_one_aspect_leaves_the_others(plan: Plan) -> None:
    drawn, cheaper = season(plan, 5, pieces="expected"), season(plan, 5, pieces="expected", price_percent=0)
    assert drawn.jobs == cheaper.jobs
    same_sizes = season(plan, 5, pieces="expected", share_percent=0)
    assert [job.diameter for job in drawn.jobs] == [job.diameter for job in same_sizes.jobs]
    assert np.array_equal(drawn.price, same_sizes.price)


def test_no_spread_is_the_plan_itself(plan: Plan) -> None:
    drawn = season(plan, 9, size_percent=0, share_percent=0, price_percent=0, pieces="expected")
    items, _ = stock(plan.catalogue, plan.owned, plan.policy)
    assert drawn.price.tolist() == [item.price for item in items]
    assert [job.model_copy(update={"pieces_per_season": None}) for job in drawn.jobs] == list(plan.jobs)
    expected = [plan.settings.pieces_per_season * job.share for job in plan.jobs]
    assert [job.pieces_per_season for job in drawn.jobs] == pytest.approx(expected)


def test_sizes_are_log_normal_around_the_plan(plan: Plan) -> None:
    """Median 1 and ln(1.1) as deviation of the logarithm, across and along apart from each other (the definition)."""
    job, rng = plan.jobs[0], stream(1, 1, Aspect.SIZES)
    drawn = [drawn_sizes(job, 10.0, rng) for _ in range(MANY)]
    across = np.log([one.diameter / job.diameter for one in drawn])
    along = np.log([one.length / job.length for one in drawn])
    for values in (across, along):
        assert values.mean() == pytest.approx(0.0, abs=4 * log(1.1) / sqrt(MANY))
        assert values.std() == pytest.approx(log(1.1), rel=4 / sqrt(2 * MANY))
    assert abs(np.corrcoef(across, along)[0, 1]) < 4 / sqrt(MANY)
    stems = np.log([one.stem_at_brake / job.stem_at_brake for one in drawn])
    assert stems == pytest.approx(across)


def test_a_stated_mass_goes_with_the_volume(plan: Plan) -> None:
    job = plan.jobs[0].model_copy(update={"mass": 40.0, "mass_high": 60.0, "length_high": 2.0})
    grown = resized(job, 1.1, 1.2)
    assert (grown.mass, grown.mass_high) == pytest.approx((40 * 1.21 * 1.2, 60 * 1.21 * 1.2))
    assert (grown.length, grown.length_high, grown.diameter) == pytest.approx((1.44, 2.4, 0.22))
    assert (grown.slack, grown.rigging_height, grown.small_diameter) == (job.slack, job.rigging_height, None)


def test_sizes_are_cut_off_at_the_limits_and_not_pushed_to_them(plan: Plan) -> None:
    """Lengths up to 30 m: the share below the usual length is that of the normal distribution cut off there."""
    job, rng = plan.jobs[0].model_copy(update={"length": 28.0}), stream(2, 1, Aspect.SIZES)
    lengths = np.array([drawn_sizes(job, 20.0, rng).length for _ in range(MANY)])
    assert lengths.max() < 30.0 and np.unique(lengths).size == MANY
    share = NORMAL.cdf(0.0) / NORMAL.cdf(log(30 / 28) / log(1.2))
    assert (lengths < 28.0).mean() == pytest.approx(share, abs=4 * sqrt(share * (1 - share) / MANY))


def test_a_job_type_that_can_not_be_drawn_is_named(plan: Plan) -> None:
    odd = plan.jobs[0].model_copy(update={"length": 1e4})
    with pytest.raises(ValueError, match=r"size_percent = 0\.1.*hung logs, lowered"):
        drawn_sizes(odd, 0.1, stream(1, 1, Aspect.SIZES))
    with pytest.raises(ValueError, match="number"):
        season(plan, 0)


def test_shares_keep_their_sum_and_stated_pieces_their_own_middle(plan: Plan) -> None:
    jobs = [*plan.jobs, plan.jobs[0].model_copy(update={"pieces_per_season": 50.0})]
    rng = stream(1, 1, Aspect.SHARES)
    drawn = np.array([drawn_means(jobs, 300.0, 20.0, rng) for _ in range(MANY)])
    assert drawn[:, :3].sum(axis=1) == pytest.approx(300.0 * sum(job.share for job in plan.jobs))
    assert np.log(drawn[:, 3] / 50.0).std() == pytest.approx(log(1.2), rel=4 / sqrt(2 * MANY))
    ratio = np.log(drawn[:, 0] / drawn[:, 1])
    assert ratio.mean() == pytest.approx(
        log(jobs[0].share / jobs[1].share), abs=4 * log(1.2) * sqrt(2 / MANY)
    )


def test_ways_of_counting_pieces() -> None:
    means = np.array([4.0, 90.0, 0.0])
    rng = np.random.default_rng(1)
    counts = np.array([drawn_pieces(means, "poisson", rng) for _ in range(MANY)])
    assert counts.mean(axis=0) == pytest.approx(means, abs=4 * sqrt(90 / MANY))
    assert counts.var(axis=0)[:2] == pytest.approx(means[:2], rel=0.15)
    dealt = np.array([drawn_pieces(means, "multinomial", rng) for _ in range(MANY)])
    assert (dealt.sum(axis=1) == 94).all() and (dealt[:, 2] == 0).all()
    assert dealt[:, 0].mean() == pytest.approx(4.0, abs=4 * sqrt(4 / MANY))
    assert drawn_pieces(means, "expected", rng).tolist() == means.tolist()


def test_job_types_without_pieces_are_not_in_the_season(plan: Plan) -> None:
    rare = replace(plan, settings=plan.settings.model_copy(update={"pieces_per_season": 2.0}))
    drawn = [season(rare, number) for number in range(1, 60)]
    assert {len(one.jobs) for one in drawn} == {0, 1, 2, 3}
    assert all(float(job.pieces_per_season or 0).is_integer() for one in drawn for job in one.jobs)


def test_prices_spread_by_row_of_the_catalogue(plan: Plan) -> None:
    owned = OwnedGear(item=plan.catalogue.brakes[0].id, count=2)
    items, _ = stock(plan.catalogue, [owned], plan.policy)
    price = drawn_prices(items, 10.0, np.random.default_rng(1))
    by_row: dict[str, list[float]] = {}
    for item, drawn in zip(items, price.tolist(), strict=True):
        if item.owned:
            assert drawn == 0
        else:
            by_row.setdefault(item.gear.id, []).append(drawn / item.price if item.price else 1.0)
    assert max(map(len, by_row.values())) > 1, "a rope in several lengths"
    for ratios in by_row.values():
        assert ratios == pytest.approx([ratios[0]] * len(ratios), rel=1e-3)
    middle = np.log([ratios[0] for ratios in by_row.values()])
    assert middle.std() == pytest.approx(log(1.1), rel=4 / sqrt(2 * len(middle)))


def test_settings_refuse_what_makes_no_sense() -> None:
    for wrong in ({"draws": 0}, {"size_percent": -1}, {"size_percent": 51}, {"pieces": "many"}, {"seeds": 1}):
        with pytest.raises(ValidationError):
            SweepSettings.model_validate(wrong)


def test_job_types_stay_whole(plan: Plan) -> None:
    assert all(isinstance(job, JobType) for job in season(plan, 1).jobs)
