"""Whether all that was saved is still whole."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, and_, select, text

from recommender.store.documents import unpacked
from recommender.store.errors import StoreError
from recommender.store.schema import blobs, contents, heads, plans, redo_steps, revisions


def faults(connection: Connection) -> Iterator[str]:
    """Everything that is damaged, in plain words."""
    if connection.dialect.name == "sqlite":
        yield from _of_file(connection)
    yield from _of_documents(connection)
    yield from _of_plans(connection)


def _of_file(connection: Connection) -> Iterator[str]:
    for line in connection.execute(text("PRAGMA integrity_check")).scalars():
        if line != "ok":
            yield f"the file of the store is damaged: {line}"
    for row in connection.execute(text("PRAGMA foreign_key_check")):
        yield f"a row of {row[0]} belongs to nothing"


def _of_documents(connection: Connection) -> Iterator[str]:
    for row in connection.execute(select(blobs)):
        try:
            unpacked(row.sha256, row.content)
        except StoreError as error:
            yield str(error)
    used = set(connection.execute(select(contents.c.sha256).distinct()).scalars())
    kept = set(connection.execute(select(blobs.c.sha256)).scalars())
    yield from (f"document {digest[:12]}... belongs to no state" for digest in sorted(kept - used))


def _of_plans(connection: Connection) -> Iterator[str]:
    """A plan needs a head, and numbers of states without a gap that lead back to the first."""
    at_head = select(plans.c.id, heads.c.number).join(heads, heads.c.plan_id == plans.c.id, isouter=True)
    for plan_id, head in connection.execute(at_head):
        rows = connection.execute(
            select(revisions.c.number, revisions.c.parent)
            .where(revisions.c.plan_id == plan_id)
            .order_by(revisions.c.number)
        ).all()
        numbers = [row.number for row in rows]
        if head not in numbers or numbers != list(range(1, len(numbers) + 1)):
            yield f"plan {plan_id} is in no state, or a state of it is missing"
        if any((row.parent is None) != (row.number == 1) or (row.parent or 0) >= row.number for row in rows):
            yield f"the states of plan {plan_id} do not lead back to the first"
    wrong = select(redo_steps.c.plan_id).join(
        revisions,
        and_(revisions.c.plan_id == redo_steps.c.plan_id, revisions.c.number == redo_steps.c.following),
    )
    for plan_id in connection.execute(wrong.where(revisions.c.parent != redo_steps.c.number)).scalars():
        yield f"a step that was undone in plan {plan_id} leads elsewhere"
