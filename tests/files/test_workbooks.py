"""Workbooks: opened again, compared with the result, and reckoned again."""

from __future__ import annotations

import io
import json
import math
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.units import from_si
from catalog_schema.writing import header_of
from recommender.explain.crews import by_crew
from recommender.files.order_list import piece_numbers
from recommender.files.sheets import saved
from recommender.files.workbooks import order_workbook, plan_workbook
from recommender.report.figures import force, percent
from recommender.report.specification import catalogue_id
from recommender.work.origins import Origins
from recommender.work.register import RegisterItem
from recommender.work.tables import JobType, OwnedGear

TOTAL = re.compile(r"=(?:SUM\(([HJ])\d+:\1\d+\)|B\d+\*[GI]\d+|([HJ])\d+(?:\+\2\d+)*)")


def value(sheet: Any, place: str) -> float:
    """The value of a cell: its number, or what its formula gives."""
    content = sheet[place].value
    if not isinstance(content, str):
        return float(content)
    assert TOTAL.fullmatch(content), content
    places = re.findall(r"[A-Z]+\d+", content)
    if content.startswith("=SUM("):
        first, last = (int(one[1:]) for one in places)
        return sum(value(sheet, f"{places[0][0]}{row}") for row in range(first, last + 1))
    values = [value(sheet, one) for one in places]
    return values[0] * values[1] if "*" in content else sum(values)


def formulas(book: Any) -> list[tuple[str, str, str]]:
    """Sheet, place and text of every formula."""
    return [
        (sheet.title, cell.coordinate, cell.value)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]


def opened(data: bytes, *, results: bool = False) -> Any:
    return load_workbook(io.BytesIO(data), data_only=results)


def rows_of(sheet: Any) -> list[dict[str, Any]]:
    """Rows below the headings of a sheet with a title."""
    rows = list(sheet.iter_rows(values_only=True))
    top = next(number for number, row in enumerate(rows) if number > 1 and row[0])
    return [dict(zip(rows[top], row, strict=True)) for row in rows[top + 1 :]]


def order_lines(sheet: Any) -> list[int]:
    """Rows of the order list that hold an item: those with pieces."""
    return [row for row in range(5, sheet.max_row + 1) if isinstance(sheet[f"B{row}"].value, int | float)]


def test_the_order_list_is_the_kit(case: Any) -> None:
    sheet = opened(order_workbook(case.result, case.plan, case.system))["order list"]
    found = sorted(
        (sheet[f"F{row}"].value, sheet[f"B{row}"].value, sheet[f"C{row}"].value, sheet[f"G{row}"].value or 0)
        for row in order_lines(sheet)
    )
    wanted = json.loads(case.result.model_dump_json())["items"]
    assert found == sorted(
        (catalogue_id(one["id"]), one["quantity"], one["quantity"], 0 if one["owned"] else one["unit_price"])
        for one in wanted
    )


def test_totals_are_those_of_the_result(case: Any) -> None:
    data = order_workbook(case.result, case.plan, case.system)
    sheet, results = opened(data)["order list"], opened(data, results=True)["order list"]
    places = [place for _, place, _ in formulas(opened(data))]
    assert len(places) > len([one for one in case.result.items if not one.owned])
    for place in places:
        assert results[place].value == pytest.approx(value(sheet, place)), place
    total = max(places, key=lambda place: int(place[1:]))
    assert value(sheet, total) == pytest.approx(case.result.purchase_cost)


def test_totals_follow_what_the_buyer_changes(company: Any) -> None:
    book = opened(order_workbook(company.result, company.plan, "us"))
    sheet = book["order list"]
    total = max((place for _, place, _ in formulas(book)), key=lambda place: int(place[1:]))
    before = value(sheet, total)
    row = order_lines(sheet)[0]
    sheet[f"B{row}"].value += 3
    sheet[f"G{row}"].value += 10
    pieces, each = sheet[f"B{row}"].value, sheet[f"G{row}"].value
    assert value(sheet, total) == pytest.approx(before + pieces * each - (pieces - 3) * (each - 10))
    sheet[f"B{row}"].value -= 3
    weight = f"J{total[1:]}"
    planned = from_si(company.result.mass_kg, "lb", "mass")
    kit = value(sheet, weight)
    assert planned - 0.01 <= kit <= planned + 0.01 * sum(one.quantity for one in company.result.items)
    sheet[f"B{row}"].value += 1
    assert value(sheet, weight) == pytest.approx(kit + sheet[f"I{row}"].value)


@pytest.mark.skipif(
    not shutil.which("soffice"), reason="there is no LibreOffice here to reckon the totals again"
)
def test_a_spreadsheet_program_reckons_the_same(company: Any, tmp_path: Path) -> None:
    source = tmp_path / "order.xlsx"
    source.write_bytes(order_workbook(company.result, company.plan, "us"))
    call = ["soffice", "--headless", "--convert-to", "csv", "--outdir", str(tmp_path), str(source)]
    subprocess.run(call, check=True, capture_output=True, timeout=120)
    assert f"{company.result.purchase_cost:,.2f}" in (tmp_path / "order.csv").read_text()


