"""The species of the wood table as rows to look a name up in."""

from __future__ import annotations

from catalog_schema.units import UnitSystem, from_si, unit_label, unit_of
from recommender.wood import species_table


def species_rows(system: UnitSystem) -> list[dict[str, str | float]]:
    """Every species with its names and the green density of its logs, bark on."""
    unit = unit_of("density", system)
    heading = f"Green log [{unit_label(unit)}]"
    return [
        {
            "Name": one.common_name,
            "Latin name": one.latin_name,
            "Other names": ", ".join(one.other_names),
            heading: round(
                from_si(one.green_log_over_bark_density, unit, "density"), 0 if system == "metric" else 1
            ),
        }
        for one in sorted(species_table(), key=lambda one: one.common_name.casefold())
    ]
