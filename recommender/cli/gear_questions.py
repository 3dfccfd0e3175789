"""``kitplan limits`` and ``kitplan ropes``: what gear may take down, and ropes side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from recommender.cli import options
from recommender.cli.endings import Ending, Refusal, give, say
from recommender.cli.folders import loaded

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem
    from recommender.explain.rope_match import RopeMatch
    from recommender.kit.result import KitResult
    from recommender.work.plan import Plan


@click.command()
@options.plan_dir
@click.option("--owned", is_flag=True, help="Only with the gear that is owned, instead of the cheapest kit.")
@click.option(
    "--species",
    metavar="NAME",
    help="Whose logs to show; the heaviest of the plan if left out.",
)
@options.catalog
@options.as_json
@options.units
def limits(
    plan_dir: Path | None,
    owned: bool,
    species: str | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
) -> None:
    """Show the largest pieces that the kit for PLAN may take.

    For each technique and height: the mass, and the longest log by diameter,
    with the gear that it holds for. --owned: with what is on the truck today.
    """
    from recommender.explain.limits import limits_sheet
    from recommender.report.limits_text import limits_text

    chosen = loaded(plan_dir, catalog, units)
    known = sorted({job.species for job in chosen.jobs})
    if species is not None and species not in known:
        raise Refusal(f"the plan has no species '{species}'; it has: {', '.join(known)}")
    if owned and not chosen.owned:
        raise Refusal(
            "this plan has no owned gear that may be planned with ('kitplan check' lists what is left out); "
            "write it into owned.csv or register.csv, or leave out --owned"
        )
    kit = None if owned else _kit(chosen)
    sheet = limits_sheet(chosen, kit)
    give(sheet, json_file, lambda: limits_text(sheet, chosen.settings.units, species))


def _kit(chosen: Plan) -> KitResult:
    """The cheapest kit; without one the command ends with the exit code for that."""
    from recommender.kit.planning import plan_kit

    result = plan_kit(chosen)
    if not result.items:
        say("There is no kit for this plan, so no limits: 'kitplan plan' says why. Try --owned.")
        click.get_current_context().exit(Ending.NO_KIT)
    return result


@click.command()
@click.argument("ropes", nargs=-1, required=True, metavar="ROPE ROPE [ROPE] [ROPE]")
@options.plan_option
@click.option("--job", metavar="NAME", help="Job type to compare in; the plan's hardest catch if left out.")
@click.option(
    "--length", type=click.FloatRange(10, 300), default=100.0, show_default=True, metavar="PERCENT",
    help="Length of the pieces, of what is planned.",
)  # fmt: skip
@click.option(
    "--thickness", type=click.FloatRange(10, 300), default=100.0, show_default=True, metavar="PERCENT",
    help="Thickness of the pieces, of what is planned.",
)  # fmt: skip
@click.option(
    "--run", type=click.FloatRange(0, 100), metavar="LENGTH",
    help="Line let run by the brake in a catch, in m or ft as the plan is shown; 0 = locked.",
)  # fmt: skip
@click.option(
    "--strongest", is_flag=True, help="Beside the strongest gear that takes these ropes, not the kit's."
)
@click.option("--exercises", is_flag=True, help="Add questions for a lesson.")
@click.option("--answers", is_flag=True, help="Add the questions with their answers.")
@click.option(
    "--sheet", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
    help="Write the exercises to a PDF file too, with --answers with their answers.",
)  # fmt: skip
@options.catalog
@options.as_json
@options.units
def ropes(
    ropes: tuple[str, ...],
    plan_dir: Path | None,
    job: str | None,
    length: float,
    thickness: float,
    run: float | None,
    strongest: bool,
    exercises: bool,
    answers: bool,
    sheet: Path | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
) -> None:
    """Compare two to four ropes of the catalogue in one job type.

    ROPE is an id of the catalogue, such as R1 or R1/45m. Redirect, slings and
    brake are those of the cheapest kit for the plan. The plan stays as it is:
    another length, thickness or run is for this comparison only.
    """
    from recommender.explain.rope_match import FEWEST, MOST, UnknownName, compare_ropes
    from recommender.kit.planning import plan_kit
    from recommender.report.ropes_text import ropes_text

    if not FEWEST <= len(ropes) <= MOST or len(set(ropes)) != len(ropes):
        raise click.UsageError(f"name {FEWEST} to {MOST} different ropes")
    chosen = loaded(plan_dir, catalog, units)
    name = job or _hardest_job(chosen)
    kit = None if strongest else plan_kit(chosen)
    changed = _with_another_piece(chosen, name, length, thickness, run)
    try:
        match = compare_ropes(changed, ropes, name, kit)
    except UnknownName as error:
        raise Refusal(str(error)) from error
    if sheet is not None:
        _write_sheet(sheet, match, chosen.settings.units, answers)
    lesson = exercises or answers
    give(match, json_file, lambda: ropes_text(match, chosen.settings.units, lesson=lesson, answers=answers))


def _with_another_piece(plan: Plan, name: str, length: float, thickness: float, run: float | None) -> Plan:
    """The plan with another piece in the job type of a name; as it is where there is none of that name."""
    from dataclasses import replace

    from catalog_schema.units import to_si, unit_of
    from recommender.explain.changed_job import JobChange, changed_job

    metres = None if run is None else to_si(run, unit_of("length", plan.settings.units), "length")
    change = JobChange(length / 100, thickness / 100, run=metres)
    try:
        jobs = tuple(changed_job(one, change) if one.job == name else one for one in plan.jobs)
    except ValueError as error:
        raise Refusal(str(error)) from error
    return replace(plan, jobs=jobs)


def _write_sheet(target: Path, match: RopeMatch, units: UnitSystem, answers: bool) -> None:
    import datetime

    from recommender.cli.export import write_file
    from recommender.files.exercises_pdf import exercises_pdf

    write_file(target, exercises_pdf(match, units, answers=answers, date=datetime.date.today()))


def _hardest_job(chosen: Plan) -> str:
    """The catch with the heaviest piece, or without a catch the heaviest piece of all."""
    from recommender.work.cases import load_cases

    cases = load_cases(chosen.jobs, chosen.settings.line, chosen.settings.pieces_per_season)
    return max(cases, key=lambda case: (case.technique == "catch", case.mass.design)).job
