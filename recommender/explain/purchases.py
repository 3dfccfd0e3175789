"""What to buy first: the purchases that cover the largest share of the work for a sum, each step adding to the last.

*For the sum* the answer is exact: of all kits that it pays for, one that covers the largest share of a season's pieces,
and of those the cheapest (:class:`recommender.explain.sums.LargestShares`). A job type counts with its pieces a
season; it is covered when a setup for it can be rigged, for all crews at once, with what is there.

*The steps* are nested: nothing that was bought is left aside later. Up to the sum every step buys pieces of that kit
only; beyond it, whatever the catalogue has. Each step is the purchase that adds the largest share per money to what is
there already, found exactly; the first step that covers anything is therefore a full setup. Job types that gear already
owned covers stand before all steps. What the crew needs whatever the work (helmets, first aid, training ...) is a step
of its own before the first piece of rigging gear, unless the plan leaves extras out; it covers nothing by itself.

Steps that are each best at their time may cost more in all than the cheapest kit for everything: the answer says both.
Where the sum pays for everything, the steps lead to that cheapest kit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from recommender.explain.programmes import Coverage, CoverageModel
from recommender.explain.questions import Flags, KitQuestions
from recommender.explain.sums import LargestShares
from recommender.kit.problem import UNLIMITED, Ints, KitProblem
from recommender.kit.reduce import tidy_ways, useful_items

WHOLE = 10_000
"""The weight of all pieces of a season; each job type weighs at least 1.

A hundredth of a percent is fine enough for a share, and coarse enough for a solver: whole numbers that are off by a
millionth, as it allows, stay well below a weight of 1 in all.
"""


@dataclass(frozen=True)
class Step:
    """What is there after a step of buying, the load cases that it covers, and whether it is proven the best."""

    pieces: Ints
    covers: Flags
    proven: bool


class Purchases:
    """First purchases of rigging gear; sums are in cents and leave out what the crew needs whatever the work.

    Parameters
    ----------
    questions : KitQuestions
    cases : array of bool, shape (cases,)
        Load cases to cover; those that nothing can rig are left out.
    pieces_per_season : array, shape (cases,)
        Pieces of each load case.

    Attributes
    ----------
    decided : array of bool, shape (cases,)
        Load cases that cost as much as all together, once :meth:`all_of_it` was asked.
    """

    def __init__(self, questions: KitQuestions, cases: Flags, pieces_per_season: NDArray[np.float64]) -> None:
        self.questions = questions
        self.cases = cases & questions.rigged()
        self.weight = case_weights(np.where(cases, pieces_per_season, 0.0), self.cases)
        self.asked = cases
        self.pieces_per_season = pieces_per_season
        self.sold = questions.problem.limit >= UNLIMITED
        self.owned: Ints = np.where(self.sold, 0, questions.problem.limit)
        self.decided = np.zeros_like(cases)
        self.sums = LargestShares(questions, self.cases, self.weight)

    def share(self, covers: Flags) -> float:
        """Share of a season's pieces that some load cases are. [-]"""
        total = float(self.pieces_per_season[self.asked].sum())
        return float(self.pieces_per_season[covers].sum()) / total if total else 0.0

    def covered(self, pieces: Ints) -> Flags:
        """Load cases that some bought pieces cover together with what is owned."""
        return self.questions.covered(pieces + self.owned, self.cases)

    def all_of_it(self) -> Coverage | None:
        """The cheapest kit for every load case."""
        found = self.questions.cheapest(self.cases)
        if found is None:
            return None
        self.decided = found.deciding
        self.questions.raise_floor(found.deciding)
        bought = np.where(self.sold, found.pieces, 0)
        return Coverage(bought, self.cases, int(self.weight @ self.cases), found.cost, found.proven)

    def for_sum(self, budget: int) -> Coverage:
        """The kit that covers the largest weight for a sum, and of those the cheapest. [cent]"""
        return self._bought(self.sums.cheapest_of_largest(budget))

    def next_gain(self, best: Coverage, everything: Coverage) -> Coverage:
        """The cheapest kit that covers more than the best one for a sum."""
        return self._bought(self.sums.next_gain(best, everything))

    def path(self, target: Coverage | None) -> Iterator[Step]:
        """The steps to a kit and beyond it, until every load case is covered."""
        there = Step(np.zeros_like(self.owned), self.covered(np.zeros_like(self.owned)), True)
        problem = self.questions.problem
        if target is not None:
            limit = np.where(self.sold, target.pieces, problem.limit)
            for step in self._steps(replace(problem, limit=limit), there, target.covers):
                there = step
                yield step
        yield from self._steps(problem, there, self.cases)

    def _steps(self, problem: KitProblem, there: Step, goal: Flags) -> Iterator[Step]:
        """Steps by the best ratio until some load cases are covered."""
        while np.any(goal & ~there.covers):
            ratio = self._model(problem, there.pieces).best_ratio(int(self.weight @ there.covers))
            if ratio is None:
                return
            found = self._bought(ratio)
            there = Step(found.pieces, self.covered(found.pieces), found.proven)
            yield there

    def _model(self, problem: KitProblem, present: Ints) -> CoverageModel:
        """The programme over the items that a problem allows, with some pieces there."""
        items = problem.limit > 0
        ways = tidy_ways(self.questions.ways.restricted(np.flatnonzero(self.cases), items))
        useful = useful_items(problem, ways) & items
        return CoverageModel(problem, ways, useful, self.weight, present, self.questions.settings)

    def _bought(self, found: Coverage) -> Coverage:
        """A kit without what is owned anyway."""
        return replace(found, pieces=np.where(self.sold, found.pieces, 0))


def case_weights(pieces: NDArray[np.float64], cases: Flags) -> Ints:
    """Weights of load cases in parts of ``WHOLE``, at least 1 for each that is to be covered, else 0.

    >>> case_weights(np.array([30.0, 10.0, 0.0]), np.array([True, True, True])).tolist()
    [7500, 2500, 1]
    """
    total = float(pieces.sum())
    rounded = np.rint(pieces * (WHOLE / total if total else 0.0)).astype(np.int64)
    return np.where(cases, np.maximum(rounded, 1), 0)
