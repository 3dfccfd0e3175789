"""Edited rows: what an editor reports, units, shares, new rows; and undo and redo."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.dashboard import work_table
from recommender.dashboard.draft import DEMO_FOLDER, History, empty, opened
from recommender.work.plan import SHARE_TOLERANCE, jobs_from_rows, load_plan
from recommender.work.tables import TECHNIQUES

JOBS = load_plan(DEMO_FOLDER / "new_owner").jobs
ROWS = work_table.records_of(JOBS)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_rows_read_back_as_the_jobs_they_came_from(system):
    jobs, problems = jobs_from_rows(work_table.rows_to_check(ROWS, system))
    assert not problems
    for read, job in zip(jobs, JOBS, strict=True):
        for name, value in job.model_dump().items():
            assert getattr(read, name) == (pytest.approx(value) if isinstance(value, float) else value)


def test_an_edited_cell_is_kept_in_si():
    delta = {"edited_rows": {1: {"diameter [in]": 10.0}}, "added_rows": [], "deleted_rows": []}
    rows = work_table.edited(ROWS, delta, "us")
    assert rows[1]["diameter"] == pytest.approx(0.254)  # 1 in = 25.4 mm by definition
    assert rows[1]["length"] is ROWS[1]["length"]
    assert rows[0] == ROWS[0]


def test_rows_are_deleted_by_their_place_before_the_edit_and_added_behind():
    delta = {
        "edited_rows": {"2": {"job": "changed"}},
        "added_rows": [{"job": "new", "share [%]": 5.0, "not a column": 1}],
        "deleted_rows": [0],
    }
    rows = work_table.edited(ROWS, delta, "metric")
    assert len(rows) == len(ROWS)
    assert rows[1]["job"] == "changed"
    assert rows[-1]["job"] == "new" and rows[-1]["share"] == pytest.approx(0.05)
    assert set(rows[-1]) == set(work_table.COLUMNS)


def test_a_row_that_is_not_begun_is_blank_but_keeps_its_place():
    blank = dict.fromkeys(work_table.COLUMNS) | {"wet": True, "branches": 0.0}
    broken = {**ROWS[1], "diameter": -1.0}
    _, problems = jobs_from_rows(work_table.rows_to_check([ROWS[0], blank, broken], "metric"))
    assert {problem.line for problem in problems if problem.column == "diameter"} == {4}
    assert not any(problem.line == 3 for problem in problems)


@given(st.lists(st.floats(0.0, 3.0), min_size=1, max_size=30))
def test_evened_out_shares_add_up(shares):
    rows = work_table.evened_out([{"share": share} for share in shares])
    total = work_table.share_sum(rows)
    if sum(shares) > 0:
        assert abs(total - 1.0) <= SHARE_TOLERANCE
    else:
        assert [row["share"] for row in rows] == shares


def test_evening_out_takes_blank_cells_for_nothing():
    rows = work_table.evened_out([{"share": None}, {"share": 0.2}, {"share": 0.2}])
    assert [row["share"] for row in rows] == [0.0, 0.5, 0.5]


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_new_rows_are_sound_and_named_apart(technique):
    rows = ()
    for _ in range(3):
        rows = work_table.with_example(rows, technique)
    jobs, problems = jobs_from_rows(work_table.rows_to_check(work_table.evened_out(rows), "metric"))
    assert not problems
    assert len({job.job for job in jobs}) == 3
    assert {job.technique for job in jobs} == {technique}


def test_columns_in_use_are_those_needed_and_those_filled():
    used = work_table.used_columns(ROWS)
    assert {"job", "diameter", "rigging_height", "run"} <= set(used)
    assert "mass" not in used and "young_conifer" not in used


def test_undo_and_redo_walk_the_same_way():
    first, second, third = ({"job": "a"},), ({"job": "b"},), ({"job": "c"},)
    history = History(first).then(second).then(second).then(third)
    assert history.back().now == second
    assert history.back().back().now == first
    assert history.back().back().back().now == first
    assert history.back().forward() == history
    assert history.forward() == history
    assert history.back().then(first).undone == ()


def test_an_empty_plan_says_what_is_missing():
    checked = empty().checked("metric")
    assert checked.plan is None and not checked.problems
    assert len(checked.missing) == 2


def test_the_units_of_the_screen_reach_the_plan():
    draft = opened(DEMO_FOLDER / "new_owner")
    plan = draft.checked("us").plan
    assert plan is not None and plan.settings.units == "us"
    assert Path(DEMO_FOLDER).is_dir()


def test_owned_gear_that_a_new_catalogue_does_not_list_is_left_out_and_told():
    draft = opened(DEMO_FOLDER / "company")
    assert draft.catalogue is not None
    few = {name: rows[:1] for name, rows in draft.catalogue.tables().items()}
    smaller = type(draft.catalogue)(**few, currency="EUR")
    plan = draft.with_gear(smaller, "mine").checked("metric").plan
    assert plan is not None and {one.item for one in plan.owned} <= set(smaller.ids)
    notes = [note for note in plan.notes if note.startswith("Owned gear")]
    assert len(notes) == 1 and "DB127-45" in notes[0]
    again = draft.with_gear(smaller, "mine").with_gear(draft.catalogue, "back").checked("metric").plan
    assert again is not None and again.owned == draft.owned
