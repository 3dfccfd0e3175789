"""What each command gives: results on the output, messages on the error stream, files that read back."""

from __future__ import annotations

import json
import signal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from openpyxl import load_workbook

import recommender.kit.solve
from catalog_schema.gear import TABLES
from recommender.cli.commands import commands
from recommender.cli.folders import DEMO_PLAN
from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit
from recommender.kit.quick import quick_kit
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.loads import LoadsResult
from recommender.report.schemas import DOCUMENTS, FURTHER_TABLES, PLAN_TABLES
from recommender.report.specification import catalogue_id
from recommender.work.plan import load_plan
from recommender.work.plan_json import plan_to_json

NAMES = (
    "alternatives", "check", "curve", "export", "first", "limits", "loads", "plan", "ropes", "schema", "seasons",
    "sweep", "template", "why",
)  # fmt: skip
CATALOGUE = DEMO_PLAN.parent


def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands, [str(one) for one in arguments], prog_name="kitplan")


run_once = cache(run)
"""For commands that write no file."""


def as_one_line(text: str) -> str:
    return " ".join(text.split())


def test_the_group_has_exactly_these_commands() -> None:
    assert sorted(commands.commands) == list(NAMES)


@pytest.mark.parametrize("name", ["", *NAMES])
def test_help(name: str) -> None:
    result = run(*([name] if name else []), "--help")
    assert result.exit_code == 0
    assert "Usage: kitplan" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    if name:
        assert len(commands.commands[name].help or "") > 40


def test_plan_without_a_folder_takes_the_new_owner() -> None:
    result = run_once("plan")
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    assert result.stdout.startswith("New owner, first truck\nInvented example")
    expected = plan_kit(load_plan(CATALOGUE / "new_owner"))
    assert f"Total to buy: EUR {expected.purchase_cost:,.2f}" in result.stdout
    for item in expected.items:
        assert item.id in result.stdout


def test_everything_that_is_bought_has_a_place_in_some_crew() -> None:
    text = as_one_line(run_once("plan", CATALOGUE / "company").stdout)
    rigged = text.partition("Rigged with")[2].partition("Hold at the brake")[0]
    bought = [one for one in plan_kit(load_plan(CATALOGUE / "company")).items if one.table != "extras"]
    assert all(f" {catalogue_id(one.id)} " in rigged for one in bought)
    assert "oak limbs off a wall, crew 2: " in rigged and "- heavy oak limbs: " in rigged


@pytest.mark.parametrize("command", ["plan", "loads"])
def test_loads_and_kits_end_with_the_cautions(command: str, too_large: Path) -> None:
    for folder in (CATALOGUE / "company", too_large):
        text = as_one_line(run_once(command, folder).stdout)
        assert text.endswith(CAUTIONS[-1])
        assert all(caution in text for caution in CAUTIONS)


def test_json_alone_on_the_output() -> None:
    result = run_once("plan", CATALOGUE / "training_ground", "--json", "-")
    read = KitResult.model_validate_json(result.stdout)
    assert read.status == "planned" and len(read.assignments) == 6
    assert KitResult.model_validate_json(read.model_dump_json()) == read
    assert read.cautions == CAUTIONS


def test_json_in_a_file_has_the_same_kit_as_the_text(tmp_path: Path) -> None:
    file = tmp_path / "kit.json"
    result = run("plan", CATALOGUE / "training_ground", "--json", file)
    assert result.exit_code == 0 and str(file) in result.stderr
    read = KitResult.model_validate_json(file.read_bytes())
    assert f"{read.purchase_cost:,.2f}" in result.stdout


def test_ctrl_c_shows_the_best_kit_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    """A real signal in the midst of the search, which begins with a quick kit."""
    before = signal.getsignal(signal.SIGINT)

    def interrupted(*arguments: Any) -> Any:
        signal.raise_signal(signal.SIGINT)
        return quick_kit(*arguments)

    monkeypatch.setattr(recommender.kit.solve, "quick_kit", interrupted)
    result = run("plan", CATALOGUE / "company", "--json", "-")
    assert result.exit_code == 130 and "as far as it got" in result.stderr
    read = KitResult.model_validate_json(result.stdout)
    assert read.status == "planned, optimum not proven" and read.items and 0 < read.gap < 1
    assert not check_kit(load_plan(CATALOGUE / "company"), read)
    assert signal.getsignal(signal.SIGINT) is before


def test_json_is_si_whatever_the_units() -> None:
    metric, us = (
        LoadsResult.model_validate_json(run("loads", DEMO_PLAN, "--units", units, "--json", "-").stdout)
        for units in ("metric", "us")
    )
    assert metric == us


