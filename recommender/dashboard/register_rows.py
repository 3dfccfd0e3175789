"""The register of owned gear as rows for the screen, and what one press of a button writes into it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, Literal

from catalog_schema.units import from_si
from recommender.ratings.settings import Policy
from recommender.store import Record, Rows, records_of
from recommender.work.inspections import Due, Register
from recommender.work.register import Inspection, RegisterItem, months_after
from recommender.work.tables import OwnedGear

Result = Literal["passed", "failed"]

SOON = 30
"""Days before an inspection from which it is told as due soon."""


def dues(register: Register, today: date) -> list[Due]:
    """The next inspection of every piece in use, the first of them first."""
    return [*register.overdue(today), *register.due_within(today, days=100_000)]


def standing(due: date, today: date) -> str:
    """When an inspection is due, in words.

    >>> day = date(2026, 6, 10)
    >>> standing(date(2026, 6, 1), day), standing(day, day), standing(date(2026, 6, 11), day)
    ('OVERDUE by 9 days', 'due today', 'due in 1 day')
    """
    days = (due - today).days
    if days == 0:
        return "due today"
    count = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
    return f"OVERDUE by {count}" if days < 0 else f"due in {count}"


def retirement_rows(register: Register, policy: Policy, today: date) -> list[dict[str, Any]]:
    """Every piece with the day on which it retires by its age, or why it is out of use already."""
    gone = {one.item.id: str(one) for one in register.retired(policy, today)}
    rows = []
    for item in register.items:
        by_age = register.retires_on(item, policy)
        rows.append(
            {
                "Piece": item.id,
                "Item": item.item,
                "In use": "no" if item.id in gone else "yes",
                "Why not, or until when": gone.get(item.id)
                or (f"until {by_age.isoformat()}" if by_age else "no limit of age; by its inspections"),
            }
        )
    return rows


def with_inspections(records: Sequence[Record], pieces: Iterable[str], day: date, result: Result) -> Rows:
    """The inspections and one more of each piece."""
    return (*records, *records_of(Inspection(piece=piece, day=day, result=result) for piece in pieces))


def registered(owned: Iterable[OwnedGear], today: date) -> Rows:
    """A register of gear that was listed without dates: a row a piece, first used as long ago as its age says.

    Days of first use are rounded to the earlier month, so that no piece is taken as younger than it was stated.
    """
    items: list[RegisterItem] = []
    for one in owned:
        months = -(-round(from_si(one.age, "yr", "age") * 12 * 1000) // 1000)
        first_use = months_after(today, -months)
        for _ in range(one.count):
            items.append(
                RegisterItem(
                    id=f"R-{len(items) + 1:03d}",
                    item=one.item,
                    length=one.length,
                    first_use=first_use,
                    condition=one.condition,
                    note=one.note,
                )
            )
    return records_of(items)
