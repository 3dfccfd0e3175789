"""``kitplan why``, ``alternatives``, ``first`` and ``curve`` on the invented plans."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from recommender.cli.commands import commands
from recommender.explain.answers import AlternativesResult, CurveResult, FirstResult, WhyResult
from recommender.report.purchases_text import answer_in_words
from recommender.work.plan import load_plan
from recommender.work.plan_json import plan_to_json

CALLS = {"why": ["--plan"], "alternatives": [], "first": ["--spend", "4800"], "curve": []}
MODELS = {"why": WhyResult, "alternatives": AlternativesResult, "first": FirstResult, "curve": CurveResult}


def called(name, plan):
    """The words of a call; the plan stands behind its option, or alone."""
    options = CALLS[name]
    return [name, *options, plan] if "--plan" in options else [name, plan, *options]


def run(*words):
    return CliRunner().invoke(commands, [str(word) for word in words])


@pytest.mark.parametrize("name", CALLS)
def test_text_is_narrow_and_the_file_reads_back_as_the_typed_answer(demo_copy, tmp_path, name):
    file = tmp_path / "answer.json"
    result = run(*called(name, demo_copy / "training_ground"), "--json", file)
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.stdout.splitlines()) <= 80
    assert "Training ground" in result.stdout and "no licence to lift" in result.stdout
    assert result.stderr == f"Wrote {file}\n"
    answer = MODELS[name].model_validate_json(file.read_bytes())
    assert answer.plan.startswith("Training ground") and answer.complete and answer.cautions


def test_why_explains_one_item_or_one_job_type(demo_copy):
    plan = demo_copy / "training_ground"
    item = run("why", "ts-4", "--plan", plan)
    assert item.exit_code == 0 and "TS-4" in item.stdout and "a kit without any of it" in item.stdout
    job = run("why", "Birch logs caught", "--plan", plan)
    assert job.exit_code == 0 and "birch logs caught (catch)" in job.stdout and "TS-4," not in job.stdout


def test_why_takes_the_folder_of_a_plan_and_a_name(demo_copy, monkeypatch):
    plan = demo_copy / "training_ground"
    named = run("why", plan, "ts-4")
    assert named.exit_code == 0 and named.stdout == run("why", "ts-4", "--plan", plan).stdout
    monkeypatch.chdir(plan)
    assert run("why", "ts-4").stdout == named.stdout
    saved = demo_copy / "saved.json"
    saved.write_text(plan_to_json(load_plan(plan)), encoding="utf-8")
    assert run("why", saved, "ts-4").stdout == named.stdout


def test_why_explains_one_thing_at_a_time(demo_copy):
    plan = demo_copy / "training_ground"
    result = run("why", plan, "birch", "logs")
    assert result.exit_code == 2 and "'birch logs' is more than one" in result.stderr
    mistaken = run("why", demo_copy / "nowhere", "ts-4")
    assert mistaken.exit_code == 2 and "no folder with a plan.toml" in mistaken.stderr


def test_a_bare_command_is_about_the_folder_one_is_in(demo_copy, monkeypatch):
    bare = run("plan")
    monkeypatch.chdir(demo_copy / "training_ground")
    assert "Training ground" in run("plan").stdout and "Training ground" not in bare.stdout


def test_why_refuses_what_it_does_not_know(demo_copy):
    plan = demo_copy / "training_ground"
    unknown = run("why", "birch logs cought", "--plan", plan)
    assert unknown.exit_code == 2 and "did you mean 'birch logs caught'?" in unknown.stderr
    elsewhere = run("why", "PB-L", "--plan", plan)
    assert elsewhere.exit_code == 2 and "'PB-L' is not in the cheapest kit" in elsewhere.stderr


def test_curve_refuses_an_unknown_job_type(demo_copy):
    result = run("curve", demo_copy / "training_ground", "--job", "nothing")
    assert result.exit_code == 2 and "the plan has no job type 'nothing'" in result.stderr


def test_first_without_the_crew_starts_with_gear(demo_copy):
    result = run("first", demo_copy / "training_ground", "--spend", "400", "--gear-only", "--json", "-")
    answer = FirstResult.model_validate_json(result.stdout)
    assert [step.what for step in answer.steps] == ["gear"] * len(answer.steps)
    assert answer.cost <= 400 and answer.share > 0


@pytest.mark.parametrize("words", [["why", "--plan"], ["alternatives"]])
def test_without_a_kit_the_exit_code_says_so(too_large, words):
    result = run(*words, too_large)
    assert result.exit_code == 1 and "'kitplan plan' says why" in result.stderr


def test_first_counts_work_that_nothing_carries_as_not_covered(too_large):
    result = run("first", too_large, "--json", "-")
    answer = FirstResult.model_validate_json(result.stdout)
    assert answer.not_carried == ("pine butt logs",)
    assert answer.share == pytest.approx(0.97)


def test_a_hopeless_plan_is_called_so(too_large):
    """No figure stands where a job type is beyond the catalogue without saying that it is."""
    first = " ".join(run("first", too_large).stdout.split())
    assert "All of the work that the catalogue carries takes EUR" in first
    assert "Nothing in the catalogue carries pine butt logs" in first
    curve = " ".join(run("curve", too_large, "--job", "small maple limbs").stdout.split())
    assert "there is no kit for all of the work: 'kitplan plan' says which job types" in curve


def test_a_sum_below_what_the_crew_needs_is_called_so(demo_copy):
    result = run("first", demo_copy / "training_ground", "--spend", "1000", "--json", "-")
    answer = FirstResult.model_validate_json(result.stdout)
    assert not answer.drops and [one.kind for one in answer.remedies] == ["money"]
    text = " ".join(run("first", demo_copy / "training_ground", "--spend", "1000").stdout.split())
    assert "does not pay for what the crew needs; leaving out work does not help" in text
    assert "step by step costs" not in text and answer.all_in_steps == answer.all_at_once
    dearer = answer.model_copy(update={"all_in_steps": answer.all_at_once + 1234.5})
    assert "step by step costs 1,234.50 more than the cheapest kit bought at once" in answer_in_words(dearer)


def test_first_that_is_stopped_at_once_claims_nothing(demo_copy, monkeypatch):
    from recommender.explain import purchases

    def interrupted(self):
        raise KeyboardInterrupt

    monkeypatch.setattr(purchases.Purchases, "all_of_it", interrupted)
    result = run("first", demo_copy / "training_ground", "--spend", "1000")
    assert result.exit_code == 130
    assert "stopped before even the cheapest kit" in result.stdout and "No kit was found" not in result.stdout


def test_an_interruption_shows_what_is_known(demo_copy, monkeypatch):
    from recommender.explain import reasons

    def interrupted(self, job):
        raise KeyboardInterrupt

    monkeypatch.setattr(reasons.Reasons, "_job", interrupted)
    result = run("why", "--plan", demo_copy / "training_ground")
    assert result.exit_code == 130
    assert "Stopped before the end" in result.stdout and "PB-S" in result.stdout
