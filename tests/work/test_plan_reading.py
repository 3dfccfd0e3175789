"""A plan on disk: where its parts lie, its settings, and rows edited on a screen."""

from __future__ import annotations

import shutil
import subprocess
import sys

import openpyxl
import pytest

from catalog_schema.problems import InputError, ProblemCode
from catalog_schema.writing import row_values, write_rows_csv
from recommender.ratings.policy import default_policy
from recommender.work.plan import jobs_from_rows, load_plan, owned_from_rows
from recommender.work.settings import Crew, LineAllowances, PlanSettings, read_settings, settings_to_toml


def test_everything_of_a_plan_is_read(plan_folder):
    plan = load_plan(str(plan_folder.path))
    assert plan.folder == plan_folder.path
    assert [job.job for job in plan.jobs] == ["limbs", "logs"]
    assert [job.share for job in plan.jobs] == pytest.approx([0.7, 0.3])
    assert plan.jobs[1].tie_above_cut == 0.4
    assert [(gear.item, gear.length) for gear in plan.owned] == [("R1", 40.0), ("B1", None)]
    assert plan.owned[0].age == 2 * 365.25 * 86_400
    assert [one.id for one in plan.catalogue.rope_lengths] == ["R1", "R2/30m", "R2/45m", "R2/60m"]
    assert plan.policy == default_policy()
    assert plan.settings.pieces_per_season == 400
    assert plan.settings.line == LineAllowances(tail=3.0, tie=2.0, wraps=3)
    assert plan.notes == (
        "The plan brings no policy: the design factors are the ones that the planner brings.",
    )


def test_a_plan_with_the_least(plan_folder):
    plan_folder.remove("owned.csv")
    plan_folder.remove("connectors.csv")
    plan_folder.write("plan.toml", "# nothing\n")
    plan_folder.replace("ropes.csv", ",,,EUR\n", ",,,\n")
    plan = load_plan(plan_folder.path)
    assert plan.settings == PlanSettings()
    assert plan.owned == ()
    assert len(plan.notes) == 3


def test_policy_of_the_plan(plan_folder):
    plan_folder.write("policy.toml", 'reason = "learners"\n[design_factor.rope_explicit]\ncatch = 8.0\n')
    assert load_plan(plan_folder.path).policy.design_factor.rope_explicit.at("catch") == 8.0


def test_catalogue_above_the_plan_beside_it_named_or_given(plan_folder, tmp_path):
    inner = tmp_path / "plans" / "inner"
    inner.mkdir(parents=True)
    for file in ("plan.toml", "work.csv"):
        shutil.copy(plan_folder.path / file, inner / file)
    with pytest.raises(InputError) as caught:
        load_plan(inner)
    assert [one.code for one in caught.value.problems] == [ProblemCode.FILE_MISSING]
    given = load_plan(inner, catalog=plan_folder.path).catalogue
    (inner / "plan.toml").write_text('catalog = "../../plan"\n')
    assert load_plan(inner).catalogue == given
    (inner / "plan.toml").write_text("")
    for file in plan_folder.path.glob("*.csv"):
        shutil.copy(file, inner.parent)
    assert load_plan(inner).catalogue == given


def test_work_mix_in_a_workbook(plan_folder):
    book = openpyxl.Workbook()
    for line in plan_folder.text("work.csv").splitlines():
        book.active.append(line.split(","))
    book.save(plan_folder.path / "work.xlsx")
    jobs = load_plan(plan_folder.path).jobs
    plan_folder.remove("work.csv")
    assert load_plan(plan_folder.path).jobs == jobs


def test_reading_a_plan_of_csv_files_loads_no_heavy_library(plan_folder):
    code = (
        "import sys; from recommender.work.plan import load_plan; load_plan(sys.argv[1]);"
        "print([name for name in ('openpyxl', 'pandas', 'streamlit', 'scipy.integrate') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(plan_folder.path)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    "settings",
    [
        PlanSettings(),
        PlanSettings(
            name='A "quoted" \\ name ü', notice="two\nlines", units="us", catalog="../gear", extras=False
        ),
        PlanSettings(
            crew=Crew(climbers=2, ground_workers=0, crews=3),
            line=LineAllowances(tail=2.5, tie=0.0, wraps=2.5),
        ),
    ],
)
@pytest.mark.parametrize("comments", [False, True])
def test_settings_read_back_equal(tmp_path, settings, comments):
    path = tmp_path / "plan.toml"
    path.write_text(settings_to_toml(settings, comments=comments), encoding="utf-8")
    again, problems = read_settings(path)
    assert problems == []
    assert again.line.tail == pytest.approx(settings.line.tail, rel=1e-11)
    assert again.model_copy(update={"line": settings.line}) == settings


