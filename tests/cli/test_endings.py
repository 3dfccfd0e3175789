"""Exit codes and messages: every way a command can end."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from recommender.cli import folders
from recommender.cli.commands import commands
from recommender.cli.endings import Ending
from recommender.kit.result import KitResult
from recommender.work.plan import Plan


def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands, [str(one) for one in arguments], prog_name="kitplan")


def as_one_line(text: str) -> str:
    return " ".join(text.split())


def test_no_kit_is_explained(too_large: Path) -> None:
    result = run("plan", too_large)
    assert result.exit_code == Ending.NO_KIT == 1
    assert result.stderr == "No kit covers the work: 1 job type not covered.\n"
    read = KitResult.model_validate_json(run("plan", too_large, "--json", "-").stdout)
    assert read.status == "no kit" and [one.job for one in read.uncovered] == ["pine butt logs"]
    text = as_one_line(result.stdout)
    one = read.uncovered[0]
    for words in (one.job, one.part, one.shortfall, one.remedy, *one.other_remedies):
        assert words in text


def test_loads_of_work_that_nothing_carries(too_large: Path) -> None:
    result = run("loads", too_large)
    assert result.exit_code == Ending.DONE
    assert as_one_line(result.stdout).count("not carried by any setup on offer") == 1


@pytest.mark.parametrize("command", ["plan", "loads", "check"])
def test_every_problem_on_a_line_of_its_own(command: str, with_faults: Path) -> None:
    result = run(command, with_faults)
    assert result.exit_code == Ending.BAD_INPUT == 2
    assert result.stdout == ""
    *problems, count = result.stderr.splitlines()
    assert count == f"{len(problems)} problems found." and len(problems) >= 3
    for file, found in (
        ("work.csv, row 2", "'lowr'"),
        ("work.csv, row 3", "'-20'"),
        ("plan.toml", "'imperial'"),
    ):
        assert any(line.startswith(file) and found in line for line in problems)


def test_faults_of_a_catalogue(demo_copy: Path) -> None:
    slings = demo_copy / "slings.csv"
    slings.write_text(slings.read_text("utf-8").replace("min_break [kN]", "min_break"), encoding="utf-8")
    result = run("check", demo_copy)
    assert result.exit_code == Ending.BAD_INPUT
    assert "slings.csv" in result.stderr and "min_break" in result.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("plan", "nowhere"),
        ("plan", "--catalog", "nowhere"),
        ("check", "nowhere"),
        ("check",),
        ("plan", "--units", "cubits"),
        ("plan", "--time-limit", "0"),
        ("plan", "--no-such-option"),
        ("no-such-command",),
    ],
)
def test_wrong_usage(arguments: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = run(*arguments)
    assert result.exit_code == Ending.BAD_INPUT
    assert result.stdout == "" and result.stderr


def test_a_folder_that_is_neither(tmp_path: Path) -> None:
    result = run("check", tmp_path)
    assert result.exit_code == Ending.BAD_INPUT
    assert "neither a plan nor a catalogue" in result.stderr


def test_nothing_is_written_over(tmp_path: Path) -> None:
    kept = tmp_path / "ropes.csv"
    kept.write_text("mine")
    result = run("template", tmp_path)
    assert result.exit_code == Ending.BAD_INPUT and "ropes.csv" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["ropes.csv"] and kept.read_text() == "mine"


def test_files_that_cannot_be_written(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("")
    for arguments in (
        ("plan", "--json", tmp_path),
        ("schema", file),
        ("template", file / "inside"),
        ("template", tmp_path / "plan.json"),
    ):
        result = run(*arguments)
        assert result.exit_code == Ending.BAD_INPUT, result.output
        assert result.stdout == "" and "Traceback" not in result.stderr


def test_without_the_example_plan(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(folders, "DEMO_PLAN", tmp_path / "gone")
    result = run("plan")
    assert result.exit_code == Ending.BAD_INPUT
    assert "name the folder of a plan" in result.stderr


def test_a_fault_of_the_program_says_so_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> KitResult:
        raise ZeroDivisionError("two\nlines")

    monkeypatch.setattr("recommender.kit.planning.plan_kit", broken)
    result = run("plan")
    assert result.exit_code == Ending.FAULT == 3
    assert result.stdout == "" and len(result.stderr.splitlines()) == 1
    assert "fault of the program" in result.stderr and "ZeroDivisionError: two lines" in result.stderr


def test_stopped_without_a_kit(monkeypatch: pytest.MonkeyPatch) -> None:
    from recommender.kit import planning

    real = planning.plan_kit

    def stopped(plan: Plan, settings: object = None) -> KitResult:
        return real(plan).model_copy(update={"status": "stopped", "items": (), "assignments": ()})

    monkeypatch.setattr(planning, "plan_kit", stopped)
    result = run("plan")
    assert result.exit_code == Ending.FAULT
    assert "Total" not in result.stdout and "--time-limit" in result.stderr


def test_interrupted(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> KitResult:
        raise KeyboardInterrupt

    monkeypatch.setattr("recommender.kit.planning.plan_kit", interrupted)
    result = run("plan")
    assert result.exit_code == Ending.INTERRUPTED and result.stderr == "Stopped.\n"


def test_no_control_characters_reach_a_terminal(demo_copy: Path) -> None:
    work = demo_copy / "new_owner" / "work.csv"
    work.write_text(work.read_text("utf-8").replace("pine tops", "pine \x1b[2Jtops"), encoding="utf-8")
    result = run("plan", demo_copy / "new_owner")
    assert "\x1b" not in result.output


def _kitplan(*arguments: str, **environment: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "recommender.cli", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, **environment},
    )


def test_a_reader_that_stops_early_is_no_fault(too_large: Path) -> None:
    process = _kitplan("plan", str(too_large))
    assert process.stdout is not None and process.stderr is not None
    process.stdout.close()
    errors = process.stderr.read()
    process.stderr.close()
    assert process.wait() == Ending.NO_KIT
    assert errors.decode().splitlines() == ["No kit covers the work: 1 job type not covered."]


def test_a_terminal_without_the_letters(demo_copy: Path) -> None:
    plan = demo_copy / "new_owner" / "plan.toml"
    plan.write_text(plan.read_text("utf-8").replace("New owner", "Bäume 木"), encoding="utf-8")
    process = _kitplan("check", str(plan.parent), PYTHONIOENCODING="latin-1", PYTHONUTF8="0")
    output, _ = process.communicate()
    assert process.returncode == Ending.DONE
    assert output.decode("latin-1").startswith("Bäume ?, first truck")
