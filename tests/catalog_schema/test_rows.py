"""Rows of a grid: header, cells and faults, without files."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest

from catalog_schema.columns import columns_of, read_header, split_heading
from catalog_schema.gear import TABLES, Connector, Rope
from catalog_schema.grids import Grid, GridRow, grid_of_records
from catalog_schema.problems import ProblemCode
from catalog_schema.rows import column_texts, read_rows
from recommender.work.tables import JobType, OwnedGear

HEADER = ("id", "name", "kind", "min_break [kN]", "price")


def grid(*rows, header=HEADER, delimiter=",") -> Grid:
    placed = tuple(GridRow(line, tuple(row)) for line, row in enumerate(rows, start=2))
    return Grid("connectors.csv", header, placed, delimiter=delimiter)


def test_sorts_of_columns():
    sorts = {name: column.sort for name, column in columns_of(Rope).items()}
    assert sorts["id"] == "text"
    assert sorts["fibre"] == "choice"
    assert sorts["diameter"] == sorts["price"] == "number"
    assert sorts["lengths_on_offer"] == "list"
    jobs = columns_of(JobType)
    assert (jobs["wet"].sort, jobs["lift_manner"].choices) == ("yes_no", ("smooth", "jerky", "snatched"))
    assert columns_of(OwnedGear)["count"].sort == "whole"
    assert [name for name, one in columns_of(Connector).items() if one.is_required] == [
        "id",
        "name",
        "price",
        "kind",
    ]


@pytest.mark.parametrize("model", [*TABLES.values(), JobType, OwnedGear], ids=lambda model: model.__name__)
def test_every_quantity_column_is_a_number_or_a_list(model):
    for column in columns_of(model).values():
        assert (column.kind is None) or column.sort in ("number", "list")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("min_break [kN]", ("min_break", "kN")),
        ("Min Break (kN)", ("min_break", "kN")),
        ("mass-per-length [lb/100 ft]", ("mass_per_length", "lb/100 ft")),
        ("price", ("price", "")),
        ("diameter[]", ("diameter", "")),
        ("diameter [mm", ("diameter_[mm", "")),
    ],
)
def test_headings(text, parts):
    assert split_heading(text) == parts


def test_sound_rows_keep_their_order_and_lines():
    read = read_rows(grid(("A", "a", "shackle", "1", "2"), ("B", "b", "Carabiner", "2", "3")), Connector)
    assert [row.id for row in read.rows] == ["A", "B"]
    assert read.lines == (2, 3)
    assert read.rows[1].kind == "carabiner"
    assert read.problems == ()


def test_a_faulty_row_is_left_out_and_told_and_the_others_stay():
    read = read_rows(grid(("A", "a", "shackle", "x", "2"), ("B", "b", "shackle", "2", "3")), Connector)
    assert read.lines == (3,)
    assert [(one.line, one.column) for one in read.problems] == [(2, "min_break")]


def test_short_rows_are_blank_at_the_end():
    header = (*HEADER, "note")
    assert read_rows(grid(("A", "a", "shackle", "1", "2"), header=header), Connector).rows[0].note == ""


def test_every_cell_of_a_row_is_told():
    read = read_rows(grid(("", "", "hook", "x", "y")), Connector)
    assert {(one.column, one.code) for one in read.problems} == {
        ("id", ProblemCode.VALUE_MISSING),
        ("name", ProblemCode.VALUE_MISSING),
        ("kind", ProblemCode.NOT_A_CHOICE),
        ("min_break", ProblemCode.NOT_A_NUMBER),
        ("price", ProblemCode.NOT_A_NUMBER),
    }


def test_out_of_range_with_a_wrong_header_unit_but_its_own_in_the_cell():
    header = ("id", "name", "kind", "min_break [kg]", "price")
    read = read_rows(grid(("A", "a", "shackle", "-1 kN", "2"), header=header), Connector)
    assert [one.code for one in read.problems] == [ProblemCode.UNIT_WRONG, ProblemCode.OUT_OF_RANGE]


def test_many_equal_unit_faults_are_one_only_if_no_cell_has_a_unit():
    header = ("id", "name", "kind", "min_break", "price")
    rows = [
        ("A", "a", "shackle", "1", "2"),
        ("B", "b", "shackle", "1", "2"),
        ("C", "c", "shackle", "1 kN", "2"),
    ]
    all_bare = read_rows(grid(*rows[:2], header=header), Connector).problems
    assert [(one.line, one.value) for one in all_bare] == [(1, "")]
    some_bare = read_rows(grid(*rows, header=header), Connector).problems
    assert [one.line for one in some_bare] == [2, 3]


def test_a_missing_column_is_told_once_and_not_in_every_row():
    rows = [("A", "a", "shackle"), ("B", "b", "shackle")]
    read = read_rows(grid(*rows, header=("id", "name", "kind")), Connector)
    assert [(one.line, one.column, one.code) for one in read.problems if one.column] == [
        (1, "price", ProblemCode.COLUMN_MISSING)
    ]


def test_signs_that_cannot_be_shown_are_refused():
    read = read_rows(grid(("A", "a\x07b", "shackle", "1", "2")), Connector)
    assert [(one.column, one.code) for one in read.problems] == [("name", ProblemCode.OUT_OF_RANGE)]


def test_texts_of_a_column_come_from_faulty_rows_too():
    one = grid(("A", "a", "hook", "1", "2"), ("", "b", "shackle", "1", "2"), ("C", "c", "shackle", "1", "2"))
    assert column_texts(one, Connector, "id") == [(2, "A"), (4, "C")]
    assert column_texts(one, Connector, "note") == []


def test_header_problems_name_the_header_line():
    one = Grid("x.csv", ("id", "nmae"), (), header_line=3)
    _, problems = read_header(one, Connector)
    assert {problem.line for problem in problems} == {3}
    assert "Did you mean 'name'?" in problems[0].hint


def test_records_of_a_screen():
    records = [
        {"id": "A", "name": "a", "kind": "shackle", "min_break [kN]": 20, "price": np.float64(9.5)},
        {"id": None, "name": "", "kind": math.nan, "min_break [kN]": None, "price": np.float64("nan")},
        {"id": 7, "name": "b", "kind": "shackle", "min_break [kN]": "20,5", "price": np.int64(9)},
    ]
    read = read_rows(grid_of_records(records, "screen"), Connector)
    assert read.problems == ()
    assert read.lines == (2, 4)
    assert [row.id for row in read.rows] == ["A", "7"]
    assert [row.min_break for row in read.rows] == pytest.approx([20e3, 20.5e3])


def test_truth_values_and_dates_of_a_screen():
    records = [{"item": "A", "count": True, "age [yr]": date(2025, 1, 2), "note": date(2025, 1, 2)}]
    read = read_rows(grid_of_records(records, "screen"), OwnedGear)
    assert [(one.column, one.code) for one in read.problems] == [
        ("count", ProblemCode.NOT_A_NUMBER),
        ("age", ProblemCode.NOT_A_NUMBER),
    ]


def test_row_order_changes_nothing_but_the_order():
    rows = [(f"C{n}", "c", "shackle", f"{n}.5", "1,000") for n in range(1, 6)]
    there, back = read_rows(grid(*rows), Connector), read_rows(grid(*reversed(rows)), Connector)
    assert there.rows == tuple(reversed(back.rows))
    assert there.rows[0].price == 1000.0
