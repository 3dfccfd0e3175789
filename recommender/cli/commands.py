"""The commands of ``kitplan``. What a command needs is imported when it runs, so that each starts quickly."""

from __future__ import annotations

import gc
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from recommender.cli import options
from recommender.cli.endings import Commands, Ending, Failure, Refusal, give, say, show, use_any_terminal
from recommender.cli.export import export
from recommender.cli.folders import is_saved_plan, loaded, refuse_file
from recommender.cli.gear_questions import limits, ropes
from recommender.cli.questions import alternatives, curve, first, why
from recommender.cli.seasons import seasons
from recommender.cli.stopping import ctrl_c
from recommender.cli.sweep import sweep

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem
    from recommender.kit.result import KitResult
    from recommender.work.plan import Plan

RARE_COLLECTION = 100_000
"""New objects between two collections of garbage: a short run has little of it, and looking for it takes time."""


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(package_name="rigging-kit-planner", prog_name="kitplan")
def commands() -> None:
    """Find the cheapest kit of rigging gear that carries your work.

    \b
    Exit codes:
      0  done
      1  no kit covers the work; the output says why and what would help
      2  bad input or wrong usage; every problem is listed
      3  a fault of the program: use no figure of that run

    A planning aid: no licence to lift. The maker's instructions, local law and
    a qualified person decide.
    """


@commands.command()
@options.plan_dir
@options.catalog
@options.as_json
@options.units
@options.time_limit
@click.option(
    "--larger", type=click.FloatRange(0, 100), default=0.0, metavar="PERCENT",
    help="Plan for pieces that much larger in diameter and length than stated: see 'kitplan sweep --larger'.",
)  # fmt: skip
def plan(
    plan_dir: Path | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
    time_limit: float,
    larger: float,
) -> None:
    """Plan the cheapest kit for PLAN.

    PLAN is a folder with plan.toml and work.csv or trees.csv, and perhaps
    owned.csv or a register (register.csv, inspections.csv), policy.toml and a
    catalogue; or a plan saved as .json, which brings its own catalogue. Without
    it: the folder one is in, if it holds a plan.toml; else the invented plan of
    a new owner. Ctrl-C shows the best kit so far, checked, with its gap.
    """
    from recommender.explain.crews import by_crew
    from recommender.kit.planning import plan_kit
    from recommender.kit.solve import SolverSettings
    from recommender.report.kit_text import kit_text

    chosen = loaded(plan_dir, catalog, units)
    if larger:
        chosen = _with_larger_pieces(chosen, larger)
    with ctrl_c() as pressed:
        result = plan_kit(chosen, SolverSettings(time_limit=time_limit, stop=pressed.is_set))
    give(
        result, json_file,
        lambda: kit_text(
            result, chosen.catalogue, chosen.settings.units, by_crew(chosen, result)
        ),
    )  # fmt: skip
    if pressed.is_set():
        say("Stopped; this is as far as it got.")
        click.get_current_context().exit(Ending.INTERRUPTED)
    _end_of_planning(result)


def _with_larger_pieces(plan: Plan, percent: float) -> Plan:
    from recommender.sweep.larger import TooLarge, larger_plan

    try:
        return larger_plan(plan, percent)
    except TooLarge as error:
        raise Refusal(str(error)) from error


def _end_of_planning(result: KitResult) -> None:
    if result.status == "stopped":
        raise Failure("the solver stopped before it found a kit; give it more time with --time-limit")
    if result.status == "no kit":
        count = len(result.uncovered)
        jobs = f": {count} job type{'' if count == 1 else 's'} not covered" if count else ""
        say(f"No kit covers the work{jobs}.")
        click.get_current_context().exit(Ending.NO_KIT)


@commands.command()
@options.plan_dir
@options.catalog
@options.as_json
@options.units
@click.option(
    "--explain", "job", metavar="JOB",
    help="Show every step from the row of this job type to how hard each part works, as rigged in the cheapest kit.",
)  # fmt: skip
@click.option(
    "--sensitivity",
    is_flag=True,
    help="Show what a tenth more or less of each input does to the job types that decide about the kit.",
)
def loads(
    plan_dir: Path | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
    job: str | None,
    sensitivity: bool,
) -> None:
    """Show what each job type of PLAN asks of the gear.

    Piece, line needed, and the forces on line, redirect, brake and lifter:
    with the cheapest rope that carries the job type, and over all that do.
    """
    from recommender.report.loads import plan_loads
    from recommender.report.loads_text import loads_text

    if job is not None and sensitivity:
        raise click.UsageError("take either --explain or --sensitivity")
    chosen = loaded(plan_dir, catalog, units)
    if job is not None:
        _explain(chosen, job, json_file)
        return
    if sensitivity:
        _vary(chosen, json_file)
        return
    result = plan_loads(chosen)
    give(result, json_file, lambda: loads_text(result, chosen.settings.units))


