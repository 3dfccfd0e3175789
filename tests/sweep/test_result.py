"""How draws are summed up, against figures worked out by hand and a published table."""

from __future__ import annotations

import pytest

from recommender.kit.result import CAUTIONS
from recommender.report.sweep_text import draw_text, sweep_text
from recommender.sweep.kits import JudgedKit
from recommender.sweep.outcomes import DrawOutcome, SeasonJudge
from recommender.sweep.result import SweepResult, costs, coverage, probability_bounds, summary
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan


@pytest.mark.parametrize(
    ("hits", "draws", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_bounds_of_a_probability(hits: int, draws: int, low: float, high: float) -> None:
    """Score method without continuity correction in table I of Newcombe, Statistics in Medicine 17 (1998) 857-872.

    The four rows are quoted from memory.
    """
    assert probability_bounds(hits, draws) == pytest.approx((low, high), abs=0.00005)
    other = probability_bounds(draws - hits, draws)
    assert other == pytest.approx((1 - high, 1 - low), abs=0.00005)


def test_bounds_need_draws() -> None:
    for hits, draws in ((0, 0), (-1, 5), (6, 5)):
        with pytest.raises(ValueError, match="hits"):
            probability_bounds(hits, draws)


def outcome(number: int, pieces: dict[str, float], *failed: str, cost: float | None = None) -> DrawOutcome:
    items = {} if cost is None else {"RO20": number}
    return DrawOutcome(
        number=number,
        pieces=pieces,
        failed=failed,
        cost=cost,
        items=items,
        status="planned" if items else "no kit",
    )


def test_coverage_by_hand() -> None:
    found = coverage(
        [
            outcome(1, {"a": 30, "b": 10}, "a"),
            outcome(2, {"a": 50}),
            outcome(3, {}),
            outcome(4, {"b": 10}, "b"),
        ]
    )
    assert (found.probability, found.share_of_pieces) == (0.5, 0.6)
    assert coverage([outcome(1, {})]).share_of_pieces == 1.0


def test_costs_by_hand() -> None:
    assert costs([]) is None
    found = costs([float(cost) for cost in range(100, 0, -1)])
    assert found is not None
    assert (found.draws, found.mean, found.lowest, found.highest) == (100, 50.5, 1.0, 100.0)
    assert {one.share: one.cost for one in found.at} == {
        0.05: 5.0, 0.25: 25.0, 0.5: 50.0, 0.75: 75.0, 0.9: 90.0, 0.95: 95.0,
    }  # fmt: skip
    assert [(one.low, one.high, one.draws) for one in found.bins] == [
        (0, 10, 9), *((low, low + 10, 10) for low in range(10, 100, 10)), (100, 110, 1),
    ]  # fmt: skip


def test_costs_that_are_all_the_same() -> None:
    found = costs([123.45] * 3)
    assert found is not None
    assert [(one.low, one.high, one.draws) for one in found.bins] == [(123.0, 124.0, 3)]
    assert {one.cost for one in found.at} == {123.45}


@pytest.fixture
def judge(plan: Plan, kit: JudgedKit) -> SeasonJudge:
    return SeasonJudge(plan, SweepSettings(draws=3), kit)


def test_items_and_job_types_by_hand(judge: SeasonJudge, plan: Plan) -> None:
    one, two, three = (job.job for job in plan.jobs)
    result = summary(
        judge,
        JudgedKit("a brake", {"PB-S": 1}),
        [
            outcome(1, {one: 5.0, two: 1.0}, one, two, cost=100.0),
            outcome(2, {one: 7.0}, one, cost=200.0),
            outcome(3, {one: 9.0, three: 2.0}).model_copy(update={"beyond": (three,), "failed": (three,)}),
        ],
    )
    assert (result.status, result.draws, result.without_kit, result.unproven) == ("done", 3, 1, 0)
    slings, brake = result.items
    assert (slings.id, slings.draws, slings.share, slings.mean_pieces, slings.most_pieces, slings.judged) == (
        "RO20", 2, 1.0, 1.5, 2, 0,
    )  # fmt: skip
    assert (brake.id, brake.draws, brake.mean_pieces, brake.judged) == ("PB-S", 0, 0.0, 1)
    found = {
        job.job: (job.draws, job.failed, job.broke_alone, job.beyond, job.pieces_failed)
        for job in result.jobs
    }
    assert found == {one: (3, 2, 1, 0, 12.0), two: (1, 1, 0, 0, 1.0), three: (1, 1, 1, 1, 2.0)}
    assert SweepResult.model_validate_json(result.model_dump_json()) == result


def test_text_says_what_the_result_says(judge: SeasonJudge, plan: Plan, kit: JudgedKit) -> None:
    outcomes = [judge.outcome(number) for number in (1, 2)]
    result = summary(judge, kit, outcomes)
    text = sweep_text(result)
    flat = " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 80
    assert flat.startswith(
        f"{plan.settings.name} {plan.settings.notice} 2 of 3 seasons drawn around the plan"
    )
    assert result.costs is not None and f"{result.costs.highest:,.2f}" in flat
    assert f"Judged: {kit.title}." in flat and all(job.job in flat for job in plan.jobs)
    assert flat.endswith(CAUTIONS[-1])
    alone = draw_text(judge.season(1), outcomes[0], "EUR", "metric")
    assert f"EUR {outcomes[0].cost:,.2f}" in alone and max(map(len, alone.splitlines())) <= 80


def test_shares_are_rounded_to_the_safe_side(judge: SeasonJudge, kit: JudgedKit, plan: Plan) -> None:
    """One of three seasons fails: 66 % covered, never 67 %; 34 % fails, never 33 %."""
    job = plan.jobs[0].job
    drawn = [outcome(1, {job: 1.0}, job), outcome(2, {job: 1.0}), outcome(3, {job: 1.0})]
    text = " ".join(sweep_text(summary(judge, kit, drawn)).split())
    assert "in 66 % of the seasons" in text and "1 (34 %)" in text


def test_an_empty_sweep_has_a_text(judge: SeasonJudge, kit: JudgedKit) -> None:
    assert "0 of 3 seasons" in sweep_text(summary(judge, kit, []))
