"""Tension of the line against time, for the ropes of a comparison."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import altair as alt

from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.inline import inline
from recommender.charts.marks import coloured, dashed
from recommender.explain.rope_match import RopeMatch
from recommender.report.figures import force

HEIGHT = 360
HEADROOM = 1.25
LABEL_STEP = 16
NEAR = 0.07
"""Peaks closer than this share of the highest have their labels one over the other."""


@dataclass(frozen=True)
class CourseRow:
    """Tension of one rope at one moment, in ``unit``; ``label`` is filled at its peak only."""

    rope: str
    time: float
    tension: float
    unit: str
    label: str


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
        rows += [
            CourseRow(
                rope=rope.id,
                time=time,
                tension=round(from_si(tension, unit, "force"), 4),
                unit=unit,
                label=f"{rope.id} {force(tension, system)}" if k == peak else "",
            )
            for k, (time, tension) in enumerate(zip(course.time_s, course.tension_n, strict=True))
        ]
    return rows


def tension_chart(rows: list[CourseRow]) -> alt.LayerChart:
    """A line for each rope, with its own dash, named at its peak.

    Parameters
    ----------
    rows : list of CourseRow

    Returns
    -------
    LayerChart
    """
    names = list(dict.fromkeys(row.rope for row in rows))
    unit = rows[0].unit if rows else "kN"
    top = HEADROOM * max((row.tension for row in rows), default=1.0)
    base = alt.Chart(inline(rows)).encode(
        x=alt.X("time:Q", title="Time from when the piece comes free [s]"),
        y=alt.Y("tension:Q", title=f"Tension of the line at the piece [{unit}]").scale(domainMax=top),
        color=coloured("rope", names, "Rope", legend=False),
    )
    lines = base.mark_line(strokeWidth=2.4).encode(strokeDash=dashed("rope", names))
    named = [
        base.mark_text(align="left", dx=7, dy=-6 - LABEL_STEP * place, fontSize=13, fontWeight=600)
        .encode(text="label:N")
        .transform_filter((alt.datum.rope == rope) & (alt.datum.label != ""))
        for rope, place in _places(rows).items()
    ]
    return alt.LayerChart(layer=[lines, *named]).properties(height=HEIGHT, background="transparent")


def _places(rows: list[CourseRow]) -> dict[str, int]:
    """How many labels of peaks near by stand under the label of each rope."""
    peaks = sorted((row.tension, row.rope) for row in rows if row.label)
    places: dict[str, int] = {}
    for k, (tension, rope) in enumerate(peaks):
        near = k > 0 and tension - peaks[k - 1][0] < NEAR * peaks[-1][0]
        places[rope] = places[peaks[k - 1][1]] + 1 if near else 0
    return places
