"""Rows and picture of how hard each part works."""

import json
from functools import cache
from pathlib import Path

import pytest

from recommender.charts.utilisation import utilisation_chart, utilisation_rows
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def result_of(name: str) -> KitResult:
    return plan_kit(load_plan(DEMO / name))


@pytest.fixture
def result() -> KitResult:
    return result_of("new_owner")


def fields_of(spec: object) -> set[str]:
    """Every field that some encoding, sort or condition of a chart names."""
    found: set[str] = set()
    if isinstance(spec, dict):
        found |= {spec["field"]} if isinstance(spec.get("field"), str) else set()
        for value in spec.values():
            found |= fields_of(value)
    elif isinstance(spec, list):
        for value in spec:
            found |= fields_of(value)
    return found


def test_every_part_of_every_load_case_has_a_row(result):
    rows = utilisation_rows(result)
    assert {(row.job, row.item, row.share) for row in rows} == {
        (one.job, one.parts.get(part, ""), share)
        for one in result.assignments
        for part, share in one.utilisation.items()
    }


def test_numbers_are_written_and_never_below_the_load(result):
    for row in utilisation_rows(result):
        written = int(row.label.split(" ")[0])
        assert written >= 100 * row.share - 1e-6
        assert written < 100 * row.share + 1


def test_jam_is_told_in_words_not_by_colour_alone(result):
    rows = utilisation_rows(result)
    assert {row.state for row in rows} == {"working", "jam"}
    assert all(row.label.endswith("jam") == (row.state == "jam") for row in rows)


def test_jobs_and_parts_keep_their_order(result):
    rows = utilisation_rows(result)
    assert [row.job_place for row in rows] == sorted(row.job_place for row in rows)
    first = [row.part for row in rows if row.job_place == 0]
    assert first[:2] == ["Line", "Redirect"]


def test_chart_draws_only_fields_that_rows_have(result):
    rows = utilisation_rows(result)
    spec = utilisation_chart(rows).to_dict()
    named = fields_of({key: value for key, value in spec.items() if key not in ("datasets", "data")})
    assert named and named <= set(vars(rows[0]))
    assert json.dumps(spec)


def test_no_rows_give_an_empty_chart():
    assert utilisation_chart([]).to_dict()["layer"]


def test_no_kit_gives_no_rows(result):
    assert utilisation_rows(result.model_copy(update={"assignments": ()})) == []
