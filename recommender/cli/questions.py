"""``kitplan why``, ``alternatives``, ``first`` and ``curve``: questions about the cheapest kit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from recommender.cli import options
from recommender.cli.endings import Ending, Refusal, give, say
from recommender.cli.folders import holds_plan, is_saved_plan, loaded
from recommender.cli.progress import shown_progress

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem
    from recommender.explain.answers import Answer
    from recommender.kit.planning import PreparedPlan
    from recommender.kit.solve import KitSolution
    from recommender.work.plan import Plan


@click.command()
@click.argument("words", nargs=-1, metavar="[PLAN] [ITEM|JOB]")
@options.plan_option
@options.catalog
@options.as_json
@options.units
def why(
    words: tuple[str, ...],
    plan_dir: Path | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
) -> None:
    """Say why the cheapest kit is as it is.

    For each item: the job types that need it, and what the next cheaper item
    would fail at. For each job type: what it adds to the cost, and what longer
    pieces, more run or no slack would change. ITEM is an id of the kit, JOB the
    name of a job type; then only that one is explained. PLAN is a folder
    with a plan.toml, or a plan saved as .json.
    """
    from recommender.explain.reasons import explain
    from recommender.report.reasons_text import why_text

    plan_dir, name = _folder_and_name(words, plan_dir)
    chosen = loaded(plan_dir, catalog, units)
    prepared, best = _cheapest(chosen)
    items, jobs = _named(name, prepared, best) if name is not None else (None, None)
    with shown_progress() as progress:
        result = explain(chosen, best, items=items, jobs=jobs, progress=progress)
    give(result, json_file, lambda: why_text(result))
    _end(result)


def _folder_and_name(words: tuple[str, ...], plan_dir: Path | None) -> tuple[Path | None, str | None]:
    """The plan, and what to explain of it; a word that names a plan's folder or file means that plan."""
    rest = list(words)
    if plan_dir is None and rest and (holds_plan(Path(rest[0])) or is_saved_plan(Path(rest[0]))):
        plan_dir = Path(rest.pop(0))
    if len(rest) > 1:
        raise click.UsageError(
            f"{' '.join(rest)!r} is more than one item or job type"
            + ("" if plan_dir else f", and {rest[0]!r} no folder with a plan.toml and no .json")
            + "; put quotes around a name of several words"
        )
    return plan_dir, rest[0] if rest else None


def _named(name: str, prepared: PreparedPlan, best: KitSolution) -> tuple[list[int], list[int]]:
    """Positions of the items of the kit and of the job types that a name means."""
    from recommender.report.specification import catalogue_id

    kit = {k: item.id for k, item in enumerate(prepared.fits.items) if best.pieces[k]}
    items = [k for k, id in kit.items() if name.casefold() in (id.casefold(), catalogue_id(id).casefold())]
    jobs = [k for k, case in enumerate(prepared.fits.cases) if case.job.casefold() == name.casefold()]
    if items or jobs:
        return items, jobs
    if any(name == item.gear_id or name == item.id for item in prepared.fits.items):
        raise Refusal(f"'{name}' is not in the cheapest kit; 'kitplan plan' lists what is")
    from catalog_schema.columns import near

    close = near(name, [*kit.values(), *(case.job for case in prepared.fits.cases)])
    hint = f"; did you mean '{close}'?" if close else ""
    raise Refusal(f"the kit has no item and the plan no job type '{name}'{hint}")


@click.command()
@options.plan_dir
@click.option(
    "--within", type=click.FloatRange(0, 1000), default=10.0, show_default=True, metavar="PERCENT",
    help="How much more the rigging gear may cost.",
)  # fmt: skip
@options.catalog
@options.as_json
@options.units
def alternatives(
    plan_dir: Path | None,
    within: float,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
) -> None:
    """Show kits for PLAN that cost little more and differ most.

    Up to three, each also different from those before, all checked.
    """
    from recommender.explain.alternatives import alternatives as look
    from recommender.report.alternatives_text import alternatives_text

    chosen = loaded(plan_dir, catalog, units)
    _, best = _cheapest(chosen)
    with shown_progress() as progress:
        result = look(chosen, best, within / 100, progress=progress)
    give(result, json_file, lambda: alternatives_text(result, chosen.settings.units))
    _end(result)


@click.command()
@options.plan_dir
@click.option(
    "--spend", type=click.FloatRange(0, 1e9), metavar="SUM",
    help="The sum, in the catalogue's currency; left out, what the cheapest kit costs.",
)  # fmt: skip
@click.option("--gear-only", is_flag=True, help="Leave out what the crew needs (helmets, training ...).")
@options.catalog
@options.as_json
@options.units
def first(
    plan_dir: Path | None,
    spend: float | None,
    gear_only: bool,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
) -> None:
    """Say what to buy first for PLAN with a sum of money.

    The purchases that cover the largest share of a season's pieces for the
    sum, step by step, and what a little more money would add. If the sum is
    too small for all of the work: what to leave out or cut shorter.
    """
    from recommender.explain.first import first_purchases
    from recommender.report.purchases_text import first_text

    chosen = loaded(plan_dir, catalog, units)
    if gear_only:
        chosen = _without_extras(chosen)
    with shown_progress() as progress:
        result = first_purchases(chosen, spend, progress=progress)
    give(result, json_file, lambda: first_text(result, chosen.settings.units))
    _end(result)


def _without_extras(plan: Plan) -> Plan:
    from dataclasses import replace

    return replace(plan, settings=plan.settings.model_copy(update={"extras": False}))


@click.command()
@options.plan_dir
@click.option("--job", metavar="NAME", help="Job type whose pieces change; left out, all that are lowered.")
@options.catalog
@options.as_json
@options.units
def curve(
    plan_dir: Path | None,
    job: str | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
) -> None:
    """Show the cost of the kit for PLAN against the largest piece.

    From half to one and a half of the planned size, with the items that change
    at every step.
    """
    from recommender.explain.curve import cost_curve
    from recommender.report.curve_text import curve_text

    chosen = loaded(plan_dir, catalog, units)
    jobs = None
    if job is not None:
        jobs = [k for k, row in enumerate(chosen.jobs) if row.job.casefold() == job.casefold()]
        if not jobs:
            names = ", ".join(row.job for row in chosen.jobs)
            raise Refusal(f"the plan has no job type '{job}'; it has: {names}")
    with shown_progress() as progress:
        result = cost_curve(chosen, jobs, progress=progress)
    give(result, json_file, lambda: curve_text(result, chosen.settings.units))
    _end(result)


def _cheapest(plan: Plan) -> tuple[PreparedPlan, KitSolution]:
    """The plan made ready and its cheapest kit; without one the command ends with the exit code for that."""
    from recommender.kit.planning import prepare, whole_spools
    from recommender.kit.solve import solve
    from recommender.kit.solver import USABLE

    prepared = prepare(whole_spools(plan))
    if not prepared.problem.uncovered():
        best = solve(prepared.problem)
        if best.status in USABLE:
            return prepared, best
    say("There is no kit for this plan: 'kitplan plan' says why.")
    click.get_current_context().exit(Ending.NO_KIT)


def _end(result: Answer) -> None:
    if not result.complete:
        say("Stopped; this is as far as it got.")
        click.get_current_context().exit(Ending.INTERRUPTED)
