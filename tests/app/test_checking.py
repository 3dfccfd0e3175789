"""Plans that are being edited: what is wrong, what is left out, and what was worked out already."""

from dataclasses import replace
from datetime import date

import pytest

from recommender.dashboard.checking import Remembered, check
from recommender.dashboard.draft import DEMO_FOLDER, empty, opened, parts_of_plan, with_gear
from recommender.dashboard.solving import digest_of
from recommender.dashboard.work_rows import with_pieces
from recommender.store import PlanParts, records_of
from recommender.work.plan import load_plan
from recommender.work.plan_json import plan_from_json, plan_to_json
from recommender.work.tables import SeasonWork

TODAY = date(2026, 6, 1)
TREE = {
    "tree": "garden maples", "count": 10, "species": "red maple", "diameter": 0.35, "height": 16.0,
    "crown_base": 5.0, "piece_length": 1.2, "top_diameter": 0.12,
}  # fmt: skip


def plan_of(parts: PlanParts, system="metric"):
    found = check(parts, system, TODAY)
    assert found.plan is not None, found
    return found.plan


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_an_example_is_the_plan_that_the_command_line_reads(name):
    read = load_plan(DEMO_FOLDER / name)
    plan = plan_of(opened(DEMO_FOLDER / name), read.settings.units)
    assert plan.settings == read.settings and plan.policy == read.policy and plan.notes == read.notes
    assert [job.job for job in plan.jobs] == [job.job for job in read.jobs]
    assert plan.catalogue.ids == read.catalogue.ids and plan.catalogue.currency == read.catalogue.currency
    assert plan.seasons == read.seasons and len(plan.owned) == len(read.owned)


def test_an_empty_plan_says_what_is_missing():
    checked = check(empty(), "metric", TODAY)
    assert checked.plan is None and not checked.problems
    assert len(checked.missing) == 2


def test_the_units_of_the_screen_reach_the_plan():
    assert plan_of(opened(DEMO_FOLDER / "new_owner"), "us").settings.units == "us"


def test_what_did_not_change_is_not_worked_out_again():
    know, parts = Remembered(), opened(DEMO_FOLDER / "new_owner")
    first = check(parts, "metric", TODAY, know)
    again = check(parts.with_rows(work=parts.rows("work")[1:]), "metric", TODAY, know)
    assert again.catalogue is first.catalogue and again.jobs is not first.jobs
    assert check(parts, "us", TODAY, know).catalogue is not first.catalogue


def test_owned_gear_that_a_new_catalogue_does_not_list_is_left_out_and_told():
    parts = opened(DEMO_FOLDER / "company")
    catalogue = load_plan(DEMO_FOLDER / "company").catalogue
    few = {name: rows[:1] for name, rows in catalogue.tables().items()}
    smaller = with_gear(parts, type(catalogue)(**few, currency="EUR"), "mine")
    found = check(smaller, "metric", TODAY)
    assert found.plan is not None and {one.item for one in found.plan.owned} <= set(found.plan.catalogue.ids)
    notes = [note for note in found.plan.notes if note.startswith("Owned gear")]
    assert len(notes) == 1 and "DB127-45" in notes[0]
    assert "DB127-45" in {one.value for one in found.remarks}
    assert len(plan_of(with_gear(smaller, catalogue, "back")).owned) == len(parts.rows("owned"))


def test_pieces_by_season_of_a_row_that_went_are_left_out_and_told():
    parts = opened(DEMO_FOLDER / "new_owner")
    season, job = parts.rows("seasons")[0]["season"], parts.rows("work")[0]["job"]
    work = tuple(SeasonWork(season=season, job=name, pieces=5) for name in (job, "gone"))
    plan = plan_of(parts.with_rows(season_work=records_of(work)))
    assert plan.season_work == work[:1]
    assert any("gone" in note for note in plan.notes)


def test_seasons_count_in_the_digest():
    parts = opened(DEMO_FOLDER / "new_owner")
    fewer = parts.with_rows(seasons=parts.rows("seasons")[:1])
    assert digest_of(plan_of(fewer)) != digest_of(plan_of(parts))


def test_trees_give_job_types_beside_those_of_the_table():
    parts = opened(DEMO_FOLDER / "new_owner").with_rows(trees=[TREE])
    found = check(parts, "metric", TODAY)
    assert found.plan is not None and found.from_trees
    assert len(found.plan.jobs) == len(found.jobs) + len(found.from_trees)
    assert sum(job.share for job in found.plan.jobs) == pytest.approx(1.0)
    taken = parts.with_rows(work=with_pieces(parts.rows("work"), found.plan.jobs), trees=())
    for one, other in zip(plan_of(taken).jobs, found.plan.jobs, strict=True):
        assert one.job == other.job and one.share == pytest.approx(other.share)
        assert one.pieces_per_season == pytest.approx(other.pieces_per_season)


def test_trees_alone_are_work_enough_and_a_tree_that_can_not_be_cut_is_told():
    parts = opened(DEMO_FOLDER / "new_owner").with_rows(work=(), trees=[TREE])
    plan = plan_of(parts)
    again = parts_of_plan(plan_from_json(plan_to_json(plan)), "a file")
    assert again.rows("work") == () and digest_of(plan_of(again)) == digest_of(plan)
    broken = check(parts.with_rows(trees=[TREE | {"height": 4.0}]), "metric", TODAY)
    assert broken.plan is None and {one.file for one in broken.problems} == {"trees"}


def test_a_policy_below_its_floor_is_a_problem_and_never_used():
    parts = replace(opened(DEMO_FOLDER / "new_owner"), policy={"survival": {"factor": 1.0}})
    found = check(parts, "metric", TODAY)
    assert found.plan is None and [one.file for one in found.problems] == ["policy"]


def test_a_faulty_cell_of_the_gear_is_told_with_its_row():
    parts = opened(DEMO_FOLDER / "new_owner")
    slings = list(parts.rows("catalogue/slings"))
    slings[2] = slings[2] | {"min_break": "strong", "price": None}
    found = check(parts.with_rows(**{"catalogue/slings": slings}), "metric", TODAY)
    assert found.plan is None and found.catalogue is None
    assert {(one.file, one.line, one.column) for one in found.problems} >= {
        ("slings", 4, "min_break"),
        ("slings", 4, "price"),
    }


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_a_plan_goes_through_a_file_and_is_the_same_plan(name):
    system = load_plan(DEMO_FOLDER / name).settings.units
    plan = plan_of(opened(DEMO_FOLDER / name), system)
    again = parts_of_plan(plan_from_json(plan_to_json(plan)), "a file")
    assert digest_of(plan_of(again, system)) == digest_of(plan)


def test_the_register_counts_instead_of_the_table_of_owned_gear():
    parts = opened(DEMO_FOLDER / "company")
    rope = parts.rows("owned")[0]["item"]
    registered = parts.with_rows(
        register=[{"id": "R-1", "item": rope, "count": 1, "first_use": "2025-06-01", "condition": "sound"}],
        inspections=[{"piece": "R-1", "day": "2026-05-20", "result": "passed"}],
    )
    (one,) = plan_of(registered).owned
    assert one.item == rope and one.age == pytest.approx(365 * 86_400)
    failed = registered.with_rows(inspections=[{"piece": "R-1", "day": "2026-05-20", "result": "failed"}])
    plan = plan_of(failed)
    assert plan.owned == () and any("R-1" in note and "failed" in note for note in plan.notes)
