"""Solving the seasons model."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases
from recommender.kit.problem import Ints, Ways, WaySource
from recommender.kit.quick import QuickKit, quick_kit
from recommender.kit.reduce import choose_separable, tidy_ways, useful_items
from recommender.kit.solver import (
    HALF,
    USABLE,
    SolverSettings,
    Status,
    relax_programme,
    run_programme,
)
from recommender.seasons.formulation import SeasonModel, build, build_wear
from recommender.seasons.problem import Floats, SeasonProblem

GIVEN_AWAY, NOT_LOOKED_AT = -1, -2


@dataclass(frozen=True)
class SeasonSolution:
    """What to buy in which season, and how every job type is done.

    Attributes
    ----------
    status : Status
    bought : array of int, shape (seasons, items)
    done : array of int, shape (seasons, jobs)
        The load case (piece plan) of each job type, ``GIVEN_AWAY`` where it is hired out.
    worked : array, shape (seasons, cases, items)
        Share of a load case's season that each line does; empty without wear.
    cost, bound : float
        Discounted cost in the smallest unit of money, and its proven lower bound.
    seconds : float
    solver : str
    """

    status: Status
    bought: Ints
    done: Ints
    worked: Floats
    cost: float
    bound: float
    seconds: float
    solver: str

    @property
    def gap(self) -> float:
        """(cost - bound) / cost."""
        return max(0.0, (self.cost - self.bound) / self.cost) if self.cost > 0 else 0.0


def solve_seasons(problem: SeasonProblem, settings: SolverSettings | None = None) -> SeasonSolution:
    """The cheapest purchases, cuts and hire over all seasons.

    Parameters
    ----------
    problem : SeasonProblem
    settings : SolverSettings, optional

    Returns
    -------
    SeasonSolution
        Status ``INFEASIBLE`` if the work can't be done within budgets, wear and age.
    """
    chosen = settings or SolverSettings()
    start = time.perf_counter()
    extras, rest = _without_extras(problem) if chosen.reduce else (np.zeros(0, dtype=np.int64), problem)
    if chosen.reduce and np.all(problem.at_once == problem.crews):
        result = _Growth(rest, chosen, start).solve()
    else:
        everything = np.ones((problem.seasons, len(problem.job_names)), dtype=bool)
        result = _solve_some(rest, everything, chosen, start)
    if extras.any() and result.status in USABLE:
        bought = result.bought.copy()
        bought[0] += extras
        added = cost_of(problem, bought, result.done) - result.cost
        result = replace(result, bought=bought, cost=result.cost + added, bound=result.bound + added)
    return replace(result, seconds=time.perf_counter() - start)


def _without_extras(problem: SeasonProblem) -> tuple[Ints, SeasonProblem]:
    """The extras that touch nothing else, and the problem without them.

    They are needed from the first season on, so they are bought then, the cheapest, from the first budget.
    """
    extras, kit = choose_separable(problem.kit)
    extras = np.where(problem.buyable, extras, 0)
    budget = problem.budget.copy()
    budget[0] -= float(problem.kit.price @ extras) * problem.price_factor[0]
    return extras, replace(problem, kit=kit, budget=budget)


def _solve_some(
    problem: SeasonProblem, wanted: NDArray[np.bool_], settings: SolverSettings, start: float
) -> SeasonSolution:
    """The model of some job types in some seasons."""
    model = _model(problem, wanted, settings.reduce, wear=True)
    status, bound, solver = run_programme(model.programme, settings, start, presolve=True)
    return _read(problem, model, status, bound, solver)


def _model(
    problem: SeasonProblem,
    wanted: NDArray[np.bool_],
    reduce: bool,
    wear: bool,
    worth: NDArray[np.bool_] | None = None,
) -> SeasonModel:
    """The model of some job types in some seasons, with or without wear, over the items that are worth it."""
    cases = np.flatnonzero(wanted[:, problem.case_job].any(axis=0))
    ways = tidy_ways(problem.kit.ways(cases, worth))
    items = np.ones(problem.kit.item_count, dtype=bool)
    if reduce:
        items = useful_items(problem.kit, ways, no_worse(problem, wear))
    return build(problem, ways, items, wanted, wear)


class _Growth:
    """Job types taken in season by season as they turn out to matter, and items dropped that turn out not to.

    Leaving some job types out can only make a plan cheaper, and so can leaving out wear. So a plan that is optimal for
    some of them is optimal for all once it is found to do the others too, whole and at no cost, within the life of its
    lines. Items are dropped by reduced cost against the cost of a plan that is known, as in the kit model.
    """

    def __init__(self, problem: SeasonProblem, settings: SolverSettings, start: float) -> None:
        self.problem, self.settings, self.start = problem, settings, start
        self.active = np.zeros((problem.seasons, len(problem.job_names)), dtype=bool)
        self.worth = np.ones(problem.kit.item_count, dtype=bool)
        self.known = np.inf
        self.wear = False
        quick = _quick_kit(problem, np.zeros(problem.kit.item_count, dtype=np.int64))
        if quick is None:
            self.active[0, :1] = True
        else:
            self.active[0, quick.cases] = True
            self._learn(quick.pieces)

    def solve(self) -> SeasonSolution:
        """Grow until a plan that is optimal for what was taken in does all the rest."""
        problem, settings = self.problem, self.settings
        while True:
            model = _model(problem, self.active, True, self.wear, self.worth)
            if not self.wear:
                self._prune(model)
                model = _model(problem, self.active, True, False, self.worth)
            status, bound, solver = run_programme(model.programme, settings, self.start, presolve=True)
            result = _read(problem, model, status, bound, solver)
            finished = self.active.all() and (self.wear or not problem.has_wear)
            if result.status not in USABLE or finished:
                return result
            filled = with_other_jobs(problem, result, self.active)
            if not filled.covered.all():
                self._learn(result.bought[0])
                self._accept(result.bought, filled.done)
                _take_in(self.active, filled.covered, settings.cases_at_once)
                continue
            worked = share_out(problem, result.bought, filled.done, settings, self.start)
            if worked is not None:
                return replace(result, done=filled.done, worked=worked)
            if not self.wear:
                self.wear = True
                continue
            heaviest = np.argsort(-_use_of_jobs(problem) * ~self.active, axis=None, kind="stable")
            chosen = np.unravel_index(heaviest[: 2 * settings.cases_at_once], self.active.shape)
            self.active[chosen] = True

    def _learn(self, begin: Ints) -> None:
        """The cost of buying, in the first season, a quick kit for whole pieces; if budget and wear allow it."""
        problem = self.problem
        quick = _quick_kit(problem, begin)
        if quick is None:
            return
        bought = np.zeros((problem.seasons, problem.kit.item_count), dtype=np.int64)
        bought[0] = np.where(problem.buyable, quick.pieces, 0)
        done = np.tile(_cheapest_cases(problem), (problem.seasons, 1))
        filled = with_other_jobs(problem, _plan(bought, done, 0.0), np.zeros_like(self.active))
        if filled.covered.all() and np.array_equal(filled.done, done):
            self._accept(bought, done)

    def _accept(self, bought: Ints, done: Ints) -> None:
        """Note the cost of a plan in which the setups carry all that is not given away, if money and wear allow it."""
        problem = self.problem
        cost = cost_of(problem, bought, done)
        if cost >= self.known or np.any(problem.purchase_cost(bought) > problem.budget):
            return
        if share_out(problem, bought, done, self.settings, self.start) is not None:
            self.known = cost

    def _prune(self, model: SeasonModel) -> None:
        """Drop the items that no plan as cheap as the best one known can hold."""
        relaxed = relax_programme(model.programme, self.settings, self.start)
        if relaxed is None or not np.isfinite(self.known):
            return
        problem = self.problem
        worth_of_piece = np.zeros((problem.seasons, problem.kit.item_count))
        for name, (season, items) in model.row_items.items():
            worth_of_piece[season, items] += relaxed.row_price.get(name, 0.0)
        least = np.full(problem.kit.item_count, np.inf)
        for season in range(problem.seasons):
            later = np.arange(problem.seasons)[:, None]
            usable = (later >= season) & (later - season < problem.life[None, :])
            scarce = relaxed.row_price.get(f"S6_{season}", 0.0)
            price = problem.kit.price * problem.price_factor[season] * (problem.discount[season] + scarce)
            least = np.minimum(least, price - (worth_of_piece * usable).sum(axis=0))
        self.worth &= (relaxed.cost + least <= self.known + HALF) | ~problem.buyable


def _plan(bought: Ints, done: Ints, cost: float) -> SeasonSolution:
    return SeasonSolution(Status.FEASIBLE_ONLY, bought, done, np.zeros((0, 0, 0)), cost, 0.0, 0.0, "")


def _take_in(active: NDArray[np.bool_], covered: NDArray[np.bool_], count: int) -> None:
    """Take in some of the job types that are not covered, each in the first season where it is not."""
    missing = np.flatnonzero(~covered.all(axis=0))
    for job in missing[:: max(1, missing.size // count)]:
        active[np.flatnonzero(~covered[:, job])[0], job] = True


def no_worse(problem: SeasonProblem, wear: bool) -> NDArray[np.bool_]:
    """Entry (a, b): item b may be used as long as item a, and wears no faster in any load case and season."""
    result = problem.life[None, :] >= problem.life[:, None]
    if problem.has_wear and wear:
        use = problem.use.reshape(-1, problem.kit.item_count)
        for a in np.flatnonzero(use.any(axis=0)):
            result[a] &= (use <= use[:, a, None]).all(axis=0)
    return np.asarray(result)


def _quick_kit(problem: SeasonProblem, begin: Ints) -> QuickKit | None:
    """A quick kit for all job types, whole, that begins with some pieces and what is owned in the first season."""
    whole = _cheapest_cases(problem)
    kit = replace(
        problem.kit,
        case_names=tuple(problem.kit.case_names[case] for case in whole),
        source=_SomeCases(problem.kit.source, whole),
        copies=problem.at_once * problem.systems,
    )
    pieces = begin + np.where(problem.buyable, 0, problem.owned[0])
    return quick_kit(kit, pieces, covered_cases(kit, pieces))


@dataclass(frozen=True)
class _SomeCases:
    """A ``WaySource`` of some load cases of another, numbered anew."""

    source: WaySource
    cases: Ints

    def restricted(self, cases: Ints, items: NDArray[np.bool_]) -> Ways:
        """The ways of some of the load cases."""
        ways = self.source.restricted(self.cases[cases], items)
        return replace(ways, case=np.searchsorted(self.cases, ways.case))

    def serving(self, item_count: int) -> NDArray[np.bool_]:
        """As in the other source."""
        return self.source.serving(item_count)

    def hardest_first(self, price: Ints, case_count: int) -> Ints:
        """As in the other source, of these load cases only."""
        order = self.source.hardest_first(price, int(self.cases.max()) + 1)
        return np.searchsorted(self.cases, order[np.isin(order, self.cases)])


def _cheapest_cases(problem: SeasonProblem) -> Ints:
    """For every job type the first load case without a cost of its own: the piece taken whole."""
    return np.array(
        [np.flatnonzero(problem.case_job == job)[0] for job in range(len(problem.job_names))], dtype=np.int64
    )


@dataclass(frozen=True)
class Filled:
    """Which job types a plan does in which season, (seasons, jobs), and all choices with the others put in."""

    covered: NDArray[np.bool_]
    done: Ints


def with_other_jobs(problem: SeasonProblem, result: SeasonSolution, active: NDArray[np.bool_]) -> Filled:
    """Put the job types that a plan left out into it, whole, where what is on hand carries them."""
    whole = _cheapest_cases(problem)
    stock, done = problem.stock(result.bought), result.done.copy()
    covered = active.copy()
    kit = replace(problem.kit, copies=(problem.at_once * problem.systems)[problem.case_job])
    for season in range(problem.seasons):
        left_out = ~active[season]
        known = np.ones(len(kit.case_names), dtype=bool)
        known[whole[left_out]] = False
        carried = covered_cases(kit, stock[season], known)[whole] & (problem.case_cost[season, whole] == 0)
        covered[season] |= carried | (problem.hire_cost[season] == 0)
        done[season, left_out] = np.where(carried, whole, GIVEN_AWAY)[left_out]
    return Filled(covered, done)


def _use_of_jobs(problem: SeasonProblem) -> Floats:
    """Least share of a line's life that each job type uses up in each season, (seasons, jobs)."""
    use = problem.use[:, _cheapest_cases(problem)]
    return np.asarray(np.where(use > 0, use, np.inf).min(axis=2))


