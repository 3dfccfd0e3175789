"""Where everything stands in a drawn setup, worked out from its load case."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from catalog_schema.units import UnitSystem
from recommender.diagrams.svg import Point
from recommender.kit.result import Assignment
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.cases import BRAKE_HEIGHT, LoadCase

WIDTH, GROUND = 400.0, 478.0
STEM_X = 74.0
LONGEST_ARROW, SHORTEST_ARROW = 74.0, 16.0
DRAWN_DENSITY = Sourced(900.0, "kg/m3", COMMON_PRACTICE, note="for the thickness of the drawn piece only")


def between(low: float, high: float, value: float) -> float:
    """A value, or the end of its range that it passes."""
    return min(max(value, low), high)


@dataclass(frozen=True)
class Scene:
    """Where everything stands, worked out from the load case."""

    assignment: Assignment
    case: LoadCase
    system: UnitSystem
    ring: bool
    lifter_kind: str

    @property
    def height(self) -> float:
        """Rigging height. [m]"""
        return self.case.fall + float(BRAKE_HEIGHT)

    @property
    def scale(self) -> float:
        """Drawing units in a metre of height."""
        return (200 + 130 * min(self.height, 25.0) / 25.0) / self.height

    @property
    def thickness(self) -> float:
        """Of the drawn piece."""
        volume = self.assignment.piece_mass_kg / float(DRAWN_DENSITY)
        return between(13.0, 40.0, 2.2 * self.scale * sqrt(4 * volume / (pi * self.case.piece_length)))

    @property
    def piece(self) -> float:
        """Length of the drawn piece."""
        return between(38.0, 84.0, self.case.piece_length * self.scale)

    @property
    def halves(self) -> tuple[float, float]:
        """Half widths of the stem at the redirect and at the brake."""
        return (
            between(8.0, 18.0, 30 * self.case.stem_at_redirect),
            between(10.0, 24.0, 30 * self.case.stem_at_brake),
        )

    @property
    def radius(self) -> float:
        return between(13.0, 19.0, self.thickness / 2 + 2)

    @property
    def redirect(self) -> Point:
        """Middle of the sheave."""
        return STEM_X + self.halves[0] + 12 + self.radius, GROUND - self.height * self.scale

    @property
    def lead(self) -> float:
        """Drawn line between redirect and piece."""
        return between(56.0, 62.0 if self.case.swing_angle else 96.0, self.case.lead * self.scale)

    @property
    def top(self) -> Point:
        """Upper end of the hanging piece."""
        return self.redirect[0] + self.radius, self.redirect[1] + self.lead

    @property
    def cut(self) -> float:
        """Height of the cut in a catch."""
        return self.redirect[1] - self.radius - 14 - between(12.0, 30.0, self.scale * self.case.lead / 2)

    @property
    def brake(self) -> Point:
        """Where the line comes to the brake, or to the lifter where there is none."""
        if self.away:
            return 34.0, GROUND - 52
        low = 92.0 if "lifter" in self.assignment.parts and "brake" in self.assignment.parts else 56.0
        return self.redirect[0] - self.radius, GROUND - low

    @property
    def away(self) -> bool:
        """Whether the line leads to a brake that stands apart."""
        return self.case.leg_angle > 0 and not self.case.swing_angle

    def long(self, newtons: float) -> float:
        """Length of an arrow; the largest force of the picture has the longest."""
        a = self.assignment
        most = max(a.line_tension_n, a.redirect_reaction_n, a.line_tension_jam_n, a.redirect_reaction_jam_n)
        return max(SHORTEST_ARROW, LONGEST_ARROW * newtons / most) if newtons else 0.0
