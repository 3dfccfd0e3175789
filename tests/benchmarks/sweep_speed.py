"""Seconds of a sweep in one process against two, the same draws in one run, results compared.

Run by hand: ``python tests/benchmarks/sweep_speed.py [--draws N] [--rounds N] [--processes N] [PLAN_DIR]``. Each round
times one process and several by turns, everything from the call to the result: starting the processes, sending the
plan, summing up. Other work on the machine spoils the ratio of the clocks; the processor time beside it tells what was
spent in all, and how many processors were had.
"""

from __future__ import annotations

import argparse
import os
import resource
import time
from pathlib import Path

from recommender.sweep.kits import JudgedKit, cheapest_kit
from recommender.sweep.result import SweepResult
from recommender.sweep.running import sweep
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog" / "new_owner"


def _processor_seconds() -> float:
    """Of this process and of all that it has waited for."""
    own, children = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def timed(
    plan: Plan, settings: SweepSettings, kit: JudgedKit, processes: int
) -> tuple[float, float, SweepResult]:
    """Seconds by the clock, seconds of processor time, and the result."""
    spent, start = _processor_seconds(), time.perf_counter()
    result = sweep(plan, settings, kit=kit, processes=processes)
    return time.perf_counter() - start, _processor_seconds() - spent, result


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
    best = {1: float("inf"), given.processes: float("inf")}
    results = []
    print(
        f"{given.draws} draws of {given.plan.name}, {len(plan.jobs)} job types, {os.cpu_count()} processors"
    )
    for number in range(given.rounds):
        for processes in best:
            load = os.getloadavg()[0]
            clock, spent, result = timed(plan, settings, kit, processes)
            results.append(result)
            best[processes] = min(best[processes], clock)
            print(
                f"round {number + 1}: {processes} process(es) {clock:7.1f} s, "
                f"{1000 * clock / given.draws:6.1f} ms a draw; "
                f"processor time {spent:7.1f} s = {spent / clock:.2f} processors; load before {load:.1f}",
                flush=True,
            )
    print(f"results equal: {all(result == results[0] for result in results)}")
    print(f"{best[1] / best[given.processes]:.2f} times as fast with {given.processes} processes")


if __name__ == "__main__":
    main()
