"""Seconds of the seasons model on generated plans, reduced against straight, and growth with the number of items.

Run by hand: ``python tests/benchmarks/seasons_speed.py [--straight-limit SECONDS] [--growth]``.
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace
from math import log
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from generated import catalogue, work_mix

from recommender.kit.solver import SolverSettings
from recommender.ratings import default_policy
from recommender.seasons.planning import PreparedSeasons, prepare_seasons
from recommender.seasons.solve import solve_seasons
from recommender.work.plan import Plan
from recommender.work.settings import Money, PlanSettings
from recommender.work.tables import SeasonRow

GAP = 0.001


def generated_seasons(items: int, jobs: int, plans: int, seasons: int, seed: int) -> PreparedSeasons:
    """A plan of generated job types that may be cut in up to ``plans`` pieces, or given away."""
    mix = [
        job.model_copy(update={"most_pieces": plans, "cut_minutes": 8.0, "hire_price": 60.0})
        for job in work_mix(jobs, seed)
    ]
    settings = PlanSettings(
        extras=False, pieces_per_season=600.0,
        money=Money(crew_rate=90.0, discount_percent=3.0, price_rise_percent=2.0),
    )  # fmt: skip
    rows = tuple(SeasonRow(season=str(k), budget=2000.0 if k == 0 else None) for k in range(seasons))
    plan = Plan(Path("."), settings, tuple(mix), catalogue(items, seed), (), default_policy(), seasons=rows)
    return prepare_seasons(plan)


def main() -> None:
    """Print one line a case."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--straight-limit", type=float, default=0.0)
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--seeds", type=int, default=3)
    options = parser.parse_args()
    for seed in range(options.seeds):
        start = time.perf_counter()
        prepared = generated_seasons(370, 40, 3, 3, seed)
        arrays = time.perf_counter() - start
        result = solve_seasons(prepared.problem, SolverSettings(relative_gap=GAP))
        print(
            f"370 items, 40 job types, 3 piece plans, 3 seasons, seed {seed}: arrays {arrays:.2f} s, solve "
            f"{result.seconds:.2f} s, {result.status}, cost {result.cost / 100:.0f}, gap {100 * result.gap:.3f} %",
            flush=True,
        )
        if options.straight_limit:
            straight = solve_seasons(
                prepared.problem,
                SolverSettings(relative_gap=GAP, reduce=False, time_limit=options.straight_limit),
            )
            print(
                f"  straight {straight.seconds:.1f} s, {straight.status}, cost {straight.cost / 100:.0f}, "
                f"ratio {straight.seconds / result.seconds:.1f}",
                flush=True,
            )
    if options.growth:
        _growth()


def _growth() -> None:
    seconds = {}
    for items in (300, 600, 1200, 2500, 5000):
        prepared = generated_seasons(items, 20, 2, 2, 0)
        problem = replace(prepared.problem, use=np.zeros((0, 0, 0)))
        seconds[items] = solve_seasons(problem, SolverSettings(relative_gap=GAP)).seconds
        print(f"{items} items: {seconds[items]:.2f} s", flush=True)
    slope = log(seconds[5000] / seconds[300]) / log(5000 / 300)
    print(f"growth exponent from 300 to 5000 items: {slope:.2f}")


if __name__ == "__main__":
    main()
