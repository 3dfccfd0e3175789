"""Edited rows of any declared table: what an editor reports, units, texts that can't be read, new rows, shares."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_schema.grids import grid_of_records
from catalog_schema.rows import read_rows
from recommender.dashboard import records, work_rows
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.sheets import GEAR_SHEETS, SHEETS
from recommender.store import records_of
from recommender.work.plan import SHARE_TOLERANCE, jobs_from_rows, load_plan
from recommender.work.tables import TECHNIQUES

PLAN = load_plan(DEMO_FOLDER / "new_owner")
ROWS = records_of(PLAN.jobs)
WORK, REGISTER, ROPES = SHEETS["work"], SHEETS["register"], GEAR_SHEETS["ropes"]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_rows_read_back_as_the_jobs_they_came_from(system):
    jobs, problems = jobs_from_rows(records.rows_to_check(WORK, ROWS, system))
    assert not problems
    for read, job in zip(jobs, PLAN.jobs, strict=True):
        for name, value in job.model_dump().items():
            assert getattr(read, name) == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", list(GEAR_SHEETS))
def test_every_table_of_gear_reads_back_as_it_was(name, system):
    sheet, rows = GEAR_SHEETS[name], PLAN.catalogue.tables()[name]
    shown = records.rows_to_check(sheet, records_of(rows), system)
    read = read_rows(grid_of_records(shown, name), sheet.model)
    assert read.problems == ()
    for again, row in zip(read.rows, rows, strict=True):
        for column, value in row.model_dump().items():
            was = value if not isinstance(value, float | tuple) else pytest.approx(value, rel=1e-12)
            assert getattr(again, column) == was


def test_an_edited_cell_is_kept_in_si():
    delta = {"edited_rows": {1: {"diameter [in]": 10.0}}, "added_rows": [], "deleted_rows": []}
    rows = records.edited(WORK, ROWS, delta, "us")
    assert rows[1]["diameter"] == pytest.approx(0.254)  # 1 in = 25.4 mm by definition
    assert rows[1]["length"] is ROWS[1]["length"]
    assert rows[0] == ROWS[0]


def test_rows_are_deleted_by_their_place_before_the_edit_and_added_behind():
    delta = {
        "edited_rows": {"2": {"job": "changed"}},
        "added_rows": [{"job": "new", "share [%]": 5.0, "not a column": 1}],
        "deleted_rows": [0],
    }
    rows = records.edited(WORK, ROWS, delta, "metric")
    assert len(rows) == len(ROWS)
    assert rows[1]["job"] == "changed"
    assert rows[-1]["job"] == "new" and rows[-1]["share"] == pytest.approx(0.05)
    assert set(rows[-1]) == set(WORK.columns)


def test_an_edit_is_told_in_words():
    said = records.change_in_words
    other = {**ROWS[2], "length": 9.0, "job": "changed"}
    assert said(WORK, ROWS, (*ROWS[:2], other, *ROWS[3:])) == f"Work: job, length of {ROWS[2]['job']}"
    assert said(WORK, ROWS, (*ROWS, {"job": "new"})) == "Work: 1 job type added"
    assert said(WORK, ROWS, ROWS[2:]) == "Work: 2 job types taken out"
    assert said(WORK, ROWS, ROWS) == "Work: no change"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({"length [m]": "45 ft"}, {"length": pytest.approx(13.716)}),  # 1 ft = 0.3048 m by definition
        ({"length [m]": "forty"}, {"length": "forty"}),
        ({"length [m]": "1,234"}, {"length": "1,234"}),  # can be read in two ways
        ({"length [m]": "12,7"}, {"length": 12.7}),
        ({"made": "31.3.2026"}, {"made": "2026-03-31"}),
        ({"made": "spring"}, {"made": "spring"}),
        ({"condition": "Sound"}, {"condition": "sound"}),
        ({"condition": "so-so"}, {"condition": "so-so"}),
        ({"count": 3}, {"count": 3}),
        ({"count": None, "note": ""}, {"count": None, "note": None}),
    ],
)
def test_what_is_typed_is_read_where_it_can_be_and_else_stays(typed, kept):
    (row,) = records.edited(REGISTER, [], {"added_rows": [typed]}, "metric")
    assert {name: row[name] for name in kept} == kept


def test_columns_with_an_unread_cell_are_shown_as_text():
    rows = [{"id": "A", "made": "2026-03-31", "length": 3.0}, {"id": "B", "made": "spring", "count": "two"}]
    numbers = {"length", "count", "months_between"}
    assert records.text_columns(REGISTER, rows) == {"made", *numbers}
    assert records.text_columns(REGISTER, rows[:1]) == numbers


@pytest.mark.parametrize("name", list(SHEETS))
@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_cell_that_is_typed_as_it_is_shown_keeps_its_value_to_the_last_digit(name, system):
    sheet = SHEETS[name]
    tables = {**PLAN.catalogue.tables(), "work": PLAN.jobs}
    told = records_of(tables.get(sheet.file, ()))
    rows = tuple({name: None if cell == [] else cell for name, cell in row.items()} for row in told)
    shown = records.shown_rows(sheet, rows, system)
    delta = {"edited_rows": dict(enumerate(shown))}
    assert records.edited(sheet, rows, delta, system) == rows


def test_grids_show_two_decimals_and_fractions_of_an_inch():
    rope = {"id": "A", "diameter": 0.0127, "length": 44.8056, "lengths_on_offer": [3.0, 9.84251968504]}
    metric, us = (records.shown_rows(ROPES, [rope], system)[0] for system in ("metric", "us"))
    assert metric["length [m]"] == "44.81" and metric["diameter [mm]"] == "12.7"
    assert us["length [ft]"] == "147" and us["diameter [in]"] == "1/2"  # 1 in = 25.4 mm by definition
    assert us["lengths_on_offer [ft]"] == "9.84; 32.29"
    changed = {"edited_rows": {0: {"lengths_on_offer [ft]": "9.84; 50", "diameter [in]": "9/16"}}}
    (row,) = records.edited(ROPES, [rope], changed, "us")
    assert row["lengths_on_offer"] == [3.0, pytest.approx(15.24)] and row["diameter"] == pytest.approx(
        0.0142875
    )
    assert row["length"] == 44.8056


def test_lists_are_written_and_read_in_the_units_that_are_shown():
    (row,) = records.edited(ROPES, [], {"added_rows": [{"lengths_on_offer [ft]": "100; 150 200"}]}, "us")
    assert row["lengths_on_offer"] == pytest.approx([30.48, 45.72, 60.96])
    assert records.shown_rows(ROPES, [row], "us")[0]["lengths_on_offer [ft]"] == "100; 150; 200"


def test_a_row_that_is_not_begun_is_blank_but_keeps_its_place():
    blank = dict.fromkeys(WORK.columns) | {"wet": True, "branches": 0.0}
    broken = {**ROWS[1], "diameter": -1.0}
    _, problems = jobs_from_rows(records.rows_to_check(WORK, [ROWS[0], blank, broken], "metric"))
    assert {problem.line for problem in problems if problem.column == "diameter"} == {4}
    assert not any(problem.line == 3 for problem in problems)


@given(st.lists(st.floats(0.0, 3.0), min_size=1, max_size=30))
def test_evened_out_shares_add_up(shares):
    rows = work_rows.evened_out([{"share": share} for share in shares])
    total = work_rows.share_sum(rows)
    if sum(shares) > 0:
        assert abs(total - 1.0) <= SHARE_TOLERANCE
    else:
        assert [row["share"] for row in rows] == shares


def test_evening_out_takes_blank_cells_for_nothing():
    rows = work_rows.evened_out([{"share": None}, {"share": 0.2}, {"share": 0.2}])
    assert [row["share"] for row in rows] == [0.0, 0.5, 0.5]


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_new_rows_are_sound_and_named_apart(technique):
    rows = ()
    for _ in range(3):
        rows = work_rows.with_example(rows, technique)
    jobs, problems = jobs_from_rows(records.rows_to_check(WORK, work_rows.evened_out(rows), "metric"))
    assert not problems
    assert len({job.job for job in jobs}) == 3
    assert {job.technique for job in jobs} == {technique}


@pytest.mark.parametrize("name", list(SHEETS))
def test_a_new_row_of_every_table_is_sound_by_itself(name):
    sheet = SHEETS[name]
    rows = records.with_example(sheet, records.with_example(sheet, ()))
    assert len({str(row[sheet.key]) for row in rows}) == (2 if sheet.names_itself else 1)
    read = read_rows(grid_of_records(records.rows_to_check(sheet, rows, "metric"), name), sheet.model)
    assert read.problems == () and len(read.rows) == 2


def test_columns_in_use_are_those_needed_and_those_filled():
    used = records.used_columns(WORK, ROWS)
    assert {"job", "diameter", "rigging_height", "run"} <= set(used)
    assert "mass" not in used and "young_conifer" not in used
