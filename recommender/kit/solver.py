"""Running a built model: the one place that names a solver."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import pulp
from pulp.apis.coin_api import pulp_cbc_path

from recommender.kit.formulation import KitModel
from recommender.kit.problem import Ints, KitProblem

HALF = 0.5
PATIENCE = 0.05
"""Seconds between two looks at whether a solve in a thread has ended."""
WHOLE = 1e-6
"""How far from a whole number a relaxed value may be and still count as whole."""


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
    """How to solve. ``stop`` is asked again and again; once it says so, the best that was found until then is taken."""

    solver: str = "HiGHS"
    time_limit: float = 60.0
    relative_gap: float = 0.0
    threads: int = 1
    reduce: bool = True
    cases_at_once: int = 4
    stop: Callable[[], bool] | None = None

    @property
    def stopped(self) -> bool:
        """Whether somebody wants it to end."""
        return self.stop is not None and self.stop()


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


@dataclass(frozen=True)
class Relaxation:
    """The relaxed programme solved: its cost, its solution if whole, and the price of every C2 row.

    ``row_price`` is the gain in cost for one piece more on the row's item set, >= 0.
    """

    cost: float
    pieces: Ints | None
    row_price: dict[str, float]
    reduced: dict[str, float]
    solver: str


def run_programme(
    programme: pulp.LpProblem, settings: SolverSettings, start: float, presolve: bool = False
) -> tuple[Status, float, str]:
    """Solve a programme; ``start`` is when the clock of the time limit began.

    ``presolve`` pays where budgets or wear make the relaxation loose; the rows of a kit alone are so tight that it took
    four fifths of the time.

    Returns
    -------
    Status, float, str
        How it ended, the solver's proven lower bound (0 where it gives none), and the solver's name.
    """
    if settings.stopped:
        return Status.NO_SOLUTION, 0.0, settings.solver
    solver, name = _solver(settings, _remaining(settings, start), presolve)
    with silent():
        if settings.stop is None:
            programme.solve(solver)
        else:
            _solve_beside(programme, solver)
    return _status(programme), _bound(programme), name


def _solve_beside(programme: pulp.LpProblem, solver: pulp.LpSolver) -> None:
    """Solve in a thread, so that this one can take the signal of Ctrl-C meanwhile."""
    faults: list[BaseException] = []

    def work() -> None:
        try:
            programme.solve(solver)
        except BaseException as fault:  # handed on to the caller
            faults.append(fault)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(PATIENCE)
    if faults:
        raise faults[0]


def run(model: KitModel, problem: KitProblem, settings: SolverSettings, start: float) -> KitSolution:
    """Solve a kit model as it stands."""
    status, bound, name = run_programme(model.programme, settings, start)
    pieces = np.zeros(problem.item_count, dtype=np.int64)
    for item, variable in model.pieces.items():
        pieces[item] = int((variable.value() or 0.0) + HALF)
    cost = int(problem.price @ pieces)
    if status is Status.PROVEN_OPTIMAL and not settings.relative_gap:
        bound = float(cost)
    return KitSolution(status, pieces, cost, min(bound, float(cost)), 1, 0.0, name)


@dataclass(frozen=True)
class RelaxedProgramme:
    """A programme solved without whole numbers; the price of a row is what one unit more of its limit saves, >= 0."""

    cost: float
    is_whole: bool
    row_price: dict[str, float]
    reduced: dict[str, float]
    solver: str


def relax_programme(
    programme: pulp.LpProblem, settings: SolverSettings, start: float
) -> RelaxedProgramme | None:
    """Solve a programme without whole numbers; None if that fails. The programme is left as it was."""
    whole = [variable for variable in programme.variables() if variable.cat == pulp.LpInteger]
    for variable in whole:
        variable.cat = pulp.LpContinuous
    solver, name = _solver(settings, _remaining(settings, start))
    with silent():
        programme.solve(solver)
    for variable in whole:
        variable.cat = pulp.LpInteger
    if programme.sol_status != pulp.LpSolutionOptimal:
        return None
    values = np.array([variable.value() or 0.0 for variable in whole])
    return RelaxedProgramme(
        cost=float(pulp.value(programme.objective)),
        is_whole=bool(np.all(np.abs(values - values.round()) < WHOLE)),
        row_price={row.name: abs(row.pi or 0.0) for row in programme.constraints()},
        reduced={variable.name: float(variable.dj or 0.0) for variable in whole},
        solver=name,
    )


def relax(model: KitModel, problem: KitProblem, settings: SolverSettings, start: float) -> Relaxation | None:
    """Solve a kit model without whole numbers; None if that fails. The model is left as it was."""
    found = relax_programme(model.programme, settings, start)
    if found is None:
        return None
    pieces = np.zeros(problem.item_count, dtype=np.int64)
    for item, variable in model.pieces.items():
        pieces[item] = round(variable.value() or 0.0)
    whole = pieces if found.is_whole else None
    return Relaxation(found.cost, whole, found.row_price, found.reduced, found.solver)


def _remaining(settings: SolverSettings, start: float) -> float:
    return max(0.1, settings.time_limit - (time.perf_counter() - start))


def _status(programme: pulp.LpProblem) -> Status:
    """PuLP calls a run that was stopped 'Optimal' with a feasible solution, whether it has one or not."""
    if programme.sol_status == pulp.LpSolutionOptimal:
        return Status.PROVEN_OPTIMAL
    if programme.sol_status == pulp.LpSolutionIntegerFeasible:
        found = _info(programme)
        has_one = found is None or np.isfinite(found.objective_function_value)
        return Status.FEASIBLE_ONLY if has_one else Status.NO_SOLUTION
    if programme.sol_status == pulp.LpSolutionInfeasible or programme.status == pulp.LpStatusInfeasible:
        return Status.INFEASIBLE
    return Status.NO_SOLUTION


def _bound(programme: pulp.LpProblem) -> float:
    """The solver's proven lower bound, or 0 where it gives none."""
    found = _info(programme)
    return 0.0 if found is None else max(0.0, float(found.mip_dual_bound))


