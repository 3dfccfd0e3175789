"""Why each item is in the kit and what each job type adds, as tables to be drawn."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from recommender.explain.answers import Change, CheaperItem, ItemReason, WhatIf, WhyResult
from recommender.files.tables import (
    NOTHING,
    Cell,
    Heading,
    Table,
    count,
    price,
    with_currency,
    without_empty_columns,
)
from recommender.report.changes_text import named_item
from recommender.report.figures import money, percent, words
from recommender.report.reasons_text import FEW
from recommender.report.specification import called

ITEMS_READING = (
    "Needed for: the job types that the kit no longer covers without the item. Why not a cheaper one: what fails with "
    "it in the same place. Dearer without it: what the kit would cost more if the item were not to be had."
)
JOBS_READING = (
    "Adds: what the kit costs less if the job type is left out. Job types share gear, so these do not add up to the "
    "whole."
)
UNFINISHED = " The search was stopped before its end: some of it is missing."
UNPROVEN = " Some of it is not proven: the solver ran out of time."


def items_why_table(why: WhyResult) -> Table:
    """For each item what needs it, and why no cheaper one will do."""
    headings = (
        Heading("item", 22), Heading("pcs", 5, True), Heading("needed for", 34), Heading("why not a cheaper one", 46),
        Heading(with_currency("dearer without it", why.currency), 12, True),
    )  # fmt: skip
    all_jobs = [job.job for job in why.jobs]
    rows = tuple(
        (
            Cell(f"{called(one.id)} {one.name}"),
            count(one.quantity),
            Cell(_needed_for(one, all_jobs)),
            Cell(_cheaper(one, why.currency)),
            NOTHING if one.saves is None else price(one.saves),
        )
        for one in why.items
    )
    return without_empty_columns(
        Table("Why each item is in the kit", headings, rows, ITEMS_READING + _doubts(why))
    )


def jobs_why_table(why: WhyResult) -> Table:
    """For each job type what it adds to the cost, and what changes to it would change."""
    headings = (
        Heading("job type", 24), Heading(with_currency("adds", why.currency), 11, True),
        Heading("the kit would then have", 36), Heading("what would change the cost", 48),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(f"{one.job} ({one.technique})"),
            price(one.adds),
            Cell(_changes(one.without)),
            Cell("; ".join(_what_if(each, why.currency) for each in one.what_ifs)),
        )
        for one in why.jobs
    )
    return Table("What each job type adds to the cost", headings, rows, JOBS_READING + _doubts(why))


def _doubts(why: WhyResult) -> str:
    return ("" if why.complete else UNFINISHED) + ("" if why.proven else UNPROVEN)


def _needed_for(one: ItemReason, all_jobs: Collection[str]) -> str:
    told = [f"the crew: {one.for_crew}"] if one.for_crew else []
    if one.forced_by:
        told.append(_named(one.forced_by, all_jobs))
    if one.forced_by_last and one.forced_by_last != one.forced_by:
        told.append(f"all {one.quantity} pieces for {_named(one.forced_by_last, all_jobs)}")
    return "; ".join(told) or "no job type alone: other items of the kit could stand in for it"


def _named(jobs: Sequence[str], all_jobs: Collection[str]) -> str:
    """Job types by their names, unless they are many and all that there are."""
    is_all = len(jobs) > FEW and set(jobs) == set(all_jobs)
    return f"all {len(jobs)} job types" if is_all else ", ".join(jobs)


def _cheaper(one: ItemReason, currency: str) -> str:
    found = {other.id: other for other in (one.next_cheaper, one.nearest) if other is not None}
    return "; ".join(_failure(other, currency) for other in found.values())


def _failure(other: CheaperItem, currency: str) -> str:
    named = f"{called(other.id)} at {money(other.unit_price, currency)}"
    if other.utilisation is None:
        return f"{named}: {other.misfit} ({other.job})"
    return f"{named}: {words(other.part)} at {percent(other.utilisation)} in {other.job}"


def _changes(changes: Sequence[Change]) -> str:
    return ", ".join(f"{one.pieces:+d} {named_item(one.id, one.name)}" for one in changes)


def _what_if(one: WhatIf, currency: str) -> str:
    if one.cost_change is None:
        return f"{one.change}: no kit"
    if not one.cost_change:
        return f"{one.change}: the same"
    dearer = "dearer" if one.cost_change > 0 else "cheaper"
    behind = f" ({_changes(one.items)})" if one.items else ""
    return f"{one.change}: {money(abs(one.cost_change), currency)} {dearer}{behind}"
