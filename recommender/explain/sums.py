"""The largest share of the work that a sum can pay for, exactly.

A sum does not pay for some sets of load cases together: their cheapest kit costs more. Of each such *core* at least one
load case has to be left out. The lightest choice of load cases that takes one of every core known is a bound of what
has to be left out; if a kit for all others is within the sum, it is the answer, and if not, the load cases that make it
too dear are the next core (implicit hitting sets: Moreno-Centeno & Karp, "The Implicit Hitting Set Approach to Solve
Combinatorial Optimization Problems", Operations Research 61 (2013) 453-468). A core found for a sum holds for every
smaller one. A load case that every kit for another one covers too is left out only together with that one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from recommender.explain.programmes import Coverage, lightest_left_out
from recommender.explain.questions import Flags, Found, KitQuestions
from recommender.kit.problem import Ints

FIRST_STEP = 10_000
"""By how much a sum is raised first when looking for one that covers more. [cent]"""


@dataclass(frozen=True)
class _Core:
    """Load cases that no kit within ``budget`` covers together. [cent]"""

    cases: Flags
    budget: int
    proven: bool


class LargestShares:
    """The most weight of load cases that sums pay for.

    Parameters
    ----------
    questions : KitQuestions
    cases : array of bool, shape (cases,)
        Load cases that may be covered; each can be rigged.
    weight : array of int, shape (cases,)
        What covering a load case is worth; at least 1 for each that may be covered.
    """

    def __init__(self, questions: KitQuestions, cases: Flags, weight: Ints) -> None:
        self.questions, self.cases, self.weight = questions, cases, weight
        self._cores: list[_Core] = []
        both = cases[:, None] & cases[None, :]
        self._implies: Flags = questions.implies() & both

    def largest(self, budget: int, weight: Ints | None = None) -> Coverage:
        """A kit within a sum that covers the most weight, cheapest for what it covers. [cent]

        ``weight`` are other weights than those of the work, each at least 1.
        """
        worth = self.weight if weight is None else weight
        self._single_cores()
        while True:
            known = [core for core in self._cores if core.budget >= budget]
            left_out = lightest_left_out(
                worth, [core.cases for core in known], self._implies, self.questions.settings
            )
            covers = self.cases & ~left_out
            answer = self.questions.within(covers, budget)
            if isinstance(answer, Found):
                proven = answer.proven and all(core.proven for core in known)
                return Coverage(answer.pieces, covers, int(self.weight @ covers), answer.cost, proven)
            self._cores.append(_Core(answer.cases, budget, answer.proven))

    def _single_cores(self) -> None:
        """Each load case that costs anything by itself is a core for every sum below that."""
        if self._cores:
            return
        deciding = self.questions.deciding.copy()
        for case in np.flatnonzero(self.cases).tolist():
            alone = np.arange(len(self.cases)) == case
            found = self.questions.cheapest(alone)
            if found is not None and found.cost > 0:
                self._cores.append(_Core(alone, int(found.bound) - 1, found.proven))
        self.questions.deciding = deciding

    def cheapest_of_largest(self, budget: int) -> Coverage:
        """The largest weight for a sum, and of all kits that cover as much the cheapest. [cent]"""
        best = self.largest(budget)
        for lower in self.downwards(best):
            if lower.weight < best.weight:
                break
            best = lower
        return best

    def downwards(self, top: Coverage) -> Iterator[Coverage]:
        """From a kit down: the largest weight for every smaller sum, each where it changes in weight or cost."""
        while top.added > 0:
            top = self.largest(top.added - 1)
            yield top

    def next_gain(self, best: Coverage, everything: Coverage) -> Coverage:
        """The cheapest kit that covers more than another; ``everything`` covers all there is.

        Sums that rise by ever larger steps are tried until one covers more; from there it goes down.
        """
        top, step = everything, FIRST_STEP
        while best.added + step < everything.added:
            top = self.largest(best.added + step)
            if top.weight > best.weight:
                break
            top, step = everything, 2 * step
        for lower in self.downwards(top):
            if lower.weight <= best.weight:
                break
            top = lower
        return top
