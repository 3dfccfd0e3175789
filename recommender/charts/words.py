"""Names of parts and settings as people read them; parts in the order of the force."""

from __future__ import annotations

from pydantic.fields import FieldInfo

from catalog_schema.fields import CURRENCY, counted_in, kind_of
from catalog_schema.units import UnitSystem, unit_label, unit_of
from recommender.report.figures import words

ROLES = ("line", "redirect", "brake", "lifter")
"""What the force runs through, in this order; each may have a sling and connectors of its own behind it."""


def headline(name: str) -> str:
    """A name of the program as the start of a sentence.

    >>> headline("lifter_connector_2")
    'Lifter connector 2'
    """
    text = words(name)
    return text[:1].upper() + text[1:]


def setting_label(name: str, field: FieldInfo, system: UnitSystem, currency: str = "") -> str:
    """What a setting is called on the screen and in files, with its unit.

    >>> from recommender.work.settings import LineAllowances, Money
    >>> setting_label("tie", LineAllowances.model_fields["tie"], "us")
    'Line for the knot [ft]'
    >>> setting_label("crew_rate", Money.model_fields["crew_rate"], "us", "USD")
    "Crew's hour [USD]"
    """
    kind, unit = kind_of(field), counted_in(field)
    if kind is not None:
        unit = unit_label(unit_of(kind, system))
    elif unit == CURRENCY:
        unit = currency
    label = field.title or headline(name)
    return f"{label} [{unit}]" if unit else label


def part_place(part: str) -> tuple[int, bool, str]:
    """Where a part stands among the others.

    >>> sorted(["brake", "redirect_connector", "line", "redirect", "redirect_sling"], key=part_place)
    ['line', 'redirect', 'redirect_sling', 'redirect_connector', 'brake']
    """
    role = part.split("_")[0]
    return (ROLES.index(role) if role in ROLES else len(ROLES), "connector" in part, part)
