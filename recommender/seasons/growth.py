"""Solving the seasons model by growth: job types are taken in as they matter, items dropped as they turn out not to."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases
from recommender.kit.problem import Ints
from recommender.kit.quick import quick_kit
from recommender.kit.reduce import tidy_ways, useful_items
from recommender.kit.solve import solve_with_cases
from recommender.kit.solver import HALF, USABLE, SolverSettings, Status, relax_programme, run_programme
from recommender.seasons.completing import (
    cheapest_cases,
    lines_of_cases,
    share_out,
    use_of_jobs,
    whole_kit,
    with_cuts,
    with_other_jobs,
)
from recommender.seasons.covers import Cover, covers
from recommender.seasons.formulation import build
from recommender.seasons.model import SeasonModel
from recommender.seasons.problem import SeasonProblem
from recommender.seasons.solution import GIVEN_AWAY, NOT_LOOKED_AT, SeasonSolution, cost_of, read_solution

NOTABLE = 0.01
"""Share of a job type that counts as cut smaller or given away in a relaxed model."""


SAME_COST = 1e-6
NEAR = 0.97
"""Share of the best known cost from which on no plan near another is looked for."""
TIGHT = 0.6
"""Share of the best known cost above which a relaxed model tells how the work is done."""


NEARBY_SECONDS, NEARBY_GAP = 10.0, 0.002
"""A look around a plan ends after so long, or when it has come so near to the best there."""


def _never() -> bool:
    return False


def _nobody(done: int, of: int, what: str) -> None:
    pass


@dataclass(frozen=True)
class Watch:
    """Who watches a long search: ``stop`` is asked again and again, ``told`` hears how far it is: done, of, what."""

    stop: Callable[[], bool] = _never
    told: Callable[[int, int, str], None] = _nobody

    def tell(self, taken_in: int, of: int, best: SeasonSolution | None, bound: float) -> None:
        """Job types by season that are in the model, and how far the best plan may be from the cheapest."""
        gap = "" if best is None else f", at most {100 * (1 - bound / max(best.cost, HALF)):.1f} % too dear"
        self.told(taken_in, of, f"job types by season{gap}")


def model_of(
    problem: SeasonProblem,
    wanted: NDArray[np.bool_],
    reduce: bool,
    wear: bool,
    worth: NDArray[np.bool_] | None = None,
    lines: NDArray[np.bool_] | None = None,
    too_dear: Sequence[Cover] = (),
) -> SeasonModel:
    """The model of some job types in some seasons, with or without wear, over the items that are worth it.

    ``lines``, shape (cases, items), are the lines of the job types that are left out: they wear them all the same.
    ``too_dear`` are sets of job types that budgets can't pay for together.
    """
    cases = np.flatnonzero(wanted[:, problem.case_job].any(axis=0))
    ways = tidy_ways(problem.kit.ways(cases, worth))
    items = np.ones(problem.kit.item_count, dtype=bool)
    if reduce:
        items = useful_items(problem.kit, ways, no_worse(problem, wear))
        if lines is not None:
            items |= lines.any(axis=0) & (True if worth is None else worth)
    return build(problem, ways, items, wanted, wear, lines, too_dear)


class Growth:
    """Job types taken in season by season as they turn out to matter, and items dropped that turn out not to.

    Leaving some job types out can only make a plan cheaper, and so can leaving out wear. So a plan that is optimal for
    some of them is optimal for all once it is found to do the others too, whole and at no cost, within the life of its
    lines. Items are dropped by reduced cost against the cost of a plan that is known, as in the kit model.
    """

    def __init__(
        self, problem: SeasonProblem, settings: SolverSettings, start: float, watch: Watch | None = None
    ) -> None:
        self.watch = watch or Watch()
        self.problem, self.settings, self.start = problem, replace(settings, stop=self.watch.stop), start
        self.active = np.zeros((problem.seasons, len(problem.job_names)), dtype=bool)
        self.worth = np.ones(problem.kit.item_count, dtype=bool)
        self.best: SeasonSolution | None = None
        self.bound = 0.0
        self.is_tight = self.is_affordable = False
        self.lines: NDArray[np.bool_] | None = None
        self.whole = np.zeros(problem.kit.item_count, dtype=bool)
        self._begin()
        self.covers = covers(problem, settings) if not self.is_affordable else []
        for season, jobs in self.covers:
            self.active[season, list(jobs)] = True

    @property
    def known(self) -> float:
        """Cost of the best plan that is known."""
        return np.inf if self.best is None else self.best.cost

    def _begin(self) -> None:
        """Begin with the cheapest kit for all job types, whole, bought at once, and with the job types that decide it.

        Where budgets allow it and nothing is cheaper cut or given away, it is the best plan already.
        """
        kit = whole_kit(self.problem)
        self.active[0, :1] = True
        if kit.uncovered():
            return
        cheapest, deciding = solve_with_cases(kit, replace(self.settings, relative_gap=0.0, stop=None))
        if cheapest.status not in USABLE:
            return
        self.active[0] = deciding
        self.whole = cheapest.pieces > 0
        self._accept_at_once(cheapest.pieces)
        self.is_affordable = self.best is not None
        if self.best is None:
            self._give_away_what_may_be()

    def _give_away_what_may_be(self) -> None:
        """Note the plan that gives away all it may, and buys the cheapest kit for the rest at once."""
        problem, unstopped = self.problem, replace(self.settings, relative_gap=0.0, stop=None)
        may_give = np.isfinite(problem.hire_cost).all(axis=0)
        must = np.flatnonzero(~may_give)
        bought = np.zeros((problem.seasons, problem.kit.item_count), dtype=np.int64)
        if must.size:
            cheapest, _ = solve_with_cases(whole_kit(problem, must), unstopped)
            if cheapest.status not in USABLE:
                return
            bought[0] = np.where(problem.buyable, cheapest.pieces, 0)
        done = np.full(self.active.shape, GIVEN_AWAY, dtype=np.int64)
        filled = with_other_jobs(problem, _plan(bought, done, 0.0), np.zeros_like(self.active))
        if (filled.covered | may_give).all():
            self._accept(bought, filled.done)

    def solve(self) -> SeasonSolution:
        """Grow until a plan that is optimal for what was taken in does all the rest, or time is up."""
        problem, settings = self.problem, self.settings
        half = settings.relative_gap / 2  # the other half is for a plan beside the model's
        sharper = replace(settings, relative_gap=half)
        while True:
            self.watch.tell(int(self.active.sum()), self.active.size, self.best, self.bound)
            model = self._model()
            if self.lines is None and self._prune(model):
                if self.is_tight and self._look_ahead(model):
                    continue
                model = self._model()
            status, bound, solver = run_programme(model.programme, sharper, self.start, presolve=True)
            result = read_solution(problem, model, status, bound, solver)
            if status is Status.PROVEN_OPTIMAL or status is Status.FEASIBLE_ONLY:
                self.bound = max(self.bound, result.bound)
            elif status is not Status.NO_SOLUTION:
                return result
            if status is Status.NO_SOLUTION or self._is_close():
                return self._so_far(solver)
            filled = with_other_jobs(problem, result, self.active)
            if not filled.covered.all():
                self._learn(result.bought[0])
                cut = with_cuts(problem, result.bought, filled.done)
                self._accept(result.bought, cut)
                self._look_around(result.bought, cut)
                if self._is_close():
                    return self._so_far(solver)
                if status is Status.FEASIBLE_ONLY:
                    return self._so_far(solver)
                _take_in(self.active, filled.covered, settings.cases_at_once)
                continue
            worked = share_out(problem, result.bought, filled.done, settings, self.start)
            if worked is not None:
                return replace(result, done=filled.done, worked=worked)
            if status is Status.FEASIBLE_ONLY:
                return self._so_far(solver)
            self._look_around(result.bought, filled.done)
            if self._is_close():
                return self._so_far(solver)
            if self.lines is None:
                self._prune(model)
                self.lines = lines_of_cases(problem)
                continue
            heaviest = np.argsort(-use_of_jobs(problem) * ~self.active, axis=None, kind="stable")
            chosen = np.unravel_index(heaviest[: 2 * settings.cases_at_once], self.active.shape)
            self.active[chosen] = True

    def _model(self) -> SeasonModel:
        """The model of the job types taken in."""
        return model_of(
            self.problem, self.active, True, self.lines is not None, self.worth, self.lines, self.covers
        )

    def _is_close(self) -> bool:
        """Whether the best plan known is as near to the cheapest as was asked for."""
        if self.best is None:
            return False
        return self.best.cost - self.bound <= self.settings.relative_gap * self.best.cost + SAME_COST

    def _so_far(self, solver: str) -> SeasonSolution:
        """The best plan that is known; proven if it is near enough to the bound, else time was up before."""
        if self.best is None:
            nothing = np.zeros((self.problem.seasons, self.problem.kit.item_count), dtype=np.int64)
            done = np.full(self.active.shape, NOT_LOOKED_AT, dtype=np.int64)
            return SeasonSolution(
                Status.NO_SOLUTION, nothing, done, np.zeros((0, 0, 0)), 0.0, self.bound, 0.0, solver
            )
        status = Status.PROVEN_OPTIMAL if self._is_close() else self.best.status
        return replace(self.best, status=status, bound=min(self.bound, self.best.cost), solver=solver)

    def _learn(self, begin: Ints) -> None:
        """The plan of buying, in the first season, a quick kit for whole pieces that begins with some purchases."""
        problem = self.problem
        kit = whole_kit(problem)
        pieces = begin + np.where(problem.buyable, 0, problem.owned[0])
        quick = quick_kit(kit, pieces, covered_cases(kit, pieces))
        if quick is not None:
            self._accept_at_once(quick.pieces)

    def _accept_at_once(self, pieces: Ints) -> None:
        """Note the plan of a kit that is bought in the first season, if it does all work whole in every season."""
        problem = self.problem
        bought = np.zeros((problem.seasons, problem.kit.item_count), dtype=np.int64)
        bought[0] = np.where(problem.buyable, pieces, 0)
        done = np.tile(cheapest_cases(problem), (problem.seasons, 1))
        filled = with_other_jobs(problem, _plan(bought, done, 0.0), np.zeros_like(self.active))
        if filled.covered.all() and np.array_equal(filled.done, done):
            self._accept(bought, done)

    def _look_around(self, bought: Ints, done: Ints) -> None:
        """Note the best plan near another, where the best one known may be far off: with its items and piece plans,
        those of the cheapest kit for whole pieces, and any line."""
        if self.bound > NEAR * self.known:
            return
        problem = self.problem
        cases = np.unique(np.concatenate([done[done >= 0], cheapest_cases(problem)]))
        items = problem.stock(bought).any(axis=0) | self.whole
        if problem.has_wear:
            items |= problem.use.any(axis=(0, 1))
        ways = tidy_ways(problem.kit.ways(cases, items & (self.worth | ~problem.buyable)))
        useful = useful_items(problem.kit, ways, no_worse(problem, wear=True))
        model = build(problem, ways, useful, np.ones_like(self.active), covers=self.covers)
        start = time.perf_counter()
        left = self.settings.time_limit - (start - self.start)
        brief = replace(self.settings, relative_gap=NEARBY_GAP, time_limit=min(NEARBY_SECONDS, left))
        status, bound, solver = run_programme(model.programme, brief, start, presolve=True)
        if status in USABLE:
            result = read_solution(problem, model, status, bound, solver)
            self._accept(result.bought, result.done)

    def _accept(self, bought: Ints, done: Ints) -> None:
        """Note a plan whose setups carry all that is not given away, if it is cheaper and money and wear allow it."""
        problem = self.problem
        cost = cost_of(problem, bought, done)
        if cost >= self.known or np.any(problem.purchase_cost(bought) > problem.budget):
            return
        worked = share_out(problem, bought, done, self.settings, self.start)
        if worked is not None:
            self.best = replace(_plan(bought, done, cost), worked=worked)

    def _prune(self, model: SeasonModel) -> bool:
        """Drop the items that no plan as cheap as the best one known can hold; whether the model was relaxed for it."""
        if not np.isfinite(self.known):
            return False
        relaxed = relax_programme(model.programme, self.settings, self.start)
        if relaxed is None:
            return False
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
        self.is_tight = relaxed.cost > TIGHT * self.known
        self.worth &= (relaxed.cost + least <= self.known + HALF) | ~problem.buyable
        return True

    def _look_ahead(self, model: SeasonModel) -> bool:
        """Take in the next season of job types that the relaxed model does not do whole; whether there were any."""
        problem = self.problem
        whole = np.zeros_like(self.active, dtype=float)
        for (season, way), chosen in model.chosen.items():
            case = int(model.ways.case[way])
            if not problem.case_cost[season, case]:
                whole[season, problem.case_job[case]] += chosen.value() or 0.0
        found = False
        for season, job in np.argwhere(self.active & (whole < 1 - NOTABLE)).tolist():
            later = np.flatnonzero(~self.active[season:, job]) + season
            if later.size and problem.hire_cost[later[0], job] > 0:
                self.active[later[0], job] = found = True
        return found


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