def test_owned_gear_and_extras_stand_apart(company: Any) -> None:
    sheet = opened(order_workbook(company.result, company.plan, "us"))["order list"]
    groups: dict[str, set[str]] = {}
    for row in range(5, sheet.max_row + 1):
        if sheet[f"A{row}"].value:
            group = groups.setdefault(sheet[f"A{row}"].value, set())
        elif sheet[f"F{row}"].value:
            group.add(sheet[f"F{row}"].value)
            assert (sheet[f"G{row}"].value is None) == (sheet[f"H{row}"].value is None)
    items = company.result.items
    assert list(groups.values()) == [
        {catalogue_id(one.id) for one in items if not one.owned and one.table != "extras"},
        {catalogue_id(one.id) for one in items if not one.owned and one.table == "extras"},
        {catalogue_id(one.id) for one in items if one.owned},
    ]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_loads_are_those_of_the_result(case: Any, system: Any) -> None:
    rows = rows_of(opened(plan_workbook(case.result, case.plan, system))["loads"])
    unit = "lbf" if system == "us" else "kN"
    assert [row["job type"] for row in rows] == [one.job for one in case.result.assignments]
    for row, one in zip(rows, case.result.assignments, strict=True):
        assert row[f"line [{unit}]"] == float(force(one.line_tension_n, system).split()[0].replace(",", ""))
        assert row[f"line [{unit}]"] >= from_si(one.line_tension_n, unit, "force") * (1 - 1e-9)
        jam = row[f"line, locked [{unit}]"] or 0
        assert jam >= from_si(one.line_tension_jam_n, unit, "force") * (1 - 1e-9)
        assert bool(jam) == (one.technique == "catch")
        assert row["used"] == float(percent(one.highest[1])[:-2]) / 100


def test_utilisation_is_written_as_numbers_and_shaded(case: Any) -> None:
    sheet = opened(plan_workbook(case.result, case.plan, case.system))["utilisation"]
    setups = by_crew(case.plan, case.result).assignments
    for row, one in zip(rows_of(sheet), setups, strict=True):
        assert row["job type"] == one.job
        shown = {
            name.replace(" ", "_"): number for name, number in row.items() if name != "job type" and number
        }
        assert shown == {part: math.ceil(100 * used - 1e-7) / 100 for part, used in one.utilisation.items()}
    jam = [
        cell.number_format
        for row in sheet.iter_rows(min_row=5)
        for cell in row
        if "locked" in cell.number_format
    ]
    governed = [state for one in setups for state in one.governing.values() if state == "jam"]
    assert len(jam) == len(governed)
    assert sum(len(area.rules) for area in sheet.conditional_formatting) == 3


def test_the_plan_has_a_sheet_for_each_part(case: Any) -> None:
    book = opened(plan_workbook(case.result, case.plan, case.system))
    wanted = {
        "order list",
        "kit",
        "rigged with",
        "loads",
        "utilisation",
        "policy",
        "settings",
        "sources",
        "notes",
        "work",
    }
    wanted |= {name for name, rows in case.plan.catalogue.tables().items() if rows} | {"cautions"}
    assert wanted <= set(book.sheetnames)
    told = {cell.value for row in book["cautions"].iter_rows() for cell in row}
    assert set(case.result.cautions) <= told
    notes = {cell.value for row in book["notes"].iter_rows() for cell in row}
    assert {note.strip() for note in by_crew(case.plan, case.result).notes} <= notes
    assert [cell.value for cell in book["work"][1]] == header_of(JobType, case.system)


def test_every_policy_value_stands_with_its_source(company: Any) -> None:
    rows = rows_of(opened(plan_workbook(company.result, company.plan, "us"))["policy"])
    catch = next(row for row in rows if row["what"] == "rope design factor" and row["of"] == "catch")
    factor = company.plan.policy.design_factor.rope_explicit
    assert (catch["value"], catch["never below"]) == (factor.catch, factor.floor)
    assert "CI 1401" in catch["source and basis"]
    assert all(row["source and basis"] for row in rows if row["of"])


def test_a_changed_factor_shows_its_reason(training: Any) -> None:
    rows = rows_of(opened(plan_workbook(training.result, training.plan, "metric"))["policy"])
    changed = [row for row in rows if "changed in the plan" in row["source and basis"]]
    assert [(row["of"], row["value"]) for row in changed] == [("lower", 6.0), ("catch", 7.0)]
    assert all("learners tie the knots" in row["source and basis"] for row in changed)


