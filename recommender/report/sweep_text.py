"""A sweep as text: how far a kit goes in drawn seasons, what breaks it, what the cheapest kits cost and hold."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from catalog_schema.units import UnitSystem
from recommender.report.figures import amount, as_listed
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.sweep.draws import Season
from recommender.sweep.outcomes import DrawOutcome
from recommender.sweep.result import Costs, ItemChoice, JobRecord, SweepResult
from recommender.sweep.settings import SweepSettings

RARE = 0.05
"""Items in a smaller share of the kits are counted, not listed."""

BAR = 30
"""Columns of the longest bar."""

MISSED = (
    "In each of the other seasons at least one job type brings a piece that is too large for the kit: it would have to "
    "be cut shorter, rigged otherwise or given away. The cheapest kit for stated sizes has no room for larger ones; "
    "'kitplan sweep --larger' shows what such room costs."
)
NOISE = 1e-9
COUNTED = {
    "poisson": "each job type's pieces counted by itself (Poisson)",
    "multinomial": "the season's pieces dealt out to the job types (multinomial)",
    "expected": "the expected number of pieces",
}


def sweep_text(result: SweepResult) -> str:
    """The whole result, in lines of at most 80 columns; it ends with the cautions."""
    lines = [*heading(result.plan, result.notice), "", *wrapped(_drawn(result))]
    if result.draws:
        lines += section("How far the kit goes", _coverage(result))
        lines += section("What the kit fails (most often first)", _jobs(result))
        lines += _costs(result)
        lines += _items(result)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def draw_text(season: Season, outcome: DrawOutcome, currency: str, system: UnitSystem) -> str:
    """One draw by itself: its work, what the kit fails, and its own cheapest kit."""
    columns = [Column("job type"), Column("pieces", True), Column("diameter", True), Column("length", True)]
    columns.append(Column("the kit"))
    rows = [
        (
            job.job, f"{job.pieces_per_season or 0.0:,.6g}",
            as_listed(job.diameter_high or job.diameter, "stem", system, "up"),
            as_listed(job.length_high or job.length, "length", system, "up"), _judged(job.job, outcome),
        )
        for job in season.jobs
    ]  # fmt: skip
    lines = [f"Draw {outcome.number}", *section("Work of the season, largest pieces", table(columns, rows))]
    if outcome.cost is not None:
        kit = ", ".join(f"{count} x {item}" for item, count in outcome.items.items())
        lines += section(f"Its cheapest kit: {_money(outcome.cost, currency)}", wrapped(kit))
    elif outcome.status is not None:
        lines += ["", f"Its cheapest kit: {outcome.status}."]
    return "\n".join(lines)


def _judged(job: str, outcome: DrawOutcome) -> str:
    if job in outcome.beyond:
        return "fails, as all in the catalogue"
    return "fails" if job in outcome.failed else "carries"


def _drawn(result: SweepResult) -> str:
    settings = result.settings
    counted = (
        f"{result.draws:,d} of {settings.draws:,d}" if result.status == "stopped" else f"{result.draws:,d}"
    )
    return f"{counted} seasons drawn around the plan: {spreads(settings)}. Seed {settings.seed}."


def spreads(settings: SweepSettings) -> str:
    """How widely the seasons spread, in words."""
    return (
        f"sizes within {settings.size_percent:g} % in two of three, shares within {settings.share_percent:g} %, "
        f"prices within {settings.price_percent:g} %; {COUNTED[settings.pieces]}"
    )


def _coverage(result: SweepResult) -> Iterator[str]:
    found = result.coverage
    if found is None:
        return
    yield from wrapped(
        f"Judged: {result.kit_title}. It carries {down(found.share_of_pieces)} of all pieces, and every piece in "
        f"{down(found.probability)} of the seasons (by chance of the draws {down(found.low)} to {up(found.high)}).",
        rest="  ",
    )
    if found.probability < 1:
        yield from wrapped(MISSED, rest="  ")


def _jobs(result: SweepResult) -> list[str]:
    columns = [Column("job type"), Column("technique"), Column("seasons", True), Column("fails in", True)]
    columns += [Column("the only one in", True)]
    beyond = any(job.beyond for job in result.jobs)
    columns += [Column("beyond the catalogue in", True)] if beyond else []
    rows = []
    for job in sorted(result.jobs, key=lambda job: -job.failed):
        row = [job.job, job.technique, f"{job.draws:,d}", _failures(job), f"{job.broke_alone:,d}"]
        rows.append([*row, f"{job.beyond:,d}"] if beyond else row)
    return table(columns, rows)


def _failures(job: JobRecord) -> str:
    return f"{job.failed:,d} ({up(job.share_failed)})"


def _costs(result: SweepResult) -> Iterator[str]:
    if not result.settings.cheapest_kits:
        return
    currency = f", in {result.currency}" if result.currency else ""
    body = [*_cost_lines(result.costs)] if result.costs is not None else []
    for count, what in (
        (result.without_kit, "have no kit: something in them is beyond the catalogue"),
        (result.unproven, "have a kit that is not proven to be the cheapest, or none in time"),
    ):
        if count:
            body += wrapped(f"{count:,d} of {result.draws:,d} seasons {what}.", rest="  ")
    yield from section(f"Cost of the cheapest kit of each season{currency}", body)


def _cost_lines(costs: Costs) -> Iterator[str]:
    shares = ", ".join(f"{100 * one.share:g} %: {amount(one.cost)}" for one in costs.at)
    yield from wrapped(
        f"From {amount(costs.lowest)} to {amount(costs.highest)}, mean {amount(costs.mean)}. "
        f"Enough for this share of the seasons: {shares}.",
        rest="  ",
    )
    yield ""
    most = max(one.draws for one in costs.bins)
    rows = [
        (f"{one.low:,.0f}", f"{one.high:,.0f}", f"{one.draws:,d}", "#" * ceil(BAR * one.draws / most))
        for one in costs.bins
    ]
    yield from table((Column("from", True), Column("below", True), Column("seasons", True), Column("")), rows)


def _items(result: SweepResult) -> Iterator[str]:
    if result.costs is None:
        return
    gear = [item for item in result.items if item.table != "extras"]
    listed = [item for item in gear if item.judged or item.share >= RARE]
    columns = (
        Column("item"), Column("in the judged kit", True), Column("kits that hold it", True),
        Column("pieces there", True),
    )  # fmt: skip
    rows = [(_named(item), str(item.judged or "-"), _nearest(item.share), _pieces(item)) for item in listed]
    body = table(columns, rows) if rows else []
    if len(gear) > len(listed):
        body += wrapped(
            f"{len(gear) - len(listed)} more items are in fewer than {100 * RARE:g} % of the kits."
        )
    yield from section("Rigging gear in the cheapest kits of the seasons", body)


def _named(item: ItemChoice) -> str:
    return f"{item.name} ({item.id.removeprefix('owned:')}{', owned' if item.owned else ''})"


def _pieces(item: ItemChoice) -> str:
    if not item.draws:
        return "-"
    mean = f"{item.mean_pieces:.1f}"
    return mean if item.most_pieces <= 1 else f"{mean}, most {item.most_pieces}"


def _money(value: float, currency: str) -> str:
    return f"{currency} {amount(value)}".strip()


def down(share: float) -> str:
    """A share in whole percents, rounded down."""
    return f"{floor(100 * share + NOISE)} %"


def up(share: float) -> str:
    """A share in whole percents, rounded up."""
    return f"{ceil(100 * share - NOISE)} %"


def _nearest(share: float) -> str:
    return f"{100 * share:.0f} %"
