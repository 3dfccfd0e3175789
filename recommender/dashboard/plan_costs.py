"""What the kits of several plans come to, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog_schema.units import UnitSystem
from recommender.dashboard.checking import check
from recommender.dashboard.kit_tables import hardest
from recommender.dashboard.solving import answer_to
from recommender.kit.result import KitResult
from recommender.report.figures import mass, money
from recommender.store import PlanParts


@dataclass(frozen=True)
class PlanKit:
    """A plan with its kit, or why there is none."""

    plan: str
    result: KitResult | None
    why_none: str = ""


def kit_of(parts: PlanParts, system: UnitSystem, today: date) -> PlanKit:
    """The kit of a plan as it is kept."""
    name, found = parts.settings.name, check(parts, system, today)
    if found.plan is None:
        return PlanKit(name, None, "not sound yet")
    result = answer_to(found.plan).result
    if result is None:
        return PlanKit(name, None, "no result that may be used")
    return PlanKit(name, result) if result.assignments else PlanKit(name, None, result.status)


def cost_rows(kits: Sequence[PlanKit], system: UnitSystem) -> list[dict[str, Any]]:
    """One row a plan: what its kit costs and weighs, or why there is none."""
    return [_row(kit, system) for kit in kits]


def _row(kit: PlanKit, system: UnitSystem) -> dict[str, Any]:
    result = kit.result
    top = hardest(result) if result else None
    return {
        "Plan": kit.plan,
        "Kit to buy": money(result.purchase_cost, result.currency) if result else kit.why_none,
        "Mass, dry": mass(result.mass_kg, system) if result else "",
        "Hardest-working part": f"{top[0]}, {top[1]}" if top else "",
        "Kinds of work": str(len(result.assignments)) if result else "",
    }


def item_rows(here: KitResult, other: KitResult, first: str, second: str) -> list[dict[str, Any]]:
    """The items of which two kits hold different numbers; owned ones are told apart."""
    kits = [{(item.owned, item.name): item.quantity for item in one.items} for one in (here, other)]
    every = dict.fromkeys([*kits[0], *kits[1]])
    return [
        {"Item": f"{name} (owned)" if owned else name, first: counts[0], second: counts[1]}
        for owned, name in every
        if (counts := [kit.get((owned, name), 0) for kit in kits])[0] != counts[1]
    ]
