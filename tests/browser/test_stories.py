"""Three people with tables of their own, in a browser: what they bring in, see and take home agrees."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from playwright.sync_api import expect
from pypdf import PdfReader
from served import download, edit_cell, followed, go, press, settled, to_cell, total

from catalog_schema.catalogue import load_catalogue
from catalog_schema.writing import write_workbook
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.explain.rope_choice import telling_ropes
from recommender.explain.rope_gear import kit_takes
from recommender.explain.rope_match import compare_ropes
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitItem, KitResult
from recommender.report.figures import money
from recommender.report.rope_exercises import exercises
from recommender.report.rope_words import verdict_sentence
from recommender.report.specification import catalogue_id
from recommender.work.plan import load_plan
from recommender.work.plan_json import plan_from_json
from recommender.work.register import read_register_files

DEARER = 1.07
"""The invented prices of the demo at an invented shop."""
FAULTY_ROW = 3


def own_list(folder: Path) -> tuple[Path, str]:
    """A workbook of gear with an unreadable strength in it, and the strength that was meant."""
    tables = {
        name: [
            row.model_copy(update={"price": round(row.price * DEARER, 2)} if row.price else {})
            for row in rows
        ]
        for name, rows in load_catalogue(DEMO_FOLDER).tables().items()
        if rows
    }
    path = folder / "own gear.xlsx"
    write_workbook(tables, path)
    book = openpyxl.load_workbook(path)
    sheet = book["ropes"]
    (place,) = [cell.column for cell in sheet[1] if str(cell.value).startswith("min_break")]
    cell = sheet.cell(FAULTY_ROW + 2, place)
    meant, cell.value = f"{cell.value:g}", "strong"
    book.save(path)
    return path, meant


def amounts(items: Iterable[KitItem]) -> list[tuple[str, int, float]]:
    return sorted((catalogue_id(one.id), one.quantity, 0.0 if one.owned else one.unit_price) for one in items)


def order_agrees(content: bytes, result: KitResult) -> None:
    book = openpyxl.load_workbook(io.BytesIO(content))
    computed = openpyxl.load_workbook(io.BytesIO(content), data_only=True).worksheets[0]
    sheet = book.worksheets[0]
    (top,) = [row for row in sheet.iter_rows() if [cell.value for cell in row][1:3] == ["pieces", "planned"]]
    place = {str(cell.value).partition(" [")[0]: cell.column for cell in top}
    rows = range(top[0].row + 1, sheet.max_row + 1)
    lines = [row for row in rows if isinstance(sheet.cell(row, place["pieces"]).value, int)]
    found = [
        tuple(sheet.cell(row, place[name]).value or 0 for name in ("id", "pieces", "each")) for row in lines
    ]
    assert sorted(found) == [(id, count, pytest.approx(price)) for id, count, price in amounts(result.items)]
    assert all(
        sheet.cell(row, place["planned"]).value == sheet.cell(row, place["pieces"]).value for row in lines
    )
    assert computed.cell(sheet.max_row, place["together"]).value == pytest.approx(result.purchase_cost)


def text_of(content: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages)


def report_agrees(content: bytes, result: KitResult) -> None:
    words = text_of(content)
    assert f"Total to buy: {money(result.purchase_cost, result.currency)}" in words
    for one in result.items:
        if one.owned:
            continue
        line = f"{catalogue_id(one.id)} {one.unit_price:,.2f} {one.price:,.2f}"
        assert line in words, line
    assert "qualified person" in words and "Nobody ever hangs on load rigging" in words


def test_a_new_owner_brings_a_list_with_a_fault(opened: Any, shared_server: Any, tmp_path: Path) -> None:
    path, meant = own_list(tmp_path)
    page = press(opened(shared_server), "Open the first-truck example")
    demo_total = total(page).inner_text()

    go(page, "Gear to choose from")
    with followed(page):
        page.locator("input[type=file]").first.set_input_files(path)
    fault = page.get_by_text("Min break").filter(has_text=f"Row {FAULTY_ROW + 2}")
    expect(fault).to_be_visible()
    expect(page.get_by_text("found 'strong'")).to_be_visible()
    assert to_cell(page, "Min break", FAULTY_ROW) == "strong"
    edit_cell(page, "Min break", FAULTY_ROW, meant)
    expect(fault).to_have_count(0)

    go(page, "Kit")
    shown = total(page).inner_text()
    assert shown != demo_total
    plan = plan_from_json(download(page, "Plan to be read again (JSON)").decode())
    result = plan_kit(plan)
    assert shown == money(result.purchase_cost, result.currency)
    assert plan.catalogue.ropes[FAULTY_ROW].min_break == pytest.approx(1000 * float(meant))
    order_agrees(download(page, "Order list (XLSX)"), result)
    report_agrees(download(page, "Report (PDF)"), result)

    go(page, "Reasons")
    press(page, "Look for the reasons")
    expect(page.get_by_role("heading", name="Items of the kit")).to_be_visible()
    for one in result.items:
        if one.table == "ropes":
            expect(page.get_by_text(one.name).first).to_be_attached()

    page.reload()
    go(settled(page), "Kit")
    expect(total(page)).to_have_text(shown)


def test_a_company_brings_what_it_owns_and_gets_the_rest(
    opened: Any, shared_server: Any, tmp_path: Path
) -> None:
    """Half of what the demo's company owns, without the pieces that are left out there."""
    kept = [one for one in load_plan(DEMO_FOLDER / "company").owned if one.condition == "sound"][::2]
    path = tmp_path / "owned.xlsx"
    write_workbook({"owned": kept}, path)
    page = press(opened(shared_server), "Open the two-crew example")
    with_all = total(page).inner_text()

    go(page, "Owned gear")
    page.get_by_text("Bring in from files: Register and Inspections and Owned").click()
    with followed(page):
        page.locator("input[type=file]").first.set_input_files(path)
    expect(page.get_by_text("Owned gear: ").first).to_contain_text("changed")
    press(page, "Take these tables")
    expect(page.get_by_text("used from now on")).to_be_visible()

    go(page, "Kit")
    shown = total(page).inner_text()
    assert shown != with_all
    plan = plan_from_json(download(page, "Plan to be read again (JSON)").decode())
    assert [(one.item, one.count) for one in plan.owned] == [(one.item, one.count) for one in kept]
    result = plan_kit(plan)
    assert shown == money(result.purchase_cost, result.currency)
    order_agrees(download(page, "Order list (XLSX)"), result)
    whole = openpyxl.load_workbook(io.BytesIO(download(page, "Full plan (XLSX)")), data_only=True)
    assert {"kit", "owned", "lives", "cautions"} <= set(whole.sheetnames)
    figures = {row[0]: row[1] for row in whole["summary"].iter_rows(values_only=True, max_col=2)}
    assert figures["total to buy [EUR]"] == pytest.approx(result.purchase_cost)
    report_agrees(download(page, "Report (PDF)"), result)

    go(page, "Owned gear")
    press(page, "Make a register of this list")
    with zipfile.ZipFile(io.BytesIO(download(page, "Register and inspections (CSV files)"))) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    pieces, _, problems = read_register_files(files, plan.catalogue, date.today())
    assert not problems and len(pieces) == sum(one.count for one in kept)
    go(page, "Plans")
    again = plan_from_json(download(page, "As a file").decode())
    assert again.origins.register == pieces


