"""Nothing that was reported as saved is lost, and nothing is left half, when the program is killed at any moment."""

from __future__ import annotations

import importlib.util
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import pytest

from recommender.store import Store

KILLS = {"sqlite": 200, "postgresql": 25}
"""A server takes back by itself what a client leaves half done, so fewer will do there."""
KILLS_PER_STORE = 25
MOST_SAVES = 3
"""A victim is killed after none to this many saves that were reported, and a part of the next one."""
LONGEST_SAVE = 0.01
"""Seconds; a save takes a few milliseconds."""

HERE = Path(__file__).parent
_spec = importlib.util.spec_from_file_location("saver", HERE / "saver.py")
assert _spec is not None and _spec.loader is not None
saver: Any = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(saver)


@dataclass
class Victims:
    """The program that forks one victim after another."""

    orders: IO[str]
    answers: IO[str]

    def kill_one(self, url: str, log: Path, saves: int, delay: float) -> None:
        """Let one save a few times and a little longer, then kill it; returns when it is gone."""
        log.write_text("")
        self.orders.write(f"{url}\t{log}\n")
        self.orders.flush()
        pid = int(self.answers.readline())
        deadline = time.monotonic() + 20
        while len(numbers(log, "=")) < saves and time.monotonic() < deadline:
            time.sleep(0.001)
        time.sleep(delay)
        os.kill(pid, signal.SIGKILL)
        assert self.answers.readline() == "gone\n"


@pytest.fixture
def victims() -> Iterator[Victims]:
    root = str(HERE.parents[1])
    call = [sys.executable, str(HERE / "saver.py")]
    with subprocess.Popen(
        call, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": root}
    ) as process:
        assert process.stdin is not None and process.stdout is not None
        yield Victims(process.stdin, process.stdout)
        process.stdin.close()
        assert process.wait(20) == 0


def numbers(log: Path, sign: str) -> list[int]:
    """Numbers of the states that a victim began (+) or that were reported to it as saved (=)."""
    lines = log.read_text().splitlines(keepends=True)
    return [int(line[2:]) for line in lines if line.startswith(sign) and line.endswith("\n")]


def test_killed_again_and_again_while_saving(
    new_url: Callable[[], str], victims: Victims, tmp_path: Path
) -> None:
    chance, log = random.Random(), tmp_path / "log"
    in_between, saved, kills = 0, 0, 0
    url = new_url()
    while kills < KILLS[url.split("+")[0].split(":")[0]]:
        with Store.open(url) as store:
            plan = store.create("Only plan", saver.documents_of(1)).plan_id
            before = 1
            for _ in range(KILLS_PER_STORE):
                store.close()  # the next use opens it anew
                saves, delay = chance.randint(0, MOST_SAVES), chance.uniform(0, LONGEST_SAVE)
                victims.kill_one(url, log, saves, delay)
                begun, told = numbers(log, "+"), numbers(log, "=")
                in_between += len(begun) > len(told)
                saved += len(told)
                before = check(store, plan, before, begun, told)
        kills, url = kills + KILLS_PER_STORE, new_url()
    assert in_between >= kills // 4, "too few kills hit a save: the test says nothing"
    assert saved >= kills


def check(store: Store, plan: str, before: int, begun: list[int], told: list[int]) -> int:
    """The store opens, is whole, and holds every state up to the last that was reported, and at most one more."""
    assert store.faults() == ()
    steps = store.history(plan, most=10**9)
    last = steps[0].number
    assert max(told, default=before) <= last <= max(begun, default=before)
    assert [step.number for step in steps] == list(range(last, 0, -1))
    assert [step.what for step in steps[:-1]] == [f"state {number}" for number in range(last, 1, -1)]
    for number in {*told, last}:
        assert store.revision(plan, number).documents == saver.documents_of(number)
    assert store.head(plan) in (last, last - 1)  # the latter between an undo and its redo
    return last
