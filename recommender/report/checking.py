"""What a sound plan or catalogue holds, counted, as text."""

from __future__ import annotations

from collections.abc import Iterable

from catalog_schema.catalogue import Catalogue
from recommender.report.kit_text import heading
from recommender.report.layout import Column, bullets, section, table
from recommender.work.plan import Plan


def catalogue_counts(catalogue: Catalogue) -> list[tuple[str, int]]:
    """Rows of every table of a catalogue, and ropes with each length counted."""
    counts = [(name, len(rows)) for name, rows in catalogue.tables().items()]
    return [*counts, ("ropes, each length counted", len(catalogue.rope_lengths))]


def checked_catalogue_text(catalogue: Catalogue) -> str:
    """That a catalogue is sound, and what it holds."""
    currency = f", prices in {catalogue.currency}" if catalogue.currency else ""
    return "\n".join([f"The catalogue is sound{currency}.", "", *_counted(catalogue_counts(catalogue))])


def checked_plan_text(plan: Plan, notes: Iterable[str]) -> str:
    """That a plan is sound, what it and its catalogue hold, and what is taken for granted."""
    registered, sound = (sum(one.count for one in rows) for rows in (plan.origins.register, plan.owned))
    owned = [("registered pieces", registered), ("of them to be planned with", sound)]
    counts = [
        ("job types", len(plan.jobs)),
        *(owned if registered else [("rows of owned gear", len(plan.owned))]),
    ]
    counts += [(f"catalogue: {name}", count) for name, count in catalogue_counts(plan.catalogue)]
    lines = ["", "The plan is sound.", "", *_counted(counts), *section("Notes", bullets(notes))]
    return "\n".join([*heading(plan.settings.name, plan.settings.notice), *lines])


def _counted(counts: Iterable[tuple[str, int]]) -> list[str]:
    return table([Column("what"), Column("rows", True)], [(what, str(count)) for what, count in counts])
