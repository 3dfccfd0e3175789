"""``kitplan limits`` and ``kitplan ropes``."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from recommender.cli.commands import commands
from recommender.cli.folders import DEMO_PLAN
from recommender.explain.limits import LimitsSheet
from recommender.explain.rope_match import RopeMatch
from recommender.kit.result import CAUTIONS

DEMO = DEMO_PLAN.parent


@cache
def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands, [str(one) for one in arguments], prog_name="kitplan")


def as_one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(
    "arguments",
    [
        ("limits", DEMO / "training_ground"),
        ("limits", DEMO / "company", "--owned", "--units", "metric"),
        ("ropes", "DB127-60", "NL16", "--answers"),
        ("ropes", "DB127-60", "NL127", "--job", "maple limbs", "--units", "us"),
    ],
)
def test_texts_are_narrow_and_end_with_the_cautions(arguments: tuple[object, ...]) -> None:
    result = run(*arguments)
    assert result.exit_code == 0, result.output
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert as_one_line(result.stdout).endswith(CAUTIONS[-1])


@pytest.mark.parametrize("name", ["limits", "ropes"])
def test_help(name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0 and max(map(len, result.stdout.splitlines())) <= 80
    assert len(commands.commands[name].help or "") > 40


def test_json_reads_back() -> None:
    sheet = LimitsSheet.model_validate_json(run("limits", DEMO / "training_ground", "--json", "-").stdout)
    assert sheet.rows and sheet.cautions == CAUTIONS
    match = RopeMatch.model_validate_json(run("ropes", "DB127-60", "NL16", "--json", "-").stdout)
    assert [rope.id for rope in match.ropes] == ["DB127-60", "NL16"]
    assert match.job == "pine butt logs"  # the heaviest catch


def test_one_species() -> None:
    result = run("limits", DEMO / "training_ground", "--species", "paper birch")
    assert "Logs: paper birch at its upper density" in as_one_line(result.stdout)
    refused = run("limits", "--species", "moon tree")
    assert refused.exit_code == 2 and "it has: eastern white pine" in refused.stderr


def test_owned_gear_where_there_is_none() -> None:
    result = run("limits", "--owned")
    assert result.exit_code == 2 and "no owned gear" in result.stderr


def test_without_a_kit_there_are_no_limits(too_large: Path) -> None:
    result = run("limits", too_large)
    assert result.exit_code == 1 and "kitplan plan" in result.stderr and result.stdout == ""


def test_ropes_are_compared_where_there_is_no_kit(too_large: Path) -> None:
    result = run("ropes", "NL16", "NL22", "--plan", too_large)
    assert result.exit_code == 0 and "strongest" in as_one_line(result.stdout)


def test_ropes_with_another_piece_and_the_strongest_gear() -> None:
    planned = RopeMatch.model_validate_json(run("ropes", "NL16", "NC16", "--json", "-").stdout)
    other = run("ropes", "NL16", "NC16", "--length", 120, "--thickness", 90, "--run", 0, "--json", "-")
    changed = RopeMatch.model_validate_json(other.stdout)
    assert (planned.run_m, changed.run_m) == (1.0, 0.0)
    assert changed.piece_mass_kg == pytest.approx(planned.piece_mass_kg * 1.2 * 0.9**2)
    assert changed.parts == planned.parts
    in_feet = run("ropes", "NL16", "NC16", "--run", 2, "--units", "us", "--json", "-")
    assert RopeMatch.model_validate_json(in_feet.stdout).run_m == pytest.approx(0.6096)
    strongest = run("ropes", "NL16", "NC16", "--strongest")
    assert "strongest" in as_one_line(strongest.stdout)
    lowered = run("ropes", "NL16", "NC16", "--job", "maple limbs", "--run", 1)
    assert lowered.exit_code == 2 and "run belongs to technique catch" in lowered.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("NL16",), "name 2 to 4 different ropes"),
        (("NL16", "NL16"), "name 2 to 4 different ropes"),
        (("NL16", "NL166"), "Did you mean"),
        (("NL16", "NL19", "--job", "pines"), "no job type 'pines'"),
    ],
)
def test_wrong_names_are_refused_with_what_to_write(arguments: tuple[str, ...], said: str) -> None:
    result = run("ropes", *arguments)
    assert result.exit_code == 2 and said in as_one_line(result.stderr)
