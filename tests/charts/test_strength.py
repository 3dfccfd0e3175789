"""Rows and picture of rope strength against diameter."""

from pathlib import Path

import pytest

from catalog_schema.catalogue import Catalogue, load_catalogue
from recommender.charts.strength import strength_chart, strength_rows

DEMO = Path(__file__).parents[2] / "demo_catalog"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue(DEMO)


def test_lengths_of_a_rope_are_one_point(catalogue):
    rows = strength_rows(catalogue.ropes)
    points = {(row.construction, row.fibre, row.diameter, row.strength) for row in rows}
    assert len(points) == len(rows) < len(catalogue.ropes)


def test_units_follow_the_user(catalogue):
    metric, us = strength_rows(catalogue.ropes), strength_rows(catalogue.ropes, "us")
    assert (metric[0].diameter_unit, us[0].diameter_unit, us[0].strength_unit) == ("mm", "in", "lbf")
    # 1 in = 25.4 mm and 1 lbf = 4.4482216 N by definition
    assert us[0].diameter * 25.4 == pytest.approx(metric[0].diameter, abs=0.02)
    assert us[0].strength * 4.4482216e-3 == pytest.approx(metric[0].strength, abs=0.01)


def test_construction_is_told_by_colour_and_by_shape(catalogue):
    rows = strength_rows(catalogue.ropes)
    encoding = strength_chart(rows).to_dict()["encoding"]
    assert encoding["color"]["field"] == encoding["shape"]["field"] == "construction"
    named = {
        one["field"] for part in encoding.values() for one in (part if isinstance(part, list) else [part])
    }
    assert named <= set(vars(rows[0]))
    assert "[mm]" in encoding["x"]["title"] and "[kN]" in encoding["y"]["title"]


def test_no_rows_give_an_empty_chart():
    assert strength_chart([]).to_dict()["encoding"]
