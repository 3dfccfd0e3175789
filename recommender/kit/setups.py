"""How hard each part of a chosen setup works, and the best setup for a load case from the items of a kit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.kit.fits import Fits
from recommender.kit.problem import Ints, KitProblem
from recommender.kit.way_builder import friction_name

STATES = ("working", "jam")
FORCE_ON = {
    "line": "line",
    "redirect": "reaction",
    "redirect_sling": "reaction",
    "redirect_connector": "reaction",
    "brake": "brake",
    "brake_sling": "brake_anchor",
    "brake_connector": "brake_anchor",
    "lifter": "lifter",
    "lifter_sling": "lifter",
    "lifter_connector": "lifter",
}
"""The force that each part has to carry."""


@dataclass(frozen=True)
class Setup:
    """Items (positions in the stock) that fill the parts of a load case, and their utilisation.

    ``utilisation`` and ``state`` hold, for each part, the larger demand over rating of the two states and which it is.
    """

    case: int
    parts: dict[str, int]
    line: int
    friction: int
    utilisation: dict[str, float]
    state: dict[str, str]

    @property
    def highest(self) -> float:
        """Utilisation of the part that works hardest."""
        return max(self.utilisation.values())


class SetupRater:
    """Rates single setups from the same demands and capacities that the kit model used."""

    def __init__(self, fits: Fits) -> None:
        self.fits = fits
        self.row = {
            int(position): (table, row)
            for table in (fits.redirects, fits.slings, fits.brakes, fits.connectors, fits.lifters)
            for row, position in enumerate(table.positions)
        }
        self.line_of = dict(zip(fits.rope_positions.tolist(), fits.line_of.tolist(), strict=True))

    def friction(self, redirect: int) -> int:
        """Number of the friction class of a redirect."""
        name = friction_name(self.fits.items[redirect].gear)  # type: ignore[arg-type]
        return [kind.name for kind in self.fits.frictions].index(name)

    def demand(self, force: str, case: int, line: int, friction: int) -> tuple[float, float]:
        """A force in the working state and in the jam. [N]"""
        values = getattr(self.fits.demands, force)[:, case, line, friction]
        return float(values[0]), float(values[1])

    def force_on(self, part: str, parts: dict[str, int]) -> str:
        """Name of the force that a part of a setup carries; a lifter that also lowers holds the piece as well."""
        force = FORCE_ON[plain_part(part)]
        if force == "lifter" and self.fits.items[parts["lifter"]].gear.own_brake:  # type: ignore[attr-defined]
            return "lifter_holding"
        return force

    def ratios(
        self, part: str, item: int, case: int, line: int, friction: int, parts: dict[str, int]
    ) -> tuple[float, float]:
        """Demand over rating of one part in both states; ``parts`` holds the line, redirect, brake and lifter."""
        table, row = self.row[item]
        force = self.force_on(part, parts)
        capacity = table.capacity[:, self.fits.regime[case], row]
        demand = self.demand(force, case, line, friction)
        pulls = 0.0
        if part == "lifter":
            pulls = self.demand("lifter", case, line, friction)[0] / float(self.fits.tackle_pull[row])
        return max(_over(demand[0], capacity[0]), pulls), _over(demand[1], capacity[1])

    def line_ratios(self, case: int, line: int, friction: int, parts: dict[str, int]) -> tuple[float, float]:
        """Line tension over its rating, straight, over the redirect and round the brake's drum, in both states."""
        regime = self.fits.regime[case]
        straight, over_redirect, over_drum = self.fits.bends
        tension = self.demand("line", case, line, friction)
        brake = self.demand("brake", case, line, friction)
        _, redirect = self.row[parts["redirect"]]
        result = []
        for state in range(2):
            ratio = _over(tension[state], float(straight[state, regime, line]))
            ratio = max(ratio, _over(tension[state], float(over_redirect[state, regime, line, redirect])))
            if "brake" in parts:
                _, drum = self.row[parts["brake"]]
                ratio = max(ratio, _over(brake[state], float(over_drum[state, regime, line, drum])))
            result.append(ratio)
        return result[0], result[1]

    def rate(self, case: int, parts: dict[str, int]) -> Setup:
        """Utilisation of every part of a full setup."""
        line, friction = self.line_of[parts["line"]], self.friction(parts["redirect"])
        utilisation, state = {}, {}
        for part, item in parts.items():
            if part == "line":
                ratios = self.line_ratios(case, line, friction, parts)
            else:
                ratios = self.ratios(part, item, case, line, friction, parts)
            worse = int(ratios[1] > ratios[0])
            utilisation[part], state[part] = ratios[worse], STATES[worse]
        return Setup(case, parts, line, friction, utilisation, state)

    def best(self, problem: KitProblem, counts: Ints, case: int) -> Setup:
        """The setup from the kit whose hardest-working part works least.

        Raises
        ------
        ValueError
            If the kit cannot rig the load case.
        """
        found: Setup | None = None
        for parts in self._fillings(problem, counts, case):
            setup = self.rate(case, parts)
            if found is None or setup.highest < found.highest - 1e-12:
                found = setup
        if found is None:
            raise ValueError(f"the kit does not cover load case {problem.case_names[case]!r}")
        return found

    def choices(self, problem: KitProblem, counts: Ints, case: int) -> list[Setup]:
        """Setups from some pieces, the one whose hardest-working part works least first; empty if there are none."""
        found = [self.rate(case, parts) for parts in self._fillings(problem, counts, case)]
        return sorted(found, key=lambda one: one.highest)

    def _fillings(self, problem: KitProblem, counts: Ints, case: int) -> Iterator[dict[str, int]]:
        """For each line, redirect, brake and lifter in a way: the filling of the other parts that works least hard."""
        ways = problem.ways(np.array([case]), counts > 0)
        for row in range(len(ways)):
            needs = {
                part: ways.members(ways.needs[row, k]).tolist()
                for k, part in enumerate(ways.parts)
                if ways.has_part[row, k]
            }
            lead = [part for part in ("line", "redirect", "brake", "lifter") if part in needs]
            for parts in _choices(lead, needs, {}, counts):
                line, friction = self.line_of[parts["line"]], self.friction(parts["redirect"])
                rest = [part for part in needs if part not in lead]
                scored = {
                    part: sorted(
                        (max(self.ratios(part, item, case, line, friction, parts)), item)
                        for item in needs[part]
                    )
                    for part in rest
                }
                filled = _least_worst(rest, scored, parts, counts)
                if filled is not None:
                    yield filled