def share_out(
    problem: SeasonProblem, bought: Ints, done: Ints, settings: SolverSettings, start: float
) -> Floats | None:
    """Shares of the work that each line does so that none wears out; None if purchases don't last."""
    if not problem.has_wear:
        return problem.use
    cases = np.unique(done[done >= 0])
    stock = problem.stock(bought)
    model = build_wear(
        problem, tidy_ways(problem.kit.ways(cases, np.asarray(stock.any(axis=0)))), bought, done
    )
    status, _, _ = run_programme(model.programme, settings, start)
    if status is not Status.PROVEN_OPTIMAL:
        return None
    worked = np.zeros_like(problem.use)
    for place, variable in model.worked.items():
        worked[place] = max(0.0, variable.value() or 0.0)
    return worked


def _read(
    problem: SeasonProblem, model: SeasonModel, status: Status, bound: float, solver: str
) -> SeasonSolution:
    items, jobs = problem.kit.item_count, len(problem.job_names)
    bought = np.zeros((problem.seasons, items), dtype=np.int64)
    done = np.full((problem.seasons, jobs), NOT_LOOKED_AT, dtype=np.int64)
    worked = np.zeros(
        (problem.seasons, len(problem.kit.case_names), items) if problem.has_wear else (0, 0, 0)
    )
    cost = 0.0
    if status in (Status.PROVEN_OPTIMAL, Status.FEASIBLE_ONLY):
        for place, variable in model.bought.items():
            bought[place] = int((variable.value() or 0.0) + HALF)
        for (season, way), variable in model.chosen.items():
            if (variable.value() or 0.0) > HALF:
                case = int(model.ways.case[way])
                done[season, problem.case_job[case]] = case
        for (season, job), variable in model.given.items():
            if (variable.value() or 0.0) > HALF:
                done[season, job] = GIVEN_AWAY
        for shared, variable in model.worked.items():
            worked[shared] = max(0.0, variable.value() or 0.0)
        cost = cost_of(problem, bought, done)
    known = cost if status is Status.PROVEN_OPTIMAL else min(bound, cost)
    return SeasonSolution(status, bought, done, worked, cost, known, 0.0, solver)


def cost_of(problem: SeasonProblem, bought: Ints, done: Ints) -> float:
    """Discounted cost of purchases, extra cuts and hire."""
    running = np.zeros(problem.seasons)
    for season in range(problem.seasons):
        for job, case in enumerate(done[season]):
            if case == GIVEN_AWAY:
                running[season] += problem.hire_cost[season, job]
            elif case >= 0:
                running[season] += problem.case_cost[season, case]
    return float(problem.discount @ (problem.purchase_cost(bought) + running))


__all__ = ["GIVEN_AWAY", "SeasonSolution", "cost_of", "solve_seasons"]
