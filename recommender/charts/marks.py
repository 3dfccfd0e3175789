"""Colours, dashes and shapes that tell series apart; never colour alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import altair as alt

COLOURS = ("#2f86a6", "#c4562c", "#7d5bd0", "#5c8a3a", "#b08a1e", "#8a5a6b")
"""Middle tones that stand out from a light and from a dark ground."""

DASHES = ((1, 0), (7, 3), (2, 2), (9, 3, 2, 3), (4, 4), (1, 4))
TECHNIQUES = ("lower", "lift", "catch")


TYPE_SIZE, LARGE_TYPE_SIZE = 13, 20
"""Of the letters of a chart, on a screen at hand and on one at the wall."""
INK = "currentColor"
"""Of the page that the picture stands on."""


def legend(type_size: int = TYPE_SIZE) -> alt.Legend:
    """Above the picture, name under name, so that nothing is cut off or lies on something else."""
    return alt.Legend(
        orient="top", direction="vertical", columns=1, title=None, labelFontSize=type_size, labelLimit=0,
        symbolSize=600, symbolStrokeWidth=3, symbolType="stroke",
    )  # fmt: skip


def readable(chart: alt.LayerChart, type_size: int = TYPE_SIZE) -> alt.LayerChart:
    """A chart written in letters of a size and in the ink of what is around it, by day and by night."""
    ink: dict[str, Any] = {"labelColor": INK, "titleColor": INK}
    axes: alt.LayerChart = chart.configure_axis(labelFontSize=type_size, titleFontSize=type_size, **ink)
    written: alt.LayerChart = axes.configure_legend(**ink)
    return written


def coloured(field: str, names: Sequence[str], title: str, place: alt.Legend | None = None) -> Any:
    """A colour for each name, in the order of the names; ``place`` is a legend of one's own."""
    scale = alt.Scale(domain=list(names), range=[COLOURS[k % len(COLOURS)] for k in range(len(names))])
    return alt.Color(f"{field}:N", scale=scale, legend=place or alt.Legend(orient="top")).title(title)


def dashed(field: str, names: Sequence[str], title: str = "", place: alt.Legend | None = None) -> Any:
    """A dash for each name, beside its colour; with the legend of the colour both stand in one."""
    scale = alt.Scale(domain=list(names), range=[list(DASHES[k % len(DASHES)]) for k in range(len(names))])
    return alt.StrokeDash(f"{field}:N", scale=scale, legend=place).title(title)


ROOM = 0.06
"""Of an axis, left free beyond the greatest value, so that neither it nor the last label lies on the edge."""


def with_room(values: Iterable[float], *, below: bool = False) -> alt.Scale:
    """A scale from 0 to a little more than the greatest of some values; from a little ``below`` 0 if that is asked."""
    most = max(values, default=0.0) or 1.0
    return alt.Scale(domain=[-ROOM / 2 * most if below else 0.0, (1.0 + ROOM) * most], nice=False)
