"""How much of the work a sum of money covers, as gear is bought step by step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import altair as alt

from recommender.charts.inline import inline
from recommender.charts.marks import COLOURS
from recommender.explain.answers import FirstResult
from recommender.report.figures import money


@dataclass(frozen=True)
class MoneyShareRow:
    """After a step of buying: money spent so far, share of a season's pieces covered [%], and what was bought."""

    step: int
    spent: float
    share: float
    within_sum: bool
    label: str
    bought: str
    currency: str


def money_share_rows(result: FirstResult, currency: str) -> list[MoneyShareRow]:
    """One row for each step of buying, from what is owned on.

    Parameters
    ----------
    result : FirstResult
    currency : str

    Returns
    -------
    list of MoneyShareRow
    """
    return [
        MoneyShareRow(
            step=step.step,
            spent=round(step.cost_so_far, 2),
            share=round(100 * step.share, 3),
            within_sum=step.within_sum,
            label=f"{money(step.cost_so_far, currency)}: {100 * step.share:.0f} %",
            bought=", ".join(f"{one.pieces} {one.name}" for one in step.buy) or step.what,
            currency=currency,
        )
        for step in result.steps
    ]


def money_share_chart(rows: list[MoneyShareRow], spend: float | None = None) -> alt.LayerChart:
    """A stair of covered work against money; steps that the sum does not pay for are hollow.

    Parameters
    ----------
    rows : list of MoneyShareRow
    spend : float, optional
        The sum there is: a stroke at it.

    Returns
    -------
    LayerChart
    """
    currency = rows[0].currency if rows else ""
    base = alt.Chart(inline(rows)).encode(
        x=alt.X("spent:Q", title=f"Money spent [{currency}]" if currency else "Money spent").axis(
            tickCount=6
        ),
        y=alt.Y("share:Q", title="Share of a season's pieces [%]").scale(domain=[0, 100]),
        tooltip=[alt.Tooltip("label:N", title="Covers"), alt.Tooltip("bought:N", title="Bought here")],
    )
    stair = base.mark_line(interpolate="step-after", strokeWidth=2.4, color=COLOURS[0])
    points = base.mark_point(size=80, color=COLOURS[0], strokeWidth=2).encode(
        fill=alt.condition("datum.within_sum", alt.value(COLOURS[0]), alt.value("transparent"))
    )
    layers: list[Any] = [stair, points]
    if spend is not None:
        mark = alt.Chart(alt.Data(values=[{"sum": spend}])).mark_rule(strokeDash=[6, 4], color=COLOURS[1])  # type: ignore[no-untyped-call]
        layers.append(mark.encode(x="sum:Q"))
    return alt.LayerChart(layer=layers).properties(height=340, background="transparent")
