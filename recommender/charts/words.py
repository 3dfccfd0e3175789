"""Names of parts as people read them, in the order of the force."""

from __future__ import annotations

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


def part_place(part: str) -> tuple[int, bool, str]:
    """Where a part stands among the others.

    >>> sorted(["brake", "redirect_connector", "line", "redirect", "redirect_sling"], key=part_place)
    ['line', 'redirect', 'redirect_sling', 'redirect_connector', 'brake']
    """
    role = part.split("_")[0]
    return (ROLES.index(role) if role in ROLES else len(ROLES), "connector" in part, part)
