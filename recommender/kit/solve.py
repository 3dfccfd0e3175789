"""The cheapest kit, proven: which load cases and items the model has to look at, and in what order.

*Load cases.* A kit that is optimal for some of the cases, and is found to cover all others too, is optimal for all:
leaving out cases can only make a kit cheaper. So the model is built for the cases that forced a quick kit to grow,
solved, checked against every case, and grown by cases that the kit fails, until none is left.

*Items.* The relaxed cost for some cases is a lower bound of every kit, and rises by at least the reduced cost of an
item if that item is taken. Where that is above the cost of a kit that is known, the item is in no kit worth having. The
reduced cost of any item is its price less the prices of the rows in whose sets it stands; for a spool that is the row
that counts the spools that are cut. Lines from spools have no price: they are dropped with their spool only.
"""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases
from recommender.kit.formulation import (
    KitModel,
    build,
    count_different_items,
    cut_least,
    hold_total,
    set_objective,
)
from recommender.kit.problem import Ints, KitProblem, Ways
from recommender.kit.quick import QuickKit, quick_kit
from recommender.kit.reduce import choose_separable, tidy_ways, useful_items
from recommender.kit.solver import (
    HALF,
    USABLE,
    KitSolution,
    Relaxation,
    SolverSettings,
    Status,
    relax,
    run,
)
from recommender.kit.spools import usable

__all__ = ["KitSolution", "SolverSettings", "Status", "solve", "solve_with_cases"]


def solve(problem: KitProblem, settings: SolverSettings | None = None) -> KitSolution:
    """The cheapest kit; among the cheapest the lightest; among those the one with the fewest different items.

    Where lines are cut from spools, among those the one with the least length cut.

    Parameters
    ----------
    problem : KitProblem
        With a way for every load case: see ``KitProblem.uncovered``.
    settings : SolverSettings, optional

    Returns
    -------
    KitSolution
        Status ``INFEASIBLE`` if no kit covers the load cases.
    """
    chosen = settings or SolverSettings()
    start = time.perf_counter()
    result = (
        _solve_growing(problem, chosen, start) if chosen.reduce else _solve_at_once(problem, chosen, start)
    )
    return replace(result, seconds=time.perf_counter() - start)


def solve_with_cases(
    problem: KitProblem, settings: SolverSettings | None = None
) -> tuple[KitSolution, NDArray[np.bool_]]:
    """The cheapest kit, and flags of load cases that decide its cost: no kit for these alone is cheaper."""
    growth = _Growth(problem, settings or SolverSettings(), time.perf_counter())
    return growth.solve(), growth.active


def _solve_at_once(problem: KitProblem, settings: SolverSettings, start: float) -> KitSolution:
    """One model with every case, every way and every item."""
    everything = np.ones(problem.item_count, dtype=bool)
    model = build(problem, problem.ways(), everything)
    result = run(model, problem, settings, start)
    return _break_ties(model, problem, result, settings, start)


def _solve_growing(problem: KitProblem, settings: SolverSettings, start: float) -> KitSolution:
    chosen, rest = choose_separable(problem)
    result = _Growth(rest, settings, start).solve()
    added = int(problem.price @ chosen)
    return replace(
        result, pieces=result.pieces + chosen, cost=result.cost + added, bound=result.bound + added
    )


