"""Checks one job type's setup: its parts, that they fit, the forces, and how hard each part works."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from catalog_schema.gear import Brake, Gear, Lifter, Redirect, Rope
from recommender.kit.check_loads import ROUNDING, Forces, Piece, forces_on, friction_of, piece_of
from recommender.kit.result import Assignment
from recommender.ratings import (
    Rating,
    State,
    rate_brake,
    rate_connector,
    rate_lifter,
    rate_line,
    rate_redirect,
    rate_sling,
)
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.plan import Plan
from recommender.work.tables import JobType

AGREEMENT = 1e-6
"""Relative difference up to which a reported figure is the one worked out here."""

WHOLE_BODY_PULL = Sourced(225.0, "N", "ccohs_pushing_pulling", "Table 1", "one person, not to be exceeded")
SLIPPERY_DRUM = {
    True: Sourced(0.075, "-", COMMON_PRACTICE, note="half of 0.15, wet"),
    False: Sourced(0.15, "-", COMMON_PRACTICE, note="rope on metal"),
}
ROUGH_DRUM = Sourced(0.25, "-", "delaney_2022", "p. 88", "steel, high end")
STATES: tuple[State, State] = ("working", "jam")
TABLE_OF = {
    "line": "ropes",
    "redirect": "redirects",
    "brake": "brakes",
    "lifter": "lifters",
    "sling": "slings",
    "connector": "connectors",
}
AT_REDIRECT = ("redirect", "redirect_sling")


@dataclass(frozen=True)
class OnHand:
    """An item that a kit may hold: bought (``limit`` None) or owned. [cent, kg, m, yr]"""

    id: str
    gear_id: str
    table: str
    gear: Gear
    condition: Any
    cents: int
    mass: float
    limit: int | None
    length: float | None = None
    years: float = 0.0


@dataclass(frozen=True)
class Stocked:
    """An item of the kit with its pieces."""

    item: OnHand
    pieces: int


def kind_of_part(part: str) -> str:
    """What a part is, without its place and number: ``redirect_connector_2`` is a ``connector``."""
    return part.rstrip("0123456789").rstrip("_").rpartition("_")[2]


def agree(reported: float, worked_out: float) -> bool:
    """Whether two figures are the same but for rounding."""
    return math.isclose(reported, worked_out, rel_tol=AGREEMENT, abs_tol=1e-9)


class SetupCheck:
    """One job type as it is rigged in a result.

    Parameters
    ----------
    plan : Plan
    job : JobType
    assignment : Assignment
        How the result rigs it.
    kit : mapping of str to Stocked
        The kit by id.
    """

    def __init__(self, plan: Plan, job: JobType, assignment: Assignment, kit: Mapping[str, Stocked]) -> None:
        self.plan, self.job, self.assignment, self.kit = plan, job, assignment, kit

    def faults(self) -> list[str]:
        """Every fault, each in a sentence that starts with the job type."""
        found = list(self._unknown_parts())
        if not found:
            found = [*self._count_of_parts(), *self._twice_used()]
            if {"line", "redirect"} <= set(self.assignment.parts):
                found += [*self._figures(), *self._misfits(), *self._limits(), *self._overloads()]
        return [f"Job type '{self.job.job}': {fault}." for fault in found]

    def gear(self, part: str) -> Any:
        """The catalogue row behind a part, None if the setup has no such part."""
        id = self.assignment.parts.get(part)
        return None if id is None else self.kit[id].item.gear

    @cached_property
    def piece(self) -> Piece:
        """The design piece, worked out here."""
        return piece_of(self.job, self.plan.settings.line)

    @cached_property
    def forces(self) -> Forces:
        """The forces on the parts, worked out here."""
        gear = {part: self.gear(part) for part in ("redirect", "lifter")}
        return forces_on(self.job, self.piece, rope=self.gear("line"), policy=self.plan.policy, **gear)

    def _unknown_parts(self) -> Iterator[str]:
        if self.assignment.technique != self.job.technique:
            yield f"it is rigged to {self.assignment.technique}, the plan says {self.job.technique}"
        for part, id in self.assignment.parts.items():
            table = TABLE_OF.get(kind_of_part(part))
            if table is None:
                yield f"there is no part '{part}'"
            elif id not in self.kit:
                yield f"{_plain(part)} '{id}' is not in the kit"
            elif self.kit[id].item.table != table:
                yield f"{_plain(part)} '{id}' is from {self.kit[id].item.table}, not from {table}"

    def _count_of_parts(self) -> Iterator[str]:
        parts = set(self.assignment.parts)
        needed = {"line", "redirect"} | _holders("redirect", self.gear("redirect"))
        lifting = self.job.technique == "lift"
        lifter: Lifter | None = self.gear("lifter") if lifting else None
        if lifting:
            needed |= {"lifter"} | _holders("lifter", lifter)
        if lifter is None or not lifter.own_brake:
            needed |= {"brake"} | _holders("brake", self.gear("brake"))
        for part in sorted(needed - parts):
            yield f"it has no {_plain(part)}"
        for part in sorted(parts - needed):
            yield f"{_plain(part)} '{self.assignment.parts[part]}' has no place in this setup"

    def _twice_used(self) -> Iterator[str]:
        for id, times in Counter(self.assignment.parts.values()).items():
            pieces = self.kit[id].pieces
            if times > pieces:
                where = " and ".join(_plain(p) for p, other in self.assignment.parts.items() if other == id)
                yield f"'{id}' serves as {where} at once, and the kit has {pieces}"

    def _figures(self) -> Iterator[str]:
        piece, forces, told = self.piece, self.forces, self.assignment
        for name, reported, own, unit in (
            ("design mass of the piece", told.piece_mass_kg, piece.mass, "kg"),
            ("usual mass of the piece", told.piece_mass_typical_kg, piece.usual_mass, "kg"),
            ("line needed", told.line_needed_m, piece.line_needed, "m"),
            ("line tension", told.line_tension_n, forces.line[0], "N"),
            ("force on the redirect", told.redirect_reaction_n, forces.reaction[0], "N"),
            ("tension at the brake", told.brake_tension_n, forces.brake[0], "N"),
            ("pull of the lifter", told.lifter_pull_n, forces.lifter[0], "N"),
            ("line tension in the jam", told.line_tension_jam_n, forces.line[1], "N"),
            ("force on the redirect in the jam", told.redirect_reaction_jam_n, forces.reaction[1], "N"),
            ("tension at the brake in the jam", told.brake_tension_jam_n, forces.brake[1], "N"),
            ("drop below the cut", told.drop_below_cut_m, forces.below_cut, "m"),
            ("free height under the cut", told.clearance_m, self.job.clearance, "m"),
            *self._holding(),
        ):
            if (reported is None) != (own is None):
                yield f"{name} is reported as {reported}, the check gives {own}"
            elif reported is not None and own is not None and not agree(reported, own):
                yield f"{name} is reported as {reported:.6g} {unit}, the check gives {own:.6g} {unit}"

    def _holding(self) -> Iterator[tuple[str, float | None, float | None, str]]:
        """Wraps on the brake as they are reported and as they are worked out here."""
        brake: Brake | None = self.gear("brake")
        told = self.assignment.holding
        if brake is None or told is None:
            yield "wraps on the brake", None if told is None else told.wraps_peak, None, "turns"
            if brake is not None:
                yield "wraps on the brake", None, brake.wraps_max, "turns"
            return
        hanging = self.piece.weight * friction_of(self.gear("redirect")).r_high
        hand, slippery = self.plan.policy.hand.hold, SLIPPERY_DRUM[self.job.wet].value
        peak = self.forces.brake[0]
        yield "tension at the brake of the hanging piece", told.hanging_n, hanging, "N"
        yield "wraps that fit on the brake", told.wraps_max, brake.wraps_max, "turns"
        yield "wraps for the hanging piece", told.wraps_hanging, _wraps(hanging / hand, slippery), "turns"
        yield "wraps at the peak", told.wraps_peak, _wraps(peak / hand, slippery), "turns"
        held = peak if self.job.technique == "catch" and self.job.run else hanging
        people = max(1, math.ceil(held / (hand * math.exp(2 * math.pi * slippery * brake.wraps_max)) - 1e-9))
        yield "wraps for one person", told.wraps_one, _wraps(held / hand, slippery), "turns"
        yield "people on the tail", told.people, people, "people"
        yield "people on the ground", told.there, max(1, self.plan.settings.crew.ground_workers), "people"
        yield (
            "wraps at the peak, rough line",
            told.wraps_peak_dry,
            _wraps(peak / hand, ROUGH_DRUM.value),
            "turns",
        )

    def _limits(self) -> Iterator[str]:
        yield from self.forces.limits
        line = self.kit[self.assignment.parts["line"]].item
        if (line.length or 0.0) < self.piece.line_needed * (1 - ROUNDING):
            yield f"line '{line.id}' is {line.length:.4g} m long, {self.piece.line_needed:.4g} m are needed"
        below, clear = self.forces.below_cut, self.job.clearance
        if below is not None and clear is not None and below > clear * (1 + ROUNDING):
            yield f"the piece comes {below:.4g} m below the cut, {clear:.4g} m are free"

        hold, crew = self.assignment.holding, self.plan.settings.crew
        if crew.holds_every_piece and hold is not None and hold.people > max(1, crew.ground_workers):
            yield f"it takes {hold.people} people to hold the line, {crew.ground_workers} are on the ground"

    def _misfits(self) -> Iterator[str]:
        redirect: Redirect = self.gear("redirect")
        if self.job.technique == "lift" and redirect.bearing == "none":
            yield f"redirect '{redirect.id}' has no sheave, so nothing may be lifted over it"
        if self.job.from_ground and not redirect.set_from_ground:
            yield f"redirect '{redirect.id}' can't be set from the ground"
        for part in ("redirect", "brake"):
            gear = self.gear(part)
            if self.job.technique == "catch" and gear is not None and not gear.takes_catch:
                yield f"{part} '{gear.id}' is not made for catching"
        yield from self._wrong_sizes()
        lifter: Lifter | None = self.gear("lifter")
        if lifter is None:
            return
        if lifter.laid_rope_only and self.gear("line").construction != "three_strand":
            yield f"lifter '{lifter.id}' grips laid rope only, line '{self.gear('line').id}' is none"
        if lifter.travel is not None and self.forces.travel > lifter.travel * (1 + ROUNDING):
            yield f"lifter '{lifter.id}' travels {lifter.travel:.4g} m, {self.forces.travel:.4g} m are needed"

    def _wrong_sizes(self) -> Iterator[str]:
        """Parts that the line's diameter or the stem does not fit."""
        line: Rope = self.gear("line")
        for part in self.assignment.parts:
            gear = self.gear(part)
            low, high = getattr(gear, "rope_min", None), getattr(gear, "rope_max", None)
            if not _within(line.diameter, low, high):
                sizes = f"{1e3 * (low or 0):.4g} to {1e3 * (high or 0):.4g} mm"
                yield f"{part} '{gear.id}' takes rope of {sizes}, line '{line.id}' has {1e3 * line.diameter:.4g} mm"
            low, high = getattr(gear, "stem_min", None), getattr(gear, "stem_max", None)
            stems: tuple[float, ...] = (self.job.stem_at_brake,)
            if part in AT_REDIRECT:
                stems = (self.job.stem_at_redirect, self.job.stem_at_highest or self.job.stem_at_redirect)
            for stem in sorted({stem for stem in stems if not _within(stem, low, high)}):
                sizes = f"{1e2 * (low or 0):.4g} to {1e2 * (high or math.inf):.4g} cm"
                yield f"{_plain(part)} '{gear.id}' is for stems of {sizes}, the stem has {1e2 * stem:.4g} cm"

    def _overloads(self) -> Iterator[str]:
        parts, told = self.assignment.parts, self.assignment
        for name, listed in (("utilisation", told.utilisation), ("governing state", told.governing)):
            if set(listed) != set(parts):
                yield f"{name} is given for other parts than the setup has"
                return
        for part, id in parts.items():
            working, jam = self.utilisation(part)
            highest = max(working, jam)
            if highest > 1 + ROUNDING:
                state = STATES[int(jam > working)]
                yield f"{_plain(part)} '{id}' is loaded to {100 * highest:.4g} % of its rating ({state})"
            if not agree(told.utilisation[part], highest):
                reported = f"{100 * told.utilisation[part]:.6g} %"
                yield f"{_plain(part)} '{id}' is reported at {reported}, the check gives {100 * highest:.6g} %"
            if not agree(working, jam) and told.governing[part] != STATES[int(jam > working)]:
                figures = f"{100 * working:.4g} % working, {100 * jam:.4g} % in the jam"
                yield f"{_plain(part)} '{id}' is said to be governed by {told.governing[part]}: {figures}"

    def utilisation(self, part: str) -> tuple[float, float]:
        """Load over rating of one part, working and in the jam."""
        if part == "line":
            return self._line_utilisation(0), self._line_utilisation(1)
        force = self._force(part)
        working, jam = (
            _ratio(force[state], self._rating(part, STATES[state]).capacity) for state in range(2)
        )
        lifter: Lifter | None = self.gear(part) if part == "lifter" else None
        if lifter is not None and lifter.kind == "tackle_set":
            working = max(working, _ratio(force[0], self._hand_pull(lifter)))
        return working, jam

    def _hand_pull(self, lifter: Lifter) -> float:
        """Most that the people on the ground can pull on the line with a tackle set. [N]"""
        efficiency, parts = lifter.sheave_efficiency or 0.0, lifter.tackle_parts or 0
        advantage = sum(efficiency**passed for passed in range(parts))
        return advantage * WHOLE_BODY_PULL.value * self.plan.settings.crew.ground_workers

    def _force(self, part: str) -> tuple[float, float]:
        place = part.partition("_")[0]
        if place == "redirect":
            return self.forces.reaction
        if place == "lifter":
            return self.forces.lifter
        return self.forces.brake if part == "brake" else self.forces.brake_anchor

    def share_of_strength(self, part: str) -> float:
        """Working load of a rope or sling over the strength that is left at its weakest spot."""
        survival = self.plan.policy.survival.factor
        if part == "line":
            return max(force[0] / rating.capacity for force, rating in self._line_spots("jam")) / survival
        return self._force(part)[0] / self._rating(part, "jam").capacity / survival

    def _line_utilisation(self, state: int) -> float:
        return max(_ratio(force[state], rating.capacity) for force, rating in self._line_spots(STATES[state]))

    def _line_spots(self, state: State) -> Iterator[tuple[tuple[float, float], Rating]]:
        """Force on the line and its rating: straight, over the redirect, and round the brake's drum."""
        redirect: Redirect = self.gear("redirect")
        brake: Brake | None = self.gear("brake")
        spots = [(self.forces.line, None), (self.forces.line, redirect.sheave_diameter)]
        if brake is not None:
            spots.append((self.forces.brake, brake.drum_diameter))
        line: Rope = self.gear("line")
        for force, bend in spots:
            yield (
                force,
                rate_line(
                    line, self.job.technique, state, policy=self.plan.policy, wet=self.job.wet,
                    condition=self._condition("line"), bend_ratio=None if bend is None else bend / line.diameter,
                ),
            )  # fmt: skip

    def _rating(self, part: str, state: State) -> Rating:
        gear, policy, technique = self.gear(part), self.plan.policy, self.job.technique
        kind = kind_of_part(part)
        if kind == "sling":
            weather = {"wet": self.job.wet, "condition": self._condition(part)}
            return rate_sling(gear, technique, state, policy=policy, **weather)
        rates: dict[str, Any] = {
            "redirect": rate_redirect,
            "brake": rate_brake,
            "connector": rate_connector,
            "lifter": rate_lifter,
        }
        rating: Rating = rates[kind](gear, technique, state, policy=policy)
        return rating

    def _condition(self, part: str) -> Any:
        return self.kit[self.assignment.parts[part]].item.condition


def _holders(part: str, gear: Any) -> set[str]:
    """The sling and the connectors that a part hangs in."""
    if gear is None:
        return set()
    slings = set() if gear.own_sling else {f"{part}_sling"}
    numbers = ("" if number == 1 else f"_{number}" for number in range(1, gear.connectors + 1))
    return slings | {f"{part}_connector{number}" for number in numbers}


def _within(value: float, low: float | None, high: float | None) -> bool:
    """Whether a size lies in a range; without an end there is no limit there."""
    return (low is None or value >= low * (1 - ROUNDING)) and (high is None or value <= high * (1 + ROUNDING))


def _wraps(ratio: float, friction: float) -> float:
    """Turns on a drum that hold a load with a hand, by their ratio: ``ratio = exp(friction * 2 pi turns)``."""
    return max(math.log(ratio), 0.0) / (2 * math.pi * friction)


def _ratio(load: float, capacity: float) -> float:
    if load == 0:
        return 0.0
    return load / capacity if capacity > 0 else math.inf


def _plain(part: str) -> str:
    """A part's name as people read it."""
    return part.replace("_", " ")