def _info(programme: pulp.LpProblem) -> Any:
    """What HiGHS says of its run; None of another solver."""
    inner: Any = getattr(programme, "solverModel", None)
    return inner.getInfo() if hasattr(inner, "getInfo") else None


def _solver(settings: SolverSettings, seconds: float, presolve: bool = False) -> tuple[pulp.LpSolver, str]:
    """HiGHS where it is installed, else CBC."""
    makers: dict[str, Callable[[], pulp.LpSolver]] = {
        "HiGHS": lambda: pulp.HiGHS(
            msg=False,
            timeLimit=seconds,
            gapRel=settings.relative_gap,
            threads=settings.threads,
            presolve="on" if presolve else "off",
            **_interrupting(settings.stop),
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


def _interrupting(stop: Callable[[], bool] | None) -> dict[str, Any]:
    """Options of HiGHS that let it be stopped: it asks at every node of its search."""
    if stop is None:
        return {}
    asked = stop

    def ask(kind: Any, message: str, told: Any, answer: Any, own: Any) -> None:
        if asked():
            answer.user_interrupt = True

    return {
        "callbackTuple": (ask, None),
        "callbacksToActivate": [pulp.HiGHS.hscb.HighsCallbackType.kCallbackMipInterrupt],
    }


def _cbc() -> str:
    """The CBC program: the one that PuLP brings, else one on the search path."""
    return pulp_cbc_path if os.path.exists(pulp_cbc_path) else "cbc"


class _Quiet:
    """How many solves are under way, and the descriptors that wait to be put back."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.depth = 0
        self.saved: list[int] = []


_quiet = _Quiet()


@contextmanager
def silent() -> Iterator[None]:
    """Keep a solver's banner off the terminal: it writes to the file descriptors themselves.

    Solves in several threads share the descriptors: the first to come turns them away, the last to go puts them back.
    """
    with _quiet.lock:
        _quiet.depth += 1
        if _quiet.depth == 1:
            _quiet.saved = [os.dup(number) for number in (1, 2)]
            with open(os.devnull, "w", encoding="utf-8") as sink:
                for number in (1, 2):
                    os.dup2(sink.fileno(), number)
    try:
        yield
    finally:
        with _quiet.lock:
            _quiet.depth -= 1
            if _quiet.depth == 0:
                for number, copy in zip((1, 2), _quiet.saved, strict=True):
                    os.dup2(copy, number)
                    os.close(copy)
