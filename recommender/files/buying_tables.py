"""Buying over time as tables to be drawn: season by season, and what to buy first with a sum."""

from __future__ import annotations

from recommender.explain.answers import FirstResult, Purchase
from recommender.files.tables import Cell, Heading, Table, count, price, texts, with_currency
from recommender.report.purchases_text import READING, answer_in_words, share_down
from recommender.report.specification import catalogue_id
from recommender.seasons.result import SeasonsResult

SEASONS_READING = "What is bought in which season, at the prices as paid then."
WORK_READING = (
    "How each job type is done in each season: with the kit, cut into so many pieces, or given away."
)


def seasons_table(result: SeasonsResult) -> Table:
    """Every purchase of every season."""
    headings = (
        Heading("season", 14), Heading("pieces", 8, True), Heading("item", 34), Heading("id", 14),
        Heading(with_currency("each", result.currency), 12, True),
        Heading(with_currency("together", result.currency), 13, True),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(season.season), count(one.quantity), *texts(one.name, one.id), price(one.unit_price),
            price(one.quantity * one.unit_price),
        )
        for season in result.seasons
        for one in season.purchases
    )  # fmt: skip
    return Table("Purchases by season", headings, rows, SEASONS_READING)


def season_sums_table(result: SeasonsResult) -> Table:
    """What each season costs, against its budget, and the share of its work that is done with the kit."""
    names = ("budget", "to buy", "crew time of extra cuts", "given away")
    headings = (
        Heading("season", 14),
        *(Heading(with_currency(name, result.currency), 14, True) for name in names),
        Heading("work with the kit", 12, True),
    )
    rows = tuple(
        (
            Cell(one.season), Cell("none") if one.budget is None else price(one.budget),
            *(price(sum_) for sum_ in (one.purchase_cost, one.crew_cost, one.hire_cost)),
            Cell(share_down(one.share_with_kit)),
        )
        for one in result.seasons
    )  # fmt: skip
    return Table("Cost by season", headings, rows)


def season_work_table(result: SeasonsResult) -> Table:
    """How every job type is done in every season."""
    headings = (
        Heading("season", 14), Heading("job type", 30), Heading("how", 16), Heading("pieces", 10, True),
        Heading("cut into", 10, True),
    )  # fmt: skip
    rows = tuple(
        (*texts(season.season, job.job, job.how), count(round(job.pieces)), count(job.pieces_of_each))
        for season in result.seasons
        for job in season.jobs
    )
    return Table("Work by season", headings, rows, WORK_READING)


def first_table(result: FirstResult) -> Table:
    """The steps of buying, and what all of it covers then."""
    headings = (
        Heading("step", 6, True), Heading("buy", 60), Heading(with_currency("cost", result.currency), 12, True),
        Heading(with_currency("so far", result.currency), 12, True), Heading("share covered", 12, True),
        Heading("covers now", 40), Heading("within the sum", 10),
    )  # fmt: skip
    rows = tuple(
        (
            count(step.step), Cell(_bought(step)), price(step.cost), price(step.cost_so_far),
            Cell(share_down(step.share)), Cell(", ".join(step.new_jobs)), Cell("yes" if step.within_sum else "no"),
        )
        for step in result.steps
    )  # fmt: skip
    return Table("First purchases", headings, rows, f"{answer_in_words(result)} {READING}")


def _bought(step: Purchase) -> str:
    if step.what == "owned":
        return "nothing: what is owned already"
    return ", ".join(f"{one.pieces} x {one.name} ({catalogue_id(one.id)})" for one in step.buy)