def test_units_override_the_plan() -> None:
    assert ("WLL 10 kN" in run_once("plan").stdout) and "lbf" not in run_once("plan").stdout
    shown = run("plan", "--units", "us").stdout
    assert "WLL 2,248 lbf" in shown and "WLL 10 kN" not in shown
    told = " ".join(shown.split())
    assert "three strand, 5/8 in (16 mm);" in told
    assert "for rope 0.48 in (12 mm) to 5/8 in (16 mm)" in told, "limits inwards"
    assert "lbf" in run_once("loads", CATALOGUE / "company").stdout
    assert "lbf" not in run("loads", CATALOGUE / "company", "--units", "metric").stdout


def test_another_catalogue(tmp_path: Path) -> None:
    assert run("template", tmp_path / "own").exit_code == 0
    result = run("plan", DEMO_PLAN, "--catalog", tmp_path / "own", "--json", "-")
    assert result.exit_code == 1, "one example row a table does not carry the new owner's work"
    assert "No kit covers the work" in result.stderr


def test_check_counts_the_rows() -> None:
    work = (CATALOGUE / "company" / "work.csv").read_text(encoding="utf-8").splitlines()
    lines = [line.split() for line in run("check", CATALOGUE / "company").stdout.splitlines()]
    assert ["job", "types", str(len(work) - 1)] in lines
    ropes = (CATALOGUE / "ropes.csv").read_text(encoding="utf-8").splitlines()
    result = run("check", CATALOGUE)
    assert result.exit_code == 0
    assert ["ropes", str(len(ropes) - 1)] in [line.split() for line in result.stdout.splitlines()]


@pytest.mark.parametrize("name", ["check", "loads"])
def test_a_saved_plan_stands_for_its_folder(name: str, tmp_path: Path) -> None:
    saved = tmp_path / "plan.json"
    saved.write_text(plan_to_json(load_plan(DEMO_PLAN)), encoding="utf-8")
    from_file = run(name, saved)
    assert from_file.exit_code == 0 and from_file.stdout == run_once(name, DEMO_PLAN).stdout
    assert "brings its own catalogue" in run(name, saved, "--catalog", CATALOGUE).stderr
    assert "plan.json" in run(name, saved.with_name("none") / "plan.json").stderr


@pytest.mark.parametrize("units", ["metric", "us"])
def test_templates_are_sound_and_can_be_planned(tmp_path: Path, units: str) -> None:
    folder = tmp_path / "start"
    written = run("template", folder, "--units", units, "--workbook", "gear")
    assert written.exit_code == 0, written.output
    assert {path.name for path in folder.iterdir()} >= {"plan.toml", "work.csv", "ropes.csv", "gear.xlsx"}
    for place in (folder, folder / "gear.xlsx"):
        checked = run("check", place)
        assert checked.exit_code == 0, checked.output
    tie = {"metric": '"2 m"', "us": '"7 ft"'}[units]
    assert f"tie = {tie}\n" in (folder / "plan.toml").read_text(), "round numbers"
    assert run("plan", folder).exit_code == 0


def test_a_register_to_start_from_is_sound_and_counts(tmp_path: Path) -> None:
    assert run("template", tmp_path, "--register", "--workbook", "gear").exit_code == 0
    names = {path.stem for path in tmp_path.iterdir()}
    assert {"register", "inspections"} <= names and "owned" not in names
    told = run("check", tmp_path)
    assert told.exit_code == 0 and "R-001 (A1) is left out" in told.stdout, "its example was due years ago"
    counted = [line.split() for line in told.stdout.splitlines()]
    assert ["registered", "pieces", "1"] in counted and [
        "of",
        "them",
        "to",
        "be",
        "planned",
        "with",
        "0",
    ] in counted
    assert "'kitplan check' lists what is left out" in run("limits", tmp_path, "--owned").stderr
    comments = [cell.comment.text for cell in load_workbook(tmp_path / "gear.xlsx")["register"][1]]
    assert any("empty = not planned with" in text for text in comments)


def test_schemas_of_everything(tmp_path: Path) -> None:
    assert run("schema", tmp_path).exit_code == 0
    schemas = {
        path.name.removesuffix(".schema.json"): json.loads(path.read_text("utf-8"))
        for path in tmp_path.iterdir()
    }
    assert set(schemas) == {*TABLES, *PLAN_TABLES, *FURTHER_TABLES, *DOCUMENTS}
    assert {
        "ropes",
        "work",
        "register",
        "season_work",
        "trees",
        "kit_result",
        "loads_result",
        "explain_result",
    } <= set(schemas)
    result = json.loads(run_once("plan", CATALOGUE / "training_ground", "--json", "-").stdout)
    assert set(result) == set(schemas["kit_result"]["properties"])
    item = schemas["kit_result"]["$defs"]["KitItem"]["properties"]
    assert all(set(one) == set(item) for one in result["items"])
