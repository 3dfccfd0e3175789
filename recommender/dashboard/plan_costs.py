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
from recommender.kit.result import KitItem, KitResult
from recommender.report.figures import mass, money
from recommender.seasons.result import SeasonsResult
from recommender.store import PlanParts
from recommender.work.plan import Plan


@dataclass(frozen=True)
class PlanKit:
    """A plan with its kit, or why there is none."""

    plan: str
    result: KitResult | None
    why_none: str = ""
    planned: Plan | None = None


def kit_of(parts: PlanParts, system: UnitSystem, today: date) -> PlanKit:
    """The kit of a plan as it is kept."""
    name, found = parts.settings.name, check(parts, system, today)
    if found.plan is None:
        return PlanKit(name, None, "not sound yet")
    result = answer_to(found.plan).result
    if result is None:
        return PlanKit(name, None, "no result that may be used")
    if not result.assignments:
        return PlanKit(name, None, result.status, found.plan)
    return PlanKit(name, result, planned=found.plan)


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
    """The items of which two kits hold different numbers, with what these cost; owned ones are told apart."""
    kits = [{(item.owned, item.name): item for item in one.items} for one in (here, other)]
    rows = []
    for owned, name in dict.fromkeys([*kits[0], *kits[1]]):
        items = [kit.get((owned, name)) for kit in kits]
        if len({item.quantity if item else 0 for item in items}) == 1:
            continue
        cells = {
            side: _number_and_price(item, one.currency)
            for side, item, one in zip((first, second), items, (here, other), strict=True)
        }
        rows.append({"Item": f"{name} (owned)" if owned else name, **cells})
    return rows


def _number_and_price(item: KitItem | None, currency: str) -> str:
    if item is None or not item.quantity:
        return "none"
    return f"{item.quantity}" if item.owned else f"{item.quantity}, {money(item.price, currency)}"


def season_rows(here: SeasonsResult, other: SeasonsResult, first: str, second: str) -> list[dict[str, Any]]:
    """What two plans buy in each season, and in all."""
    plans = [{season.season: season.purchase_cost for season in one.seasons} for one in (here, other)]
    sums: dict[str, list[float | None]] = {
        name: [plan.get(name) for plan in plans] for name in dict.fromkeys([*plans[0], *plans[1]])
    }
    sums["In all"] = [one.purchase_cost if one.seasons else None for one in (here, other)]
    return [
        {
            "Season": name,
            **{
                side: "no plan" if sum is None else money(sum, one.currency)
                for side, sum, one in zip((first, second), amounts, (here, other), strict=True)
            },
        }
        for name, amounts in sums.items()
    ]
