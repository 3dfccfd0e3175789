"""What every command writes with --json, held against the schema that is published for it by another program."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Sequence
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from recommender.cli.commands import commands
from recommender.report.schemas import DOCUMENTS, write_all_schemas

DEMO = Path(__file__).parents[2] / "demo_catalog"
JOBS = ("hung logs let swing", "birch logs caught")

ASKED: tuple[tuple[str, Sequence[str]], ...] = (
    ("kit_result", ("plan", "PLAN")),
    ("kit_result", ("plan", "HOPELESS")),
    ("loads_result", ("loads", "PLAN")),
    ("explain_result", ("loads", "PLAN", "--explain", JOBS[1])),
    ("sensitivity_result", ("loads", "PLAN", "--sensitivity")),
    ("why_result", ("why", "--plan", "PLAN")),
    ("why_result", ("why", JOBS[1], "--plan", "PLAN")),
    ("alternatives_result", ("alternatives", "PLAN")),
    ("first_result", ("first", "PLAN", "--spend", "100", "--gear-only")),
    ("first_result", ("first", "HOPELESS")),
    ("curve_result", ("curve", "PLAN", "--job", JOBS[0])),
    ("limits_sheet", ("limits", "PLAN")),
    ("limits_sheet", ("limits", "PLAN", "--units", "us")),
    ("rope_match", ("ropes", "KN11/30m", "DB16-30", "--plan", "PLAN")),
    ("seasons_result", ("seasons", "PLAN")),
    ("seasons_result", ("seasons", "HOPELESS")),
    ("sweep_result", ("sweep", "PLAN", "--draws", "3", "--processes", "1")),
    ("sweep_draw", ("sweep", "PLAN", "--draw", "2")),
    ("larger_result", ("sweep", "PLAN", "--larger", "--draws", "2")),
)
"""Every way to ask for a result: the schema that is published for it, and the command."""


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Two job types of the training ground; and the same with a log that nothing can catch."""
    folder = tmp_path_factory.mktemp("plans")
    found = {}
    for name in ("PLAN", "HOPELESS"):
        found[name] = Path(shutil.copytree(DEMO / "training_ground", folder / name.lower()))
        work = found[name] / "work.csv"
        header, *rows = csv.reader(work.read_text(encoding="utf-8").splitlines())
        kept = [dict(zip(header, row, strict=True)) | {"share [%]": "50"} for row in rows if row[0] in JOBS]
        if name == "HOPELESS":
            kept[-1]["diameter [cm]"] = "140"
        with work.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, header)
            writer.writeheader()
            writer.writerows(kept)
    return found


@pytest.fixture(scope="module")
def schemas(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Draft202012Validator]:
    """As ``kitplan schema`` writes them."""
    paths = write_all_schemas(tmp_path_factory.mktemp("schemas"))
    read = {path.name.removesuffix(".schema.json"): json.loads(path.read_bytes()) for path in paths}
    for schema in read.values():
        Draft202012Validator.check_schema(schema)
    return {name: Draft202012Validator(schema) for name, schema in read.items()}


@pytest.mark.parametrize(
    ("name", "arguments"), ASKED, ids=lambda value: value if isinstance(value, str) else value[0]
)
def test_results_are_as_their_schema_says(
    name: str,
    arguments: Sequence[str],
    plans: dict[str, Path],
    schemas: dict[str, Draft202012Validator],
) -> None:
    given = [str(plans.get(one, one)) for one in arguments]
    call = [*given, "--catalog", str(DEMO), "--json", "-"]
    result = CliRunner().invoke(commands, call, prog_name="kitplan")
    assert result.exit_code == (
        1 if "HOPELESS" in arguments and arguments[0] in ("plan", "seasons") else 0
    ), result.output
    schemas[name].validate(json.loads(result.stdout))


def test_a_schema_refuses_what_is_not_as_it_says(schemas: dict[str, Draft202012Validator]) -> None:
    for name in DOCUMENTS:
        assert not schemas[name].is_valid({"strange": 1})


def test_every_command_with_json_and_every_published_result_is_asked() -> None:
    with_json = {
        name
        for name, one in commands.commands.items()
        if any(isinstance(option, click.Option) and "--json" in option.opts for option in one.params)
    }
    assert with_json == {arguments[0] for _, arguments in ASKED}
    assert {name for name, _ in ASKED} == set(DOCUMENTS) - {"plan", "plan_file"}