def test_a_trainer_brings_ropes_and_takes_exercises_home(
    opened: Any, shared_server: Any, tmp_path: Path
) -> None:
    ropes = [
        row.model_copy(update={"price": round(row.price * DEARER, 2)} if row.price else {})
        for row in load_catalogue(DEMO_FOLDER).ropes
    ]
    path = tmp_path / "ropes.xlsx"
    write_workbook({"ropes": ropes}, path)
    page = press(opened(shared_server), "Open the training example")

    go(page, "Gear to choose from")
    with followed(page):
        page.get_by_text("Keep the tables that these files don't bring").click()
    with followed(page):
        page.locator("input[type=file]").first.set_input_files(path)
    expect(page.get_by_text("used from now on")).to_be_visible()

    go(page, "Kit")
    plan = plan_from_json(download(page, "Plan to be read again (JSON)").decode())
    assert [one.price for one in plan.catalogue.ropes] == [one.price for one in ropes]
    assert plan.catalogue.slings

    go(page, "Rope against rope")
    kit = plan_kit(plan)
    caught = [one for one in kit.assignments if one.technique == "catch"]
    job = max(caught, key=lambda one: one.piece_mass_kg).job
    chosen = telling_ropes(plan, job, kit)
    rows = [one for one in plan.catalogue.ropes if one.id in chosen]
    beside = kit if kit_takes(plan.catalogue, kit, job, rows) else None
    match = compare_ropes(plan, chosen, job, beside)
    said = page.locator("h3").first.inner_text().replace("\u2060", "")
    assert said == verdict_sentence(match, "metric")
    asked = text_of(download(page, "Exercise sheet (PDF)"))
    solved = text_of(download(page, "The sheet with answers (PDF)"))
    for one in exercises(match, "metric", answers=True):
        assert " ".join(one.question.split()) in asked and " ".join(one.question.split()) in solved
        assert " ".join(one.answer.split()) in solved
    with followed(page):
        page.get_by_text("Large view, to show to a class").click()
    expect(page.get_by_text("Nobody ever hangs on load rigging")).to_be_visible()
