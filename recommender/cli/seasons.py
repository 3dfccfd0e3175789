"""``kitplan seasons``: what to buy in which season, what to cut smaller, what to give away until then."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from recommender.cli import options
from recommender.cli.endings import Ending, give, say
from recommender.cli.folders import loaded
from recommender.cli.progress import shown_progress
from recommender.cli.stopping import ctrl_c

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem


@click.command()
@options.plan_dir
@options.catalog
@options.as_json
@options.units
@click.option(
    "--time-limit", type=click.FloatRange(1, 86_400), default=120.0, show_default=True, metavar="SECONDS",
    help="Then the best plan so far is shown, with its gap.",
)  # fmt: skip
@click.option(
    "--gap", type=click.FloatRange(0, 20), default=0.1, show_default=True, metavar="PERCENT",
    help="How far from the cheapest the plan may be.",
)  # fmt: skip
@click.option(
    "--budgets", is_flag=True, help="Say too what more money in each season would save in all; takes longer."
)
def seasons(
    plan_dir: Path | None, catalog: Path | None, json_file: str | None, units: UnitSystem | None,
    time_limit: float, gap: float, budgets: bool,
) -> None:  # fmt: skip
    """Buy season by season within budgets.

    Reads the plan's seasons.csv (season, budget, work) and, from its work
    mix, most_pieces, cut_minutes and hire_price. Says what to buy when,
    what to cut smaller and what to give away until then, at the least cost in
    all seasons together. Without seasons.csv it is one season with no budget.
    Ctrl-C shows the best plan so far, checked, with its gap.
    """
    from recommender.kit.solver import SolverSettings
    from recommender.report.seasons_text import seasons_text
    from recommender.seasons import Watch, budget_view, plan_seasons

    plan = loaded(plan_dir, catalog, units)
    settings = SolverSettings(time_limit=time_limit, relative_gap=gap / 100)
    click.echo("Looking for the cheapest plan over all seasons ...", err=True)
    with ctrl_c() as pressed, shown_progress() as told:
        watch = Watch(pressed.is_set, told)
        result = plan_seasons(plan, settings, watch)
        if budgets and result.seasons and not pressed.is_set():
            view = budget_view(plan, result.cost, settings, watch)
            result = result.model_copy(update={"budget_view": view})
    give(result, json_file, lambda: seasons_text(result, plan.settings.units))
    if pressed.is_set():
        say("Stopped; this is as far as it got.")
        click.get_current_context().exit(Ending.INTERRUPTED)
    if result.status == "no kit":
        click.get_current_context().exit(Ending.NO_KIT)
    if not result.seasons:
        click.get_current_context().exit(Ending.FAULT)
