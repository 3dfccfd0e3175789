"""Solving the kit model: the one place that names a solver.

The load cases are taken in as they turn out to matter. A kit that is optimal for some of the cases, and is found to
cover all others too, is optimal for all: leaving out cases can only make a kit cheaper. So the model is built for the
hardest cases, solved, checked against every case, and grown by the cases that the kit fails, until none is left.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
import pulp
from numpy.typing import NDArray
from pulp.apis.coin_api import pulp_cbc_path

from recommender.kit.cover import covered_cases
from recommender.kit.formulation import KitModel, build, count_different_items, hold_total, set_objective
from recommender.kit.problem import Ints, KitProblem
from recommender.kit.quick import affordable_items, quick_kit
from recommender.kit.reduce import choose_separable, tidy_ways, useful_items

HALF = 0.5


class Status(StrEnum):
    """How a solve ended."""

    PROVEN_OPTIMAL = "proven optimal"
    FEASIBLE_ONLY = "feasible, not proven"
    INFEASIBLE = "no kit"
    NO_SOLUTION = "stopped without a kit"
    ERROR = "solver error"


USABLE = (Status.PROVEN_OPTIMAL, Status.FEASIBLE_ONLY)


@dataclass(frozen=True)
class SolverSettings:
    """How to solve; recorded with the result."""

    solver: str = "HiGHS"
    time_limit: float = 60.0
    relative_gap: float = 0.0
    threads: int = 1
    reduce: bool = True
    cases_at_once: int = 4


@dataclass(frozen=True)
class KitSolution:
    """Pieces of every item, with what is known of the optimum.

    ``bound`` is a proven lower bound of the cost, in the smallest unit of money; ``rounds`` counts the models built.
    """

    status: Status
    pieces: Ints
    cost: int
    bound: float
    rounds: int
    seconds: float
    solver: str

    @property
    def gap(self) -> float:
        """(cost - bound) / cost, 0 when proven."""
        return max(0.0, (self.cost - self.bound) / self.cost) if self.cost else 0.0


def solve(problem: KitProblem, settings: SolverSettings | None = None) -> KitSolution:
    """The cheapest kit; among the cheapest the lightest; among those the one with the fewest different items.

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


def _solve_at_once(problem: KitProblem, settings: SolverSettings, start: float) -> KitSolution:
    """One model with every case, every way and every item."""
    everything = np.ones(problem.item_count, dtype=bool)
    model = build(problem, problem.ways(), everything)
    result = _run(model, problem, settings, start)
    return _break_ties(model, problem, result, settings, start)


def _solve_growing(problem: KitProblem, settings: SolverSettings, start: float) -> KitSolution:
    chosen, rest = choose_separable(problem)
    quick = quick_kit(rest)
    active = np.zeros(len(problem.case_names), dtype=bool)
    worth = np.ones(problem.item_count, dtype=bool)
    if quick is not None:
        active[quick.cases] = True
        worth = affordable_items(rest, tidy_ways(rest.ways(quick.cases)), quick.cost)
    rounds = 0
    while True:
        rounds += 1
        ways = tidy_ways(rest.ways(np.flatnonzero(active), worth))
        model = build(rest, ways, useful_items(rest, ways))
        result = _run(model, rest, settings, start)
        if result.status in USABLE and not _grow(active, rest, result, settings):
            result = _break_ties(model, rest, result, settings, start)
            if _grow(active, rest, result, settings):
                continue
        elif result.status in USABLE:
            continue
        pieces = result.pieces + chosen
        added = int(problem.price @ chosen)
        return replace(
            result, pieces=pieces, cost=result.cost + added, bound=result.bound + added, rounds=rounds
        )


