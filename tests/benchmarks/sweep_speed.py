"""Seconds of a sweep in one process against two, the same draws in one run, results compared.

Run by hand: ``OPENBLAS_NUM_THREADS=1 python tests/benchmarks/sweep_speed.py [--draws N] [--rounds N] [--processes N]
[PLAN_DIR]``, so that one process has one thread, as each of several has. Each round
times one process and several by turns, everything from the call to the result: starting the processes, sending the
plan, summing up. Other work on the machine spoils the ratio of the clocks, so processor time stands beside it: of all
processes together, and of the chain that nothing shortens, which is this process and the busiest of the others one
after the other. With processors to itself a sweep takes as long as its chain; the work of one process over the chain of
several is the ratio to believe on a busy machine.
"""

from __future__ import annotations

import argparse
import os
import time
from dataclasses import dataclass
from multiprocessing import active_children
from pathlib import Path

from recommender.sweep.kits import JudgedKit, cheapest_kit
from recommender.sweep.result import SweepResult
from recommender.sweep.running import sweep
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog" / "new_owner"


TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True)
class Timing:
    """Seconds by the clock; of processor time in all; of the chain of this process and the busiest other one."""

    clock: float
    spent: float
    chain: float
    result: SweepResult


def _processor_seconds(pid: int) -> float:
    """Of a process that runs (Linux)."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def timed(plan: Plan, settings: SweepSettings, kit: JudgedKit, processes: int) -> Timing:
    """One sweep."""
    others: list[float] = [0.0]

    def progress(done: int, total: int) -> None:
        if done == total:
            others.extend(_processor_seconds(child.pid) for child in active_children() if child.pid)

    own, start = time.process_time(), time.perf_counter()
    result = sweep(plan, settings, kit=kit, processes=processes, progress=progress)
    own, clock = time.process_time() - own, time.perf_counter() - start
    return Timing(clock, own + sum(others), own + max(others), result)


def main() -> None:
    """Print each round, and the ratio of the best clocks."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("plan", nargs="?", type=Path, default=DEMO)
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--rounds", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    plan, settings = load_plan(given.plan), SweepSettings(draws=given.draws)
    kit = cheapest_kit(plan)
    timings: dict[int, list[Timing]] = {1: [], given.processes: []}
    print(
        f"{given.draws} draws of {given.plan.name}, {len(plan.jobs)} job types, {os.cpu_count()} processors"
    )
    for number in range(given.rounds):
        for processes in timings:
            load = os.getloadavg()[0]
            one = timed(plan, settings, kit, processes)
            timings[processes].append(one)
            print(
                f"round {number + 1}: {processes} process(es) {one.clock:7.1f} s by the clock; processor time "
                f"{one.spent:7.1f} s, {1000 * one.spent / given.draws:6.1f} ms a draw, "
                f"{one.spent / one.clock:.2f} processors had, chain {one.chain:7.1f} s; load before {load:.1f}",
                flush=True,
            )
    alone, several = timings.values()
    every = [one.result for one in (*alone, *several)]
    print(f"results equal: {all(result == every[0] for result in every)}")
    for what, ratio in (
        ("by the clock", min(one.clock for one in alone) / min(one.clock for one in several)),
        ("by the chain", min(one.spent for one in alone) / min(one.chain for one in several)),
    ):
        print(f"{ratio:.2f} times as fast with {given.processes} processes, {what}")


if __name__ == "__main__":
    main()