class _Growth:
    """The state of one solve: cases taken in, items still worth looking at, the cost of the best kit known."""

    def __init__(self, problem: KitProblem, settings: SolverSettings, start: float) -> None:
        self.problem, self.settings, self.start = problem, settings, start
        quick = quick_kit(problem)
        self.known, self.bound = np.inf, 0.0
        self.best: Ints | None = None
        self._learn(quick)
        self.active = np.zeros(len(problem.case_names), dtype=bool)
        self.active[range(min(1, len(self.active))) if quick is None else quick.cases] = True
        self.worth = np.ones(problem.item_count, dtype=bool)
        self.rounds = 0

    def solve(self) -> KitSolution:
        """Grow until a kit that is optimal for the cases taken in covers all of them."""
        while True:
            self.rounds += 1
            model, ways = self._model()
            relaxed = relax(model, self.problem, self.settings, self.start)
            result = self._whole(model, relaxed)
            self.bound = max(self.bound, result.bound, 0.0 if relaxed is None else relaxed.cost)
            if result.status is Status.NO_SOLUTION and self.best is not None:
                return self._so_far(result.solver)
            if result.status not in USABLE:
                return replace(result, rounds=self.rounds)
            grown = self._grow(result.pieces)
            if not grown:
                self._learn(result)
                if result.status is Status.FEASIBLE_ONLY:
                    return self._so_far(result.solver)
            self._prune(model, ways, relaxed)
            if grown:
                continue
            small, _ = self._model()
            settled = _break_ties(small, self.problem, result, self.settings, self.start)
            if np.array_equal(settled.pieces, result.pieces) or not self._grow(settled.pieces):
                return replace(settled, rounds=self.rounds)

    def _learn(self, kit: QuickKit | KitSolution | None) -> None:
        """Keep a kit for all cases if it is the cheapest one known."""
        if kit is not None and kit.cost < self.known:
            self.known, self.best = float(kit.cost), kit.pieces

    def _so_far(self, solver: str) -> KitSolution:
        """The best kit that is known, where the search ended before one was proven."""
        assert self.best is not None
        cost, bound = int(self.known), min(self.bound, self.known)
        return KitSolution(Status.FEASIBLE_ONLY, self.best, cost, bound, self.rounds, 0.0, solver)

    def _model(self) -> tuple[KitModel, Ways]:
        """The model of the cases taken in, over the items still worth looking at."""
        ways = tidy_ways(self.problem.ways(np.flatnonzero(self.active), self.worth))
        return build(self.problem, ways, useful_items(self.problem, ways)), ways

    def _whole(self, model: KitModel, relaxed: Relaxation | None) -> KitSolution:
        """The optimum of a model; the relaxed one if that is whole already."""
        if relaxed is None or relaxed.pieces is None:
            return run(model, self.problem, self.settings, self.start)
        cost = int(self.problem.price @ relaxed.pieces)
        return KitSolution(Status.PROVEN_OPTIMAL, relaxed.pieces, cost, float(cost), 1, 0.0, relaxed.solver)

    def _grow(self, pieces: Ints) -> bool:
        """Take in load cases that a kit fails, and learn what it costs when they are added; whether there were any."""
        covered = covered_cases(self.problem, pieces)
        if covered.all():
            return False
        completed = quick_kit(self.problem, pieces, covered)
        self._learn(completed)
        further = np.flatnonzero(~covered)[:1] if completed is None else completed.cases
        if self.active[further].all():
            names = ", ".join(self.problem.case_names[case] for case in further)
            raise RuntimeError(f"the model takes load cases for covered that its kit does not cover: {names}")
        self.active[further] = True
        return True

    def _prune(self, model: KitModel, ways: Ways, relaxed: Relaxation | None) -> None:
        """Drop the items that no kit as cheap as the best one known can hold."""
        if relaxed is None or not np.isfinite(self.known):
            return
        reduced = self.problem.price.astype(float)
        for name, items in model.row_items.items():
            reduced[items] -= relaxed.row_price.get(name, 0.0)
        self.worth &= relaxed.cost + reduced <= self.known + HALF
        self.worth = usable(self.problem.spools, self.worth)


def _break_ties(
    model: KitModel, problem: KitProblem, result: KitSolution, settings: SolverSettings, start: float
) -> KitSolution:
    """At the best cost the least mass; at that mass the fewest different items; then the least line cut from spools."""
    if result.status is not Status.PROVEN_OPTIMAL:
        return result
    relaxed = relax(model, problem, settings, start)
    if relaxed is not None:
        _drop_too_dear(model, relaxed, result.cost)
    hold_total(model, "C4_cost", problem.price, result.cost)
    set_objective(model.programme, problem.mass, model.pieces)
    lighter = run(model, problem, settings, start)
    if lighter.status is not Status.PROVEN_OPTIMAL:
        return result
    hold_total(model, "C5_mass", problem.mass, int(problem.mass @ lighter.pieces))
    count_different_items(model)
    fewer = run(model, problem, settings, start)
    best = fewer if fewer.status is Status.PROVEN_OPTIMAL else lighter
    if best is fewer and best.pieces[list(model.line_length)].any():
        cut_least(model)
        shorter = run(model, problem, settings, start)
        best = shorter if shorter.status is Status.PROVEN_OPTIMAL else fewer
    return replace(best, cost=result.cost, bound=result.bound)


def _drop_too_dear(model: KitModel, relaxed: Relaxation, cost: int) -> None:
    """Fix at 0 what no kit of the best cost can hold: relaxed cost plus reduced cost lies above it."""
    for variable in model.programme.variables():
        if relaxed.cost + relaxed.reduced.get(variable.name, 0.0) > cost + HALF:
            variable.upBound = 0
