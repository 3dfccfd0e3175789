"""From the rope's sheet to the forces on every part: the steps that the load calculation itself kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from recommender.explain.steps import (
    Step,
    Value,
    constant,
    require_same,
    source_of_constant,
    source_text,
    value,
    values,
)
from recommender.kit.fits import Fits
from recommender.kit.result import State
from recommender.kit.setups import FORCE_ON, STATES, SetupRater, plain_part
from recommender.loads import LineArrays, LineType, demands
from recommender.loads.demands import HOLDING_WRAPS, LIFT_MANNER, LOW_BOLLARD_FRICTION, Kept
from recommender.physics import (
    DEFAULT_EXPONENT,
    KNOT_AND_SLING_CREEP,
    RUNNING_FLOOR,
    SOFT_LOWERING_FLOOR,
    STEADY_LOWERING_FLOOR,
    FrictionClass,
)
from recommender.ratings.policy import source_of
from recommender.sourced import COMMON_PRACTICE, DERIVED
from recommender.work.cases import LoadCase

ENDS = ("low", "high")
ENERGY = "derived: energy balance, an upper bound as all energy goes into the rope"
MEANING = {
    "line": "highest tension of the line",
    "reaction": "force of both legs on the redirect",
    "brake": "tension at the brake",
    "brake_anchor": "force on what holds the brake",
    "lifter": "pull of the lifter",
    "lifter_holding": "pull of the lifter, or what it holds on the way down",
}


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

    def r(self, end: str) -> float:
        """Tension ratio at an end of its range. [-]"""
        return self.friction_class.r_low if end == "low" else self.friction_class.r_high

    def step(self, name: str) -> float:
        """A kept step as a number."""
        return float(self.kept[name].item())

    def demand(self, force: str, state: int) -> float:
        """A force as the kit model has it. [N]"""
        return float(getattr(self.fits.demands, force)[state, self.case, self.line, self.friction])


def rigged(fits: Fits, case: int, line: int, friction: int) -> Rigged:
    """The load case calculated once more by the same function, its steps kept and held against the kit model.

    Raises
    ------
    InternalFault
        If any force differs.
    """
    kept: Kept = {}
    lines = fits.lines
    one = LineArrays(
        (lines.types[line],), *(a[line : line + 1] for a in (lines.stiff, lines.soft, lines.exponent)),
        *(a[line : line + 1] for a in (lines.min_break, lines.diameter)), lines.laid[line : line + 1],
    )  # fmt: skip
    again = demands([fits.cases[case]], one, [fits.frictions[friction]], fits.policy, kept)
    found = Rigged(fits, case, line, friction, kept)
    for force in MEANING:
        for state in range(len(STATES)):
            shown = float(getattr(again, force)[state].item())
            require_same(f"{MEANING[force]} ({STATES[state]})", shown, found.demand(force, state))
    for name in ("drop", "travel"):
        require_same(name, float(getattr(again, name).item()), float(getattr(fits.demands, name)[case, line, friction]))
    return found


def rope_steps(found: Rigged) -> Iterator[Step]:
    """The rope as a spring: exponent, constant, and the stiffness that counts."""
    line: LineType = found.fits.lines.types[found.line]
    rope, policy = line.rope, found.fits.policy
    exponent = value("n", line.exponent)
    points = values("share", {"stretch": rope.elongation, "at a share of": rope.elongation_at})
    if rope.elongation_2 is None or rope.elongation_2_at is None:
        share, strain = rope.elongation_at, rope.elongation
        yield _rope("stiffening of the rope", "one stretch point only", (), exponent, source_of_constant(DEFAULT_EXPONENT))
    else:
        share, strain = rope.elongation_2_at, rope.elongation_2
        points += values("share", {"second stretch": strain, "at": share})
        formula = "n = ln(f2 / f1) / ln(e2 / e1)"
        yield _rope("stiffening of the rope", formula, points, exponent, "derived from the catalogue's sheet")
    inputs = (value("breaking strength", rope.min_break, "force"), *values("share", {"f": share, "e": strain}), exponent)
    constant_ = value("C", line.constant, "force")
    formula = "C = f * breaking strength / e^n, of T = C * strain^n"
    yield _rope("rope constant from the sheet", formula, inputs, constant_, "derived from the catalogue's sheet")
    for name, side, array in (("for peaks", "high", found.fits.lines.stiff), ("for drops", "low", found.fits.lines.soft)):
        times = value("factor", getattr(policy.stiffness, side))
        result = value(f"C {name}", require_same("the rope constant", line.constant * times.value, float(array[found.line])), "force")
        yield _rope(f"rope constant {name}", "C * factor", (constant_, times), result, source_of(policy, "stiffness", side))


def force_steps(found: Rigged) -> Iterator[Step]:
    """Forces of the technique, in each state: what every part has to carry."""
    technique = found.load_case.technique
    yield from {"lower": _lower, "lift": _lift, "catch": _catch}[technique](found)


def _lower(found: Rigged) -> Iterator[Step]:
    case = found.load_case
    weight = value("W", case.weight, "force")
    yield from _lengths(found, "{end} length", "fall leg", case.fall)
    for end in ENDS:
        inputs = (weight, value("slack", case.drop, "length"), *_spring(found, end, "{end} length"))
        floor = source_of_constant(SOFT_LOWERING_FLOOR)
        formula = f"max(locked catch of the slack, {SOFT_LOWERING_FLOOR.value:g} W)"
        result = value("T", found.step(f"{end} soft"), "force")
        yield _force(f"piece let go, {end} r", formula, inputs, result, f"{ENERGY}; floor: {floor}", "working")
        if case.swing_angle:
            yield _swing(found, end)
    yield from _both_ends(found, "working")


def _swing(found: Rigged, end: str) -> Step:
    case = found.load_case
    inputs = (
        value("W", case.weight, "force"), value("a0", case.swing_angle, "angle"), value("slack", case.drop, "length"),
        value("k", found.step(f"{end} stiffness"), "stiffness"), value("least k", found.step(f"{end} least"), "stiffness"),
        value("L", case.lead, "length"),
    )  # fmt: skip
    formula = "margin * (W (3 - 2 cos a0) + sqrt((W cos a0)^2 + 2 k W slack)), k at this tension; not below the above"
    result = value("T", found.step(f"working {end} line"), "force")
    return _force(f"swing from the side, {end} r", formula, inputs, result, "derived: elastic swing with a margin", "working")


def _catch(found: Rigged) -> Iterator[Step]:
    case, policy = found.load_case, found.fits.policy
    places = [("lowest", "fall leg", case.fall)]
    if "highest low length" in found.kept:
        places.append(("highest", "fall leg, redirect at its highest", case.longest_fall))
    for place, name, fall in places:
        yield from _lengths(found, f"{place} {{end}} length", name, fall)
    states: tuple[tuple[State, str], ...] = (("working", "running"), ("jam", "locked"))
    for state, manner in states:
        for end in ENDS:
            peaks = []
            for place, _, _ in places:
                yield _peak(found, state, manner, place, end)
                peaks.append(value(place, found.step(f"{place} {end} {manner}"), "force"))
            formula, inputs = "factor * T", (*peaks, value("factor", policy.catch_peak.factor))
            source = source_of(policy, "catch_peak", "factor")
            if state == "working" and case.run:
                formula = f"max(factor * T, {RUNNING_FLOOR.value:g} W)"
                source = f"{source}; floor: {source_of_constant(RUNNING_FLOOR)}"
            result = value("T", found.step(f"{state} {end} line"), "force")
            yield _force(f"tension that counts, {end} r", formula, inputs, result, source, state)
        yield from _both_ends(found, state)
    yield from _clearance(found)


def _peak(found: Rigged, state: State, manner: str, place: str, end: str) -> Step:
    case = found.load_case
    spring = _spring(found, end, f"{place} {{end}} length")
    inputs: tuple[Value, ...] = (value("W", case.weight, "force"), value("h", case.drop, "length"), *spring)
    formula, what = "W (h + x) = T x / (1 + n), x = L (T / C)^(1/n)", f"line locked at the brake, {end} r"
    source = f"{ENERGY}; n = 1: {source_text('goldstone_impact')}"
    if state == "working" and case.run:
        inputs += (value("d, run", case.run, "length"),)
        formula, what = "W (h + x + d) = T x / (1 + n) + T d", f"line let run as planned, {end} r"
        source = ENERGY
    return _force(what, formula, inputs, value("T", found.step(f"{place} {end} {manner}"), "force"), source, state)


def _clearance(found: Rigged) -> Iterator[Step]:
    case = found.load_case
    inputs = (
        *values("length", {"h": case.drop, "run": case.run, "L, high r, longest": found.step("soft length")}),
        value("T, soft rope", found.step("soft peak"), "force"),
        constant("creep", KNOT_AND_SLING_CREEP, "length"),
    )
    fallen = value("D", found.step("soft fallen"), "length")
    formula = "D = h + x + run + creep, x = L (T / C)^(1/n)"
    yield _force("drop of the centre of mass", formula, inputs, fallen, f"{DERIVED}; creep: {source_of_constant(KNOT_AND_SLING_CREEP)}", "working")
    drop = float(found.fits.demands.drop[found.case, found.line, found.friction])
    inputs = (fallen, *values("length", {"a_c": case.centre_above_cut, "length": case.piece_length}))
    if np.isfinite(case.clearance):
        inputs += (value("free under the cut", case.clearance, "length"),)
    result = value("lowest wood below the cut", drop, "length")
    yield _force("how low the piece comes", "D - a_c + max(a_c, length - a_c)", inputs, result, DERIVED, "working")


def _lift(found: Rigged) -> Iterator[Step]:
    case, kind = found.load_case, found.friction_class
    weight = value("W", case.weight, "force")
    lead, pull = value("T_lead", found.step("hoist lead"), "force"), value("T_fall", found.step("hoist pull"), "force")
    manner = value(case.lift_manner, LIFT_MANNER[case.lift_manner])
    source = source_text(COMMON_PRACTICE)
    yield _force("line at the piece while lifting", "T_lead = factor * W", (weight, manner), lead, source, "working")
    inputs = (lead, value("efficiency", kind.eta_low, "share"))
    yield _force("line at the lifter", "T_fall = T_lead / efficiency", inputs, pull, _friction_source(found), "working")
    lowered = value("let down again", float(STEADY_LOWERING_FLOOR) * case.weight, "force")
    steady = source_of_constant(STEADY_LOWERING_FLOOR)
    yield _force("line while it is let down", f"{STEADY_LOWERING_FLOOR.value:g} W", (weight,), lowered, steady, "working")
    legs = (lead, pull, lowered, value("r high", kind.r_high), value("angle", case.leg_angle, "angle"))
    yield _total(found, "line", "max(T_fall, let down again)", (pull, lowered), "working")
    yield _total(found, "reaction", "sum of both legs as vectors, up and down", legs, "working")
    yield _total(found, "brake", "r high * max(T_lead, let down again)", (lead, lowered, legs[3]), "working")
    yield _anchor(found, "working")
    yield _total(found, "lifter", "T_fall", (pull,), "working")
    held = value(MEANING["brake"], found.demand("brake", 0), "force")
    yield _total(found, "lifter_holding", "max(T_fall, tension at the brake)", (pull, held), "working")
    travel = float(found.fits.demands.travel[found.case, found.line, found.friction])
    inputs = values("length", {"lift": case.lift_height, "stretch and hitches": found.step("take-up")})
    result = value("travel", travel, "length")
    yield _force("line that the lifter pulls in", "lift + stretch + hitch set", inputs, result, DERIVED, "working")


def _lengths(found: Rigged, name: str, fall_name: str, fall: float) -> Iterator[Step]:
    """Effective length at both ends of r."""
    for end in ENDS:
        key = name.format(end=end)
        inputs = (*values("length", {"lead": found.load_case.lead, fall_name: fall}), value(f"r {end}", found.r(end)))
        result = value("L", found.step(key), "length")
        what = f"length of line that takes up the energy, {end} r"
        yield _force(what, "L = lead + r * fall", inputs, result, f"{DERIVED}; r: {_friction_source(found)}", "")


def _spring(found: Rigged, end: str, name: str) -> tuple[Value, ...]:
    lines = found.fits.lines
    return (
        value("L", found.step(name.format(end=end)), "length"),
        value("C", float(lines.stiff[found.line]), "force"),
        value("n", float(lines.exponent[found.line])),
    )


def _both_ends(found: Rigged, state: State) -> Iterator[Step]:
    """Line, redirect, brake and its anchor from the tension at both ends of r."""
    leads = tuple(value(f"{end} r", found.step(f"{state} {end} line"), "force") for end in ENDS)
    yield _total(found, "line", "the larger of both", leads, state)
    angle = 0.0 if found.load_case.swing_angle else found.load_case.leg_angle
    for end, lead in zip(ENDS, leads, strict=True):
        inputs = (lead, value("r", found.r(end)), value("angle", angle, "angle"))
        result = value("R", found.step(f"{state} {end} reaction"), "force")
        yield _force(f"both legs on the redirect, {end} r", "T * sqrt(1 + r^2 + 2 r cos(angle))", inputs, result, "vector sum", state)
    reactions = tuple(value(f"{end} r", found.step(f"{state} {end} reaction"), "force") for end in ENDS)
    yield _total(found, "reaction", "the larger of both", reactions, state)
    brakes = tuple(value(f"{end} r", found.step(f"{state} {end} brake"), "force") for end in ENDS)
    yield _total(found, "brake", "the larger of r * T", brakes, state)
    yield _anchor(found, state)


def _anchor(found: Rigged, state: State) -> Step:
    inputs = (
        value("T", found.demand("brake", STATES.index(state)), "force"),
        constant("friction", LOW_BOLLARD_FRICTION),
        constant("wraps", HOLDING_WRAPS),
    )
    return _total(found, "brake_anchor", "T * (1 + exp(-2 pi * friction * wraps))", inputs, state, source_of_constant(LOW_BOLLARD_FRICTION))


def _total(found: Rigged, force: str, formula: str, inputs: tuple[Value, ...], state: State, source: str = DERIVED) -> Step:
    """A force as the kit model has it."""
    result = value(MEANING[force], found.demand(force, STATES.index(state)), "force")
    return _force(MEANING[force], formula, inputs, result, source, state)


def force_value(found: Rigged, rater: SetupRater, part: str, parts: dict[str, int], state: int) -> Value:
    """The force that a part has to carry. [N]"""
    force = FORCE_ON[plain_part(part)] if "lifter" not in parts else rater.force_on(part, parts)
    return value(MEANING[force], found.demand(force, state), "force")


def _friction_source(found: Rigged) -> str:
    kind = found.friction_class
    return source_text(kind.source, kind.place, f"{kind.name.replace('_', ' ')}: {kind.note}")


def _rope(what: str, formula: str, inputs: tuple[Value, ...], result: Value, source: str) -> Step:
    return Step(topic="rope", what=what, formula=formula, inputs=inputs, result=result, source=source, part="line")


def _force(what: str, formula: str, inputs: tuple[Value, ...], result: Value, source: str, state: str) -> Step:
    return Step(topic="force", what=what, formula=formula, inputs=inputs, result=result, source=source, state=state)  # type: ignore[arg-type]
