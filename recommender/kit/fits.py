"""Which item may serve which part of which load case: capacities against demands, as boolean arrays.

:class:`Fits` is the ``WaySource`` of the rigging problem. All arrays are cut to the load cases and items that are asked
for, so that a question about a few of them stays cheap.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from catalog_schema.gear import Lifter
from recommender.kit.problem import Ints, Ways
from recommender.kit.stock import StockItem
from recommender.kit.way_builder import FULL, WayBuilder
from recommender.loads import Demands, LineArrays, LineType, demands, line_arrays
from recommender.physics import WHOLE_BODY_PULL, FrictionClass, friction_classes, simple_tackle_advantage
from recommender.ratings import (
    Policy,
    line_capacity,
    rate_brake,
    rate_connector,
    rate_lifter,
    rate_redirect,
    rate_sling,
)
from recommender.work.cases import LoadCase
from recommender.work.settings import Crew

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
NO_BEND = 1e3


@dataclass(frozen=True)
class Regime:
    """What a rating depends on beside the item: technique, and whether the gear is wet."""

    technique: Any
    wet: bool


@dataclass(frozen=True)
class TableFits:
    """The items of one table: where they stand in the stock, and their capacities.

    Attributes
    ----------
    positions : array of int
        In the stock.
    capacity : array, shape (states, regimes, items)
        [N]
    """

    positions: Ints
    capacity: Floats

    def cut(self, items: Flags) -> tuple[Ints, Floats, Ints]:
        """Rows within the table, capacities and stock positions of the chosen items."""
        rows = np.flatnonzero(items[self.positions])
        return rows, self.capacity[:, :, rows], self.positions[rows]


class Fits:
    """Demands and capacities of a plan, and every way to rig its load cases.

    Parameters
    ----------
    cases : sequence of LoadCase
    items : sequence of StockItem
    policy : Policy
    crew : Crew
        Who may pull on a tackle set and hold the tail at once.
    frictions : sequence of FrictionClass, optional
        Kinds of redirect; those of the program if left out.
    """

    def __init__(
        self,
        cases: Sequence[LoadCase],
        items: Sequence[StockItem],
        policy: Policy,
        crew: Crew,
        frictions: Sequence[FrictionClass] | None = None,
    ) -> None:
        self.cases, self.items, self.policy = tuple(cases), tuple(items), policy
        self.crew = crew
        keys = [Regime(case.technique, case.wet) for case in cases]
        self.regimes: tuple[Regime, ...] = tuple(dict.fromkeys(keys))
        self.regime = np.array([self.regimes.index(key) for key in keys], dtype=int)
        self.lines, self.line_of, self.rope_positions = self._line_types()
        self.frictions: tuple[FrictionClass, ...] = tuple(frictions or friction_classes().values())
        self.demands: Demands = demands(self.cases, self.lines, self.frictions, policy)
        self.redirects = self._table("redirects", rate_redirect)
        self.slings = self._table("slings", rate_sling, textile=True)
        self.brakes = self._table("brakes", rate_brake)
        self.connectors = self._table("connectors", rate_connector)
        self.lifters = self._table("lifters", self._lifter_rating)

    def with_cases(self, cases: Sequence[LoadCase]) -> Fits:
        """The same gear with other load cases: ratings are kept, demands are worked out anew.

        Parameters
        ----------
        cases : sequence of LoadCase
            Of any technique, wet or dry; if one is new in this, ratings are worked out again.

        Returns
        -------
        Fits
        """
        keys = [Regime(case.technique, case.wet) for case in cases]
        if not set(keys) <= set(self.regimes):
            return Fits(cases, self.items, self.policy, self.crew, self.frictions)
        other = copy(self)
        other.cases = tuple(cases)
        other.regime = np.array([self.regimes.index(key) for key in keys], dtype=int)
        other.demands = demands(other.cases, self.lines, self.frictions, self.policy)
        return other

    def with_crew(self, **changes: object) -> Fits:
        """The same gear and load cases with a changed crew (fields of ``Crew``)."""
        other = copy(self)
        other.crew = self.crew.model_copy(update=changes)
        other.__dict__.pop("tackle_pull", None)
        return other

    def rate_all(self) -> None:
        """Work out the ratings that otherwise wait until they are asked for, so that :meth:`with_cases` shares them."""
        _ = self.bends, self.tackle_pull

    def _line_types(self) -> tuple[LineArrays, Ints, Ints]:
        positions = np.array(
            [k for k, item in enumerate(self.items) if item.table == "ropes"], dtype=np.int64
        )
        numbers: dict[tuple[object, ...], int] = {}
        types: list[LineType] = []
        of_item = []
        for position in positions:
            item = self.items[position]
            line = LineType(item.gear, item.condition)
            if line.key not in numbers:
                numbers[line.key] = len(types)
                types.append(line)
            of_item.append(numbers[line.key])
        return line_arrays(types, self.policy), np.array(of_item, dtype=np.int64), positions

    def _table(self, table: str, rate: Callable[..., Any], textile: bool = False) -> TableFits:
        positions = np.array([k for k, item in enumerate(self.items) if item.table == table], dtype=np.int64)
        capacity = np.zeros((2, len(self.regimes), len(positions)))
        for number, regime in enumerate(self.regimes):
            for row, position in enumerate(positions):
                item = self.items[position]
                extra = {"wet": regime.wet, "condition": item.condition} if textile else {}
                for state, name in enumerate(("working", "jam")):
                    if state == 0 or regime.technique == "catch":
                        rating = rate(item.gear, regime.technique, name, policy=self.policy, **extra)
                        capacity[state, number, row] = rating.capacity
        return TableFits(positions, capacity)

    def _lifter_rating(self, lifter: Lifter, technique: Any, state: Any, *, policy: Policy) -> Any:
        return rate_lifter(lifter, technique, state, policy=policy)

    def gear(self, table: TableFits, rows: Ints) -> list[Any]:
        """The catalogue rows of some items of a table."""
        return [self.items[table.positions[row]].gear for row in rows]

    @cached_property
    def bends(self) -> tuple[Floats, Floats, Floats]:
        """Capacity of every line straight, over every redirect and over every brake drum. [N]

        Shapes (states, regimes, lines), (..., lines, redirects), (..., lines, brakes).
        """
        redirects = np.array([self.items[k].gear.sheave_diameter for k in self.redirects.positions])
        drums = np.array([self.items[k].gear.drum_diameter for k in self.brakes.positions])
        rounds = np.concatenate([[NO_BEND], redirects, drums])
        capacity = np.zeros((2, len(self.regimes), len(self.lines.types), len(rounds)))
        for k, line in enumerate(self.lines.types):
            ratios = np.concatenate([[NO_BEND], rounds[1:] / line.rope.diameter])
            for number, regime in enumerate(self.regimes):
                for state, name in enumerate(("working", "jam")):
                    if state == 0 or regime.technique == "catch":
                        capacity[state, number, k] = line_capacity(
                            line.rope, regime.technique, name, policy=self.policy, wet=regime.wet,  # type: ignore[arg-type]
                            condition=line.condition, bend_ratio=ratios,  # type: ignore[arg-type]
                        )  # fmt: skip
        split = 1 + len(redirects)
        return capacity[..., 0], capacity[..., 1:split], capacity[..., split:]

    @cached_property
    def tackle_pull(self) -> Floats:
        """Largest line pull that the people on the ground can give with each lifter; infinite for machines. [N]"""
        pulls = []
        for lifter in self.gear(self.lifters, np.arange(len(self.lifters.positions))):
            if lifter.kind == "tackle_set":
                advantage = float(simple_tackle_advantage(lifter.tackle_parts, lifter.sheave_efficiency))
                pulls.append(advantage * float(WHOLE_BODY_PULL) * self.crew.ground_workers)
            else:
                pulls.append(np.inf)
        return np.array(pulls)

    def restricted(self, cases: Ints, items: Flags) -> Ways:
        """Every way to rig ``cases`` with ``items`` only (see ``WaySource``)."""
        return WayBuilder(self, np.asarray(cases, dtype=np.int64), items).ways()

    def serving(self, item_count: int) -> Flags:
        """Flags of the items that may be part of a setup (see ``WaySource``)."""
        return np.array([item.table != "extras" for item in self.items], dtype=bool)

    def hardest_first(self, price: Ints, case_count: int) -> Ints:
        """Load cases by the price of the cheapest rope that carries them, dearest first (see ``WaySource``)."""
        everything = np.ones(len(self.items), dtype=bool)
        builder = WayBuilder(self, np.arange(case_count), everything)
        carried = np.asarray((builder.line_ratio() <= FULL).any(axis=2))
        carries = carried[:, builder.kind_of_rope] & builder.long_enough()
        cheapest = np.where(carries, price[builder.rope_positions], np.inf).min(axis=1, initial=np.inf)
        return np.argsort(-cheapest, kind="stable")
