"""The largest piece against height, for each manner of a limits sheet."""

from __future__ import annotations

from dataclasses import dataclass

import altair as alt

from catalog_schema.units import UnitSystem, from_si, show, unit_of
from recommender.charts.inline import inline
from recommender.charts.marks import coloured, dashed, legend, with_room
from recommender.explain.limits import LimitsSheet
from recommender.report.specification import catalogue_id


@dataclass(frozen=True)
class LimitStepRow:
    """The largest mass of one manner in one band of heights, in ``mass_unit`` and ``height_unit``; 0 = nothing."""

    manner: str
    height_from: float
    height_to: float
    height_unit: str
    mass: float
    mass_unit: str
    line: str
    label: str


def limit_rows(sheet: LimitsSheet, system: UnitSystem = "metric") -> list[LimitStepRow]:
    """One row for each cell of a limits sheet; masses rounded down in the label.

    Parameters
    ----------
    sheet : LimitsSheet
    system : {'metric', 'us'}

    Returns
    -------
    list of LimitStepRow
    """
    height, weight = unit_of("length", system), unit_of("mass", system)
    return [
        LimitStepRow(
            manner=row.manner,
            height_from=round(from_si(row.height_from_m, height, "length"), 2),
            height_to=round(from_si(row.height_to_m, height, "length"), 2),
            height_unit=height,
            mass=round(from_si(row.largest_mass_kg, weight, "mass"), 2),
            mass_unit=weight,
            line=catalogue_id(row.parts.get("line", "")),
            label=show(row.largest_mass_kg, "mass", system, 0, "down")
            if row.largest_mass_kg
            else row.why_not,
        )
        for row in sheet.rows
    ]


def limit_chart(rows: list[LimitStepRow]) -> alt.LayerChart:
    """A stretch for each band of heights, with its own dash and colour for each manner in which anything may be taken.

    Parameters
    ----------
    rows : list of LimitStepRow

    Returns
    -------
    LayerChart
    """
    names = list(dict.fromkeys(row.manner for row in rows if row.mass))
    rows = [row for row in rows if row.manner in names]
    height, weight = (rows[0].height_unit, rows[0].mass_unit) if rows else ("m", "kg")
    key = legend()
    base = alt.Chart(inline(rows)).encode(
        x=alt.X("height_from:Q", title=f"Rigging height [{height}]").scale(zero=False),
        y=alt.Y(
            "mass:Q",
            title=f"Largest piece [{weight}]",
            scale=with_room((row.mass for row in rows), below=True),
        ),
        color=coloured("manner", names, "", place=key),
        tooltip=[
            alt.Tooltip("manner:N", title="Technique"),
            alt.Tooltip("label:N", title="Largest piece"),
            alt.Tooltip("line:N", title="Line"),
        ],
    )
    stretches = base.mark_rule(strokeWidth=4).encode(
        x2="height_to:Q", strokeDash=dashed("manner", names, place=key)
    )
    return alt.LayerChart(layer=[stretches]).properties(height=400, background="transparent")
