"""What falls into a rope: the equations of motion of a point mass, on a stem that may give, and of a rigid log."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, sin, sqrt
from typing import Protocol, TypeAlias

from recommender.physics.domain import (
    STANDARD_GRAVITY,
    require_non_negative,
    require_positive,
    require_within,
)
from recommender.physics.rope_over_redirect import RopeOverRedirect, RopeState
from recommender.sourced import DERIVED, Sourced

UNIFORM_ROD = Sourced(12, "-", DERIVED, note="inertia of a uniform rod about its middle: m * L^2 / 12")

MotionValues: TypeAlias = list[float]


@dataclass(frozen=True)
class Stem:
    """A flexible stem as one mass on a spring below the redirect: stiffness [N/m], mass [kg], damping ratio [-]."""

    stiffness: float
    mass: float
    damping_ratio: float = 0.0

    def __post_init__(self) -> None:
        require_positive(stiffness=self.stiffness, mass=self.mass)
        require_non_negative(damping_ratio=self.damping_ratio)


@dataclass(frozen=True, kw_only=True)
class FallingLog:
    """A uniform log that tips about its hinge and is tied near its butt.

    Attributes
    ----------
    mass : float
        > 0. [kg]
    length : float
        > 0. [m]
    tie_above_cut : float
        From the cut to the tie, 0 to ``length``. [m]
    cut_to_redirect : float
        From the cut down to the redirect, > 0. [m]
    parting_angle : float
        From the vertical, at which the hinge parts, above 0 and at most pi. [rad]
    """

    mass: float
    length: float
    tie_above_cut: float
    cut_to_redirect: float
    parting_angle: float

    def __post_init__(self) -> None:
        require_positive(mass=self.mass, length=self.length, cut_to_redirect=self.cut_to_redirect)
        require_positive(parting_angle=self.parting_angle)
        require_within(0.0, self.length, tie_above_cut=self.tie_above_cut)
        require_within(0.0, pi, parting_angle=self.parting_angle)


class Body(Protocol):
    """What falls into the rope: its equations of motion on a vector of values."""

    def ends(self, values: MotionValues) -> tuple[float, float]:
        """Extension of the lead leg and sag of the redirect. [m]"""

    def slopes(self, values: MotionValues, state: RopeState) -> list[float]:
        """Time derivatives of the values under the tensions of the state."""

    def reading(self, values: MotionValues, state: RopeState) -> tuple[float, float]:
        """Reaction at the redirect [N] and drop of the centre of mass [m]."""

    def is_over(self, values: MotionValues, state: RopeState) -> bool:
        """True once nothing of interest follows."""


@dataclass(frozen=True)
class PointMass:
    """Values: extension and its rate, then sag and its rate if the stem gives."""

    mass: float
    fall_height: float
    rope_damping: float
    stem: Stem | None

    def ends(self, values: MotionValues) -> tuple[float, float]:
        return values[0], values[2] if self.stem else 0.0

    def slopes(self, values: MotionValues, state: RopeState) -> list[float]:
        speed = values[1]
        sag_speed = values[3] if self.stem else 0.0
        drag = self.rope_damping * (speed - sag_speed) if state.lead_tension > 0 else 0.0
        slopes = [speed, STANDARD_GRAVITY.value - (state.lead_tension + drag) / self.mass]
        if self.stem:
            critical = 2 * sqrt(self.stem.stiffness * self.stem.mass)
            resisting = self.stem.stiffness * values[2] + self.stem.damping_ratio * critical * sag_speed
            slopes += [sag_speed, (state.lead_tension + state.fall_tension - resisting) / self.stem.mass]
        return slopes

    def reading(self, values: MotionValues, state: RopeState) -> tuple[float, float]:
        return state.lead_tension + state.fall_tension, self.fall_height + values[0]

    def is_over(self, values: MotionValues, state: RopeState) -> bool:
        return values[1] < 0 and state.lead_tension == 0


@dataclass(frozen=True)
class RigidLog:
    """Values: place of the centre of mass (x out, y up from the hinge), tilt from the vertical, and their rates."""

    log: FallingLog
    rope: RopeOverRedirect
    rope_damping: float

    def _tie(self, values: MotionValues) -> tuple[float, float, float]:
        """Tie from the redirect, x and y, and its distance. [m]"""
        arm = self.log.tie_above_cut - self.log.length / 2
        x = values[0] + arm * sin(values[2])
        y = values[1] + arm * cos(values[2]) + self.log.cut_to_redirect
        return x, y, hypot(x, y)

    def ends(self, values: MotionValues) -> tuple[float, float]:
        return self._tie(values)[2] - self.rope.lead_length, 0.0

    def slopes(self, values: MotionValues, state: RopeState) -> list[float]:
        _, _, tilt, *rates = values
        if state.lead_tension == 0:
            return [*rates, 0.0, -STANDARD_GRAVITY.value, 0.0]
        arm = self.log.tie_above_cut - self.log.length / 2
        lever_x, lever_y = arm * cos(tilt), -arm * sin(tilt)
        x, y, distance = self._tie(values)
        stretching = (x * (rates[0] + lever_x * rates[2]) + y * (rates[1] + lever_y * rates[2])) / distance
        pull = (state.lead_tension + self.rope_damping * stretching) / distance
        inertia = self.log.mass * self.log.length**2 / UNIFORM_ROD.value
        turning = -pull * (x * lever_x + y * lever_y) / inertia
        mass = self.log.mass
        return [*rates, -pull * x / mass, -pull * y / mass - STANDARD_GRAVITY.value, turning]

    def reading(self, values: MotionValues, state: RopeState) -> tuple[float, float]:
        x, y, distance = self._tie(values)
        across = state.lead_tension * x / distance
        along = state.lead_tension * y / distance - state.fall_tension
        return hypot(across, along), self.log.length / 2 - values[1]

    def is_over(self, values: MotionValues, state: RopeState) -> bool:
        return False