def test_the_catalogue_reads_back_from_the_workbook(case: Any, tmp_path: Path) -> None:
    """Numbers have 12 digits in a workbook."""
    path = tmp_path / "plan.xlsx"
    path.write_bytes(plan_workbook(case.result, case.plan, case.system))
    read, given = load_catalogue(path), case.plan.catalogue
    assert isinstance(read, Catalogue) and read.currency == given.currency
    for name, rows in given.tables().items():
        for before, after in zip(rows, read.tables()[name], strict=True):
            for field, was in before.model_dump().items():
                now = getattr(after, field)
                assert now == (pytest.approx(was, rel=1e-11) if isinstance(was, float | tuple) else was), (
                    field
                )


@pytest.mark.parametrize(("system", "paper"), [("metric", 9), ("us", 1)])
def test_paper_headings_and_widths(company: Any, system: Any, paper: int) -> None:
    book = opened(plan_workbook(company.result, company.plan, system))
    for sheet in book:
        assert int(sheet.page_setup.paperSize) == paper and sheet.page_setup.orientation == "landscape"
        assert sheet.freeze_panes is not None and sheet.print_title_rows
        assert sheet.column_dimensions["A"].width > 4
    long = [cell for row in book["ropes"].iter_rows() for cell in row if len(repr(cell.value)) > 10]
    assert all(cell.number_format in ("0", "0.##", "0.###") for cell in long if isinstance(cell.value, float))
    assert any(isinstance(cell.value, float) for cell in long) or system == "metric"


def test_only_totals_are_formulas(hostile: Any) -> None:
    for make in (order_workbook, plan_workbook):
        book = opened(make(hostile.result, hostile.plan, hostile.system))
        for sheet, place, text in formulas(book):
            assert sheet == "order list" and place[0] in "HJ" and TOTAL.fullmatch(text), (
                sheet,
                place,
                text,
            )
        for row in order_lines(book["order list"]):
            item = book["order list"][f"D{row}"]
            risky = str(item.value).startswith(("=", "+", "-", "@", "'=", "\t"))
            assert bool(item.quotePrefix) == risky and item.data_type in "sn"


def test_nothing_of_a_text_gets_into_heads_and_links(hostile: Any) -> None:
    data = plan_workbook(hostile.result, hostile.plan, hostile.system)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for name in archive.namelist():
            text = archive.read(name).decode("utf-8", "replace")
            assert "<hyperlink" not in text and "externalLink" not in name
            if "<oddFooter>" in text:
                assert "&amp;[File]" not in text.split("<oddFooter>")[1].split("</oddFooter>")[0]


def test_without_a_kit_it_says_what_falls_short(no_kit: Any) -> None:
    book = opened(plan_workbook(no_kit.result, no_kit.plan, "us"))
    assert "kit" not in book.sheetnames and formulas(book) == []
    (row,) = rows_of(book["not covered"])
    assert (
        row["shortfall"] == "needs 40 kN"
        and row["what would help"] == "=cut it"
        and row["or"] == "shorter; thinner"
    )
    assert "no kit" in book["order list"]["A2"].value


def test_reasons_have_sheets_of_their_own(company: Any, why: Any) -> None:
    book = opened(plan_workbook(company.result, company.plan, "us", why=why))
    first, second = rows_of(book["why these items"])
    assert first["needed for"] == "maple leaders" and first["dearer without it [EUR]"] == 40
    assert first["why not a cheaper one"].endswith("DB8 at EUR 9.00: =too thin (a)")
    assert (second["item"], second["needed for"]) == ("BAG (owned) bag", "the crew: 1 per crew")
    (job,) = rows_of(book["what jobs add"])
    assert job["adds [EUR]"] == 300 and "no slack: the same; =1: no kit" in job["what would change the cost"]


def test_a_formula_without_its_place_is_a_fault(company: Any) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.active.title = "a"
    with pytest.raises(KeyError):
        saved(book, {"b": {"A1": ("=1", 1.0)}})


def test_owned_gear_is_named_by_the_numbers_of_the_register(company: Any) -> None:
    """Invented pieces: two alike in one row of owned gear, and a row of several beside them."""
    items = [one for one in company.result.items if one.owned and "#" not in one.id]
    owned = tuple(OwnedGear(item=catalogue_id(one.id), count=one.quantity + 1) for one in items[:2])
    pieces = tuple(
        tuple(
            RegisterItem(id=f"R-{number}{letter}", item=row.item, count=count, first_use=date(2024, 5, 1))
            for letter, count in (("a", 1), ("b", row.count - 1))
        )
        for number, row in enumerate(owned, start=1)
    )
    plan = replace(company.plan, owned=owned, origins=Origins(pieces=pieces))
    quantity = items[1].quantity
    several = f"R-2b ({quantity} pieces)" if quantity > 1 else "R-2b"
    assert piece_numbers(items[1], plan) == f"any {quantity} of R-2a, {several}"
    exact = items[1].model_copy(update={"quantity": quantity + 1})
    assert piece_numbers(exact, plan) == f"R-2a, {several}"
    assert "R-1b" in piece_numbers(items[1].model_copy(update={"id": f"{items[1].id}#1"}), plan)
    assert piece_numbers(items[0], company.plan) == "", "no register, no numbers"
