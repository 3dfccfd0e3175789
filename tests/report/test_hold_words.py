"""What a crew does not hold at the brake is said wherever its kit is handed out."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from recommender.files.report_pdf import order_pdf, report_pdf
from recommender.files.workbooks import order_workbook, plan_workbook
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.report.hold_words import TOO_HEAVY_TO_HOLD, too_heavy
from recommender.report.kit_text import kit_text
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def planned(workers: int) -> tuple[Plan, KitResult]:
    plan = load_plan(DEMO / "new_owner")
    crew = plan.settings.crew.model_copy(update={"ground_workers": workers, "holds_every_piece": False})
    plan = replace(plan, settings=plan.settings.model_copy(update={"crew": crew}))
    return plan, plan_kit(plan)


def handed_out(workers: int) -> dict[str, str]:
    """Every file with the kit of so many people on the ground, as text on one line."""
    plan, result = planned(workers)
    texts = {"text": kit_text(result, plan.catalogue, "metric")}
    for name, book in (("order.xlsx", order_workbook), ("plan.xlsx", plan_workbook)):
        sheets = openpyxl.load_workbook(io.BytesIO(book(result, plan, "metric")))
        texts[name] = " ".join(
            str(cell) for sheet in sheets for row in sheet.iter_rows(values_only=True) for cell in row
        )
    for name, paper in (("order.pdf", order_pdf), ("report.pdf", report_pdf)):
        pages = PdfReader(io.BytesIO(paper(result, plan, "metric"))).pages
        texts[name] = " ".join(page.extract_text() for page in pages)
    return {name: " ".join(text.split()) for name, text in texts.items()}


def test_the_job_types_are_those_that_take_more_people_than_there_are() -> None:
    _, result = planned(1)
    heavy = [one.job for one in result.assignments if one.holding and one.holding.people > 1]
    assert heavy and all(f"{job} (" in too_heavy(result.assignments) for job in heavy)
    assert too_heavy(result.assignments).count("1 there") == len(heavy)
    assert too_heavy(planned(2)[1].assignments) == ""


@pytest.mark.parametrize("workers", [1, 2])
def test_every_file_says_what_is_too_heavy_to_hold(workers: int) -> None:
    for name, text in handed_out(workers).items():
        assert (TOO_HEAVY_TO_HOLD in text) == (workers == 1), name
