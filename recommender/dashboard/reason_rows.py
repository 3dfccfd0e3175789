"""Reasons for a kit as rows of tables for the screen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from catalog_schema.units import UnitSystem, show
from recommender.dashboard.kit_tables import TableRow
from recommender.explain.answers import CheaperItem, CurveResult, WhyResult
from recommender.report.changes_text import changes_in_words, more_or_less, named_item
from recommender.report.figures import mass_allowed, money, percent, words
from recommender.report.specification import catalogue_id

ADDS = (
    "The cost of the kit less that of the cheapest kit for all other work. Job types share gear, so these sums do not "
    "add up to the whole."
)


def item_rows(result: WhyResult) -> list[TableRow]:
    """Every item of the kit: the work that needs it, and the next cheaper item with what it fails at."""
    return [
        {
            "Pieces": item.quantity,
            "Item": item.name,
            "Needed for": ", ".join(item.forced_by) or item.for_crew or "no job type alone",
            "Next cheaper": _cheaper(item.next_cheaper, owned=item.owned),
            "It fails at": "" if item.next_cheaper is None else _failing(item.next_cheaper),
            "Id": catalogue_id(item.id),
        }
        for item in result.items
    ]


def job_rows(result: WhyResult) -> list[TableRow]:
    """What each job type adds to the cost, and what would not be bought without it."""
    names = {item.id: item.name for item in result.items}
    return [
        {
            "Job type": job.job,
            "Adds": money(job.adds, result.currency),
            "The kit would then": changes_in_words(job.without, named=True) if job.without else "be the same",
            "It can't do without": _each_once(named_item(id, names.get(id, "item")) for id in job.forces),
        }
        for job in result.jobs
    ]


def _each_once(items: Iterable[str]) -> str:
    return ", ".join(f"{count} x {one}" if count > 1 else one for one, count in Counter(items).items())


def what_if_rows(result: WhyResult) -> list[TableRow]:
    """What small changes to each job type would change in the cost."""
    return [
        {
            "Job type": job.job,
            "If": what_if.change,
            "Cost": more_or_less(what_if.cost_change, result.currency),
            "Items": changes_in_words(what_if.items, named=True) if what_if.items else "",
        }
        for job in result.jobs
        for what_if in job.what_ifs
    ]


def step_rows(result: CurveResult, system: UnitSystem) -> list[TableRow]:
    """The stairs of a cost curve, and what is bought differently at each."""
    return [
        {
            "Pieces up to": mass_allowed(step.largest_mass_kg, system),
            "Longest": show(step.largest_length_m, "length", system, rounding="down"),
            "Cheapest kit": "no kit"
            if step.purchase_cost is None
            else money(step.purchase_cost, result.currency),
            "Against the stair before": changes_in_words(step.changes, named=True) if step.changes else "",
        }
        for step in result.steps
    ]


def _cheaper(cheaper: CheaperItem | None, *, owned: bool) -> str:
    if cheaper is None:
        return "" if owned else "none in the catalogue"
    return named_item(cheaper.id, cheaper.name)


def _failing(cheaper: CheaperItem) -> str:
    if cheaper.utilisation is None:
        how = f"as {words(cheaper.part)}: {cheaper.misfit}"
    else:
        how = f"{words(cheaper.part)} loaded to {percent(cheaper.utilisation)} of its rating"
    more = f", and in {len(cheaper.jobs) - 1} more" if len(cheaper.jobs) > 1 else ""
    return f"{cheaper.job}{more}: {how}"
