"""Price of the ropes on offer against their strength, by construction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import altair as alt

from catalog_schema.catalogue import lengths_of
from catalog_schema.gear import Rope
from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.inline import inline
from recommender.report.figures import words


@dataclass(frozen=True)
class PriceRow:
    """A rope: strength in ``strength_unit``, price per ``length_unit``, the cheapest of its lengths."""

    name: str
    construction: str
    strength: float
    strength_unit: str
    price: float
    length_unit: str


def price_rows(ropes: Iterable[Rope], system: UnitSystem = "metric") -> list[PriceRow]:
    """One row for each rope of one make, thickness and strength, at its lowest price per length.

    Parameters
    ----------
    ropes : iterable of Rope
    system : {'metric', 'us'}

    Returns
    -------
    list of PriceRow
    """
    force, length = unit_of("force", system), unit_of("length", system)
    cheapest: dict[tuple[str, str, float, float], PriceRow] = {}
    for rope in ropes:
        per_metre = min(sold.price / sold.length for sold in lengths_of(rope))
        row = PriceRow(
            name=rope.name,
            construction=words(rope.construction),
            strength=round(from_si(rope.min_break, force, "force"), 2),
            strength_unit=force,
            price=round(per_metre / from_si(1.0, length, "length"), 4),
            length_unit=length,
        )
        key = (rope.construction, rope.fibre, rope.diameter, rope.min_break)
        if key not in cheapest or row.price < cheapest[key].price:
            cheapest[key] = row
    return list(cheapest.values())


def price_chart(rows: list[PriceRow], currency: str = "") -> alt.Chart:
    """A point for each rope; colour and shape both tell the construction.

    Parameters
    ----------
    rows : list of PriceRow
    currency : str

    Returns
    -------
    Chart
    """
    force, length = (rows[0].strength_unit, rows[0].length_unit) if rows else ("kN", "m")
    price = f"Price per {length}" + (f" [{currency}]" if currency else "")
    chart: alt.Chart = (
        alt.Chart(inline(rows))
        .mark_point(filled=True, size=95, opacity=0.85)
        .encode(
            x=alt.X("strength:Q", title=f"Breaking strength, new and dry [{force}]").scale(zero=False),
            y=alt.Y("price:Q", title=price),
            color=alt.Color("construction:N", title="Construction").legend(orient="top", columns=2),
            shape=alt.Shape("construction:N", title="Construction"),
            tooltip=[
                alt.Tooltip("name:N", title="Rope"),
                alt.Tooltip("strength:Q", title=f"Breaking strength [{force}]"),
                alt.Tooltip("price:Q", title=price, format=",.2f"),
            ],
        )
        .properties(height=380, background="transparent")
    )
    return chart
