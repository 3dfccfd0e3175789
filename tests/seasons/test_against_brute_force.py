"""The seasons model's optimum against every purchase plan tried, on random small problems."""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog

from recommender.kit.problem import UNLIMITED, KitProblem, ways_from_lists
from recommender.kit.solver import SolverSettings, Status
from recommender.seasons.problem import SeasonProblem
from recommender.seasons.solve import cost_of, solve_seasons

ITEMS = 5
ALL_SEEDS = bool(os.environ.get("KITPLAN_ALL_SEEDS"))
"""By hand: 300 problems against brute force and 1,000 reduced against unreduced; the suite takes fewer."""
PARTS = ("line", "sling", "brake_sling")
Case = list[dict[str, list[int]]]


def random_problem(seed: int) -> tuple[SeasonProblem, list[Case]]:
    """Items 0 and 1 are lines, 2 to 4 slings; up to 2 job types with 1 or 2 piece plans over 1 or 2 seasons."""
    rng = random.Random(seed)
    seasons, jobs = rng.randint(1, 2), rng.randint(1, 2)
    crews = 1 if seasons == 2 else rng.randint(1, 2)
    cases: list[Case] = []
    case_job = []
    for job in range(jobs):
        for _ in range(rng.randint(1, 2)):
            cases.append([_way(rng) for _ in range(rng.randint(1, 2))])
            case_job.append(job)
    owned_items = rng.sample(range(ITEMS), rng.randint(0, 1))
    limit = [1 if k in owned_items else UNLIMITED for k in range(ITEMS)]
    price = [0 if k in owned_items else rng.randint(3, 9) for k in range(ITEMS)]
    kit = KitProblem(
        tuple(f"i{k}" for k in range(ITEMS)), np.array(price), np.ones(ITEMS, dtype=int), np.array(limit),
        tuple(f"c{k}" for k in range(len(cases))), ways_from_lists(cases, ITEMS),
    )  # fmt: skip
    owned = np.zeros((seasons, ITEMS), dtype=int)
    for item in owned_items:
        owned[: rng.randint(1, seasons), item] = 1
    use = np.zeros((0, 0, 0))
    if rng.random() < 0.5:
        use = np.zeros((seasons, len(cases), ITEMS))
        use[:, :, :2] = [
            [[rng.choice((0.2, 0.5, 0.9)) for _ in range(2)] for _ in cases] for _ in range(seasons)
        ]
    first_case = [case_job.index(case_job[c]) == c for c in range(len(cases))]
    problem = SeasonProblem(
        kit=kit,
        job_names=tuple(f"j{k}" for k in range(jobs)),
        case_job=np.array(case_job),
        case_cost=np.array(
            [[0.0 if first else rng.randint(1, 5) for first in first_case] for _ in range(seasons)]
        ),
        hire_cost=np.array(
            [[rng.choice((np.inf, rng.randint(2, 25))) for _ in range(jobs)] for _ in range(seasons)]
        ),
        owned=owned,
        life=np.array([rng.randint(1, 2) for _ in range(ITEMS)]),
        price_factor=np.array([1.0, 1.1][:seasons]),
        discount=np.array([1.0, 0.9][:seasons]),
        budget=np.array([rng.choice((np.inf, rng.randint(8, 30))) for _ in range(seasons)]),
        systems=np.array([2 if seasons * crews == 1 and rng.random() < 0.5 else 1 for _ in range(jobs)]),
        at_once=np.array([crews if rng.random() < 0.6 else 1 for _ in range(jobs)]),
        crews=crews,
        use=use,
        life_left=np.where(np.isin(np.arange(ITEMS), owned_items), 0.6, 0.0),
    )
    return problem, cases


def _way(rng: random.Random) -> dict[str, list[int]]:
    way = {"line": rng.sample((0, 1), rng.randint(1, 2)), "sling": rng.sample((2, 3, 4), rng.randint(1, 3))}
    if rng.random() < 0.5:
        way["brake_sling"] = rng.sample((2, 3, 4), rng.randint(1, 3))
    return way


def serves(counts: list[int], needs: list[list[int]]) -> bool:
    if not needs:
        return True
    for item in needs[0]:
        if counts[item]:
            counts[item] -= 1
            if serves(counts, needs[1:]):
                counts[item] += 1
                return True
            counts[item] += 1
    return False


Pick = tuple[int, int] | None
"""A load case and the way that all crews rig it, or None = given away."""


def widened(case: Case) -> Case:
    """Lines of an easier way of the same load case work in a harder one too."""
    others = [{part: set(items) for part, items in way.items() if part != "line"} for way in case]
    return [
        {
            **way,
            "line": sorted(
                {i for k, other in enumerate(case) if easier(others[k], others[n]) for i in other["line"]}
            ),
        }
        for n, way in enumerate(case)
    ]


def easier(mine: dict[str, set[int]], theirs: dict[str, set[int]]) -> bool:
    return all(part in theirs and theirs[part] <= items for part, items in mine.items())


def needs_of(cases: list[Case], pick: tuple[int, int], copies: int) -> list[list[int]]:
    return [need for need in cases[pick[0]][pick[1]].values() for _ in range(copies)]


