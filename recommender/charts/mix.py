"""What the work mix is made of: masses by technique, and heights against masses."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import floor

import altair as alt

from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.inline import inline
from recommender.charts.marks import TECHNIQUES, coloured, with_room
from recommender.work.cases import BRAKE_HEIGHT, LoadCase

CLASSES = {"metric": 50.0, "us": 100.0}
"""Width of a class of masses."""


@dataclass(frozen=True)
class MassClassRow:
    """Pieces of one technique whose largest mass lies in one class, in ``unit``."""

    technique: str
    mass_from: float
    mass_to: float
    unit: str
    pieces: float
    jobs: str


@dataclass(frozen=True)
class MixRow:
    """One job type: usual and largest mass, rigging height, pieces a season."""

    job: str
    technique: str
    mass: float
    mass_high: float
    mass_unit: str
    height: float
    height_unit: str
    pieces: float


def mass_class_rows(cases: Iterable[LoadCase], system: UnitSystem = "metric") -> list[MassClassRow]:
    """Pieces a season by technique and class of the largest mass.

    Parameters
    ----------
    cases : iterable of LoadCase
    system : {'metric', 'us'}

    Returns
    -------
    list of MassClassRow
        In the order of technique and mass.
    """
    unit, width = unit_of("mass", system), CLASSES[system]
    found: dict[tuple[int, int], list[LoadCase]] = {}
    for case in cases:
        step = floor(from_si(float(case.mass.design), unit, "mass") / width)
        found.setdefault((TECHNIQUES.index(case.technique), step), []).append(case)
    return [
        MassClassRow(
            technique=TECHNIQUES[place],
            mass_from=step * width,
            mass_to=(step + 1) * width,
            unit=unit,
            pieces=round(sum(case.pieces for case in group), 2),
            jobs=", ".join(case.job for case in group),
        )
        for (place, step), group in sorted(found.items())
    ]


def mix_rows(cases: Iterable[LoadCase], system: UnitSystem = "metric") -> list[MixRow]:
    """One row for each job type.

    Parameters
    ----------
    cases : iterable of LoadCase
    system : {'metric', 'us'}

    Returns
    -------
    list of MixRow
    """
    weight, height = unit_of("mass", system), unit_of("length", system)
    return [
        MixRow(
            job=case.job,
            technique=case.technique,
            mass=round(from_si(float(case.mass.typical), weight, "mass"), 2),
            mass_high=round(from_si(float(case.mass.design), weight, "mass"), 2),
            mass_unit=weight,
            height=round(from_si(case.fall + float(BRAKE_HEIGHT), height, "length"), 2),
            height_unit=height,
            pieces=round(case.pieces, 2),
        )
        for case in cases
    ]


def mass_class_chart(rows: list[MassClassRow]) -> alt.Chart:
    """Bars of pieces by class of mass, stacked by technique.

    Parameters
    ----------
    rows : list of MassClassRow

    Returns
    -------
    Chart
    """
    unit = rows[0].unit if rows else "kg"
    chart: alt.Chart = (
        alt.Chart(inline(rows))
        .mark_bar(stroke="white", strokeWidth=0.6)
        .encode(
            x=alt.X(
                "mass_from:Q",
                bin="binned",
                title=f"Largest mass of a piece [{unit}]",
                scale=with_room(row.mass_to for row in rows),
            ),
            x2="mass_to:Q",
            y=alt.Y("pieces:Q", stack="zero", title="Pieces in a season"),
            color=coloured("technique", TECHNIQUES, "Technique"),
            order=alt.Order("technique:N"),
            tooltip=[
                alt.Tooltip("technique:N", title="Technique"),
                alt.Tooltip("pieces:Q", title="Pieces in a season", format=".0f"),
                alt.Tooltip("jobs:N", title="Job types"),
            ],
        )
        .properties(height=300, background="transparent")
    )
    return chart


def mix_chart(rows: list[MixRow]) -> alt.LayerChart:
    """Height against mass: a dash from the usual to the largest mass, and a mark as large as the pieces are many.

    Parameters
    ----------
    rows : list of MixRow

    Returns
    -------
    LayerChart
    """
    weight, height = (rows[0].mass_unit, rows[0].height_unit) if rows else ("kg", "m")
    base = alt.Chart(inline(rows)).encode(
        y=alt.Y("height:Q", title=f"Rigging height [{height}]", scale=with_room(row.height for row in rows)),
        color=coloured("technique", TECHNIQUES, "Technique"),
        tooltip=[
            alt.Tooltip("job:N", title="Job type"),
            alt.Tooltip("mass_high:Q", title=f"Largest mass [{weight}]", format=".0f"),
            alt.Tooltip("pieces:Q", title="Pieces in a season", format=".0f"),
        ],
    )
    spans = base.mark_rule(strokeWidth=2, opacity=0.7).encode(x="mass:Q", x2="mass_high:Q")
    points = base.mark_point(filled=True, opacity=0.85).encode(
        x=alt.X(
            "mass_high:Q",
            title=f"Mass of a piece, usual to largest [{weight}]",
            scale=with_room(row.mass_high for row in rows),
        ),
        size=alt.Size("pieces:Q", legend=None).scale(range=[60, 420]),
        shape=alt.Shape("technique:N", legend=None).scale(
            domain=list(TECHNIQUES), range=["circle", "triangle-up", "diamond"]
        ),
    )
    return alt.LayerChart(layer=[spans, points]).properties(height=340, background="transparent")
