"""``kitplan export``: a plan and its kit as a file to hand on, its kind told by the end of its name."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from recommender.cli import options
from recommender.cli.endings import Refusal, say
from recommender.cli.folders import loaded

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem
    from recommender.kit.result import KitResult
    from recommender.kit.solver import SolverSettings
    from recommender.work.plan import Plan

Part = Literal["order", "limits"]
WRITTEN = {".xlsx": (None, "order"), ".pdf": (None, "order", "limits"), ".json": (None,)}
"""For the end of a name: the whole (None), and the parts that there are of it."""


@click.command()
@options.plan_dir
@click.option(
    "--to", "target", type=click.Path(path_type=Path, dir_okay=False), required=True, metavar="FILE",
    help="File to write: .xlsx, .pdf or .json. It is replaced if it is there.",
)  # fmt: skip
@click.option(
    "--only",
    type=click.Choice(["order", "limits"]),
    help="The order list (.xlsx, .pdf) or the limits sheet (.pdf) alone.",
)
@click.option(
    "--with", "parts", type=click.Choice(["reasons", "seasons", "first"]), multiple=True, metavar="PART",
    help="Add to full plan or report: reasons, seasons or first (what to buy first). May be repeated.",
)  # fmt: skip
@click.option(
    "--spend", type=click.FloatRange(min=0), metavar="SUM",
    help="The sum for --with first; what everything costs if left out.",
)  # fmt: skip
@options.catalog
@options.units
@click.option(
    "--date",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="Date to print; today if left out.",
)
@options.time_limit
def export(
    plan_dir: Path | None,
    target: Path,
    only: Part | None,
    parts: tuple[str, ...],
    spend: float | None,
    catalog: Path | None,
    units: UnitSystem | None,
    date: datetime.datetime | None,
    time_limit: float,
) -> None:
    """Write PLAN and its kit to a file.

    \b
    .xlsx: the full plan, a sheet for each part, totals that follow changes.
    .pdf: the report with loads, drawn setups, assumptions and sources.
    .json: the plan alone, which every command takes as PLAN.
    """
    _check_kind(target, only)
    if parts and (only is not None or target.suffix.lower() == ".json"):
        raise Refusal("--with goes with the full plan (.xlsx) and the report (.pdf) alone")
    chosen = loaded(plan_dir, catalog, units)
    if target.suffix.lower() == ".json":
        from recommender.work.plan_json import plan_to_json

        write_file(target, plan_to_json(chosen).encode())
        return
    from recommender.cli.commands import _end_of_planning
    from recommender.kit.planning import plan_kit
    from recommender.kit.solve import SolverSettings

    settings = SolverSettings(time_limit=time_limit)
    result = plan_kit(chosen, settings)
    if result.items or (only is None and result.status != "stopped"):
        day = date.date() if date else datetime.date.today()
        more = _more(chosen, result, parts, spend, settings)
        write_file(target, _drawn(target.suffix.lower(), only, result, chosen, day, more))
    _end_of_planning(result)


def _check_kind(target: Path, only: Part | None) -> None:
    parts = WRITTEN.get(target.suffix.lower())
    if parts is None:
        raise Refusal(
            f"can't tell what to write from the name {target.name}: let it end in {', '.join(WRITTEN)}"
        )
    if only not in parts:
        ends = ", ".join(end for end, kinds in WRITTEN.items() if only in kinds)
        raise Refusal(f"--only {only} goes with a name that ends in {ends}")


def _more(
    plan: Plan, result: KitResult, parts: tuple[str, ...], spend: float | None, settings: SolverSettings
) -> dict[str, Any]:
    """The answers that were asked for, by the names that the files take them by."""
    from recommender.cli.progress import shown_progress

    found: dict[str, Any] = {}
    if "seasons" in parts:
        from recommender.seasons import plan_seasons

        found["seasons"] = plan_seasons(plan, settings)
    if "first" in parts:
        from recommender.explain.first import first_purchases

        with shown_progress() as progress:
            found["first"] = first_purchases(plan, spend, settings=settings, progress=progress)
    if "reasons" in parts and result.items:
        from recommender.explain.reasons import explain
        from recommender.kit.planning import prepare, whole_spools
        from recommender.kit.solve import solve

        with shown_progress() as progress:
            best = solve(prepare(whole_spools(plan)).problem, settings)
            found["why"] = explain(plan, best, settings=settings, progress=progress)
    return found


def _drawn(
    kind: str,
    only: Part | None,
    result: KitResult,
    plan: Plan,
    day: datetime.date,
    more: dict[str, Any],
) -> bytes:
    system = plan.settings.units
    if kind == ".xlsx":
        from recommender.files.workbooks import order_workbook, plan_workbook

        return order_workbook(result, plan, system) if only else plan_workbook(result, plan, system, **more)
    if only == "limits":
        from recommender.explain.limits import limits_sheet
        from recommender.files.limits_pdf import limits_pdf

        return limits_pdf(limits_sheet(plan, result), system, date=day)
    from recommender.files.report_pdf import order_pdf, report_pdf

    if only:
        return order_pdf(result, plan, system, date=day)
    return report_pdf(result, plan, system, date=day, **more)


def write_file(target: Path, content: bytes) -> None:
    """Write a file and say so; a fault of the disk is told in words."""
    try:
        target.write_bytes(content)
    except OSError as error:
        raise Refusal(f"can't write {target}: {error.strerror}") from error
    say(f"Wrote {target}")
