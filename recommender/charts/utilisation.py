"""How hard every part of a kit works in every load case."""

from __future__ import annotations

from dataclasses import dataclass

import altair as alt

from recommender.charts.inline import inline
from recommender.charts.words import headline, part_place
from recommender.kit.result import KitResult
from recommender.report.figures import percent

ROW_HEIGHT = 34
COLUMN_WIDTH = 70
PALE, MIDDLE, STRONG = "#dcebe2", "#f0cf7c", "#c2562d"
DARK_INK, LIGHT_INK, JAM_EDGE = "#1d241f", "#ffffff", "#6a45c4"
STRONG_FROM = 0.85
"""Share from which a cell is so dark that its number is written in white."""


@dataclass(frozen=True)
class UtilisationRow:
    """One part in one load case. ``share`` is demand over rating; ``label``, rounded up, is written in the cell."""

    job: str
    job_place: int
    part: str
    part_place: int
    item: str
    share: float
    state: str
    label: str


def utilisation_rows(result: KitResult) -> list[UtilisationRow]:
    """One row for each part of each load case, in the order of the work and of the parts.

    Parameters
    ----------
    result : KitResult

    Returns
    -------
    list of UtilisationRow
        Empty where there is no kit.
    """
    names = {part for one in result.assignments for part in one.utilisation}
    places = {part: place for place, part in enumerate(sorted(names, key=part_place))}
    return [
        UtilisationRow(
            job=one.job,
            job_place=number,
            part=headline(part),
            part_place=places[part],
            item=one.parts.get(part, ""),
            share=share,
            state=one.governing[part],
            label=percent(share) + (" jam" if one.governing[part] == "jam" else ""),
        )
        for number, one in enumerate(result.assignments)
        for part, share in sorted(one.utilisation.items(), key=lambda pair: places[pair[0]])
    ]


def utilisation_chart(rows: list[UtilisationRow]) -> alt.LayerChart:
    """A cell for each part in each load case, with its percentage written in it; jam is written out and edged.

    Parameters
    ----------
    rows : list of UtilisationRow

    Returns
    -------
    LayerChart
        As wide and high as the rows need.
    """
    base = alt.Chart(inline(rows)).encode(
        x=alt.X("part:N", sort=alt.SortField("part_place"), title=None).axis(
            orient="top", labelAngle=0, labelLimit=0, labelExpr=_ON_LINES, domain=False, ticks=False
        ),
        y=alt.Y("job:N", sort=alt.SortField("job_place"), title=None).axis(
            labelLimit=170, domain=False, ticks=False, labelPadding=8
        ),
        tooltip=[
            alt.Tooltip("job:N", title="Job type"),
            alt.Tooltip("part:N", title="Part"),
            alt.Tooltip("item:N", title="Item"),
            alt.Tooltip("label:N", title="Load over rating"),
            alt.Tooltip("state:N", title="State that governs"),
        ],
    )
    is_jam = alt.datum.state == "jam"
    cells = base.mark_rect(cornerRadius=3, strokeWidth=2).encode(
        color=alt.Color("share:Q", legend=None).scale(
            domain=[0, 0.5, 1], range=[PALE, MIDDLE, STRONG], clamp=True
        ),
        stroke=alt.condition(is_jam, alt.value(JAM_EDGE), alt.value("transparent")),
    )
    numbers = base.mark_text(fontSize=12, fontWeight=600).encode(
        text="label:N",
        color=alt.condition(alt.datum.share >= STRONG_FROM, alt.value(LIGHT_INK), alt.value(DARK_INK)),
    )
    return alt.LayerChart(layer=[cells, numbers]).properties(
        width=alt.Step(COLUMN_WIDTH), height=alt.Step(ROW_HEIGHT), background="transparent"
    )


_ON_LINES = "split(datum.label, ' ')"
"""Names of parts under each other, so that columns can be narrow."""