def _explain(chosen: Plan, job: str, json_file: str | None) -> None:
    from recommender.explain.trace import NoSetup, explain_job
    from recommender.report.explain_text import explain_text

    try:
        result = explain_job(chosen, job)
    except NoSetup as error:
        raise Refusal(str(error)) from error
    give(result, json_file, lambda: explain_text(result, chosen.settings.units))


def _vary(chosen: Plan, json_file: str | None) -> None:
    from recommender.explain.sensitivity import sensitivity
    from recommender.report.explain_text import sensitivity_text

    result = sensitivity(chosen)
    give(result, json_file, lambda: sensitivity_text(result, chosen.settings.units))


@commands.command()
@click.argument("path", type=options.FOLDER)
@options.catalog
def check(path: Path, catalog: Path | None) -> None:
    """Check a plan, or a catalogue's folder or workbook.

    A plan is its folder, or a file saved as .json.

    Lists every problem with its file, row and column, and what to write
    instead; counts the rows when there is none.
    """
    from catalog_schema.catalogue import load_catalogue
    from recommender.report.checking import checked_catalogue_text, checked_plan_text

    if _kind_of_folder(path) == "catalogue":
        show(checked_catalogue_text(load_catalogue(path)))
        return
    from recommender.kit.planning import prepare

    chosen = loaded(path, catalog)
    show(checked_plan_text(chosen, prepare(chosen).notes))


@commands.command()
@click.argument("folder", metavar="DIR", type=options.FOLDER)
@click.option("--units", type=click.Choice(["metric", "us"]), default="metric", show_default=True,
              help="Units of the headers.")  # fmt: skip
@click.option(
    "--workbook", metavar="NAME", default="", help="Write a workbook NAME.xlsx with the same sheets too."
)
@click.option(
    "--register", is_flag=True,
    help="Write register.csv and inspections.csv, what is owned piece by piece, instead of the list owned.csv.",
)  # fmt: skip
def template(folder: Path, units: UnitSystem, workbook: str, register: bool) -> None:
    """Write files to start a plan from into DIR.

    The tables of a plan and a catalogue, each with one example row to
    replace, and plan.toml. In the workbook a comment on every heading says
    what is written there. Nothing is written over.

    With a register, a plan counts only on pieces that are sound: not retired,
    worn, failed, too old or overdue for inspection.
    """
    from catalog_schema.gear import TABLES
    from catalog_schema.templates import write_templates
    from recommender.report.schemas import PLAN_TABLES
    from recommender.work.register import TABLES as REGISTER
    from recommender.work.settings import settings_to_start_from, settings_to_toml

    refuse_file(folder)
    settings = settings_to_toml(settings_to_start_from(units), comments=True)
    listed = {name: model for name, model in PLAN_TABLES.items() if name != "owned"}
    own = {**listed, **REGISTER} if register else PLAN_TABLES
    book = f"{workbook.removesuffix('.xlsx')}.xlsx" if workbook else ""
    try:
        paths = write_templates(
            folder, {**TABLES, **own}, texts={"plan.toml": settings}, workbook=book, system=units
        )
    except OSError as error:
        raise Refusal(f"nothing was written: {error}. Name a new folder.") from error
    _list_written(paths)


@commands.command()
@click.argument("folder", metavar="DIR", type=options.FOLDER)
def schema(folder: Path) -> None:
    """Write JSON Schemas of all tables, settings and results into DIR."""
    from recommender.report.schemas import write_all_schemas

    refuse_file(folder)
    try:
        paths = write_all_schemas(folder)
    except OSError as error:
        raise Refusal(f"can't write into {folder}: {error.strerror}") from error
    _list_written(paths)


def _kind_of_folder(path: Path) -> Literal["plan", "catalogue"]:
    """What a path holds, told by its files.

    Raises
    ------
    InputError
        If it is neither, or not there.
    """
    from catalog_schema.problems import InputError, Problem, ProblemCode
    from catalog_schema.sources import find_file
    from recommender.work.plan import TABLE_SUFFIXES

    if is_saved_plan(path) or find_file(path, "plan", (".toml",)) or find_file(path, "work", TABLE_SUFFIXES):
        return "plan"
    if path.is_file() or (path.is_dir() and any(path.glob("*.csv"))):
        return "catalogue"
    message = (
        "this holds neither a plan nor a catalogue" if path.exists() else "there is no such file or folder"
    )
    hint = (
        "Name a folder with plan.toml and work.csv or a plan saved as .json, or, for a catalogue, a folder with "
        "ropes.csv and the other tables or a workbook"
    )
    raise InputError([Problem(str(path), ProblemCode.FILE_MISSING, message, hint)])


def _list_written(paths: Sequence[Path]) -> None:
    show("\n".join(f"Wrote {path}" for path in paths))


commands.add_command(alternatives)
commands.add_command(curve)
commands.add_command(export)
commands.add_command(limits)
commands.add_command(ropes)
commands.add_command(seasons)
commands.add_command(sweep)
commands.add_command(first)
commands.add_command(why)


def main() -> None:
    """Run ``kitplan``."""
    use_any_terminal()
    gc.set_threshold(RARE_COLLECTION)
    commands(prog_name="kitplan")
