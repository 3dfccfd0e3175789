"""Strength of the ropes on offer against their diameter, by construction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import altair as alt

from catalog_schema.gear import Rope
from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.inline import inline
from recommender.report.figures import words


@dataclass(frozen=True)
class StrengthRow:
    """A rope: diameter and strength in the units named in ``diameter_unit`` and ``strength_unit``."""

    name: str
    construction: str
    fibre: str
    diameter: float
    strength: float
    diameter_unit: str
    strength_unit: str


def strength_rows(ropes: Iterable[Rope], system: UnitSystem = "metric") -> list[StrengthRow]:
    """One row for each rope that differs in make, diameter or strength; its lengths are one row.

    Parameters
    ----------
    ropes : iterable of Rope
    system : str
        ``metric`` or ``us``.

    Returns
    -------
    list of StrengthRow
    """
    thickness, force = unit_of("size", system), unit_of("force", system)
    first: dict[tuple[str, str, float, float], Rope] = {}
    for rope in ropes:
        first.setdefault((rope.construction, rope.fibre, rope.diameter, rope.min_break), rope)
    return [
        StrengthRow(
            name=rope.name,
            construction=words(rope.construction),
            fibre=words(rope.fibre),
            diameter=round(from_si(rope.diameter, thickness, "size"), 3),
            strength=round(from_si(rope.min_break, force, "force"), 2),
            diameter_unit=thickness,
            strength_unit=force,
        )
        for rope in first.values()
    ]


def strength_chart(rows: list[StrengthRow]) -> alt.Chart:
    """A point for each rope; colour and shape both tell the construction.

    Parameters
    ----------
    rows : list of StrengthRow

    Returns
    -------
    Chart
    """
    thickness, force = (rows[0].diameter_unit, rows[0].strength_unit) if rows else ("mm", "kN")
    chart: alt.Chart = (
        alt.Chart(inline(rows))
        .mark_point(filled=True, size=95, opacity=0.85)
        .encode(
            x=alt.X("diameter:Q", title=f"Diameter [{thickness}]")
            .axis(format="~g", tickMinStep=1 if thickness == "mm" else 0.125)
            .scale(zero=False, padding=12),
            y=alt.Y("strength:Q", title=f"Breaking strength, new and dry [{force}]"),
            color=alt.Color("construction:N", title="Construction").legend(orient="top", columns=2),
            shape=alt.Shape("construction:N", title="Construction"),
            tooltip=[
                alt.Tooltip("name:N", title="Rope"),
                alt.Tooltip("construction:N", title="Construction"),
                alt.Tooltip("fibre:N", title="Fibre"),
                alt.Tooltip("diameter:Q", title=f"Diameter [{thickness}]"),
                alt.Tooltip("strength:Q", title=f"Breaking strength [{force}]"),
            ],
        )
        .properties(height=420, background="transparent")
    )
    return chart
