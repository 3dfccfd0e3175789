"""How heavy a piece a crew holds at the brake of a setup, with all wraps that fit on it and slippery line.

What counts is the piece as it hangs; in a catch whose line is let run, the hold that this run needs: with less the line
runs further, and the piece comes lower than was reckoned. A line that is tied off in a catch needs no hand until then.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf, pi

import numpy as np
from numpy.typing import NDArray

from recommender.explain.gear_at_hand import GearAtHand
from recommender.kit.holding import is_run, people_for, slippery
from recommender.work.cases import LoadCase

TRIES, ROUNDS = 9, 3
"""Masses tried at once, and how often between two of them: met to 1.4 % of the mass."""
CREWS_HOLD = "crew's hold"
"""What ends a limit where the gear would carry more."""


@dataclass(frozen=True)
class CrewHold:
    """People on the tail behind the brake of one setup (part to position among the gear)."""

    gear: GearAtHand
    parts: Mapping[str, int]

    @property
    def wraps(self) -> float | None:
        """All wraps that fit on the brake; None without one."""
        brake = self.parts.get("brake")
        return None if brake is None else float(self.gear.items[brake].gear.wraps_max)  # type: ignore[attr-defined]

    def holds(self, cases: Sequence[LoadCase], people: int) -> NDArray[np.bool_]:
        """Which load cases so many people hold."""
        return self._shares(cases, people) >= 1

    def largest(
        self,
        cases: Sequence[LoadCase],
        people: int,
        most: float,
        weighing: Callable[[LoadCase, float], LoadCase],
    ) -> float:
        """Largest mass up to ``most`` that so many people hold in all states, rounded down; 0 for none. [kg]"""
        share = float(self._shares([weighing(case, most) for case in cases], people).min())
        if share >= 1:
            return most
        if not any(is_run(case) for case in cases):
            return most * share  # what hangs still pulls in step with its mass
        low, high = most / 1000, most
        for _ in range(ROUNDS):
            masses = np.geomspace(low, high, TRIES)
            tried = [weighing(case, mass) for mass in masses.tolist() for case in cases]
            held = self.holds(tried, people).reshape(len(masses), len(cases)).all(axis=1)
            first = int(np.argmin(held))
            if first == 0:
                return 0.0
            low, high = float(masses[first - 1]), float(masses[first])
        return low

    def people(self, cases: Sequence[LoadCase]) -> int:
        """How many people hold all of some load cases; 0 without a brake."""
        return 0 if self.wraps is None else people_for(float(1 / self._shares(cases, 1).min()))

    def _shares(self, cases: Sequence[LoadCase], people: int) -> NDArray[np.float64]:
        """The tension that people hold over the one that there is, for each load case; infinite without a brake."""
        if self.wraps is None:
            return np.full(len(cases), inf)
        part_of = {item: k for k, item in enumerate(sorted(set(self.parts.values())))}
        parts = {part: part_of[item] for part, item in self.parts.items()}
        loads = self.gear.only(self.parts).tail_loads(cases, parts)
        running = np.array([is_run(case) for case in cases])
        friction = np.array([slippery(case.wet) for case in cases])
        held = people * self.gear.plan.policy.hand.hold * np.exp(2 * pi * friction * self.wraps)
        return np.asarray(held / np.where(running, loads.max(axis=1), loads[:, 0]))
