"""The same results for any executor, order and interruption; refusal of draws that belong to other inputs."""

from __future__ import annotations

import os
import signal
import sys
import types
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from importlib.metadata import version
from multiprocessing import active_children
from pathlib import Path
from typing import Any, ClassVar

import pytest

from recommender.sweep import running
from recommender.sweep.cluster import NoCluster, cluster_executor
from recommender.sweep.kits import JudgedKit
from recommender.sweep.outcomes import DrawOutcome
from recommender.sweep.record import CannotResume
from recommender.sweep.result import SweepResult
from recommender.sweep.running import THREADS_OF, WorkersLost, outcome_of, sweep
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan

SETTINGS = SweepSettings(draws=8, pieces="expected")
QUICK = SweepSettings(draws=12, cheapest_kits=False)


@pytest.fixture(scope="module")
def expected(plan: Plan, kit: JudgedKit) -> SweepResult:
    return sweep(plan, SETTINGS, kit=kit, processes=1)


class Backwards(Executor):
    """Does nothing until all eight tasks are there, then the last first."""

    def __init__(self) -> None:
        self.tasks: list[tuple[Future[Any], Any, tuple[Any, ...]]] = []

    def submit(self, call: Any, /, *arguments: Any, **_: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.tasks.append((future, call, arguments))
        if len(self.tasks) == SETTINGS.draws:
            for waiting, later, given in reversed(self.tasks):
                waiting.set_result(later(*given))
        return future


def test_one_process_two_processes_threads_and_any_order(
    plan: Plan, kit: JudgedKit, expected: SweepResult
) -> None:
    assert sweep(plan, SETTINGS, kit=kit, processes=2) == expected
    with ThreadPoolExecutor(3) as threads:
        assert sweep(plan, SETTINGS, kit=kit, executor=threads) == expected
        assert threads.submit(int, "1").result() == 1, "left running"
    assert sweep(plan, SETTINGS, kit=kit, executor=Backwards()) == expected


def test_processes_begin_with_one_thread_and_without_interrupts() -> None:
    surroundings = dict(os.environ)
    with running._processes(2) as pool:
        threads = {pool.submit(os.getenv, name) for name in THREADS_OF * 2}
        assert {future.result() for future in threads} == {"1"}
        assert pool.submit(signal.getsignal, signal.SIGINT).result() == signal.SIG_IGN
    assert dict(os.environ) == surroundings
    assert signal.getsignal(signal.SIGINT) == signal.default_int_handler


def test_tasks_of_any_size(plan: Plan, kit: JudgedKit, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = sweep(plan, QUICK, kit=kit, processes=1)
    monkeypatch.setattr(running, "TASKS_AT_ONCE", 1)
    for size, part in ((1, 20), (7, 1), (100, 1), (5, 3)):
        monkeypatch.setattr(running, "DRAWS_A_TASK", size)
        monkeypatch.setattr(running, "LAST_TASKS", part)
        with ThreadPoolExecutor(1) as thread:
            assert sweep(plan, QUICK, kit=kit, executor=thread) == expected


def test_a_draw_alone_is_the_draw_in_the_sweep(
    plan: Plan, kit: JudgedKit, expected: SweepResult, tmp_path: Path
) -> None:
    file = tmp_path / "draws.jsonl"
    assert sweep(plan, SETTINGS, kit=kit, keep=file, processes=1) == expected
    lines = file.read_bytes().splitlines()
    assert len(lines) == 1 + SETTINGS.draws
    for number in (1, 7, 8):
        kept = DrawOutcome.model_validate_json(lines[number])
        assert kept == outcome_of(plan, SETTINGS, number, kit) and kept.number == number


def stop_after(draws: int) -> running.Progress:
    def progress(done: int, total: int) -> None:
        if done >= draws:
            raise KeyboardInterrupt

    return progress


@pytest.mark.parametrize("torn", [0, 40])
def test_resumed_is_uninterrupted(
    torn: int, plan: Plan, kit: JudgedKit, expected: SweepResult, tmp_path: Path
) -> None:
    file = tmp_path / "draws.jsonl"
    first = sweep(plan, SETTINGS, kit=kit, keep=file, processes=1, progress=stop_after(5))
    assert (first.status, first.draws) == ("stopped", 5)
    assert first.coverage is not None and first.costs is not None and first.costs.draws <= 5
    if torn:
        file.write_bytes(file.read_bytes()[:-torn])
    seen: list[tuple[int, int]] = []
    again = sweep(plan, SETTINGS, kit=kit, keep=file, processes=1, progress=lambda *done: seen.append(done))
    assert again == expected
    assert seen[0] == (6 - bool(torn), 8) and seen[-1] == (8, 8)
    assert len(file.read_bytes().splitlines()) == 9
    seen.clear()
    assert sweep(plan, SETTINGS, kit=kit, keep=file, progress=lambda *done: seen.append(done)) == expected
    assert seen == [], "nothing was left to draw"


def test_a_stopped_sweep_takes_back_what_has_not_begun(plan: Plan, kit: JudgedKit) -> None:
    class Held(Executor):
        """Does the first task, holds the others."""

        held: list[Future[Any]] = []  # noqa: RUF012

        def submit(self, call: Any, /, *arguments: Any, **_: Any) -> Future[Any]:
            future: Future[Any] = Future()
            if self.held:
                self.held.append(future)
                return future
            future.set_result(call(*arguments))
            self.held.append(future)
            return future

    executor = Held()
    result = sweep(plan, QUICK, kit=kit, executor=executor, progress=stop_after(1))
    assert (result.status, result.draws) == ("stopped", 1)
    assert [future.cancelled() for future in executor.held] == [False] + [True] * (QUICK.draws - 1)


def test_nothing_done_is_still_a_result(plan: Plan, kit: JudgedKit, monkeypatch: pytest.MonkeyPatch) -> None:
    def at_once(*_: object) -> Iterator[list[DrawOutcome]]:
        raise KeyboardInterrupt
        yield []

    monkeypatch.setattr(running, "_found", at_once)
    result = sweep(plan, QUICK, kit=kit)
    assert (result.status, result.draws, result.coverage, result.costs) == ("stopped", 0, None, None)


def test_a_sweep_can_be_made_longer(plan: Plan, kit: JudgedKit, tmp_path: Path) -> None:
    file = tmp_path / "draws.jsonl"
    longer = QUICK.model_copy(update={"draws": 20})
    sweep(plan, QUICK, kit=kit, keep=file, processes=1)
    assert sweep(plan, longer, kit=kit, keep=file, processes=1) == sweep(plan, longer, kit=kit, processes=1)
    assert sweep(plan, QUICK, kit=kit, keep=file) == sweep(plan, QUICK, kit=kit, processes=1)


def test_draws_of_other_inputs_are_refused_and_left_alone(plan: Plan, kit: JudgedKit, tmp_path: Path) -> None:
    file = tmp_path / "draws.jsonl"
    sweep(plan, QUICK, kit=kit, keep=file, processes=1)
    before = file.read_bytes()
    fewer = replace(plan, jobs=plan.jobs[1:])
    dearer = replace(plan.catalogue, brakes=plan.catalogue.brakes[1:])
    other_kit = JudgedKit(kit.title, {plan.catalogue.brakes[0].id: 1})
    for changed, settings, judged, words in (
        (plan, QUICK.model_copy(update={"seed": 2}), kit, r"seed \(1 there, 2 here\)"),
        (
            plan,
            QUICK.model_copy(update={"size_percent": 5.0}),
            kit,
            r"size_percent \(10\.0 there, 5\.0 here\)",
        ),
        (fewer, QUICK, kit, "differs in the work mix"),
        (replace(plan, catalogue=dearer), QUICK, kit, "differs in the catalogue"),
        (plan, QUICK, other_kit, "differs in the kit that is judged"),
    ):
        with pytest.raises(CannotResume, match=words):
            sweep(changed, settings, kit=judged, keep=file, processes=1)
    assert file.read_bytes() == before


def test_files_that_hold_no_draws_are_refused_and_left_alone(
    plan: Plan, kit: JudgedKit, tmp_path: Path
) -> None:
    for number, content in enumerate((b"my notes", b"my notes\n", b'{"form": "other"}\n')):
        file = tmp_path / f"{number}.txt"
        file.write_bytes(content)
        with pytest.raises(CannotResume, match="no file of draws"):
            sweep(plan, QUICK, kit=kit, keep=file, processes=1)
        assert file.read_bytes() == content
    file = tmp_path / "draws.jsonl"
    sweep(plan, QUICK, kit=kit, keep=file, processes=1)
    lines = file.read_bytes().splitlines(keepends=True)
    file.write_bytes(b"".join([*lines[:3], b"{}\n", *lines[3:]]))
    with pytest.raises(CannotResume, match="line 4 is no draw"):
        sweep(plan, QUICK, kit=kit, keep=file, processes=1)


@pytest.mark.parametrize("cut", [0, 1, 60])
def test_a_file_that_ends_within_its_first_line_begins_anew(
    cut: int, plan: Plan, kit: JudgedKit, tmp_path: Path
) -> None:
    whole, torn = tmp_path / "whole.jsonl", tmp_path / "torn.jsonl"
    expected = sweep(plan, QUICK, kit=kit, keep=whole, processes=1)
    torn.write_bytes(whole.read_bytes()[:cut])
    assert sweep(plan, QUICK, kit=kit, keep=torn, processes=1) == expected
    assert torn.read_bytes() == whole.read_bytes()


def test_processes_below_one(plan: Plan, kit: JudgedKit) -> None:
    with pytest.raises(ValueError, match="processes must be at least 1, not 0"):
        sweep(plan, QUICK, kit=kit, processes=0)


class StandIn:
    """In place of a cluster's client: the same calls, with a thread behind them."""

    closed = False
    versions: ClassVar[dict[str, str]] = {"worker": version("rigging-kit-planner")}

    def __init__(self, address: str, timeout: float) -> None:
        if not address.startswith("tcp://"):
            raise OSError("timed out")
        self.threads = ThreadPoolExecutor(1)

    def wait_for_workers(self, count: int, timeout: float) -> None:
        if not self.versions:
            raise TimeoutError

    def run(self, call: object, name: str) -> dict[str, str]:
        return self.versions

    def get_executor(self) -> Executor:
        return self.threads

    def __enter__(self) -> StandIn:
        return self

    def __exit__(self, *_: object) -> None:
        self.threads.shutdown()
        StandIn.closed = True


@contextmanager
def modules(monkeypatch: pytest.MonkeyPatch, client: type | None) -> Iterator[None]:
    with monkeypatch.context() as patch:
        distributed = types.ModuleType("dask.distributed")
        distributed.KilledWorker = KeyError  # type: ignore[attr-defined]
        if client is not None:
            distributed.Client = client  # type: ignore[attr-defined]
        patch.setitem(sys.modules, "dask", types.ModuleType("dask"))
        patch.setitem(sys.modules, "dask.distributed", distributed)
        yield


def test_wiring_of_a_cluster(plan: Plan, kit: JudgedKit, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a stand-in for the client; the next test asks a real cluster, where the extra is installed."""
    with modules(monkeypatch, StandIn):
        with cluster_executor("tcp://127.0.0.1:1") as executor:
            assert sweep(plan, QUICK, kit=kit, executor=executor) == sweep(plan, QUICK, kit=kit, processes=1)
        assert StandIn.closed
        with (
            pytest.raises(NoCluster, match="no cluster answers at nowhere: timed out"),
            cluster_executor("nowhere"),
        ):
            pass
        for versions, words in (
            ({}, "has no workers"),
            ({"worker": "0.0.1"}, r"have rigging-kit-planner 0\.0\.1"),
        ):
            monkeypatch.setattr(StandIn, "versions", versions)
            with pytest.raises(NoCluster, match=words), cluster_executor("tcp://127.0.0.1:1"):
                pass
    with (
        modules(monkeypatch, None),
        pytest.raises(NoCluster, match=r"install rigging-kit-planner\[cluster\]"),
        cluster_executor("tcp://x"),
    ):
        pass


def test_a_real_cluster(plan: Plan, kit: JudgedKit, expected: SweepResult, tmp_path: Path) -> None:
    """Two processes of their own, found by their address; then the cluster is closed under a sweep."""
    distributed = pytest.importorskip(
        "dask.distributed", reason="needs a cluster engine: install rigging-kit-planner[cluster]"
    )
    address = {"host": "tcp://127.0.0.1", "dashboard_address": None}
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, **address) as cluster:
        with cluster_executor(cluster.scheduler_address) as executor:
            assert sweep(plan, SETTINGS, kit=kit, executor=executor) == expected
        kept, endless = tmp_path / "draws.jsonl", QUICK.model_copy(update={"draws": 100_000})

        def close(*_: object) -> None:
            cluster.close()

        with (
            pytest.raises(WorkersLost, match="are gone"),
            cluster_executor(cluster.scheduler_address) as executor,
        ):
            sweep(plan, endless, kit=kit, executor=executor, keep=kept, progress=close)
    assert len(kept.read_bytes().splitlines()) > 1


def test_processes_that_are_killed(plan: Plan, kit: JudgedKit) -> None:
    """As by a machine that runs out of memory."""

    def kill(*_: object) -> None:
        for child in active_children():
            child.kill()

    with pytest.raises(WorkersLost, match="are gone"):
        sweep(plan, QUICK.model_copy(update={"draws": 100_000}), kit=kit, progress=kill)
