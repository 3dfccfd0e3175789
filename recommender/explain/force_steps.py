"""From the weight to the forces on every part: the steps that the load calculation itself kept."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from recommender.explain.rigged import ENDS, MEANING, Rigged
from recommender.explain.steps import (
    Step,
    Value,
    constant,
    made,
    source_of_constant,
    source_text,
    value,
    values,
)
from recommender.kit.result import State
from recommender.kit.setups import STATES
from recommender.loads.demands import HOLDING_WRAPS, LIFT_MANNER, LOW_BOLLARD_FRICTION
from recommender.physics import SOFT_LOWERING_FLOOR, STEADY_LOWERING_FLOOR
from recommender.sourced import COMMON_PRACTICE, DERIVED

ENERGY = "derived: energy balance, an upper bound as all energy goes into the rope"
SWING = "derived: elastic swing with a margin for its bounce"
Inputs = tuple[Value, ...]


def lower_steps(found: Rigged) -> Iterator[Step]:
    """Forces of a lowered piece: let go with its slack, swung from the side."""
    case = found.load_case
    yield from lengths(found, "{end} length", "fall leg", case.fall)
    floor = source_of_constant(SOFT_LOWERING_FLOOR)
    formula = f"max(locked catch of the slack, {SOFT_LOWERING_FLOOR.value:g} W)"
    for end in ENDS:
        weight, slack = value("W", case.weight, "force"), value("slack", case.drop, "length")
        inputs = (weight, slack, *spring(found, f"{end} length"))
        result = value("T", found.step(f"{end} soft"), "force")
        yield force_step(f"piece let go, {end} r", formula, inputs, result, f"{ENERGY}; floor: {floor}")
        if case.swing_angle:
            yield _swing(found, end)
    yield from both_ends(found, "working")


def _swing(found: Rigged, end: str) -> Step:
    case = found.load_case
    inputs = (
        value("W", case.weight, "force"),
        value("a0", case.swing_angle, "angle"),
        *values("length", {"slack": case.drop, "L": case.lead}),
        *values("stiffness", {"k": found.step(f"{end} stiffness"), "least k": found.step(f"{end} least")}),
    )
    formula = "margin * (W (3 - 2 cos a0) + sqrt((W cos a0)^2 + 2 k W slack)), k at this tension; not below the above"
    result = value("T", found.step(f"working {end} line"), "force")
    return force_step(f"swing from the side, {end} r", formula, inputs, result, SWING)


def lift_steps(found: Rigged) -> Iterator[Step]:
    """Forces of a lifted piece: pulled up, and let down again."""
    case, kind = found.load_case, found.friction_class
    weight = value("W", case.weight, "force")
    lead, pull = (
        value("T_lead", found.step("hoist lead"), "force"),
        value("T_fall", found.step("hoist pull"), "force"),
    )
    inputs: Inputs = (weight, value(case.lift_manner, LIFT_MANNER[case.lift_manner]))
    source = source_text(COMMON_PRACTICE)
    yield force_step("line at the piece while lifting", "T_lead = factor * W", inputs, lead, source)
    inputs = (lead, value("efficiency", kind.eta_low, "share"))
    formula = "T_fall = T_lead / efficiency"
    yield force_step("line at the lifter", formula, inputs, pull, found.friction_source)
    lowered = value("let down again", float(STEADY_LOWERING_FLOOR) * case.weight, "force")
    steady, formula = source_of_constant(STEADY_LOWERING_FLOOR), f"{STEADY_LOWERING_FLOOR.value:g} W"
    yield force_step("line while it is let down", formula, (weight,), lowered, steady)
    high = value("r high", kind.r_high)
    legs = (lead, pull, lowered, high, value("angle", case.leg_angle, "angle"))
    held = found.demanded("brake", 0)
    for force, formula, inputs in (
        ("line", "max(T_fall, let down again)", (pull, lowered)),
        ("reaction", "sum of both legs as vectors, up and down, the larger", legs),
        ("brake", "r high * max(T_lead, let down again)", (lead, lowered, high)),
        ("lifter", "T_fall", (pull,)),
        ("lifter_holding", "max(T_fall, tension at the brake)", (pull, held)),
    ):
        yield total(found, force, formula, inputs, "working")
    yield anchor(found, "working")
    inputs = values("length", {"lift": case.lift_height, "stretch and hitches": found.step("take-up")})
    result = value("travel", found.length("travel"), "length")
    yield force_step("line that the lifter pulls in", "lift + stretch + hitch set", inputs, result, DERIVED)


def lengths(found: Rigged, name: str, fall_name: str, fall: float) -> Iterator[Step]:
    """Effective length at both ends of the tension ratio."""
    for end in ENDS:
        legs = values("length", {"lead": found.load_case.lead, fall_name: fall})
        inputs = (*legs, value(f"r {end}", found.r(end)))
        result = value("L", found.step(name.format(end=end)), "length")
        what = f"length of line that takes up the energy, {end} r"
        yield force_step(
            what, "L = lead + r * fall", inputs, result, f"{DERIVED}; r: {found.friction_source}", ""
        )


def spring(found: Rigged, length: str) -> Inputs:
    """The line as a spring: effective length, constant and exponent."""
    lines = found.fits.lines
    return (
        value("L", found.step(length), "length"),
        value("C", float(lines.stiff[found.line]), "force"),
        value("n", float(lines.exponent[found.line])),
    )


def both_ends(found: Rigged, state: State) -> Iterator[Step]:
    """Line, redirect, brake and its anchor from the tension at both ends of the tension ratio."""

    def ends(force: str) -> Inputs:
        return tuple(value(f"{end} r", found.step(f"{state} {end} {force}"), "force") for end in ENDS)

    yield total(found, "line", "the larger of both", ends("line"), state)
    angle = value("angle", 0.0 if found.load_case.swing_angle else found.load_case.leg_angle, "angle")
    for end, lead, reaction in zip(ENDS, ends("line"), ends("reaction"), strict=True):
        what, formula = f"both legs on the redirect, {end} r", "T * sqrt(1 + r^2 + 2 r cos(angle))"
        inputs = (lead, value("r", found.r(end)), angle)
        yield force_step(what, formula, inputs, reaction, "vector sum", state)
    yield total(found, "reaction", "the larger of both", ends("reaction"), state)
    yield total(found, "brake", "the larger of r * T", ends("brake"), state)
    yield anchor(found, state)


def anchor(found: Rigged, state: State) -> Step:
    """Force on what holds the brake."""
    tension = value("T", found.demand("brake", STATES.index(state)), "force")
    inputs = (tension, constant("friction", LOW_BOLLARD_FRICTION), constant("wraps", HOLDING_WRAPS))
    source, formula = source_of_constant(LOW_BOLLARD_FRICTION), "T * (1 + exp(-2 pi * friction * wraps))"
    return total(found, "brake_anchor", formula, inputs, state, source)


def total(
    found: Rigged, force: str, formula: str, inputs: Inputs, state: State, source: str = DERIVED
) -> Step:
    """A force as the kit model has it."""
    return force_step(
        MEANING[force], formula, inputs, found.demanded(force, STATES.index(state)), source, state
    )


def force_step(
    what: str,
    formula: str,
    inputs: Inputs,
    result: Value,
    source: str,
    state: State | Literal[""] = "working",
) -> Step:
    """A step towards a force."""
    return made("force", what, formula, inputs, result, source, state=state)
