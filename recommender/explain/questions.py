"""Many questions about one plan: the cheapest kit for any choice of its load cases and items, from one set of ways.

Demands, ratings and ways are worked out once, for the job types and for every variant of them that will be asked about;
each question then builds small models of its own. As in :mod:`recommender.kit.solve` a model holds only some of the
load cases asked for and grows by those that its kit fails; it begins with the cases that decided earlier answers.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import can_fill, covered_cases, way_sets
from recommender.kit.formulation import KitModel, build, hold_total, set_objective
from recommender.kit.planning import PreparedPlan, prepare, whole_spools
from recommender.kit.problem import Ints, KitProblem
from recommender.kit.quick import quick_kit
from recommender.kit.reduce import _no_harder, choose_separable, tidy_ways, useful_items
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
from recommender.work.plan import Plan
from recommender.work.tables import JobType

Flags = NDArray[np.bool_]

FEW = 0.8
"""A round of dropping items that leaves more than this share of them is the last."""

STRANGE = 1000
"""What a piece of an item that is not in the kit at hand weighs against one that is, among kits of the same cost."""


@dataclass(frozen=True)
class Found:
    """A cheapest kit: pieces by item, cost [cent], the load cases that decided it, and whether it is proven.

    ``bound`` is a proven lower bound of the cost; it equals it where ``proven``.
    """

    pieces: Ints
    cost: int
    deciding: Flags
    bound: float
    proven: bool


@dataclass(frozen=True)
class Floor:
    """What a relaxed programme over all items proves for every kit that covers its load cases.

    Such a kit costs at least ``cost`` [cent], and at least ``reduced`` more for each piece of an item that it holds.
    """

    cases: Flags
    cost: float
    reduced: NDArray[np.float64]

    def worth(self, known: float) -> Flags:
        """Items that a kit as cheap as a known one may hold."""
        return np.asarray(self.cost + self.reduced <= known + HALF)


@dataclass(frozen=True)
class TooDear:
    """Load cases of which no kit that a sum pays for covers all; ``proven`` unless the solver ran out of time."""

    cases: Flags
    proven: bool = True


class KitQuestions:
    """Cheapest kits for choices of load cases and items; what is bought for the crew whatever the work is left out.

    Parameters
    ----------
    problem : KitProblem
        Every load case that may be asked about.
    settings : SolverSettings, optional

    Attributes
    ----------
    extras : array of int, shape (items,)
        Pieces for standing needs that touch nothing else: the same in every kit, and in no answer.
    problem : KitProblem
        Without these needs; its source is the tidied ways of all load cases.
    deciding : array of bool, shape (cases,)
        Load cases that decided an answer so far: the first that the next model holds.
    at_hand : array of int, shape (items,), or None
        A good kit to compare with, if there is one: what it costs to complete it bounds the next answer.
    """

    def __init__(self, problem: KitProblem, settings: SolverSettings | None = None) -> None:
        self.extras, rest = choose_separable(problem)
        self.settings = settings or SolverSettings()
        self.ways = tidy_ways(rest.ways())
        self.problem = replace(rest, source=self.ways)
        self.deciding = np.zeros(len(problem.case_names), dtype=bool)
        hardest = problem.source.hardest_first(problem.price, len(problem.case_names))
        self.rank = np.argsort(hardest)
        self.at_hand: Ints | None = None
        self._floor: Floor | None = None
        self._implies: Flags | None = None

    @property
    def extras_cost(self) -> int:
        """Price of what the crew needs whatever the work. [cent]"""
        return int(self.problem.price @ self.extras)

    def rigged(self) -> Flags:
        """Load cases that some way rigs at all."""
        flags = np.zeros(len(self.problem.case_names), dtype=bool)
        flags[self.ways.case] = True
        return flags

    def implies(self) -> Flags:
        """Entry (a, b): every kit that covers load case a covers b too: each way of a has an easier one of b."""
        if self._implies is not None:
            return self._implies
        ways, count = self.ways, len(self.deciding)
        easier = _no_harder(ways, range(len(ways.parts)))
        some = np.zeros((len(ways), count), dtype=bool)
        for case in range(count):
            some[:, case] = easier[:, ways.case == case].any(axis=1)
        copies = self.problem.copies_of(np.arange(count))
        result = copies[:, None] >= copies[None, :]
        for case in range(count):
            result[case] &= some[ways.case == case].all(axis=0)
        self._implies = np.asarray(result)
        return self._implies

    def covered(self, pieces: Ints, cases: Flags | None = None) -> Flags:
        """Which of the load cases (or of all) a kit covers; false for the others."""
        asked = np.ones_like(self.deciding) if cases is None else cases
        return np.asarray(covered_cases(self.problem, pieces, ~asked) & asked)

    def cheapest(self, cases: Flags, items: Flags | None = None, near: Ints | None = None) -> Found | None:
        """The cheapest kit for some load cases.

        Parameters
        ----------
        cases : array of bool, shape (cases,)
        items : array of bool, shape (items,), optional
            Items that may be in the kit.
        near : array of int, shape (items,), optional
            A kit: of several cheapest kits one with few pieces of items that are not in it.

        Returns
        -------
        Found or None
            None where no kit covers the load cases, or none was found in time.
        """
        if np.any(cases & ~self.rigged()):
            return None
        allowed = np.ones(self.problem.item_count, dtype=bool) if items is None else items
        active = self._first_cases(cases)
        known = self._affordable(cases, allowed)
        start = time.perf_counter()
        while True:
            model, result = self._optimum(active, allowed & self.worth(cases, known), known, start)
            if result.status not in USABLE:
                return None
            missing = cases & ~self.covered(result.pieces, cases)
            if not missing.any():
                break
            active = active | self.hardest(missing)
        self.deciding |= active
        if near is not None and result.cost != int(self.problem.price @ near):
            result = self._nearest(model, result, near, cases, start)
        proven = result.status is Status.PROVEN_OPTIMAL
        return Found(result.pieces, result.cost, active, result.bound, proven)

    def within(self, cases: Flags, budget: int) -> Found | TooDear:
        """A kit for some load cases that a sum pays for, or a few of them that it does not pay for. [cent]

        The kit is the cheapest one. Only as much is solved as is needed to tell.
        """
        if np.any(cases & ~self.rigged()):
            return TooDear(cases & ~self.rigged())
        active = self._first_cases(cases)
        start = time.perf_counter()
        while True:
            _, result = self._optimum(active, self.worth(active, budget), budget, start)
            if result.status is Status.INFEASIBLE or (result.status in USABLE and result.cost > budget):
                self.deciding |= active
                return TooDear(active, result.status is not Status.FEASIBLE_ONLY)
            if result.status not in USABLE:
                return TooDear(active, proven=False)
            missing = cases & ~self.covered(result.pieces, cases)
            if not missing.any():
                proven = result.status is Status.PROVEN_OPTIMAL
                return Found(result.pieces, result.cost, active, result.bound, proven)
            active = active | self.hardest(missing)

    def _optimum(
        self, active: Flags, worth: Flags, known: float, start: float
    ) -> tuple[KitModel, KitSolution]:
        """The optimum for some load cases, all in one model; ``known`` is the cost of some kit for all of them.

        Items that no kit as cheap as the known one can hold are dropped by their reduced cost; with fewer items ways
        and rows become fewer and the relaxation tighter, so this is done again as long as it drops many.
        """
        cases = np.flatnonzero(active)
        ways = self.ways.restricted(cases, worth)
        while True:
            model = build(self.problem, ways, useful_items(self.problem, ways) & worth)
            if len(np.unique(ways.case)) < len(cases):
                return model, _no_kit(self.problem)
            relaxed = relax(model, self.problem, self.settings, start)
            if relaxed is None:
                break
            if relaxed.pieces is not None:
                cost = int(self.problem.price @ relaxed.pieces)
                whole = (relaxed.pieces, cost, float(cost), 1, 0.0, relaxed.solver)
                return model, KitSolution(Status.PROVEN_OPTIMAL, *whole)
            if relaxed.cost > known + HALF:
                return model, _no_kit(self.problem)
            before = list(model.pieces)
            worth = worth & (relaxed.cost + reduced_costs(self.problem, model, relaxed) <= known + HALF)
            if worth[before].sum() > FEW * len(before):
                break
            ways = tidy_ways(ways.restricted(cases, worth))
        return model, run(model, self.problem, self.settings, start)

    def raise_floor(self, cases: Flags) -> None:
        """Solve the relaxed programme of some load cases over all items: it narrows down later questions about them."""
        ways = self.ways.restricted(np.flatnonzero(cases), np.ones(self.problem.item_count, dtype=bool))
        model = build(self.problem, ways, useful_items(self.problem, ways))
        relaxed = relax(model, self.problem, self.settings, time.perf_counter())
        if relaxed is not None:
            self._floor = Floor(cases, relaxed.cost, reduced_costs(self.problem, model, relaxed))

    def worth(self, cases: Flags, known: float) -> Flags:
        """Items that a kit for the load cases as cheap as a known one may hold."""
        if self._floor is None or np.any(self._floor.cases & ~cases):
            return np.ones(self.problem.item_count, dtype=bool)
        return self._floor.worth(known)

    def _nearest(
        self, model: KitModel, best: KitSolution, near: Ints, cases: Flags, start: float
    ) -> KitSolution:
        """At the cost of an optimum the kit with the fewest pieces that are strange to a given one."""
        if best.status is not Status.PROVEN_OPTIMAL:
            return best
        hold_total(model, "C4_cost", self.problem.price, best.cost)
        set_objective(model.programme, np.where(near > 0, 1, STRANGE), model.pieces)
        nearest = run(model, self.problem, self.settings, start)
        if nearest.status not in USABLE or nearest.cost > best.cost:
            return best
        if not self.covered(nearest.pieces, cases)[cases].all():
            return best
        return replace(nearest, status=best.status, bound=best.bound)

    def _affordable(self, cases: Flags, allowed: Flags) -> float:
        """The cost of the kit at hand, completed for the load cases and thinned out; infinite without one. [cent]"""
        if self.at_hand is None:
            return float("inf")
        limited = replace(self.problem, limit=np.where(allowed, self.problem.limit, 0))
        begin = np.minimum(self.at_hand, limited.limit)
        completed = quick_kit(limited, begin, self.covered(begin, cases) | ~cases)
        if completed is None:
            return float("inf")
        return float(self.problem.price @ self.thinned(completed.pieces, cases))

    def of_kit(self, pieces: Ints, cases: Flags) -> PartsOfKit:
        """What parts of a kit cover of some load cases."""
        return PartsOfKit(self.problem, pieces, cases)

    def thinned(self, pieces: Ints, cases: Flags) -> Ints:
        """A kit without the pieces that nothing needs, dearest first."""
        kept, parts = pieces.copy(), self.of_kit(pieces, cases)
        for item in sorted(np.flatnonzero(kept).tolist(), key=lambda k: -int(self.problem.price[k])):
            while kept[item]:
                kept[item] -= 1
                if not (standing_met(self.problem, kept) and parts.cover(kept)):
                    kept[item] += 1
                    break
        return kept

    def _first_cases(self, cases: Flags) -> Flags:
        """The load cases that decided before, without those that others of them imply (as far as that is known)."""
        known = self.deciding & cases
        if self._implies is not None:
            others = self._implies & ~np.eye(len(cases), dtype=bool)
            for case in np.flatnonzero(known):
                known[case] = not np.any(others[known, case])
        return known if known.any() or not cases.any() else self.hardest(cases)

    def hardest(self, cases: Flags) -> Flags:
        """The hardest one of some load cases."""
        chosen = np.flatnonzero(cases)
        flags = np.zeros_like(cases)
        flags[chosen[np.argmin(self.rank[chosen])]] = True
        return flags


class PartsOfKit:
    """Tells quickly which load cases a part of a kit covers.

    Parameters
    ----------
    problem : KitProblem
    pieces : array of int, shape (items,)
        The whole kit.
    cases : array of bool, shape (cases,)
        Load cases to look at.

    Attributes
    ----------
    problem : KitProblem
        With the few ways that the items of the kit allow.
    """

    def __init__(self, problem: KitProblem, pieces: Ints, cases: Flags) -> None:
        ways = tidy_ways(problem.ways(np.flatnonzero(cases), pieces > 0))
        self.problem, self.cases = replace(problem, source=ways), cases
        self._needs: dict[int, list[list[tuple[int, ...]]]] = {int(k): [] for k in np.flatnonzero(cases)}
        for row, copies in enumerate(problem.copies_of(ways.case).tolist()):
            self._needs[int(ways.case[row])].append(way_sets(ways, row) * copies)

    def covered(self, part: Ints) -> Flags:
        """Which of the load cases a part of the kit covers; false for those not looked at."""
        flags = np.zeros_like(self.cases)
        for case, ways in self._needs.items():
            flags[case] = any(can_fill(needs, part) for needs in ways)
        return flags

    def cover(self, part: Ints) -> bool:
        """Whether a part of the kit covers all of the load cases."""
        return all(any(can_fill(needs, part) for needs in ways) for ways in self._needs.values())


def _no_kit(problem: KitProblem) -> KitSolution:
    """No kit covers the load cases, or none that is as cheap as a known one."""
    return KitSolution(Status.INFEASIBLE, np.zeros(problem.item_count, dtype=np.int64), 0, 0.0, 1, 0.0, "")


def standing_met(problem: KitProblem, pieces: Ints) -> bool:
    """Whether a kit holds what the crew needs whatever the work."""
    return all(int(pieces[list(items)].sum()) >= count for items, count in problem.standing)


def reduced_costs(problem: KitProblem, model: KitModel, relaxed: Relaxation) -> NDArray[np.float64]:
    """By how much the relaxed cost rises at least when a piece of each item is taken, shape (items,). [cent]"""
    reduced = problem.price.astype(float)
    for name, items in model.row_items.items():
        reduced[items] -= relaxed.row_price.get(name, 0.0)
    return reduced


def questions_about(
    plan: Plan, variants: Sequence[JobType] = (), settings: SolverSettings | None = None
) -> tuple[PreparedPlan, KitQuestions, Flags]:
    """A plan made ready for questions; a spool is one line, uncut, so that the items are the same in all of them.

    Parameters
    ----------
    plan : Plan
    variants : sequence of JobType
        Changed job types that will be asked about; their load cases follow those of the plan.
    settings : SolverSettings, optional

    Returns
    -------
    PreparedPlan
        Over the plan's load cases and then the variants'.
    KitQuestions
    array of bool, shape (cases,)
        The load cases of the plan as it stands.
    """
    prepared = prepare(whole_spools(replace(plan, jobs=(*plan.jobs, *variants))))
    cases = np.zeros(len(prepared.problem.case_names), dtype=bool)
    cases[: len(plan.jobs)] = True
    return prepared, KitQuestions(prepared.problem, settings), cases
