"""Money by season: what is spent on what, and the budget beside it."""

from __future__ import annotations

from dataclasses import dataclass

import altair as alt

from recommender.charts.inline import inline
from recommender.charts.marks import INK, coloured
from recommender.seasons.result import SeasonsResult

KINDS = ("gear", "crew time of extra cuts", "given away")
"""From the bottom of a bar: gear stands on the ground, so that its budget can be compared with it."""


@dataclass(frozen=True)
class CashRow:
    """What one season spends on one kind of thing; ``budget`` is that of the season for gear, None without one."""

    season: str
    season_place: int
    kind: str
    kind_place: int
    amount: float
    budget: float | None
    currency: str


def cash_rows(result: SeasonsResult) -> list[CashRow]:
    """Three rows for each season.

    Parameters
    ----------
    result : SeasonsResult

    Returns
    -------
    list of CashRow
    """
    return [
        CashRow(one.season, place, KINDS[kind], kind, round(amount, 2), one.budget, result.currency)
        for place, one in enumerate(result.seasons)
        for kind, amount in enumerate((one.purchase_cost, one.crew_cost, one.hire_cost))
    ]


def cash_chart(rows: list[CashRow]) -> alt.LayerChart:
    """A stacked bar for each season, and a stroke at its budget for gear.

    Parameters
    ----------
    rows : list of CashRow

    Returns
    -------
    LayerChart
    """
    currency = rows[0].currency if rows else ""
    base = alt.Chart(inline(rows)).encode(
        x=alt.X("season:N", sort=alt.SortField("season_place"), title=None, axis=alt.Axis(labelAngle=0))
    )
    bars = base.mark_bar().encode(
        y=alt.Y("amount:Q", stack="zero", title=f"Money [{currency}]" if currency else "Money"),
        color=coloured("kind", KINDS, ""),
        order=alt.Order("kind_place:Q"),
        tooltip=[
            alt.Tooltip("season:N", title="Season"),
            alt.Tooltip("kind:N", title="For"),
            alt.Tooltip("amount:Q", title="Amount", format=",.2f"),
            alt.Tooltip("budget:Q", title="Budget for gear", format=",.2f"),
        ],
    )
    budget = (
        base.transform_filter("datum.budget != null")
        .mark_tick(thickness=3, color=INK, width=alt.RelativeBandSize(0.9))
        .encode(y=alt.Y("max(budget):Q"))
    )
    return alt.LayerChart(layer=[bars, budget]).properties(height=320, background="transparent")
