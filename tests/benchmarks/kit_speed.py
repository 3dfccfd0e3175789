"""Seconds from feasibility arrays to the proven optimum, reduced against plain, in one run.

Run by hand: ``python tests/benchmarks/kit_speed.py [--plain-limit SECONDS]``.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np
import pulp

sys.path.insert(0, str(Path(__file__).parent))

from generated import catalogue, work_mix
from plain_model import build_plain

from recommender.kit.fits import Fits
from recommender.kit.problem import KitProblem
from recommender.kit.solve import solve
from recommender.kit.solver import silent
from recommender.kit.stock import stock
from recommender.ratings import default_policy
from recommender.work.cases import load_cases
from recommender.work.settings import Crew, LineAllowances

SIZES = ((180, 20), (600, 60), (1240, 200))


def generated_problem(items: int, jobs: int, seed: int) -> tuple[KitProblem, float]:
    """A kit problem over the job types that the generated catalogue can carry, and seconds for its arrays."""
    gear, _ = stock(catalogue(items, seed), (), default_policy())
    cases = list(load_cases(work_mix(2 * jobs, seed), LineAllowances(), 500))
    rigged = np.unique(
        Fits(cases, gear, default_policy(), Crew(ground_workers=4))
        .restricted(np.arange(len(cases)), np.ones(len(gear), bool))
        .case
    )
    start = time.perf_counter()
    fits = Fits([cases[k] for k in rigged[:jobs]], gear, default_policy(), Crew(ground_workers=4))
    fits.bends, fits.tackle_pull  # noqa: B018
    seconds = time.perf_counter() - start
    problem = KitProblem(
        tuple(item.id for item in gear),
        np.array([item.price for item in gear]), np.array([item.mass for item in gear]),
        np.array([item.limit for item in gear]), tuple(case.job for case in fits.cases), fits,
    )  # fmt: skip
    return problem, seconds


def main() -> None:
    """Print one line a size."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--plain-limit", type=float, default=120.0)
    parser.add_argument("--plain-items", type=int, default=600)
    parser.add_argument("--seeds", type=int, default=3)
    options = parser.parse_args()
    for items, jobs in SIZES:
        for seed in range(options.seeds):
            problem, arrays = generated_problem(items, jobs, seed)
            result = solve(problem)
            line = (
                f"{problem.item_count:5d} items {len(problem.case_names):4d} job types seed {seed}: "
                f"arrays {arrays:.2f} s, "
                f"reduced {result.seconds:.2f} s in {result.rounds} rounds, "
                f"cost {result.cost / 100:.2f}, {result.status}"
            )
            if options.plain_limit > 0 and items <= options.plain_items:
                line += _plain(problem, result.seconds, result.cost, options.plain_limit)
            print(line, flush=True)


def _plain(problem: KitProblem, reduced: float, cost: int, limit: float) -> str:
    start = time.perf_counter()
    model, _ = build_plain(problem)
    built = time.perf_counter() - start
    with silent():
        model.solve(pulp.HiGHS(msg=False, timeLimit=limit, gapRel=0.0, threads=1))
    seconds = time.perf_counter() - start
    done = model.sol_status == pulp.LpSolutionOptimal
    same = done and round(pulp.value(model.objective)) == cost
    word = f"same cost {same}" if done else f"stopped at {limit:.0f} s"
    return f"; plain {seconds:.1f} s (built in {built:.1f} s), {word}, ratio {seconds / reduced:.0f}"


if __name__ == "__main__":
    main()
