"""First purchases in words: what holds only before anything is bought, and the way on from the steps."""

from __future__ import annotations

from recommender.dashboard.first_rows import leave_out_rows
from recommender.explain.answers import Change, Drop, FirstResult, MoneyShare, Purchase
from recommender.report.purchases_text import NO_SHORTER, after_the_steps, answer_in_words, first_text


def step(number: int, what: str, cost: float, so_far: float, share: float, within: bool) -> Purchase:
    return Purchase(
        step=number, what=what, buy=(Change(id=f"X{number}", name="item", pieces=1, price=cost),), cost=cost,
        cost_so_far=so_far, share=share, new_jobs=(), within_sum=within,
    )  # type: ignore[arg-type]  # fmt: skip


RESULT = FirstResult(
    plan="Truck", notice="", currency="EUR", spend=1000.0, share=0.6, cost=900.0, all_at_once=1500.0,
    all_in_steps=1600.0, next_gain=MoneyShare(sum=1050.0, share=0.7, cost=1050.0),
    steps=(step(1, "crew", 400, 400, 0.0, True), step(2, "gear", 500, 900, 0.6, True),
           step(3, "gear", 260, 1160, 0.8, False)),
    drops=(Drop(job="tops", share=0.1), Drop(job="limbs", share=0.3, longest_piece_m=1.23)),
)  # fmt: skip


def test_more_money_says_that_nothing_may_be_bought_yet_and_where_the_steps_lead() -> None:
    text = " ".join(first_text(RESULT, "metric").split())
    assert "only if nothing is bought yet" in text
    assert "the next is step 3: it takes EUR 160.00 more than the sum and covers 80.0 %" in text
    assert "step by step costs 100.00 more than the cheapest kit bought at once" in text
    enough = answer_in_words(RESULT.model_copy(update={"spend": 1700.0}))
    assert "pays for all of it. All of the work step by step costs 100.00 more" in enough
    done = RESULT.model_copy(update={"steps": RESULT.steps[:2]})
    assert "the next is" not in after_the_steps(done)


def test_one_kind_of_item_is_one() -> None:
    assert "for the crew: 1 kind of item 4" in " ".join(first_text(RESULT, "metric").split())


def test_that_no_cut_helps_is_said_once() -> None:
    assert first_text(RESULT, "metric").count(NO_SHORTER) == 1
    rows = leave_out_rows(RESULT, "metric")
    assert [row["Or cut it to at most"] for row in rows] == ["", "1.2 m"]
    none = RESULT.model_copy(update={"drops": RESULT.drops[:1]})
    assert [list(row) for row in leave_out_rows(none, "metric")] == [["Leave out", "Share of the pieces"]]
