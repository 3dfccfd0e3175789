"""A load case with its line and redirect, calculated once more by the same function, with every step kept."""

from __future__ import annotations

from dataclasses import dataclass

from recommender.explain.steps import Value, require_same, source_text, value
from recommender.kit.fits import Fits
from recommender.kit.setups import STATES
from recommender.loads import LineArrays, demands
from recommender.loads.demands import Kept
from recommender.physics import FrictionClass
from recommender.work.cases import LoadCase

ENDS = ("low", "high")
"""Ends of the tension ratio at the redirect."""
MEANING = {
    "line": "highest tension of the line",
    "reaction": "force of both legs on the redirect",
    "brake": "tension at the brake",
    "brake_anchor": "force on what holds the brake",
    "lifter": "pull of the lifter",
    "lifter_holding": "pull of the lifter, or what it holds on the way down",
}
"""Forces of :class:`recommender.loads.Demands` in words."""


@dataclass(frozen=True)
class Rigged:
    """A load case with a line and a kind of redirect, as positions; and its steps, as the calculation kept them."""

    fits: Fits
    case: int
    line: int
    friction: int
    kept: Kept

    @property
    def load_case(self) -> LoadCase:
        """The load case itself."""
        return self.fits.cases[self.case]

    @property
    def friction_class(self) -> FrictionClass:
        """The kind of redirect."""
        return self.fits.frictions[self.friction]

    @property
    def friction_source(self) -> str:
        """Where the figures of the kind of redirect come from."""
        kind = self.friction_class
        return source_text(kind.source, kind.place, f"{kind.name.replace('_', ' ')}: {kind.note}")

    def r(self, end: str) -> float:
        """Tension ratio at an end of its range. [-]"""
        return self.friction_class.r_low if end == "low" else self.friction_class.r_high

    def step(self, name: str) -> float:
        """A kept step as a number."""
        return float(self.kept[name].item())

    def demand(self, force: str, state: int) -> float:
        """A force as the kit model has it. [N]"""
        return float(getattr(self.fits.demands, force)[state, self.case, self.line, self.friction])

    def demanded(self, force: str, state: int) -> Value:
        """A force as the kit model has it, named."""
        return value(MEANING[force], self.demand(force, state), "force")

    def length(self, name: str) -> float:
        """``drop`` or ``travel`` as the kit model has it. [m]"""
        return float(getattr(self.fits.demands, name)[self.case, self.line, self.friction])


def rigged(fits: Fits, case: int, line: int, friction: int) -> Rigged:
    """The load case calculated once more by the same function, its steps kept and held against the kit model.

    Parameters
    ----------
    fits : Fits
    case, line, friction : int
        Positions of the load case, the line type and the kind of redirect.

    Returns
    -------
    Rigged

    Raises
    ------
    InternalFault
        If any figure differs from that of the kit model.
    """
    kept: Kept = {}
    again = demands(
        [fits.cases[case]], _one_line(fits.lines, line), [fits.frictions[friction]], fits.policy, kept
    )
    found = Rigged(fits, case, line, friction, kept)
    for force, name in MEANING.items():
        for state in range(len(STATES)):
            shown = float(getattr(again, force)[state].item())
            require_same(f"{name} ({STATES[state]})", shown, found.demand(force, state))
    for length in ("drop", "travel"):
        require_same(f"the {length}", float(getattr(again, length).item()), found.length(length))
    return found


def _one_line(lines: LineArrays, number: int) -> LineArrays:
    place = slice(number, number + 1)
    return LineArrays(
        types=lines.types[place],
        stiff=lines.stiff[place],
        soft=lines.soft[place],
        exponent=lines.exponent[place],
        min_break=lines.min_break[place],
        diameter=lines.diameter[place],
        laid=lines.laid[place],
    )
