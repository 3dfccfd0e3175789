"""``kitplan loads`` with ``--explain`` and ``--sensitivity``: text, JSON, and what can't be asked."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from recommender.cli.commands import commands
from recommender.cli.folders import DEMO_PLAN
from recommender.explain.sensitivity import SensitivityResult
from recommender.explain.steps import ExplainResult
from recommender.kit.planning import plan_kit
from recommender.work.plan import load_plan

TRAINING = DEMO_PLAN.parent / "training_ground"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands, [str(one) for one in arguments], prog_name="kitplan")


def test_a_job_type_explained() -> None:
    result = run("loads", TRAINING, "--explain", "birch logs caught")
    assert result.exit_code == 0, result.output
    assert "birch logs caught (catch): line" in result.stdout and "Sources" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_json_alone_on_the_output_with_the_figures_of_the_plan() -> None:
    result = run("loads", TRAINING, "--explain", "logs lifted off a frame", "--json", "-")
    (trace,) = ExplainResult.model_validate_json(result.stdout).traces
    planned = next(one for one in plan_kit(load_plan(TRAINING)).assignments if one.job == trace.job)
    assert trace.utilisation == planned.utilisation and trace.governing == planned.governing


def test_sensitivity(tmp_path: Path) -> None:
    file = tmp_path / "varied.json"
    result = run("loads", TRAINING, "--sensitivity", "--json", file, "--units", "us")
    assert result.exit_code == 0, result.output
    read = SensitivityResult.model_validate_json(file.read_bytes())
    assert all(one.job in result.stdout for one in read.jobs) and "lbf" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--explain", "no such job"), "there is no job type 'no such job'"),
        (("--explain", "birch logs caught", "--sensitivity"), "either --explain or --sensitivity"),
    ],
)
def test_what_cannot_be_asked(arguments: tuple[str, ...], words: str) -> None:
    result = run("loads", TRAINING, *arguments)
    assert result.exit_code == 2 and words in result.stderr


def test_a_job_type_that_nothing_carries(too_large: Path) -> None:
    result = run("loads", too_large, "--explain", "pine butt logs")
    assert result.exit_code == 2 and "nothing carries 'pine butt logs'" in result.stderr
    alone = run("loads", too_large, "--explain", "small maple limbs")
    assert alone.exit_code == 0 and "cheapest kit for this job type alone" in " ".join(alone.stdout.split())