def season_choices(
    problem: SeasonProblem, cases: list[Case], season: int, stock: list[int]
) -> Iterator[tuple[Pick, ...]]:
    """Every way to do all job types of a season with the pieces on hand."""
    options: list[list[Pick]] = []
    for job in range(len(problem.job_names)):
        copies = int(problem.at_once[job] * problem.systems[job])
        of_job: list[Pick] = [
            (int(case), way)
            for case in np.flatnonzero(problem.case_job == job)
            for way in range(len(cases[case]))
            if serves(list(stock), needs_of(cases, (case, way), copies))
        ]
        if np.isfinite(problem.hire_cost[season, job]):
            of_job.append(None)
        options.append(of_job)
    for chosen in product(*options):
        if all_mixes_fit(problem, cases, chosen, stock):
            yield chosen


def all_mixes_fit(
    problem: SeasonProblem, cases: list[Case], chosen: tuple[Pick, ...], stock: list[int]
) -> bool:
    """Whether the crews can split over the job types in every way that the numbers at once allow."""
    jobs = range(len(chosen))
    most = [int(problem.at_once[job]) if chosen[job] is not None else 0 for job in jobs]
    for split in product(*(range(top + 1) for top in most)):
        if sum(split) > problem.crews:
            continue
        needs = [
            need
            for job in jobs
            if (pick := chosen[job]) is not None
            for need in needs_of(cases, pick, split[job] * int(problem.systems[job]))
        ]
        if not serves(list(stock), needs):
            return False
    return True


def wears_through(
    problem: SeasonProblem, cases: list[Case], plan: tuple[tuple[Pick, ...], ...], bought: np.ndarray
) -> bool:
    """Whether the lines live long enough: every piece bought is a supply of one life for its own seasons."""
    demand = [(s, *pick) for s, chosen in enumerate(plan) for pick in chosen if pick is not None]
    if not problem.has_wear or not demand:
        return True
    pieces = [
        (item, 1.0, s, s + int(problem.life[item]) - 1)
        for s in range(problem.seasons)
        for item in (0, 1)
        for _ in range(bought[s][item])
    ]
    for item in (0, 1):
        seasons = np.flatnonzero(problem.owned[:, item])
        if seasons.size:
            pieces.append((item, float(problem.life_left[item]), 0, int(seasons.max())))
    columns = [
        (d, p)
        for d, (season, case, way) in enumerate(demand)
        for p, (item, _, first, last) in enumerate(pieces)
        if first <= season <= last and item in cases[case][way]["line"]
    ]
    if not columns:
        return False
    supply, share = np.zeros((len(pieces), len(columns))), np.zeros((len(demand), len(columns)))
    for column, (d, p) in enumerate(columns):
        supply[p, column] = problem.use[demand[d][0], demand[d][1], pieces[p][0]]
        share[d, column] = 1.0
    lives = [life for _, life, _, _ in pieces]
    nothing = np.zeros(len(columns))
    return bool(linprog(nothing, supply, lives, share, np.ones(len(demand)), bounds=(0, None)).success)


def brute_force(problem: SeasonProblem, cases: list[Case], most: int) -> float:
    """Least discounted cost over every purchase plan."""
    buyable = [k for k in range(ITEMS) if problem.buyable[k]]
    plans = []
    for counts in product(range(most + 1), repeat=len(buyable) * problem.seasons):
        bought = np.zeros((problem.seasons, ITEMS), dtype=int)
        bought[:, buyable] = np.array(counts).reshape(problem.seasons, len(buyable))
        if np.all(problem.purchase_cost(bought) <= problem.budget + 1e-9):
            plans.append((float(problem.discount @ problem.purchase_cost(bought)), bought))
    plans.sort(key=lambda pair: pair[0])
    best = np.inf
    for spent, bought in plans:
        if spent >= best - 1e-9:
            break
        stock = problem.stock(bought)
        by_season = [
            list(season_choices(problem, cases, s, stock[s].tolist())) for s in range(problem.seasons)
        ]
        for plan in product(*by_season):
            done = np.array([[-1 if pick is None else pick[0] for pick in chosen] for chosen in plan])
            cost = cost_of(problem, bought, done)
            if cost < best - 1e-9 and wears_through(problem, cases, plan, bought):
                best = cost
    return best


@pytest.mark.parametrize("seed", range(300 if ALL_SEEDS else 100))
def test_model_equals_every_purchase_plan_tried(seed: int) -> None:
    problem, cases = random_problem(seed)
    most = 4 if problem.seasons == 1 else 2
    result = solve_seasons(problem)
    best = brute_force(problem, [widened(case) for case in cases], most)
    if np.isinf(best):
        assert result.status is Status.INFEASIBLE
    else:
        assert result.status is Status.PROVEN_OPTIMAL
        assert result.cost == pytest.approx(best, abs=1e-6)


@pytest.mark.parametrize("seed", range(1000, 2000 if ALL_SEEDS else 1060))
def test_reduction_keeps_the_cost(seed: int) -> None:
    problem, _ = random_problem(seed)
    reduced, plain = solve_seasons(problem), solve_seasons(problem, SolverSettings(reduce=False))
    assert reduced.status == plain.status
    assert reduced.cost == pytest.approx(plain.cost, abs=1e-6)
