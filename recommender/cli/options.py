"""Arguments and options that several commands have alike."""

from __future__ import annotations

from pathlib import Path

import click

FOLDER = click.Path(path_type=Path)

plan_dir = click.argument("plan_dir", metavar="[PLAN]", type=FOLDER, required=False)
plan_option = click.option(
    "--plan", "plan_dir", type=FOLDER, metavar="PLAN", help="Folder of the plan, or a plan saved as .json."
)
catalog = click.option(
    "--catalog",
    type=FOLDER,
    metavar="PATH",
    help="Folder or workbook of the catalogue, instead of the plan's.",
)
as_json = click.option(
    "--json", "json_file", metavar="FILE",
    help="Write the typed result too (SI units); '-' writes it alone on the output.",
)  # fmt: skip
units = click.option(
    "--units", type=click.Choice(["metric", "us"]), help="Units to show, instead of the plan's."
)
time_limit = click.option(
    "--time-limit", type=click.FloatRange(min=0.1), default=60.0, show_default=True, metavar="SECONDS",
    help="Longest time for the solver.",
)  # fmt: skip
