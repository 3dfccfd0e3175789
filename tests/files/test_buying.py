"""Seasons and first purchases in the files: opened again and compared with the result."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from recommender.explain.answers import FirstResult
from recommender.explain.first import first_purchases
from recommender.files.report_pdf import report_pdf
from recommender.files.workbooks import plan_workbook
from recommender.report.figures import money
from recommender.report.purchases_text import share_down
from recommender.seasons import plan_seasons
from recommender.seasons.result import SeasonsResult

from .conftest import HOSTILE, Planned, planned

SUM = 4700.0


@cache
def answers() -> tuple[Planned, SeasonsResult, FirstResult]:
    training = planned("training_ground")
    return training, plan_seasons(training.plan), first_purchases(training.plan, SUM)


def sheet_rows(sheet: Any) -> list[dict[str, Any]]:
    rows = list(sheet.iter_rows(values_only=True))
    top = next(number for number, row in enumerate(rows) if number > 1 and row[0])
    return [dict(zip(rows[top], row, strict=True)) for row in rows[top + 1 :]]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_full_plan_holds_seasons_and_first_purchases(system):
    training, seasons, first = answers()
    book = load_workbook(
        io.BytesIO(plan_workbook(training.result, training.plan, system, seasons=seasons, first=first))
    )
    bought = sheet_rows(book["purchases by season"])
    assert {(row["season"], row["id"], row["pieces"]) for row in bought} == {
        (season.season, one.id, one.quantity) for season in seasons.seasons for one in season.purchases
    }
    assert sum(row["together [EUR]"] for row in bought) == pytest.approx(seasons.purchase_cost)
    sums = sheet_rows(book["cost by season"])
    assert [row["to buy [EUR]"] for row in sums] == [one.purchase_cost for one in seasons.seasons]
    assert len(sheet_rows(book["work by season"])) == sum(len(one.jobs) for one in seasons.seasons)
    steps = sheet_rows(book["first purchases"])
    assert [row["so far [EUR]"] for row in steps] == [one.cost_so_far for one in first.steps]
    assert [row["share covered"] for row in steps] == [share_down(one.share) for one in first.steps]
    assert [row["within the sum"] for row in steps] == [
        "yes" if one.within_sum else "no" for one in first.steps
    ]


def test_without_these_answers_there_are_no_such_sheets():
    training, _, _ = answers()
    names = load_workbook(io.BytesIO(plan_workbook(training.result, training.plan, "metric"))).sheetnames
    assert not {"purchases by season", "cost by season", "work by season", "first purchases"} & set(names)


def test_the_report_prints_them():
    training, seasons, first = answers()
    data = report_pdf(training.result, training.plan, "metric", seasons=seasons, first=first)
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split())
    assert "Purchases by season" in text and "First purchases" in text
    assert money(first.spend, first.currency) in text
    for step in first.steps:
        assert f"{step.cost_so_far:,.2f}" in text and share_down(step.share) in text


@pytest.mark.parametrize("text", HOSTILE)
def test_texts_that_look_like_formulas_stay_text(text):
    training, seasons, first = answers()
    purchases = tuple(
        one.model_copy(update={"name": text, "id": text}) for one in seasons.seasons[0].purchases
    )
    jobs = tuple(one.model_copy(update={"job": text}) for one in seasons.seasons[0].jobs)
    season = seasons.seasons[0].model_copy(update={"season": text, "purchases": purchases, "jobs": jobs})
    steps = tuple(one.model_copy(update={"new_jobs": (text,)}) for one in first.steps)
    data = plan_workbook(
        training.result, training.plan, "metric",
        seasons=seasons.model_copy(update={"seasons": (season,)}), first=first.model_copy(update={"steps": steps}),
    )  # fmt: skip
    book = load_workbook(io.BytesIO(data))
    for name in ("purchases by season", "cost by season", "work by season", "first purchases"):
        for row in book[name].iter_rows():
            assert all(cell.data_type != "f" for cell in row)
