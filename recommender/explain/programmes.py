r"""Two integer programmes beside that of the cheapest kit; sets, x, z, C2, C3 as in :mod:`recommender.kit.formulation`.

*The kit that differs most* from kits K_1 ... K_n and costs at most b:

    minimise    sum(w_i * u_i)                              w_i : in how many of the kits item i is
    then        sum(c_i * x_i)                              at that number
    subject to  C1, C2, C3
                D1  sum(c_i * x_i) <= b
                D2  x_i <= l_i * u_i                        u_i : 1 if item i is in the kit
                D3  sum(u_i for i in K_k) <= |K_k| - 1      for each k: one of its items is not used

*The largest share of the work for a sum* b, where p_i pieces of item i are there already and v_j weighs load case j:

    maximise    sum(v_j * y_j)                              y_j : 1 if load case j is covered
    then, at that share, minimise sum(c_i * (x_i - p_i))
    subject to  C2, C3
                B1  sum(z_w for w in W_j) = y_j             for each j
                B2  sum(c_i * (x_i - p_i)) <= b
                B3  x_i >= p_i

The second is the maximal covering location problem with prices (Church & ReVelle, "The Maximal Covering Location
Problem", Papers of the Regional Science Association 32 (1974) 101-118), with setups in the place of single facilities.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pulp

from recommender.explain.questions import Flags
from recommender.kit.formulation import (
    KitModel,
    add_choice_variables,
    add_pieces_variables,
    build,
    most_of_use,
    require_items_for_ways,
    require_standing_needs,
    set_objective,
)
from recommender.kit.problem import Ints, KitProblem, Ways
from recommender.kit.solver import HALF, USABLE, KitSolution, SolverSettings, Status, relax, run

CLOSED_AT_LEAST = 20
"""Variables that one round of closing has to close for another round to be worth it."""

Terms = list[tuple[pulp.LpVariable, float]]


def most_different(
    problem: KitProblem, ways: Ways, items: Flags, most: int, kits: Sequence[Flags], settings: SolverSettings
) -> KitSolution | None:
    """The kit of at most a cost that holds the fewest items of some kits; at that number the cheapest.

    Parameters
    ----------
    problem : KitProblem
    ways : Ways
        Of the load cases that have to be covered.
    items : array of bool, shape (items,)
        Items that may be used.
    most : int
        Highest cost. [cent]
    kits : sequence of array of bool, shape (items,)
        Items that count of each of the kits to differ from.
    settings : SolverSettings

    Returns
    -------
    KitSolution or None
        None if no kit differs within the cost, or none was found in time.
    """
    start = time.perf_counter()
    model = build(problem, ways, items)
    _at_most(model.programme, "D1_cost", _priced(model, problem.price), most)
    weight: Ints = np.array(kits, dtype=np.int64).sum(axis=0)
    used = _use_variables(model, np.asarray(weight > 0))
    for number, kit in enumerate(kits):
        terms: Terms = [(used[item], 1) for item in np.flatnonzero(kit).tolist() if item in used]
        _at_most(model.programme, f"D3_kit_{number}", terms, int(kit.sum()) - 1)
    shared: Terms = [(variable, int(weight[item])) for item, variable in used.items()]
    model.programme.setObjective(pulp.LpAffineExpression(shared))
    first = run(model, problem, settings, start)
    if first.status not in USABLE:
        return None
    held = int(sum(weight[item] for item in used if first.pieces[item]))
    _at_most(model.programme, "D4_shared", shared, held)
    set_objective(model.programme, problem.price, model.pieces)
    cheapest = run(model, problem, settings, start)
    return _weaker_of(first, cheapest) if cheapest.status in USABLE else first


def _use_variables(model: KitModel, counted: Flags) -> dict[int, pulp.LpVariable]:
    """D2: u_i for every item that counts."""
    used = {}
    for item in np.flatnonzero(counted).tolist():
        if item not in model.pieces:
            continue
        pieces = model.pieces[item]
        used[item] = model.programme.add_variable(f"u_{item}", cat=pulp.LpBinary)
        _at_most(model.programme, f"D2_used_{item:04d}", [(pieces, 1), (used[item], -pieces.upBound)], 0)
    return used


@dataclass(frozen=True)
class Coverage:
    """A kit and the load cases that it was chosen to cover; ``added`` is what it costs beyond what was there. [cent]"""

    pieces: Ints
    covers: Flags
    weight: int
    added: int
    proven: bool


class CoverageModel:
    """The largest share of the work for a sum, for one set of pieces that are there.

    Parameters
    ----------
    problem : KitProblem
    ways : Ways
        Of the load cases that may be covered.
    items : array of bool, shape (items,)
        Items that may be used.
    weight : array of int, shape (cases,)
        What covering a load case is worth.
    present : array of int, shape (items,)
        Pieces that are there already.
    settings : SolverSettings
    """

    def __init__(
        self,
        problem: KitProblem,
        ways: Ways,
        items: Flags,
        weight: Ints,
        present: Ints,
        settings: SolverSettings,
    ) -> None:
        self.problem, self.weight, self.present, self.settings = problem, weight, present, settings
        programme = pulp.LpProblem("coverage", pulp.LpMinimize)
        most = np.maximum(most_of_use(problem, ways), present)
        pieces = add_pieces_variables(programme, most, items | (present > 0))
        for item in np.flatnonzero(present).tolist():
            pieces[item].lowBound = int(present[item])
        choice = add_choice_variables(programme, ways)
        self.covers = _cover_variables(programme, ways, choice)
        rows = require_items_for_ways(programme, problem, ways, choice, pieces)
        rows |= require_standing_needs(programme, problem, pieces)
        self.model = KitModel(programme, pieces, rows)
        self.paid = int(problem.price @ present)
        self._prices = _priced(self.model, problem.price)
        self._gain: Terms = [(variable, -int(weight[case])) for case, variable in self.covers.items()]
        self._budget = _at_most(programme, "B2_budget", self._prices, self._without_limit)
        self._least = _at_most(programme, "B4_weight", self._gain, 0)

    @property
    def _without_limit(self) -> int:
        """More than all pieces of use cost. [cent]"""
        return sum(int(price) * int(variable.upBound) for variable, price in self._prices) + 1

    def largest(self, budget: int, at_least: int = 0, cheapest: bool = True) -> Coverage | None:
        """The most weight that a sum can cover, and if asked at the least cost.

        Parameters
        ----------
        budget : int
            [cent]
        at_least : int, optional
            A weight that the sum is known to cover.
        cheapest : bool, optional

        Returns
        -------
        Coverage or None
            None if none was found in time.
        """
        start = time.perf_counter()
        self._budget.changeRHS(budget + self.paid)
        best = self._solve(self._gain, start, -at_least)
        if best is not None and cheapest:
            self._least.changeRHS(-best.weight)
            found = self._solve(self._prices, start, best.added + self.paid)
            if found is not None:
                best = replace(found, proven=best.proven and found.proven)
        self._budget.changeRHS(self._without_limit)
        self._least.changeRHS(0)
        return best

    def least_cost(self, weight: int, known: float = math.inf) -> Coverage | None:
        """The least money that covers at least some weight; None if nothing does.

        ``known`` is what some kit costs that does. [cent]
        """
        self._least.changeRHS(-weight)
        found = self._solve(self._prices, time.perf_counter(), known + self.paid)
        self._least.changeRHS(0)
        return found

    def best_ratio(self, base: int) -> Coverage | None:
        """The purchase that adds the most weight above ``base`` per money; None if nothing is left to add.

        Dinkelbach's method: the ratio N / D is largest where the largest N - r * D is 0 at r; r rises from solve to
        solve and the last one proves it ("On Nonlinear Fractional Programming", Management Science 13 (1967) 492-498).
        """
        best = self.least_cost(base + 1)
        proven = best is not None and best.proven
        while best is not None and best.added:
            ratio = (best.weight - base) / best.added
            scaled: Terms = [(variable, price * ratio) for variable, price in self._prices]
            known = (best.added + self.paid) * ratio - best.weight
            found = self._solve(scaled + self._gain, time.perf_counter(), known)
            if found is None or not found.added:
                break
            proven &= found.proven
            if (found.weight - base) * best.added <= (best.weight - base) * found.added:
                break
            best = found
        return None if best is None else replace(best, proven=proven)

    def _solve(self, objective: Terms, start: float, known: float = math.inf) -> Coverage | None:
        """Minimise an objective of which a value is known that can be reached."""
        self.model.programme.setObjective(pulp.LpAffineExpression(objective))
        closed = self._close(known, start)
        solution = run(self.model, self.problem, self.settings, start)
        for variable, bound in closed:
            variable.upBound = bound
        if solution.status not in USABLE:
            return None
        covers = np.zeros(len(self.weight), dtype=bool)
        for case, variable in self.covers.items():
            covers[case] = (variable.value() or 0.0) > HALF
        weight, added = int(self.weight @ covers), int(self.problem.price @ solution.pieces) - self.paid
        return Coverage(solution.pieces, covers, weight, added, solution.status is Status.PROVEN_OPTIMAL)

    def _close(self, known: float, start: float) -> list[tuple[pulp.LpVariable, float]]:
        """Close the variables that no solution as good as a known one can use; with their bounds as they were.

        A variable at 0 whose reduced cost lifts the relaxed objective above the known value stays at 0. What is closed
        makes the relaxation tighter, so that more may be closed.
        """
        closed: list[tuple[pulp.LpVariable, float]] = []
        many = math.inf
        while math.isfinite(known) and many > CLOSED_AT_LEAST:
            relaxed = relax(self.model, self.problem, self.settings, start)
            if relaxed is None:
                break
            highest = known + HALF
            dear = [
                variable
                for variable in self.model.programme.variables()
                if variable.upBound and not variable.lowBound
                if relaxed.cost + relaxed.reduced.get(variable.name, 0.0) > highest
            ]
            closed += [(variable, variable.upBound) for variable in dear]
            for variable in dear:
                variable.upBound = 0
            many = len(dear)
        return closed


def _cover_variables(
    programme: pulp.LpProblem, ways: Ways, choice: Sequence[pulp.LpVariable]
) -> dict[int, pulp.LpVariable]:
    """B1: y_j for every load case that some way rigs."""
    covers = {}
    for case in np.unique(ways.case).tolist():
        covers[case] = programme.add_variable(f"y_{case}", cat=pulp.LpBinary)
        terms: Terms = [(choice[row], 1) for row in np.flatnonzero(ways.case == case).tolist()]
        row = pulp.LpConstraint(
            pulp.LpAffineExpression([*terms, (covers[case], -1)]),
            pulp.LpConstraintEQ,
            f"B1_cover_{case:04d}",
            0,
        )
        programme.addConstraint(row)
    return covers


def _priced(model: KitModel, price: Ints) -> Terms:
    return [(variable, int(price[item])) for item, variable in model.pieces.items() if price[item]]


def _at_most(programme: pulp.LpProblem, name: str, terms: Terms, most: int) -> pulp.LpConstraint:
    row = pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintLE, name, most)
    programme.addConstraint(row)
    return row


def _weaker_of(first: KitSolution, second: KitSolution) -> KitSolution:
    """The second solution, proven only if both are."""
    return second if first.status is Status.PROVEN_OPTIMAL else first
