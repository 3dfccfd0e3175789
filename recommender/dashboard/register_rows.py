"""The register of owned gear as rows for the screen, and what one press of a button writes into it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, Literal

from catalog_schema.catalogue import Catalogue
from catalog_schema.units import from_si
from recommender.dashboard.records import next_name
from recommender.ratings.settings import Policy
from recommender.store import Record, Rows, records_of
from recommender.work.inspections import Due, Register
from recommender.work.register import Inspection, RegisterItem, months_after
from recommender.work.tables import OwnedGear

Result = Literal["passed", "failed"]

FIRST_NUMBER = "R-001"
SOON = 30
"""Days before an inspection from which it is told as due soon."""


def dues(register: Register, policy: Policy, today: date) -> list[Due]:
    """The next inspection of every piece in use, the first of them first."""
    return [*register.overdue(policy, today), *register.due_within(policy, today, days=100_000)]


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
    """Every piece with whether it is planned with, why not, and the day on which it retires by its age."""
    reasons = register.left_out(policy, today)
    return [
        {
            "Piece": item.id,
            "Item": item.item,
            "Planned with": f"no: {reasons[item.id]}" if item.id in reasons else "yes",
            "Retires": _retires(register, item, policy),
        }
        for item in register.items
    ]


def _retires(register: Register, item: RegisterItem, policy: Policy) -> str:
    if not register.table_of(item):
        return "not known: the catalogue does not list the item"
    by_age = register.retires_on(item, policy)
    return by_age.isoformat() if by_age else "no limit of age; by its inspections"


def blank_piece(records: Sequence[Record], inspections: Sequence[Record]) -> Record:
    """A row of a piece of which nothing is known yet but its number: one that no piece has or had.

    >>> blank_piece([{"id": "K-07"}], [{"piece": "K-09"}])
    {'id': 'K-10'}
    """
    own = [str(record.get("id") or "") for record in records]
    taken = [*own, *(str(record.get("piece") or "") for record in inspections)]
    return {"id": next_name(next((one for one in reversed(own) if one[-1:].isdigit()), FIRST_NUMBER), taken)}


def item_picks(catalogue: Catalogue) -> dict[str, str]:
    """Every item that may be owned, by its id, with its name."""
    lengths = {one.id: one.rope.name for one in catalogue.rope_lengths}
    return {
        id: f"{id}: {name}"
        for rows in catalogue.tables().values()
        for row in rows
        for id, name in {
            row.id: row.name,
            **{one: name for one, name in lengths.items() if one.startswith(f"{row.id}/")},
        }.items()
    }


def with_inspections(records: Sequence[Record], pieces: Iterable[str], day: date, result: Result) -> Rows:
    """The inspections and one more of each piece."""
    return (*records, *records_of(Inspection(piece=piece, day=day, result=result) for piece in pieces))


def registered(owned: Iterable[OwnedGear], today: date) -> tuple[RegisterItem, ...]:
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
    return tuple(items)


def preview_rows(register: Register, policy: Policy, today: date) -> list[dict[str, Any]]:
    """The pieces of a register that could be made, with what would become of each."""
    reasons = register.left_out(policy, today)
    return [
        {
            "Piece": item.id,
            "Item": item.item,
            "First used": item.start.isoformat(),
            "Condition": item.condition or "",
            "Would be planned with": f"no: {reasons[item.id]}" if item.id in reasons else "yes",
        }
        for item in register.items
    ]
