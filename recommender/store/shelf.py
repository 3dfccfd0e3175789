"""The list of plans inside a transaction: names, deleted plans, and what is gone for good."""

from __future__ import annotations

import re
import secrets
import unicodedata
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, and_, insert, select, update
from sqlalchemy.exc import IntegrityError

from recommender.store import revisions as states
from recommender.store.documents import Documents
from recommender.store.errors import NameTaken, NoSuchPlan
from recommender.store.records import RECOVERABLE, PlanEntry
from recommender.store.schema import heads, plans, revisions

LONGEST_NAME = 200
PLAN = "plan"


def tidy_name(name: str) -> str:
    """A name as it is shown: without what can't be seen, one blank at a time.

    Raises
    ------
    ValueError
        If nothing is left, or too much.
    """
    shown = "".join(sign if sign.isprintable() else " " for sign in unicodedata.normalize("NFC", name))
    tidy = " ".join(shown.split())
    if not 1 <= len(tidy) <= LONGEST_NAME:
        raise ValueError(f"name must have 1 to {LONGEST_NAME} letters, not {len(tidy)}")
    return tidy


def _key(name: str) -> str:
    return unicodedata.normalize("NFC", name.casefold())


def entries(connection: Connection, kind: str, *, deleted: bool = False) -> tuple[PlanEntry, ...]:
    """The plans of a kind, the one that was changed last first."""
    rows = connection.execute(
        _entries().where(and_(plans.c.kind == kind, plans.c.deleted_at.is_not(None) == deleted))
    ).all()
    found = [_entry(row) for row in rows]
    return tuple(sorted(found, key=lambda one: (one.changed_at, one.id), reverse=True))


def entry(connection: Connection, plan_id: str) -> PlanEntry:
    """One plan, deleted or not.

    Raises
    ------
    NoSuchPlan
    """
    row = connection.execute(_entries().where(plans.c.id == plan_id)).one_or_none()
    if row is None:
        raise NoSuchPlan("There is no such plan: it was deleted for good, or belongs to another store.")
    return _entry(row)


def _entries() -> Select[Any]:
    return (
        select(plans, heads.c.number.label("head"), revisions.c.saved_at)
        .join(heads, heads.c.plan_id == plans.c.id)
        .join(revisions, and_(revisions.c.plan_id == plans.c.id, revisions.c.number == heads.c.number))
    )


def _entry(row: Row[Any]) -> PlanEntry:
    created, changed = datetime.fromisoformat(row.created_at), datetime.fromisoformat(row.saved_at)
    gone = datetime.fromisoformat(row.deleted_at) if row.deleted_at else None
    return PlanEntry(row.id, row.kind, row.name, row.head, created, changed, gone)


def new_id() -> str:
    """An id that no other plan has, in this store or in another."""
    return secrets.token_hex(8)


def create(
    connection: Connection, name: str, documents: Documents, *, kind: str, what: str, session: str
) -> str:
    """A new plan with its first state; its id.

    Raises
    ------
    NameTaken
    """
    plan_id = new_id()
    put(connection, plan_id, name, kind, states.now(), None)
    states.begin(connection, plan_id, documents, what, session)
    return plan_id


def put(
    connection: Connection, plan_id: str, name: str, kind: str, created_at: str, deleted_at: str | None
) -> None:
    """The row of a plan that has no state yet.

    Raises
    ------
    NameTaken
    """
    name = tidy_name(name)
    if deleted_at is None:
        _require_free(connection, name, kind)
    row = {
        "id": plan_id, "name": name, "name_key": _key(name), "kind": kind,
        "created_at": created_at, "deleted_at": deleted_at,
    }  # fmt: skip
    try:
        connection.execute(insert(plans).values(**row))
    except IntegrityError as error:  # somebody took the name in the meantime
        raise NameTaken(name, f"{name} 2") from error


def rename(connection: Connection, plan_id: str, name: str) -> None:
    """Another name for a plan, deleted or not; the same in other capitals too."""
    one, name = entry(connection, plan_id), tidy_name(name)
    if one.deleted_at is None:
        _require_free(connection, name, one.kind, but=plan_id)
    _change(connection, plan_id, name, name=name, name_key=_key(name))


def mark_deleted(connection: Connection, plan_id: str) -> None:
    """Put a plan among the deleted ones."""
    states.head_of(connection, plan_id, hold=True)
    connection.execute(update(plans).where(plans.c.id == plan_id).values(deleted_at=states.now()))


def recover(connection: Connection, plan_id: str) -> None:
    """Bring a deleted plan back, under its own name.

    Raises
    ------
    NameTaken
        If the name was given to another plan since; rename it first.
    """
    one = entry(connection, plan_id)
    _require_free(connection, one.name, one.kind, but=plan_id)
    _change(connection, plan_id, one.name, deleted_at=None)


def _change(connection: Connection, plan_id: str, wanted: str, **values: str | None) -> None:
    try:
        connection.execute(update(plans).where(plans.c.id == plan_id).values(**values))
    except IntegrityError as error:  # somebody took the name in the meantime
        raise NameTaken(wanted, f"{wanted} 2") from error


def free_name(connection: Connection, name: str, kind: str) -> str:
    """The name, or the first of ``name 2``, ``name 3``, ... that no plan of the kind has; a number is counted up."""
    name = tidy_name(name)
    live = and_(plans.c.kind == kind, plans.c.deleted_at.is_(None))
    taken = set(connection.execute(select(plans.c.name_key).where(live)).scalars())
    if _key(name) not in taken:
        return name
    start = re.sub(r"(?<=\S) \d{1,2}$", "", name)[: LONGEST_NAME - 8]
    tries = (f"{start} {count}" for count in range(2, len(taken) + 3))
    return next(one for one in tries if _key(one) not in taken)


def _require_free(connection: Connection, name: str, kind: str, but: str = "") -> None:
    same = and_(plans.c.kind == kind, plans.c.name_key == _key(name), plans.c.deleted_at.is_(None))
    if connection.execute(select(plans.c.id).where(and_(same, plans.c.id != but))).first() is not None:
        raise NameTaken(name, free_name(connection, name, kind))


def gone(connection: Connection, at: datetime) -> list[str]:
    """Deleted plans that can't be brought back any more at a time (UTC)."""
    limit = (at - RECOVERABLE).isoformat(timespec="microseconds")
    return list(connection.execute(select(plans.c.id).where(plans.c.deleted_at < limit)).scalars())
