"""What the cheapest kit costs as the largest piece grows: a stair."""

from __future__ import annotations

from dataclasses import dataclass

import altair as alt

from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.inline import inline
from recommender.charts.marks import COLOURS
from recommender.explain.answers import CurveResult
from recommender.report.figures import mass, money


@dataclass(frozen=True)
class CostStepRow:
    """One stair: from the largest mass of the stair before up to its own; no cost where there is no kit."""

    mass_from: float
    mass_to: float
    unit: str
    cost: float | None
    currency: str
    label: str
    bought: str


def cost_rows(curve: CurveResult, currency: str, system: UnitSystem = "metric") -> list[CostStepRow]:
    """One row for each stair of a cost curve.

    Parameters
    ----------
    curve : CurveResult
    currency : str
    system : {'metric', 'us'}

    Returns
    -------
    list of CostStepRow
    """
    unit, before, rows = unit_of("mass", system), 0.0, []
    for step in curve.steps:
        there = from_si(step.largest_mass_kg, unit, "mass")
        cost = "no kit" if step.purchase_cost is None else money(step.purchase_cost, currency)
        bought = ", ".join(f"{one.pieces:+d} {one.name}" for one in step.changes)
        rows.append(
            CostStepRow(
                mass_from=round(before, 3),
                mass_to=round(there, 3),
                unit=unit,
                cost=step.purchase_cost,
                currency=currency,
                label=f"{cost} to {mass(step.largest_mass_kg, system)}",
                bought=bought,
            )
        )
        before = there
    return rows


def cost_chart(rows: list[CostStepRow]) -> alt.LayerChart:
    """A stair of costs; stretches without a kit are shaded and named.

    Parameters
    ----------
    rows : list of CostStepRow

    Returns
    -------
    LayerChart
    """
    unit, currency = (rows[0].unit, rows[0].currency) if rows else ("kg", "")
    money_title = f"Cheapest kit [{currency}]" if currency else "Cheapest kit"
    x = alt.X("mass_from:Q", title=f"Largest piece [{unit}]").scale(zero=False)
    data = alt.Chart(inline(rows)).encode(tooltip=_TOLD)
    with_kit, without = (data.transform_filter(f"datum.cost {sign} null") for sign in ("!=", "=="))
    stairs = with_kit.mark_rule(strokeWidth=3.5, color=COLOURS[0]).encode(
        x=x, x2="mass_to:Q", y=alt.Y("cost:Q", title=money_title).scale(zero=False)
    )
    ends = with_kit.mark_point(filled=True, size=60, color=COLOURS[0]).encode(x="mass_to:Q", y="cost:Q")
    nothing = without.mark_rect(opacity=0.16, color=COLOURS[1]).encode(x=x, x2="mass_to:Q")
    named = without.mark_text(text="no kit", angle=270, baseline="top", dy=6, color=COLOURS[1]).encode(x=x)
    return alt.LayerChart(layer=[nothing, stairs, ends, named]).properties(
        height=360, background="transparent"
    )


_TOLD = [alt.Tooltip("label:N", title="Cost"), alt.Tooltip("bought:N", title="Against the stair before")]
