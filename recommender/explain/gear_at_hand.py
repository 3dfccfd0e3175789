"""Gear that is there, and which load cases it carries: the kit model's own arrays on the items of one kit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recommender.kit.cover import covered_cases
from recommender.kit.fits import Fits
from recommender.kit.holding import tail_loads
from recommender.kit.problem import Ints, KitProblem
from recommender.kit.setups import Setup, SetupRater
from recommender.kit.stock import StockItem, stock
from recommender.work.cases import LoadCase
from recommender.work.plan import Plan
from recommender.work.settings import Crew

Floats = NDArray[np.float64]
FULLY_USED = 0.999
"""Utilisation from which a part is what ends a limit."""

PARTS_OF = {
    "lower": ("ropes", "redirects", "brakes"),
    "catch": ("ropes", "redirects", "brakes"),
    "lift": ("ropes", "redirects", "lifters"),
}
"""Tables of which something has to be there for a technique."""


@dataclass(frozen=True)
class GearAtHand:
    """Items with their pieces; ``left_out`` says which owned gear is not used.

    Attributes
    ----------
    plan : Plan
    items : tuple of StockItem
        Rigging gear only.
    counts : array of int, shape (items,)
    left_out : tuple of str
    """

    plan: Plan
    items: tuple[StockItem, ...]
    counts: Ints
    left_out: tuple[str, ...]

    @classmethod
    def of_plan(cls, plan: Plan, pieces: Mapping[str, int] | None) -> GearAtHand:
        """The items of a kit by id and number, or all owned gear that may be used.

        Parameters
        ----------
        plan : Plan
        pieces : mapping of str to int, or None
            None for the owned gear.

        Raises
        ------
        ValueError
            If an id is not among the plan's items.
        """
        everything, left_out = stock(plan.catalogue, plan.owned, plan.policy)
        if pieces is None:
            pieces = {item.id: item.limit for item in everything if item.owned}
        unknown = sorted(pieces.keys() - {item.id for item in everything})
        if unknown:
            raise ValueError(f"pieces must be of the plan's items, not {', '.join(unknown)}")
        items = tuple(item for item in everything if item.table != "extras" and pieces.get(item.id, 0) > 0)
        counts = np.array([pieces[item.id] for item in items], dtype=np.int64)
        return cls(plan, items, counts, tuple(left_out))

    @property
    def longest_line(self) -> float:
        """Length of the longest rope; 0 without one. [m]"""
        return max((item.length for item in self.items if item.table == "ropes"), default=0.0)

    def missing(self, technique: str) -> str:
        """Which kind of gear is not there at all, in words; empty if there is some of each."""
        there = {item.table for item in self.items}
        lacking = [table.removesuffix("s") for table in PARTS_OF[technique] if table not in there]
        return f"there is no {' and no '.join(lacking)}" if lacking else ""

    def only(self, parts: Mapping[str, int]) -> GearAtHand:
        """The items of one setup (part to position) alone."""
        pieces = Counter(parts.values())
        kept = sorted(pieces)
        counts = np.array([pieces[item] for item in kept], dtype=np.int64)
        return GearAtHand(self.plan, tuple(self.items[item] for item in kept), counts, self.left_out)

    def carries(self, cases: Sequence[LoadCase]) -> NDArray[np.bool_]:
        """Which load cases the gear carries."""
        return covered_cases(self._problem(cases), self.counts)

    def best_setups(self, cases: Sequence[LoadCase]) -> list[Setup]:
        """For each load case the setup whose hardest-working part works least; equal ones once.

        Raises
        ------
        ValueError
            If a load case can't be rigged.
        """
        problem = self._problem(cases)
        rater = SetupRater(self._fits(problem))
        found = [rater.best(problem, self.counts, case) for case in range(len(cases))]
        return list({tuple(sorted(setup.parts.items())): setup for setup in found}.values())

    def hardest(self, cases: Sequence[LoadCase], parts: Mapping[str, int]) -> tuple[Setup, str, str]:
        """One setup in the load case in which it works hardest.

        Parameters
        ----------
        cases : sequence of LoadCase
            The same job in several states, at its limit.
        parts : mapping of str to int
            Part to position of its item.

        Returns
        -------
        setup : Setup
        held_by, state : str
            The part that is fully used and the state in which it is, or what else ends the limit.
        """
        rater = SetupRater(self._fits(self._problem(cases)))
        worst = max(
            (rater.rate(case, dict(parts)) for case in range(len(cases))), key=lambda one: one.highest
        )
        return worst, *self._end_of(worst, cases)

    def tail_loads(self, cases: Sequence[LoadCase], parts: Mapping[str, int]) -> Floats:
        """Tension at the brake of one setup, hanging and at the peak, shape (cases, 2). [N]"""
        fits = self._fits(self._problem(cases))
        rater = SetupRater(fits)
        line, friction = rater.line_of[parts["line"]], rater.friction(parts["redirect"])
        return np.array([tail_loads(fits, k, line, friction) for k in range(len(cases))])

    def _end_of(self, setup: Setup, cases: Sequence[LoadCase]) -> tuple[str, str]:
        if setup.highest >= FULLY_USED:
            part = max(setup.utilisation, key=lambda name: setup.utilisation[name])
            return part, setup.state[part]
        technique = cases[0].technique
        return {"catch": "free height", "lift": "travel of the lifter"}.get(
            technique, "reach of the formulas"
        ), ""

    def _problem(self, cases: Sequence[LoadCase]) -> KitProblem:
        nothing = np.zeros(len(self.items), dtype=np.int64)
        return KitProblem(
            item_ids=tuple(item.id for item in self.items),
            price=nothing,
            mass=nothing,
            limit=self.counts,
            case_names=tuple(case.job for case in cases),
            source=Fits(cases, self.items, self.plan.policy, self._crew),
        )

    @property
    def _crew(self) -> Crew:
        """The plan's crew, whose hold ends no limit here: what gear carries and what hands hold are told apart."""
        return self.plan.settings.crew.model_copy(update={"holds_every_piece": False})

    @staticmethod
    def _fits(problem: KitProblem) -> Fits:
        assert isinstance(problem.source, Fits)
        return problem.source

    def stems_told_apart(self, stems: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        """Pairs of stem diameters (at redirect and brake) that different items of the gear go round, one of each."""
        ranges = [_stem_range(item.gear) for item in self.items]
        first: dict[tuple[bool, ...], tuple[float, float]] = {}
        for pair in stems:
            fits = tuple(
                low <= stem and (high is None or stem <= high) for low, high in ranges for stem in pair
            )
            first.setdefault(fits, pair)
        return list(first.values())

    def stem_range(self, parts: Mapping[str, int], part: str) -> tuple[float, float | None]:
        """Stems that a part and its sling go round. [m]"""
        ranges = [
            _stem_range(self.items[parts[name]].gear) for name in (part, f"{part}_sling") if name in parts
        ]
        highs = [high for _, high in ranges if high is not None]
        return max((low for low, _ in ranges), default=0.0), min(highs, default=None)


def _stem_range(gear: object) -> tuple[float, float | None]:
    """Thinnest and thickest stem of an item; no end where it states none. [m]"""
    low, high = getattr(gear, "stem_min", None), getattr(gear, "stem_max", None)
    return (0.0 if low is None else float(low)), (None if high is None else float(high))
