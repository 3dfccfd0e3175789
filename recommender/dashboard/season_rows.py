"""A plan over seasons as rows of tables for the screen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog_schema.units import UnitSystem, show
from recommender.dashboard.kit_tables import TableRow
from recommender.report.figures import money, percent
from recommender.report.seasons_text import WORTH_SHOWING
from recommender.report.specification import called, catalogue_id
from recommender.seasons.result import BudgetView, Purchase, SeasonPlan


def purchase_rows(items: Iterable[Purchase], currency: str) -> list[TableRow]:
    """What is bought in a season."""
    unit = _in(currency)
    return [
        {
            "Item": item.name,
            "Id": catalogue_id(item.id),
            "Pieces": item.quantity,
            f"Each{unit}": item.unit_price,
            f"Together{unit}": item.quantity * item.unit_price,
        }
        for item in items
    ]


def sum_of(items: Sequence[Purchase], currency: str) -> TableRow:
    """The last line below purchases."""
    return {
        "Item": "Together",
        "Pieces": sum(one.quantity for one in items),
        f"Together{_in(currency)}": sum(one.quantity * one.unit_price for one in items),
    }


def given_rows(season: SeasonPlan, currency: str) -> list[TableRow]:
    """Work that somebody else is paid for."""
    return [
        {"Job type": job.job, "Pieces": round(job.pieces), f"Price{_in(currency)}": job.hire_cost}
        for job in season.jobs
        if job.how == "given away"
    ]


def cut_rows(season: SeasonPlan, currency: str, system: UnitSystem) -> list[TableRow]:
    """Pieces that are cut into several; the longest that is allowed is rounded down."""
    return [
        {
            "Job type": job.job,
            "Pieces of each": job.pieces_of_each,
            "At most": ""
            if job.longest_piece_m is None
            else show(job.longest_piece_m, "length", system, rounding="down"),
            f"Crew time{_in(currency)}": job.crew_cost,
        }
        for job in season.jobs
        if job.how == "with the kit" and job.pieces_of_each > 1
    ]


def wear_rows(season: SeasonPlan) -> list[TableRow]:
    """Life of lines that is used up at the end of the season, rounded up."""
    return [
        {"Line": called(line), "Used": percent(used)}
        for line, used in season.wear_used.items()
        if used >= WORTH_SHOWING
    ]


def budget_rows(view: BudgetView) -> list[TableRow]:
    """What more money in each season would save."""
    return [
        {
            "Season": step.season,
            "More money": money(step.more, view.currency),
            "Saves in all": money(step.saves, view.currency),
            "At most": money(step.saves_at_most, view.currency),
        }
        for step in view.steps
    ]


def _in(currency: str) -> str:
    return f" [{currency}]" if currency else ""
