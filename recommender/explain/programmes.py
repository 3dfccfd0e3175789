r"""Integer programmes beside that of the cheapest kit; sets, x, z, C2, C3 as in :mod:`recommender.kit.formulation`.

*The kit that differs most* from kits K_1 ... K_n and costs at most b:

    minimise    sum(w_i * u_i)                              w_i : in how many of the kits item i is
    then        sum(c_i * x_i)                              at that number
    subject to  C1, C2, C3
                D1  sum(c_i * x_i) <= b
                D2  x_i <= l_i * u_i                        u_i : 1 if item i is in the kit
                D3  sum(u_i for i in K_k) <= |K_k| - 1      for each k: one of its items is not used

*The most weight of covered load cases per money*, where p_i pieces of item i are there already, load case j weighs v_j
and those covered so far weigh V:

    maximise    (sum(v_j * y_j) - V) / sum(c_i * (x_i - p_i))       y_j : 1 if load case j is covered
    subject to  C2, C3
                B1  sum(z_w for w in W_j) = y_j                     for each j
                B2  x_i >= p_i
                B3  sum(v_j * y_j) >= V + 1

Sources: covering with some of the demand after Church & ReVelle, "The Maximal Covering Location Problem", Papers of the
Regional Science Association 32 (1974) 101-118, with setups in the place of single facilities; the ratio after
Dinkelbach, "On Nonlinear Fractional Programming", Management Science 13 (1967) 492-498.
"""

from __future__ import annotations

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
from recommender.kit.solver import HALF, USABLE, KitSolution, SolverSettings, Status, run, run_programme

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
    """What covers the most weight per money, for one set of pieces that are there.

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
        self._least = _at_most(programme, "B3_weight", self._gain, 0)

    def least_cost(self, weight: int) -> Coverage | None:
        """The least money that covers at least some weight; None if nothing does."""
        self._least.changeRHS(-weight)
        found = self._solve(self._prices)
        self._least.changeRHS(0)
        return found

    def best_ratio(self, base: int) -> Coverage | None:
        """The purchase that adds the most weight above ``base`` per money; None if nothing is left to add.

        Dinkelbach's method: the ratio N / D is largest where the largest N - r * D is 0 at r; r rises from solve to
        solve, and the last one proves it.
        """
        best = self.least_cost(base + 1)
        if best is not None and best.weight <= base:
            raise ArithmeticError(f"the solver took a weight of {best.weight} for more than {base}")
        proven = best is not None and best.proven
        while best is not None and best.added:
            ratio = (best.weight - base) / best.added
            scaled: Terms = [(variable, price * ratio) for variable, price in self._prices]
            found = self._solve(scaled + self._gain)
            if found is None or not found.added:
                break
            proven &= found.proven
            if (found.weight - base) * best.added <= (best.weight - base) * found.added:
                break
            best = found
        return None if best is None else replace(best, proven=proven)

    def _solve(self, objective: Terms) -> Coverage | None:
        self.model.programme.setObjective(pulp.LpAffineExpression(objective))
        solution = run(self.model, self.problem, self.settings, time.perf_counter())
        if solution.status not in USABLE:
            return None
        covers = np.zeros(len(self.weight), dtype=bool)
        for case, variable in self.covers.items():
            covers[case] = (variable.value() or 0.0) > HALF
        weight, added = int(self.weight @ covers), int(self.problem.price @ solution.pieces) - self.paid
        return Coverage(solution.pieces, covers, weight, added, solution.status is Status.PROVEN_OPTIMAL)


def lightest_left_out(
    weight: Ints, cores: Sequence[Flags], implies: Flags, settings: SolverSettings
) -> Flags:
    """The lightest set of load cases to leave out that takes one of each core.

    Parameters
    ----------
    weight : array of int, shape (cases,)
    cores : sequence of array of bool, shape (cases,)
        Load cases that can't all be kept.
    implies : array of bool, shape (cases, cases)
        Entry (a, b): a kit for load case a always does for b too, so b can be left out with a only.
    settings : SolverSettings

    Returns
    -------
    array of bool, shape (cases,)

    Examples
    --------
    >>> cores = [np.array([True, True, False]), np.array([False, True, True])]
    >>> lightest_left_out(np.array([2, 3, 2]), cores, np.eye(3, dtype=bool), SolverSettings()).tolist()
    [False, True, False]
    """
    flags = np.zeros(len(weight), dtype=bool)
    if not cores:
        return flags
    programme = pulp.LpProblem("left_out", pulp.LpMinimize)
    chosen = [programme.add_variable(f"d_{case}", cat=pulp.LpBinary) for case in range(len(weight))]
    programme.setObjective(pulp.LpAffineExpression([(d, int(weight[k])) for k, d in enumerate(chosen)]))
    for number, core in enumerate(cores):
        taken: Terms = [(chosen[case], -1) for case in np.flatnonzero(core).tolist()]
        _at_most(programme, f"H_core_{number:04d}", taken, -1)
    for a, b in np.argwhere(implies & ~np.eye(len(weight), dtype=bool)).tolist():
        _at_most(programme, f"H_with_{a:04d}_{b:04d}", [(chosen[b], 1), (chosen[a], -1)], 0)
    run_programme(programme, settings, time.perf_counter())
    for case, variable in enumerate(chosen):
        flags[case] = (variable.value() or 0.0) > HALF
    return flags


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
