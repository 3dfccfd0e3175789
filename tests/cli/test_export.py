"""``kitplan export``: each kind of file, what it refuses, and how it ends."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from openpyxl import load_workbook
from pypdf import PdfReader

from recommender.cli.commands import commands
from recommender.cli.endings import Ending
from recommender.work.plan import load_plan
from recommender.work.plan_json import read_plan_file


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(commands, ["export", *map(str, arguments)])


def test_the_whole_plan_as_a_workbook(demo_copy: Path, tmp_path: Path) -> None:
    target = tmp_path / "plan.xlsx"
    done = run(demo_copy / "new_owner", "--to", target, "--units", "us")
    assert done.exit_code == Ending.DONE and done.stderr == f"Wrote {target}\n" and done.stdout == ""
    book = load_workbook(target)
    assert {"order list", "loads", "policy", "ropes"} <= set(book.sheetnames)
    assert "min_break [lbf]" in [cell.value for cell in book["ropes"][1]]


def test_the_report_has_the_date_that_is_given(demo_copy: Path, tmp_path: Path) -> None:
    target = tmp_path / "a.PDF"
    assert run(demo_copy / "new_owner", "--to", target, "--date", "2031-02-03").exit_code == Ending.DONE
    pages = PdfReader(io.BytesIO(target.read_bytes())).pages
    assert all("2031-02-03" in page.extract_text() for page in pages)


@pytest.mark.parametrize(
    ("only", "name", "wanted"), [("order", "o.pdf", "Order list"), ("limits", "l.pdf", "Limits sheet")]
)
def test_a_part_alone_as_a_page(only: str, name: str, wanted: str, demo_copy: Path, tmp_path: Path) -> None:
    target = tmp_path / name
    assert run(demo_copy / "new_owner", "--only", only, "--to", target).exit_code == Ending.DONE
    assert wanted in PdfReader(io.BytesIO(target.read_bytes())).pages[0].extract_text()


def test_the_order_list_alone_as_a_workbook(demo_copy: Path, tmp_path: Path) -> None:
    target = tmp_path / "o.xlsx"
    assert run(demo_copy / "new_owner", "--only", "order", "--to", target).exit_code == Ending.DONE
    assert load_workbook(target).sheetnames == ["order list", "cautions"]


def test_a_saved_plan_is_read_again_and_exported_alike(demo_copy: Path, tmp_path: Path) -> None:
    saved, again = tmp_path / "plan.json", tmp_path / "again.json"
    assert run(demo_copy / "company", "--to", saved).exit_code == Ending.DONE
    assert run(saved, "--to", again).exit_code == Ending.DONE
    assert saved.read_bytes() == again.read_bytes()
    assert read_plan_file(saved).jobs == load_plan(demo_copy / "company").jobs
    assert run(saved, "--to", again, "--units", "metric").exit_code == Ending.DONE
    assert json.loads(again.read_text())["settings"]["units"] == "metric"
    assert run(saved, "--to", again, "--catalog", demo_copy).exit_code == Ending.BAD_INPUT


@pytest.mark.parametrize(
    "arguments",
    [("--to", "plan.doc"), ("--to", "plan"), ("--to", "o.json", "--only", "order"),
     ("--to", "l.xlsx", "--only", "limits"), ("--to", "no such folder/a.pdf"),
     ("--to", "a.pdf", "--date", "tomorrow"), ()],
)  # fmt: skip
def test_what_it_cannot_write_is_refused(
    arguments: tuple[str, ...], demo_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(demo_copy)
    before = sorted(demo_copy.iterdir())
    done = run("new_owner", *arguments)
    assert done.exit_code == Ending.BAD_INPUT and done.stderr
    assert sorted(demo_copy.iterdir()) == before


def test_a_broken_plan_lists_its_problems(with_faults: Path, tmp_path: Path) -> None:
    done = run(with_faults, "--to", tmp_path / "a.json")
    assert done.exit_code == Ending.BAD_INPUT and "problems found" in done.stderr
    assert list(tmp_path.glob("a.json")) == []


def test_without_a_kit_there_is_a_report_but_no_order(too_large: Path, tmp_path: Path) -> None:
    report, order = tmp_path / "a.pdf", tmp_path / "b.xlsx"
    done = run(too_large, "--to", report)
    assert done.exit_code == Ending.NO_KIT and "No kit covers the work" in done.stderr
    assert "Not covered" in "".join(
        page.extract_text() for page in PdfReader(io.BytesIO(report.read_bytes())).pages
    )
    assert run(too_large, "--to", order, "--only", "order").exit_code == Ending.NO_KIT
    assert not order.exists()


def test_reasons_seasons_and_first_purchases_are_added_when_asked_for(
    demo_copy: Path, tmp_path: Path
) -> None:
    target = tmp_path / "plan.xlsx"
    ran = run(
        demo_copy / "training_ground", "--to", target, "--with", "reasons", "--with", "seasons", "--with", "first",
        "--spend", "4700",
    )  # fmt: skip
    assert ran.exit_code == 0, ran.output
    names = set(load_workbook(target).sheetnames)
    assert {"why these items", "what jobs add", "purchases by season", "first purchases"} <= names


@pytest.mark.parametrize("arguments", [("--to", "plan.json"), ("--to", "limits.pdf", "--only", "limits")])
def test_additions_go_with_the_whole_alone(demo_copy: Path, arguments: tuple[str, ...]) -> None:
    ran = run(demo_copy / "training_ground", *arguments, "--with", "seasons")
    assert ran.exit_code != 0 and "--with goes with the full plan" in ran.output


def test_the_exercise_sheet_is_written(demo_copy: Path, tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    ran = CliRunner().invoke(
        commands,
        ["ropes", "NL127", "DB127-45", "--plan", str(demo_copy / "training_ground"), "--sheet", str(target)],
    )
    assert ran.exit_code == 0, ran.output
    assert target.read_bytes().startswith(b"%PDF") and "Wrote" in ran.output
