"""``kitplan sweep``: what it prints and writes, and how it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from recommender.cli.commands import commands
from recommender.sweep import cluster, running
from recommender.sweep.outcomes import DrawOutcome
from recommender.sweep.result import SweepResult

PLAN = Path(__file__).parents[2] / "demo_catalog" / "training_ground"
QUICK = ("sweep", PLAN, "--draws", 6, "--only-judge", "--processes", 1)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands, [str(one) for one in arguments], prog_name="kitplan")


def test_text_and_json_alike(tmp_path: Path) -> None:
    file = tmp_path / "sweep.json"
    result = run(*QUICK, "--json", file)
    assert result.exit_code == 0, result.output
    read = SweepResult.model_validate_json(file.read_bytes())
    assert read.coverage is not None and read.draws == 6
    told = " ".join(result.stdout.split())
    assert f"It carries {int(100 * read.coverage.share_of_pieces + 1e-9)} % of all pieces" in told
    assert f"every piece in {int(100 * read.coverage.probability + 1e-9)} % of the seasons" in told
    assert result.stderr.strip() == f"Wrote {file}"


def test_options_reach_the_draws(tmp_path: Path) -> None:
    result = run(
        *QUICK, "--seed", 3, "--sizes", 0, "--shares", 5, "--prices", 2, "--pieces", "expected", "--json", "-"
    )
    read = SweepResult.model_validate_json(result.stdout)
    settings = read.settings
    assert (settings.seed, settings.size_percent, settings.share_percent) == (3, 0.0, 5.0)
    assert (settings.price_percent, settings.pieces, settings.cheapest_kits) == (2.0, "expected", False)
    assert read.coverage is not None and read.coverage.probability == 1.0


def test_one_draw_is_the_one_that_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "draws.jsonl"
    assert run(*QUICK, "--keep", file).exit_code == 0
    kept = DrawOutcome.model_validate_json(file.read_bytes().splitlines()[4])
    alone = run(*QUICK, "--draw", 4, "--json", "-")
    assert DrawOutcome.model_validate_json(alone.stdout) == kept
    assert run(*QUICK, "--draw", 4).stdout.startswith("Draw 4\n")
    other = run(*QUICK, "--keep", file, "--seed", 2)
    assert other.exit_code == 2 and "seed (1 there, 2 here)" in other.stderr


def test_a_kit_of_ones_own(tmp_path: Path) -> None:
    file = tmp_path / "kit.json"
    assert run("plan", PLAN, "--json", file).exit_code == 0
    given = SweepResult.model_validate_json(run(*QUICK, "--kit", file, "--json", "-").stdout)
    own = SweepResult.model_validate_json(run(*QUICK, "--json", "-").stdout)
    assert given.kit == own.kit and given.coverage == own.coverage
    assert given.kit_title == "the kit in kit.json"


def test_kits_that_are_none(tmp_path: Path) -> None:
    nothing = run(*QUICK, "--kit", "owned")
    assert nothing.exit_code == 1 and "lists no owned gear" in nothing.stderr
    missing = run(*QUICK, "--kit", tmp_path / "none.json")
    assert missing.exit_code == 2 and "can't read" in missing.stderr
    (tmp_path / "odd.json").write_text("{}", encoding="utf-8")
    odd = run(*QUICK, "--kit", tmp_path / "odd.json")
    assert odd.exit_code == 2 and "holds no kit" in odd.stderr


def test_a_kit_of_another_catalogue(tmp_path: Path) -> None:
    file = tmp_path / "kit.json"
    assert run("plan", PLAN, "--json", file).exit_code == 0
    file.write_text(file.read_text(encoding="utf-8").replace('"PB-S"', '"STRANGE"'), encoding="utf-8")
    for more in ((), ("--draw", 1)):
        strange = run(*QUICK, *more, "--kit", file)
        assert strange.exit_code == 2 and "the plan has no item STRANGE" in strange.stderr


def test_interruption_shows_what_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    found = running._found

    def interrupted(*arguments: object) -> object:
        yield next(found(*arguments))  # type: ignore[arg-type]
        raise KeyboardInterrupt

    monkeypatch.setattr(running, "_found", interrupted)
    result = run(*QUICK)
    assert result.exit_code == 130
    assert "1 of 6 seasons drawn" in result.stdout and "Stopped after 1 of 6 draws." in result.stderr


@pytest.mark.tools
@pytest.mark.skipif(not hasattr(os, "killpg"), reason="no groups of processes here")
def test_ctrl_c_ends_all_processes_with_what_is_done(tmp_path: Path) -> None:
    """As from a terminal: every process of the group is interrupted."""
    file = tmp_path / "draws.jsonl"
    call = [
        sys.executable,
        "-m",
        "recommender.cli",
        "sweep",
        PLAN,
        "--draws",
        100_000,
        "--only-judge",
        "--keep",
        file,
    ]
    with subprocess.Popen(
        [str(one) for one in call],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as process:
        while process.poll() is None and not (file.exists() and file.read_bytes().count(b"\n") > 1):
            time.sleep(0.05)
        os.killpg(process.pid, signal.SIGINT)
        text, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Traceback" not in errors and errors.startswith("Stopped after ")
    assert "of 100,000 seasons drawn around the plan" in text


@pytest.mark.tools
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no way here to end a program without its knowing")
def test_a_sweep_that_was_killed_goes_on(tmp_path: Path) -> None:
    """The power fails, as it were: nothing can be tidied up. The rest is drawn, and the result is the same."""
    file, draws = tmp_path / "draws.jsonl", 150
    same = [PLAN, "--draws", draws, "--only-judge"]
    call = [sys.executable, "-m", "recommender.cli", "sweep", *same, "--keep", file]
    with subprocess.Popen([str(one) for one in call], stderr=subprocess.DEVNULL) as process:
        while process.poll() is None and not (file.exists() and file.read_bytes().count(b"\n") > 10):
            time.sleep(0.02)
        process.kill()
    assert process.returncode == -signal.SIGKILL
    before = file.read_bytes()
    assert 10 < before.count(b"\n") < draws, "neither at the start nor at the end"
    resumed = run("sweep", *same, "--keep", file, "--json", "-")
    assert resumed.exit_code == 0
    assert file.read_bytes().startswith(before[: before.rfind(b"\n") + 1])
    assert resumed.stdout == run("sweep", *same, "--processes", 1, "--json", "-").stdout


def test_a_cluster_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "CONNECT_WITHIN", 0.5)
    result = run(*QUICK, "--cluster", "tcp://127.0.0.1:9")
    assert result.exit_code == 2
    assert "cluster" in result.stderr


def test_a_place_that_can_not_be_written(tmp_path: Path) -> None:
    result = run(*QUICK, "--keep", tmp_path / "nowhere" / "draws.jsonl")
    assert result.exit_code == 2 and "can't keep the draws" in result.stderr
