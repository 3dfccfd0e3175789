"""The exercise sheet on paper: questions with room, or answers and figures; nothing in it that is markup."""

from __future__ import annotations

import datetime
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from recommender.explain.rope_match import RopeMatch, compare_ropes
from recommender.files.exercises_pdf import exercises_pdf
from recommender.report.rope_exercises import exercises
from recommender.work.plan import load_plan

from .conftest import HOSTILE

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def match() -> RopeMatch:
    return compare_ropes(load_plan(DEMO / "training_ground"), ["NL16", "DB22-30"], "birch logs caught")


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages).split())


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_sheet_for_learners_is_one_page_of_questions(system):
    data = exercises_pdf(match(), system, answers=False, date=datetime.date(2026, 1, 2))
    assert len(PdfReader(BytesIO(data)).pages) == 1
    text = text_of(data)
    for one in exercises(match(), system, answers=True):
        assert " ".join(one.question.split()) in text
        assert len(one.answer) < 20 or one.answer not in text
    assert "2026-01-02" in text and all(caution in text for caution in match().cautions)


def test_the_sheet_of_the_trainer_has_answers_and_figures():
    text = text_of(exercises_pdf(match(), "metric", answers=True))
    for one in exercises(match(), "metric", answers=True):
        assert " ".join(one.answer.split()) in text
    assert "redirect and sling, locked" in text


def test_no_question_speaks_of_a_load_on_a_harness():
    assert not any("harness" in one.question for one in exercises(match(), "metric", answers=True))


@pytest.mark.parametrize("text", HOSTILE)
def test_texts_of_tables_are_printed_as_they_are(text):
    evil = match().model_copy(update={"job": text, "notice": text, "notes": (text,)})
    assert PdfReader(BytesIO(exercises_pdf(evil, "metric", answers=True))).pages