def _grow(
    active: NDArray[np.bool_], problem: KitProblem, result: KitSolution, settings: SolverSettings
) -> bool:
    """Take in some of the load cases that a kit fails; whether there were any."""
    failing = np.flatnonzero(~covered_cases(problem, result.pieces))
    active[failing[:: max(1, failing.size // settings.cases_at_once)]] = True
    return bool(failing.size)


def _break_ties(
    model: KitModel, problem: KitProblem, result: KitSolution, settings: SolverSettings, start: float
) -> KitSolution:
    """At the best cost the least mass; at that mass the fewest different items."""
    if result.status is not Status.PROVEN_OPTIMAL:
        return result
    _drop_too_dear(model, result.cost, settings)
    hold_total(model, "C4_cost", problem.price, result.cost)
    set_objective(model.programme, problem.mass, model.pieces)
    lighter = _run(model, problem, settings, start)
    if lighter.status is not Status.PROVEN_OPTIMAL:
        return result
    hold_total(model, "C5_mass", problem.mass, int(problem.mass @ lighter.pieces))
    count_different_items(model)
    fewer = _run(model, problem, settings, start)
    best = fewer if fewer.status is Status.PROVEN_OPTIMAL else lighter
    return replace(best, cost=result.cost, bound=result.bound)


def _drop_too_dear(model: KitModel, cost: int, settings: SolverSettings) -> None:
    """Fix at 0 what no kit of the best cost can hold: relaxed cost plus reduced cost lies above it."""
    programme = model.programme
    whole = [variable for variable in programme.variables() if variable.cat == pulp.LpInteger]
    for variable in whole:
        variable.cat = pulp.LpContinuous
    solver, _ = _solver(settings, settings.time_limit)
    with _silent():
        programme.solve(solver)
    relaxed = pulp.value(programme.objective) if programme.sol_status == pulp.LpSolutionOptimal else None
    for variable in whole:
        variable.cat = pulp.LpInteger
        reduced = variable.dj if relaxed is not None else None
        if reduced is not None and relaxed + reduced > cost + HALF:
            variable.upBound = 0


def _run(model: KitModel, problem: KitProblem, settings: SolverSettings, start: float) -> KitSolution:
    remaining = max(0.1, settings.time_limit - (time.perf_counter() - start))
    solver, name = _solver(settings, remaining)
    with _silent():
        model.programme.solve(solver)
    pieces = np.zeros(problem.item_count, dtype=np.int64)
    for item, variable in model.pieces.items():
        pieces[item] = int((variable.value() or 0.0) + HALF)
    status = _status(model.programme)
    cost = int(problem.price @ pieces)
    bound = float(cost) if status is Status.PROVEN_OPTIMAL else _bound(model.programme)
    return KitSolution(status, pieces, cost, bound, 1, 0.0, name)


def _status(programme: pulp.LpProblem) -> Status:
    """PuLP calls a run stopped by its time limit 'Optimal'; only ``sol_status`` tells the two apart."""
    if programme.sol_status == pulp.LpSolutionOptimal:
        return Status.PROVEN_OPTIMAL
    if programme.sol_status == pulp.LpSolutionIntegerFeasible:
        return Status.FEASIBLE_ONLY
    if programme.sol_status == pulp.LpSolutionInfeasible or programme.status == pulp.LpStatusInfeasible:
        return Status.INFEASIBLE
    return Status.NO_SOLUTION


def _bound(programme: pulp.LpProblem) -> float:
    """The solver's proven lower bound, or 0 where it gives none."""
    inner = getattr(programme, "solverModel", None)
    if inner is None or not hasattr(inner, "getInfo"):
        return 0.0
    return max(0.0, float(inner.getInfo().mip_dual_bound))


def _solver(settings: SolverSettings, seconds: float) -> tuple[pulp.LpSolver, str]:
    """HiGHS where it is installed, else CBC."""
    makers: dict[str, Callable[[], pulp.LpSolver]] = {
        "HiGHS": lambda: pulp.HiGHS(
            msg=False,
            timeLimit=seconds,
            gapRel=settings.relative_gap,
            threads=settings.threads,
            presolve="off",  # the rows are tight already: presolving took four fifths of the time
        ),
        "CBC": lambda: pulp.COIN_CMD(
            msg=False, timeLimit=seconds, gapRel=settings.relative_gap, threads=settings.threads, path=_cbc()
        ),
    }
    for name in (settings.solver, "HiGHS", "CBC"):
        solver = makers[name]()
        if solver.available():
            return solver, name
    raise RuntimeError("neither HiGHS (package highspy) nor CBC is installed")


def _cbc() -> str:
    """The CBC program: the one that PuLP brings, else one on the search path."""
    return pulp_cbc_path if os.path.exists(pulp_cbc_path) else "cbc"


@contextmanager
def _silent() -> Iterator[None]:
    """Keep a solver's banner off the terminal: it writes to the file descriptors themselves."""
    saved = [os.dup(number) for number in (1, 2)]
    with open(os.devnull, "w", encoding="utf-8") as sink:
        try:
            for number in (1, 2):
                os.dup2(sink.fileno(), number)
            yield
        finally:
            for number, copy in zip((1, 2), saved, strict=True):
                os.dup2(copy, number)
                os.close(copy)
