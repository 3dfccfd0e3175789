"""The three people of README.md, told with the figures that their plans give; what the words claim is asserted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from math import ceil
from pathlib import Path
from textwrap import fill

from catalog_schema.gear import Rope
from recommender.kit.planning import plan_kit
from recommender.kit.result import Assignment, KitItem, KitResult
from recommender.report.figures import money
from recommender.work.plan import Plan, load_plan

WIDTH = 118
DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def demo(name: str) -> tuple[Plan, KitResult]:
    """A plan of the demo and its kit."""
    plan = load_plan(DEMO / name)
    return plan, plan_kit(plan)


def new_owner() -> str:
    """What a first truck costs, and which lines it has."""
    plan, result = demo("new_owner")
    long, short = _lines(result)
    hardest = max(result.assignments, key=lambda one: one.highest[1])
    assert (hardest.highest[0], hardest.parts["line"]) == ("line", long.id)
    assert {one.parts["line"] for one in result.assignments if one.technique != "catch"} == {long.id}
    assert {one.technique for one in result.assignments if one.parts["line"] == short.id} == {"catch"}
    return (
        f"**A new owner** kits out a first truck for {len(plan.jobs)} kinds of piece. The cheapest gear costs "
        f"{_money(_gear(result), result)}, or {_money(result.purchase_cost, result)} with helmets, boots and training "
        f"for the crew. It has two lines: {_line_words(plan, long)} for what is lowered, lifted and light, and "
        f"{_line_words(plan, short)} for logs that are caught on the stem. The first is the part that works hardest, "
        f"at {_percent(hardest.highest[1])} of its rating under the job type `{hardest.job}`."
    )


def company() -> str:
    """What owned gear saves."""
    plan, result = demo("company")
    anew = plan_kit(replace(plan, owned=()))
    left_out = sum("is left out" in note for note in result.notes)
    assert _gear(anew) > _gear(result) > 0 < left_out
    return (
        f"**An established company** plans for {plan.settings.crew.crews} crews with big hardwoods and counts what is "
        f"on the trucks: {len(plan.owned)} rows, of which {left_out} are left out, each with its reason (worn, or too "
        f"old by the policy). What is missing costs {_money(_gear(result), result)}; the same work without any owned "
        f"gear would take {_money(_gear(anew), result)}."
    )


def trainer() -> str:
    """Why a mid-size rope can beat a thick one: the same catch, once with the kit and once with a thicker rope only."""
    plan, result = demo("training_ground")
    (line,) = _lines(result)
    soft = _assignment(result, "birch logs caught")
    thick = next(rope for rope in plan.catalogue.ropes if rope.id == "DB16-30")
    other = plan_kit(replace(plan, catalogue=replace(plan.catalogue, ropes=(thick,))))
    stiff = _assignment(other, soft.job)
    assert soft.governing["line"] == "jam" and _gear(other) > _gear(result)
    assert stiff.line_tension_jam_n > soft.line_tension_jam_n
    assert {soft.parts[part] for part in ("redirect", "brake")}.isdisjoint(
        stiff.parts[part] for part in ("redirect", "brake")
    )
    return (
        f"**A trainer** shows why a mid-size rope can beat a thick one. The kit of the training ground catches birch "
        f"logs on {_line_words(plan, line)}: when it jams, {_kilonewtons(soft.line_tension_jam_n)} on the line and "
        f"{_kilonewtons(soft.redirect_reaction_jam_n)} on the redirect, {_percent(soft.utilisation['line'])} of what "
        f"the line may carry then. With {1e3 * thick.diameter:.3g} mm {_make(thick)} as the only rope on offer the "
        f"same log gives {_kilonewtons(stiff.line_tension_jam_n)} and {_kilonewtons(stiff.redirect_reaction_jam_n)}, "
        f"so redirect and brake have to be larger too: the gear costs {_money(_gear(other), result)} instead of "
        f"{_money(_gear(result), result)}."
    )


def paragraphs() -> str:
    """All three."""
    return "\n\n".join(fill(told(), WIDTH, break_on_hyphens=False) for told in (new_owner, company, trainer))


def _lines(result: KitResult) -> Sequence[KitItem]:
    """The ropes of a kit, longest first."""
    ropes = [item for item in result.items if item.table == "ropes"]
    return sorted(ropes, key=lambda item: -(item.length_m or 0.0))


def _line_words(plan: Plan, item: KitItem) -> str:
    rope = next(one.rope for one in plan.catalogue.rope_lengths if one.id == item.id)
    return f"{item.length_m:.0f} m of {1e3 * rope.diameter:.3g} mm {_make(rope)}"


def _make(rope: Rope) -> str:
    return f"{rope.fibre.replace('_', '-')} {rope.construction.replace('_', ' ')}"


def _assignment(result: KitResult, job: str) -> Assignment:
    return next(one for one in result.assignments if one.job == job)


def _gear(result: KitResult) -> float:
    """Cost of the rigging gear, the crew's extras left out."""
    return sum(item.price for item in result.items if item.table != "extras" and not item.owned)


def _money(value: float, result: KitResult) -> str:
    return money(value, result.currency)


def _percent(share: float) -> str:
    return f"{ceil(100 * share)} %"


def _kilonewtons(force: float) -> str:
    return f"{ceil(force / 100) / 10:.1f} kN"
