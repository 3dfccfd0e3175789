"""A plan over seasons as text: what to buy when, cash, and what is cut smaller or given away until then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from catalog_schema.units import UnitSystem, show
from recommender.report.figures import amount, money, percent
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.specification import called
from recommender.seasons.result import BudgetView, JobInSeason, Purchase, SeasonPlan, SeasonsResult

WORTH_SHOWING = 0.005
MORE_MONEY = (
    "Each from a plan of its own with that budget, in whole purchases; in all seasons, in today's money."
)


def seasons_text(result: SeasonsResult, system: UnitSystem) -> str:
    """The whole plan, in lines of at most 80 columns; it ends with the cautions."""
    lines = [*heading(result.plan, result.notice)]
    for gap in result.uncovered:
        lines += section(f"No plan: {gap.job}", [*wrapped(f"{gap.part}: {gap.shortfall}."), *_remedies(gap)])
    if result.seasons:
        lines += section(f"Cash, in {result.currency or 'money'}", _cash(result.seasons))
        for season in result.seasons:
            lines += section(f"Season {season.season}", list(_season(season, result.currency, system)))
        lines += ["", *wrapped(_in_all(result))]
    if result.budget_view is not None:
        lines += section("What more money in a season would save", _more_money(result.budget_view))
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _remedies(gap: object) -> list[str]:
    remedies = [getattr(gap, "remedy", ""), *getattr(gap, "other_remedies", ())]
    return [line for remedy in remedies for line in wrapped(f"{remedy}.", first="- ", rest="  ")]


def _cash(seasons: Sequence[SeasonPlan]) -> list[str]:
    columns = [
        Column("season"),
        *(Column(name, True) for name in ("budget", "to buy", "extra cuts", "given away")),
    ]
    columns.append(Column("work with the kit", True))
    rows = [
        (
            season.season,
            "none" if season.budget is None else amount(season.budget),
            amount(season.purchase_cost),
            amount(season.crew_cost),
            amount(season.hire_cost),
            f"{100 * season.share_with_kit:.0f} %",
        )
        for season in seasons
    ]
    return table(columns, rows)


def _season(season: SeasonPlan, currency: str, system: UnitSystem) -> Iterator[str]:
    gear = [item for item in season.purchases if item.table != "extras"]
    crew = [item for item in season.purchases if item.table == "extras"]
    if not season.purchases:
        yield "Nothing to buy."
    for title, items in (("Rigging gear to buy:", gear), ("For the crew, to buy:", crew)):
        if items:
            yield title
            yield from _purchases(items)
    given = [job for job in season.jobs if job.how == "given away"]
    for job in given:
        yield from wrapped(
            f"Give away: {job.job}, {job.pieces:.0f} pieces, {money(job.hire_cost, currency)}.",
            first="- ", rest="  ",
        )  # fmt: skip
    for job in season.jobs:
        if job.pieces_of_each > 1 and job.how == "with the kit":
            yield from wrapped(_cut(job, currency, system), first="- ", rest="  ")
    worn = {name: used for name, used in season.wear_used.items() if used >= WORTH_SHOWING}
    if worn:
        lives = ", ".join(f"{called(name)} {percent(used)}" for name, used in worn.items())
        yield from wrapped(f"Life of lines used up so far (100 % is one line): {lives}.")


def _cut(job: JobInSeason, currency: str, system: UnitSystem) -> str:
    longest = (
        "" if job.longest_piece_m is None else show(job.longest_piece_m, "length", system, rounding="down")
    )
    return (
        f"Cut smaller: {job.job} in {job.pieces_of_each} pieces each, at most {longest} long; crew time "
        f"{money(job.crew_cost, currency)}."
    )


def _purchases(items: Sequence[Purchase]) -> list[str]:
    columns = [Column("pcs", True), Column("item"), Column("each", True), Column("together", True)]
    rows = [
        (
            str(item.quantity),
            f"{item.name} ({item.id})",
            amount(item.unit_price),
            amount(item.quantity * item.unit_price),
        )
        for item in items
    ]
    return table(columns, rows)


def _more_money(view: BudgetView) -> list[str]:
    if not view.steps:
        return ["No season has a budget." if view.complete else "Stopped before the first was known."]
    columns = [Column("season"), *(Column(name, True) for name in ("more money", "saves", "at most"))]
    rows = [
        (step.season, amount(step.more), amount(step.saves), amount(step.saves_at_most))
        for step in view.steps
    ]
    stopped = () if view.complete else ("Stopped; more sums were to be tried.",)
    return [*table(columns, rows), *wrapped(" ".join((MORE_MONEY, *stopped)))]


def _in_all(result: SeasonsResult) -> str:
    return (
        f"In all: {money(result.purchase_cost, result.currency)} to buy, "
        f"{money(result.crew_cost, result.currency)} of crew time for extra cuts, "
        f"{money(result.hire_cost, result.currency)} for what is given away; worth "
        f"{money(result.cost, result.currency)} today. Solver: {result.solver}, "
        f"{result.solve_seconds:.1f} s; {result.status}, gap {100 * result.gap:.2f} %."
    )