def plain_part(part: str) -> str:
    """A part's name without its number: ``redirect_connector_2`` is a ``redirect_connector``."""
    return part.rstrip("0123456789").rstrip("_")


def _over(demand: float, capacity: float) -> float:
    if demand == 0.0:
        return 0.0
    return demand / capacity if capacity > 0 else float("inf")


def _choices(
    parts: Sequence[str], needs: dict[str, list[int]], taken: dict[str, int], counts: Ints
) -> Iterator[dict[str, int]]:
    if not parts:
        yield dict(taken)
        return
    for item in needs[parts[0]]:
        if sum(1 for other in taken.values() if other == item) < counts[item]:
            yield from _choices(parts[1:], needs, {**taken, parts[0]: item}, counts)


def _least_worst(
    parts: Sequence[str],
    scored: dict[str, list[tuple[float, int]]],
    taken: dict[str, int],
    counts: Ints,
) -> dict[str, int] | None:
    """Fill the parts with different physical items so that the highest score is least (branch and bound)."""
    best: tuple[float, dict[str, int]] | None = None

    def extend(left: Sequence[str], chosen: dict[str, int], worst: float) -> None:
        nonlocal best
        if best is not None and worst >= best[0]:
            return
        if not left:
            best = (worst, chosen)
            return
        for score, item in scored[left[0]]:
            if sum(1 for other in chosen.values() if other == item) < counts[item]:
                extend(left[1:], {**chosen, left[0]: item}, max(worst, score))

    extend(sorted(parts, key=lambda part: len(scored[part])), taken, 0.0)
    return None if best is None else best[1]
