"""Why the items of a kit are in it, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from recommender.explain.answers import CheaperItem, ItemReason, JobReason, WhyResult
from recommender.report.changes_text import changes_in_words, more_or_less
from recommender.report.figures import money, percent, words
from recommender.report.kit_text import ending, heading
from recommender.report.layout import section, wrapped
from recommender.report.specification import OWNED_MARK, catalogue_id, counted_ids

READING = (
    "Needed for: the job types that the kit no longer covers without the item. Next cheaper: what the next cheaper "
    "item for its place would fail at, in the setup that is shown in 'kitplan plan'; nearest: the cheaper item that "
    "fails least. What a job type adds is the cost of the kit less that of the cheapest kit for all other work: job "
    "types share gear, so these sums do not add up to the whole."
)
FEW = 4
"""Job types that are listed by name; more are counted."""


def why_text(result: WhyResult) -> str:
    """Reasons for every item and job type that was asked about, in lines of at most 80 columns.

    Parameters
    ----------
    result : WhyResult

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    lines = heading(result.plan, result.notice)
    lines += ["", *wrapped(f"Cheapest kit: {money(result.purchase_cost, result.currency)} to buy.")]
    lines += wrapped(READING)
    for item in result.items:
        if not item.for_crew:
            lines += section(_title(item, result.currency), _item(item, result))
    crew = [
        f"{item.quantity} x {catalogue_id(item.id)} ({item.for_crew}{', owned' if item.owned else ''})"
        for item in result.items
        if item.for_crew
    ]
    if crew:
        lines += section("For the crew, whatever the work", wrapped(", ".join(crew), first="  ", rest="  "))
    for job in result.jobs:
        adds = "adds nothing" if job.adds == 0 else f"adds {money(job.adds, result.currency)}"
        lines += section(f"{job.job} ({job.technique}): {adds}", _job(job, result))
    lines += unfinished(result.complete, result.proven)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def unfinished(complete: bool, proven: bool) -> list[str]:
    """What has to be said where a search was stopped, or its solver ran out of time."""
    lines = []
    if not complete:
        lines += ["", *wrapped("Stopped before the end: this is as far as it got.")]
    if not proven:
        lines += ["", *wrapped("Not all of this is proven: the solver ran out of time on some of it.")]
    return lines


def _title(item: ItemReason, currency: str) -> str:
    owned = ", owned" if item.owned else ""
    price = "" if item.owned else f", {money(item.unit_price, currency)} each"
    return f"{item.quantity} x {catalogue_id(item.id)}{owned}{price}"


def _item(item: ItemReason, result: WhyResult) -> Iterator[str]:
    yield from wrapped(item.name, first="  ", rest="  ")
    needed = _jobs(item.forced_by) or "no job type: the kit covers the work without it"
    yield from wrapped(needed, first="  needed for: ", rest="    ")
    if item.forced_by_last and set(item.forced_by_last) != set(item.forced_by):
        yield from wrapped(_jobs(item.forced_by_last), first="  the last piece: ", rest="    ")
    if item.next_cheaper is not None:
        yield from wrapped(
            _failing(item.next_cheaper, result.currency), first="  next cheaper: ", rest="    "
        )
        if item.nearest is not None and item.nearest != item.next_cheaper:
            yield from wrapped(_failing(item.nearest, result.currency), first="  nearest: ", rest="    ")
    elif not item.owned:
        yield "  next cheaper: there is none in the catalogue"
    if item.saves is not None:
        saved = more_or_less(item.saves, result.currency)
        yield from wrapped(f"a kit without any of it: {saved}", first="  ", rest="    ")


def _failing(cheaper: CheaperItem, currency: str) -> str:
    owned = " (owned)" if cheaper.id.startswith(OWNED_MARK) else f" ({money(cheaper.unit_price, currency)})"
    if cheaper.utilisation is None:
        how = f"as {words(cheaper.part)}, {cheaper.misfit}"
    else:
        how = f"the {words(cheaper.part)} is loaded to {percent(cheaper.utilisation)} of its rating"
    others = len(cheaper.jobs) - 1
    more = f" and {others} more" if others > 0 else ""
    return f"{catalogue_id(cheaper.id)}{owned} fails in '{cheaper.job}'{more}; {how}"


def _jobs(names: Sequence[str]) -> str:
    if len(names) <= FEW:
        return "; ".join(names)
    return f"{'; '.join(names[: FEW - 1])} and {len(names) - FEW + 1} more"


def _job(job: JobReason, result: WhyResult) -> Iterator[str]:
    if job.without:
        yield from wrapped(changes_in_words(job.without), first="  without it: ", rest="    ")
    if job.forces:
        yield from wrapped(counted_ids(job.forces), first="  it can't do without: ", rest="    ")
    for what_if in job.what_ifs:
        difference = more_or_less(what_if.cost_change, result.currency)
        items = f" ({changes_in_words(what_if.items)})" if what_if.items else ""
        yield from wrapped(f"{what_if.change}: {difference}{items}", first="  if ", rest="    ")