def test_allowances_in_feet(tmp_path):
    (tmp_path / "plan.toml").write_text('[line]\ntail = "10 ft"\ntie = "6 1/2 ft"\n')
    settings, problems = read_settings(tmp_path / "plan.toml")
    assert problems == []
    assert (settings.line.tail, settings.line.tie) == (pytest.approx(3.048), pytest.approx(1.9812))


def test_all_faults_of_the_settings_come_together(tmp_path):
    (tmp_path / "plan.toml").write_text(
        "nme = 1\nunits = 3\n[crew]\ncrews = 1.5\n[line]\ntail = 3\nwraps = -1\n"
    )
    settings, problems = read_settings(tmp_path / "plan.toml")
    assert settings == PlanSettings()
    assert {(one.line, one.column, one.code) for one in problems} == {
        (1, "nme", ProblemCode.SETTING_UNKNOWN),
        (2, "units", ProblemCode.NOT_A_CHOICE),
        (4, "crew.crews", ProblemCode.NOT_A_NUMBER),
        (6, "line.tail", ProblemCode.UNIT_MISSING),
        (7, "line.wraps", ProblemCode.OUT_OF_RANGE),
    }


@pytest.mark.parametrize(
    "text", ["pieces_per_season = nan", "pieces_per_season = inf", "[crew]\nclimbers = true"]
)
def test_values_that_are_no_counts(tmp_path, text):
    (tmp_path / "plan.toml").write_text(text)
    _, problems = read_settings(tmp_path / "plan.toml")
    assert len(problems) == 1


def records(plan_folder) -> list[dict[str, object]]:
    return [dict(row_values(job)) for job in load_plan(plan_folder.path).jobs]


def test_edited_rows_are_checked_like_a_file(plan_folder):
    rows = records(plan_folder)
    jobs, problems = jobs_from_rows(rows)
    assert (jobs, problems) == (load_plan(plan_folder.path).jobs, [])
    rows[0]["species"] = "red mapel"
    rows[0]["diameter [cm]"] = "9 in"
    rows[1]["share [%]"] = ""
    rows.append({name: None for name in rows[0]})
    jobs, problems = jobs_from_rows(rows)
    assert [(one.line, one.column, one.code) for one in problems] == [
        (3, "share", ProblemCode.VALUE_MISSING),
        (2, "species", ProblemCode.SPECIES_UNKNOWN),
    ]
    assert jobs[0].diameter == pytest.approx(0.2286)


@pytest.mark.parametrize("rows", [[], [{"job": "", "share [%]": None}], [{}]])
def test_no_edited_rows(rows):
    jobs, problems = jobs_from_rows(rows)
    assert jobs == ()
    assert problems


def test_owned_rows_are_checked_against_the_catalogue(plan_folder):
    plan = load_plan(plan_folder.path)
    rows = [dict(row_values(gear)) for gear in plan.owned]
    owned, problems = owned_from_rows(rows, plan.catalogue)
    assert (owned, problems) == (plan.owned, [])
    rows[0]["item"] = "R9"
    _, problems = owned_from_rows(rows, plan.catalogue)
    assert [(one.line, one.code) for one in problems] == [(2, ProblemCode.ID_UNKNOWN)]
    assert owned_from_rows([], plan.catalogue) == ((), [])


def test_an_owned_rope_length(plan_folder):
    plan_folder.replace("owned.csv", "R1,1,40", "R2/45m,1,")
    assert load_plan(plan_folder.path).owned[0].item == "R2/45m"


def test_a_plan_written_in_us_units_is_the_same_plan(plan_folder):
    plan = load_plan(plan_folder.path)
    for name, rows in plan.catalogue.tables().items():
        if rows:
            write_rows_csv(rows, plan_folder.path / f"{name}.csv", "us")
    write_rows_csv(plan.jobs, plan_folder.path / "work.csv", "us")
    write_rows_csv(plan.owned, plan_folder.path / "owned.csv", "us")
    again = load_plan(plan_folder.path)
    assert [one.price for one in again.catalogue.rope_lengths] == pytest.approx(
        [180.0, 165.0, 247.5, 330.0], rel=1e-9
    )
    assert [job.diameter for job in again.jobs] == pytest.approx(
        [job.diameter for job in plan.jobs], rel=1e-9
    )
    assert again.catalogue.ropes[1].min_break == pytest.approx(62e3, rel=1e-9)


def test_shares_may_be_rounded_to_whole_percents(plan_folder):
    plan_folder.replace("work.csv", "lower,70,", "lower,69.6,")
    assert load_plan(plan_folder.path).jobs[0].share == pytest.approx(0.696)
    plan_folder.replace("work.csv", "lower,69.6,", "lower,69.4,")
    with pytest.raises(InputError, match=r"99\.4 %"):
        load_plan(plan_folder.path)
