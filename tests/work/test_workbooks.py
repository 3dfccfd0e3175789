"""Workbooks: read like CSV files, and every trick of a spreadsheet either read right or refused."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from catalog_schema.catalogue import load_catalogue
from catalog_schema.problems import InputError, Problem, ProblemCode

Code = ProblemCode
SHEETS = ("ropes", "redirects", "slings", "brakes", "connectors")


@pytest.fixture
def workbook(plan_folder) -> Any:
    """The sound catalogue as an openpyxl workbook, numbers as numbers."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name in SHEETS:
        sheet = book.create_sheet(name)
        for line in plan_folder.text(f"{name}.csv").splitlines():
            sheet.append([_typed(cell) for cell in line.split(",")])
    return book


def _typed(cell: str) -> str | float | None:
    try:
        return float(cell)
    except ValueError:
        return cell or None


def saved(book: Any, tmp_path: Path) -> Path:
    path = tmp_path / "gear.xlsx"
    book.save(path)
    return path


def workbook_problems(path: Path) -> Sequence[Problem]:
    with pytest.raises(InputError) as caught:
        load_catalogue(path)
    return caught.value.problems


def test_workbook_and_csv_files_give_the_same_catalogue(plan_folder, workbook, tmp_path):
    workbook["redirects"].title = "REDIRECTS "
    workbook.create_sheet("my own notes")["A1"] = "anything"
    assert load_catalogue(saved(workbook, tmp_path)) == load_catalogue(plan_folder.path)


def test_excel_date_for_a_fraction(workbook, tmp_path):
    workbook["ropes"]["E2"] = datetime(2025, 9, 16)
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.sheet, problem.line, problem.column) == ("ropes", 2, "diameter")
    assert (problem.code, problem.value) == (Code.NOT_A_NUMBER, "2025-09-16")
    assert "into a date" in problem.message
    assert "9/16 in" in problem.hint


def test_percent_formatted_cells_carry_their_percent(workbook, tmp_path):
    workbook["ropes"]["H2"] = 0.045
    workbook["ropes"]["H2"].number_format = "0.0%"
    workbook["ropes"]["I2"].number_format = '0" %"'
    rope = load_catalogue(saved(workbook, tmp_path)).ropes[0]
    assert (rope.elongation, rope.elongation_at) == (pytest.approx(0.045), pytest.approx(0.30))


def test_formula_without_a_stored_result(workbook, tmp_path):
    workbook["ropes"]["F2"] = "=30+9"
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.code, problem.column, problem.value) == (Code.NOT_A_NUMBER, "min_break", "=30+9")
    assert "save it" in problem.hint


def test_formula_with_a_stored_result_is_read(workbook, tmp_path):
    path = saved(workbook, tmp_path)
    stored = rewritten(path, "xl/worksheets/sheet1.xml", b"<v>39</v>", b"<f>30+9</f><v>39</v>")
    assert load_catalogue(stored).ropes[0].min_break == 39e3


def test_error_value_of_a_spreadsheet(workbook, tmp_path):
    workbook["ropes"]["F2"] = "#DIV/0!"
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.code, problem.column, problem.value) == (Code.NOT_A_NUMBER, "min_break", "#DIV/0!")


def test_truth_value_in_a_number(workbook, tmp_path):
    workbook["ropes"]["F2"] = True
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.code, problem.column, problem.value) == (Code.NOT_A_NUMBER, "min_break", "yes")


def test_sheet_missing(workbook, tmp_path):
    del workbook["brakes"]
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.code, problem.sheet) == (Code.SHEET_MISSING, "brakes")
    assert "ropes, redirects, slings, connectors" in problem.hint


@pytest.mark.parametrize("name", ["brakes", "connectors"])
def test_sheet_misspelled(workbook, tmp_path, name):
    workbook[name].title = name[:-1]
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.code, problem.sheet) == (Code.SHEET_MISSING, name)
    assert problem.hint == f"Rename the sheet '{name[:-1]}' to '{name}'"


def test_sheet_without_cells(workbook, tmp_path):
    workbook["brakes"].delete_rows(1, 9)
    (problem,) = workbook_problems(saved(workbook, tmp_path))
    assert (problem.code, problem.sheet) == (Code.FILE_EMPTY, "brakes")


def test_text_for_a_workbook(tmp_path):
    path = tmp_path / "gear.xlsx"
    path.write_text("id,name\nA,b\n")
    (problem,) = workbook_problems(path)
    assert problem.code is Code.FILE_UNREADABLE


@pytest.mark.parametrize("keep", [0.1, 0.5, 0.9, 0.99])
def test_workbook_cut_short(workbook, tmp_path, keep):
    path = saved(workbook, tmp_path)
    data = path.read_bytes()
    path.write_bytes(data[: int(keep * len(data))])
    (problem,) = workbook_problems(path)
    assert problem.code is Code.FILE_UNREADABLE


def test_damaged_bytes_in_a_workbook(workbook, tmp_path):
    path = saved(workbook, tmp_path)
    data = bytearray(path.read_bytes())
    rng = random.Random(7)
    for _ in range(40):
        damaged = bytearray(data)
        for _ in range(20):
            damaged[rng.randrange(len(damaged))] = rng.randrange(256)
        path.write_bytes(damaged)
        try:
            load_catalogue(path)
        except InputError as error:
            assert error.problems


def test_zip_that_is_no_workbook(tmp_path):
    path = tmp_path / "gear.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", "hello")
    (problem,) = workbook_problems(path)
    assert (problem.code, "save it again" in problem.hint) == (Code.FILE_UNREADABLE, True)


def test_archive_that_unpacks_to_far_too_much(tmp_path):
    path = tmp_path / "gear.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", bytes(80_000_000))
    (problem,) = workbook_problems(path)
    assert (problem.code, "60 MB" in problem.message) == (Code.FILE_TOO_LARGE, True)


def test_entities_in_a_workbook_are_refused(workbook, tmp_path):
    path = saved(workbook, tmp_path)
    evil = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">]><worksheet'
    (problem,) = workbook_problems(rewritten(path, "xl/worksheets/sheet1.xml", b"<worksheet", evil))
    assert problem.code is Code.FILE_UNREADABLE


def rewritten(path: Path, part: str, old: bytes, new: bytes) -> Path:
    """The workbook with a text of one of its parts exchanged."""
    out = io.BytesIO()
    with zipfile.ZipFile(path) as archive, zipfile.ZipFile(out, "w") as target:
        for name in archive.namelist():
            data = archive.read(name)
            if name == part:
                assert old in data
                data = data.replace(old, new, 1)
            target.writestr(name, data)
    path.write_bytes(out.getvalue())
    return path
