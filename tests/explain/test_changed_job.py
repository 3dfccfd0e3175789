"""A job type with another size, slack, run or height."""

from pathlib import Path

import pytest

from recommender.explain.changed_job import JobChange, changed_job, differences
from recommender.work.cases import piece_mass
from recommender.work.plan import load_plan

JOBS = load_plan(Path(__file__).parents[2] / "demo_catalog" / "new_owner").jobs
CATCH = next(job for job in JOBS if job.technique == "catch")


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.job)
def test_no_change_changes_nothing(job):
    assert changed_job(job, JobChange()) == job and differences(job, job) == {}


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.job)
def test_mass_grows_with_length_and_with_the_square_of_the_thickness(job):
    usual = float(piece_mass(job).design)
    assert float(piece_mass(changed_job(job, JobChange(length=1.2))).design) == pytest.approx(1.2 * usual)
    assert float(piece_mass(changed_job(job, JobChange(diameter=1.1))).design) == pytest.approx(1.21 * usual)


def test_a_stated_mass_changes_with_the_volume():
    job = CATCH.model_copy(update={"mass": 50.0, "mass_high": 60.0})
    new = changed_job(job, JobChange(length=1.5, diameter=0.5))
    assert (new.mass, new.mass_high) == (pytest.approx(18.75), pytest.approx(22.5))


def test_slack_run_and_height_are_taken_as_they_are_given():
    new = changed_job(CATCH, JobChange(slack=0.4, run=0.0, rigging_height=21.0))
    assert differences(CATCH, new) == {"slack": 0.4, "run": 0.0, "rigging_height": 21.0}


def test_what_does_not_go_together_is_told_in_words():
    with pytest.raises(
        ValueError, match="this does not go together: highest_redirect is below rigging_height"
    ):
        changed_job(CATCH.model_copy(update={"highest_redirect": 12.0}), JobChange(rigging_height=30.0))
    lowered = next(job for job in JOBS if job.technique == "lower")
    with pytest.raises(ValueError, match="run belongs to technique catch"):
        changed_job(lowered, JobChange(run=1.0))
