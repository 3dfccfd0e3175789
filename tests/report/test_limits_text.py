"""A limits sheet as text: narrow, rounded down, with the gear that each row holds for."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from recommender.charts.limit_heights import limit_chart, limit_rows
from recommender.explain.limits import LimitsSheet, limits_sheet
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS
from recommender.report.limits_text import gear_letters, limits_text
from recommender.report.limits_words import bands_together
from recommender.work.plan import load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def sheet(name: str, workers: int | None = None) -> LimitsSheet:
    plan = load_plan(DEMO / name)
    crew = plan.settings.crew.model_copy(update={"ground_workers": workers} if workers else {})
    there = replace(plan, settings=plan.settings.model_copy(update={"crew": crew}))
    return limits_sheet(there, plan_kit(plan))


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", ["new_owner", "training_ground"])
def test_it_is_narrow_and_ends_with_the_cautions(name: str, system: str) -> None:
    text = limits_text(sheet(name), system)  # type: ignore[arg-type]
    assert max(map(len, text.splitlines())) <= 80
    assert " ".join(text.split()).endswith(CAUTIONS[-1])


def test_masses_and_lengths_are_never_above_the_limit() -> None:
    page = sheet("new_owner")
    shown = [
        line.split() for line in limits_text(page, "metric").splitlines() if line[:2].strip("-").isdigit()
    ]
    rows = [cells for cells in shown if len(cells) >= 13]
    assert len(rows) == len(page.rows)
    for cells, row in zip(rows, page.rows, strict=True):
        mass = 0.0 if cells[1] == "-" else float(cells[1])
        assert row.largest_mass_kg - 1 < mass <= row.largest_mass_kg
        assert cells[2] == "-" or float(cells[2]) <= row.one_person_kg <= row.largest_mass_kg
        for text, length in zip(cells[3:13], row.lengths(page.heaviest) or (None,) * 10, strict=True):
            assert (text == "-") == (length is None)
            assert length is None or length - 0.1 < float(text) <= length + 1e-9


def test_each_row_names_its_gear_and_each_gear_is_listed() -> None:
    page = sheet("new_owner")
    text = limits_text(page, "metric")
    for setup, letter in gear_letters(page).items():
        start = text.index(f"\n{letter}: line ")
        listed = " ".join(text[start : start + 400].split())
        assert all(item in listed for _, item in setup)


def test_another_species_and_one_that_is_not_there() -> None:
    page = sheet("new_owner")
    other = next(one for one in page.species if one != page.heaviest)
    assert f"Logs: {other} at its upper density" in " ".join(limits_text(page, "metric", other).split())
    with pytest.raises(ValueError, match="species must be one of"):
        limits_text(page, "metric", "moon tree")


def test_what_is_not_carried_says_why() -> None:
    assert "3-5 m: too low to stop a piece above the ground" in limits_text(sheet("new_owner"), "metric")
    page = sheet("new_owner")
    nothing = {"largest_mass_kg": 0.0, "why_not": "there is no lifter", "wraps": None, "parts": {}}
    lifts = [row.model_copy(update=nothing) if row.technique == "lift" else row for row in page.rows]
    without = page.model_copy(update={"rows": tuple(lifts)})
    assert limits_text(without, "metric").count("there is no lifter") == 1  # once for all heights
    assert sum(row.technique == "lift" for row in bands_together(without.rows)) == 1
    assert "Lift" not in {
        row["manner"] for row in limit_chart(limit_rows(without)).to_dict()["data"]["values"]
    }


def test_it_says_which_crew_it_holds_for_and_which_planned_pieces_are_too_heavy() -> None:
    page = sheet("company", 2)
    text = " ".join(limits_text(page, "us").split())
    assert "Holds with a crew of 1 climber and 2 ground workers" in text and "5 on PB-L" in text
    heavy = [one for one in page.planned if one.allowed_kg < one.mass_kg]
    assert heavy and text.count("TOO HEAVY") == len(heavy)
