"""Tension of the line against time, for the ropes of a comparison."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import altair as alt

from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.inline import inline
from recommender.charts.marks import TYPE_SIZE, coloured, dashed, legend
from recommender.explain.rope_match import RopeMatch
from recommender.report.figures import force

HEIGHT, LARGE_HEIGHT = 380, 560


@dataclass(frozen=True)
class CourseRow:
    """Tension of one rope at one moment, in ``unit``; ``name`` is the rope with its peak."""

    rope: str
    time: float
    tension: float
    unit: str
    name: str
    is_peak: bool


def tension_rows(
    match: RopeMatch, system: UnitSystem = "metric", state: Literal["working", "jam"] = "working"
) -> list[CourseRow]:
    """The simulated courses of a comparison, for the usual piece.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}
    state : {'working', 'jam'}
        As planned, or with the line locked.

    Returns
    -------
    list of CourseRow
        Empty for a lift, and for the jam of a lower.
    """
    unit = unit_of("force", system)
    rows = []
    for rope in match.ropes:
        course = rope.course if state == "working" else rope.course_jam
        if course is None:
            continue
        peak = max(range(len(course.tension_n)), key=course.tension_n.__getitem__)
        name = f"{rope.id}: peak {force(course.tension_n[peak], system)}, usual piece"
        rows += [
            CourseRow(rope.id, time, round(from_si(tension, unit, "force"), 4), unit, name, k == peak)
            for k, (time, tension) in enumerate(zip(course.time_s, course.tension_n, strict=True))
        ]
    return rows


def tension_chart(rows: list[CourseRow], type_size: int = TYPE_SIZE) -> alt.LayerChart:
    """A line for each rope with its own dash and a mark at its peak; the legend tells the peaks.

    Parameters
    ----------
    rows : list of CourseRow
    type_size : int
        Of the letters.

    Returns
    -------
    LayerChart
    """
    names = list(dict.fromkeys(row.name for row in rows))
    unit = rows[0].unit if rows else "kN"
    key = legend(type_size)
    base = alt.Chart(inline(rows)).encode(
        x=alt.X("time:Q", title="Time from when the piece comes free [s]").axis(tickCount=8),
        y=alt.Y("tension:Q", title=f"Tension of the line [{unit}]"),
        color=coloured("name", names, "", place=key),
    )
    lines = base.mark_line(strokeWidth=2.6).encode(strokeDash=dashed("name", names, place=key))
    peaks = base.transform_filter("datum.is_peak").mark_point(size=110, filled=True)
    height = HEIGHT if type_size == TYPE_SIZE else LARGE_HEIGHT
    return alt.LayerChart(layer=[lines, peaks]).properties(height=height, background="transparent")
