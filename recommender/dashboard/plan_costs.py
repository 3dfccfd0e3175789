"""What the kits of several plans come to, side by side."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from catalog_schema.units import UnitSystem
from recommender.dashboard.checking import check
from recommender.dashboard.kit_tables import hardest
from recommender.dashboard.solving import answer_to
from recommender.report.figures import mass, money
from recommender.store import PlanParts


def cost_rows(plans: Iterable[PlanParts], system: UnitSystem, today: date) -> list[dict[str, Any]]:
    """One row a plan: what its kit costs and weighs, or why there is none."""
    return [_row(parts, system, today) for parts in plans]


def _row(parts: PlanParts, system: UnitSystem, today: date) -> dict[str, Any]:
    row = {
        "Plan": parts.settings.name,
        "Kit to buy": "",
        "Mass, dry": "",
        "Hardest-working part": "",
        "Kinds of work": "",
    }
    found = check(parts, system, today)
    if found.plan is None:
        return row | {"Kit to buy": "not sound yet"}
    result = answer_to(found.plan).result
    if result is None:
        return row | {"Kit to buy": "no result that may be used"}
    if not result.assignments:
        return row | {"Kit to buy": result.status}
    top = hardest(result)
    return row | {
        "Kit to buy": money(result.purchase_cost, result.currency),
        "Mass, dry": mass(result.mass_kg, system),
        "Hardest-working part": f"{top[0]}, {top[1]}" if top else "",
        "Kinds of work": str(len(result.assignments)),
    }
