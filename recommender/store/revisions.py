"""States of a plan inside a transaction: reading them, adding one, moving the head back and forth."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Row, and_, delete, func, insert, select, text, update

from recommender.store.documents import Documents, Packed, packed, unpacked
from recommender.store.errors import EditedElsewhere, NoSuchPlan
from recommender.store.records import Revision, Step
from recommender.store.schema import blobs, contents, heads, plans, redo_steps, revisions

LONGEST_WHAT = 200
LONGEST_SESSION = 100

_KEEP_BLOB = text(
    f"INSERT INTO {blobs.name} (sha256, content) VALUES (:sha256, :content) ON CONFLICT DO NOTHING"
)


def now() -> str:
    """The time as it is kept: UTC, so that texts sort by time."""
    return datetime.now(UTC).isoformat(timespec="microseconds")


def head_of(connection: Connection, plan_id: str, *, hold: bool = False) -> int:
    """The number of a plan's present state; ``hold`` keeps others from moving it until the transaction ends.

    Raises
    ------
    NoSuchPlan
        If there is none, or it was deleted.
    """
    query = (
        select(heads.c.number, plans.c.deleted_at)
        .join(plans, plans.c.id == heads.c.plan_id)
        .where(heads.c.plan_id == plan_id)
    )
    row = connection.execute(query.with_for_update() if hold else query).one_or_none()
    if row is None:
        raise NoSuchPlan("There is no such plan: it was deleted for good, or belongs to another store.")
    if row.deleted_at is not None:
        raise NoSuchPlan("The plan was deleted. Bring it back from the deleted plans to go on with it.")
    return int(row.number)


def load(connection: Connection, plan_id: str, number: int) -> Revision:
    """One state with its documents.

    Raises
    ------
    ValueError
        If the plan has no such state.
    """
    step = _step(connection, plan_id, number)
    rows = connection.execute(
        select(contents.c.document, blobs.c.sha256, blobs.c.content)
        .join(blobs, blobs.c.sha256 == contents.c.sha256)
        .where(and_(contents.c.plan_id == plan_id, contents.c.number == number))
        .order_by(contents.c.document)
    )
    documents = {row.document: unpacked(row.sha256, row.content) for row in rows}
    return _revision(connection, plan_id, step, documents)


def _step(connection: Connection, plan_id: str, number: int) -> Step:
    here = and_(revisions.c.plan_id == plan_id, revisions.c.number == number)
    row = connection.execute(select(revisions).where(here)).one_or_none()
    if row is None:
        raise ValueError(f"number must be that of a state of the plan, not {number!r}")
    return _step_of(row)


def _step_of(row: Row[Any]) -> Step:
    return Step(row.number, row.parent, row.what, row.session, datetime.fromisoformat(row.saved_at))


def _revision(connection: Connection, plan_id: str, step: Step, documents: Documents) -> Revision:
    follows = and_(revisions.c.plan_id == plan_id, revisions.c.number == redo_steps.c.following)
    after = (
        select(revisions.c.what)
        .select_from(redo_steps.join(revisions, follows))
        .where(and_(redo_steps.c.plan_id == plan_id, redo_steps.c.number == step.number))
    )
    redoes = connection.execute(after).scalar_one_or_none()
    return Revision(
        plan_id,
        step.number,
        step.what,
        step.session,
        step.saved_at,
        documents,
        can_undo=step.parent is not None,
        can_redo=redoes is not None,
        redoes=redoes or "",
    )


def history(connection: Connection, plan_id: str, most: int) -> tuple[Step, ...]:
    """The states of a plan, the last saved first."""
    rows = connection.execute(
        select(revisions)
        .where(revisions.c.plan_id == plan_id)
        .order_by(revisions.c.number.desc())
        .limit(most)
    )
    return tuple(_step_of(row) for row in rows)


def begin(connection: Connection, plan_id: str, documents: Documents, what: str, session: str) -> None:
    """The first state of a plan that has none yet."""
    _add(connection, plan_id, 1, None, packed(documents), {}, what, session)
    connection.execute(insert(heads).values(plan_id=plan_id, number=1))


def follow(
    connection: Connection, plan_id: str, documents: Documents, based_on: int, what: str, session: str
) -> Revision:
    """The state after an edit; where nothing was changed the present one.

    Raises
    ------
    EditedElsewhere
        If the plan is not in the state ``based_on`` any more.
    """
    new = packed(documents)
    plain = {name: one.document for name, one in new.items()}
    _require_head(connection, plan_id, based_on, plain)
    kept = _digests(connection, plan_id, based_on)
    if kept == {name: one.digest for name, one in new.items()}:
        return load(connection, plan_id, based_on)
    last = select(func.max(revisions.c.number)).where(revisions.c.plan_id == plan_id)
    number = int(connection.execute(last).scalar_one()) + 1
    saved_at = _add(connection, plan_id, number, based_on, new, kept, what, session)
    _leads_to(connection, plan_id, based_on, number)
    _move(connection, plan_id, number)
    return Revision(
        plan_id, number, _line(what, LONGEST_WHAT), _line(session, LONGEST_SESSION),
        datetime.fromisoformat(saved_at), plain, can_undo=True, can_redo=False,
    )  # fmt: skip


def step_back(connection: Connection, plan_id: str, based_on: int) -> Revision:
    """The state before the present one, or the present one if it is the first; redoing leads here again."""
    _require_head(connection, plan_id, based_on, None)
    parent = _step(connection, plan_id, based_on).parent
    if parent is not None:
        _leads_to(connection, plan_id, parent, based_on)
        _move(connection, plan_id, parent)
    return load(connection, plan_id, based_on if parent is None else parent)


def step_forward(connection: Connection, plan_id: str, based_on: int) -> Revision:
    """The state that was undone last, or the present one if nothing was undone."""
    _require_head(connection, plan_id, based_on, None)
    here = and_(redo_steps.c.plan_id == plan_id, redo_steps.c.number == based_on)
    following = connection.execute(select(redo_steps.c.following).where(here)).scalar_one_or_none()
    if following is not None:
        _move(connection, plan_id, following)
    return load(connection, plan_id, based_on if following is None else following)


def _require_head(connection: Connection, plan_id: str, based_on: int, mine: Documents | None) -> None:
    head = head_of(connection, plan_id, hold=True)
    if head != based_on:
        base = load(connection, plan_id, based_on)
        raise EditedElsewhere(plan_id, base, mine, load(connection, plan_id, head))


def _digests(connection: Connection, plan_id: str, number: int) -> dict[str, str]:
    query = select(contents.c.document, contents.c.sha256).where(
        and_(contents.c.plan_id == plan_id, contents.c.number == number)
    )
    return {row.document: row.sha256 for row in connection.execute(query)}


def _add(
    connection: Connection,
    plan_id: str,
    number: int,
    parent: int | None,
    new: Mapping[str, Packed],
    kept: Mapping[str, str],
    what: str,
    session: str,
) -> str:
    """Keep a state; documents of the state before, given by their digests, are kept already."""
    saved_at = now()
    connection.execute(
        insert(revisions).values(
            plan_id=plan_id,
            number=number,
            parent=parent,
            what=_line(what, LONGEST_WHAT),
            session=_line(session, LONGEST_SESSION),
            saved_at=saved_at,
        )
    )
    there = set(kept.values())
    fresh = {one.digest: one for one in new.values() if one.digest not in there}
    if fresh:
        keep_blobs(connection, {digest: one.content for digest, one in fresh.items()})
    if new:
        rows = [
            {"plan_id": plan_id, "number": number, "document": name, "sha256": one.digest}
            for name, one in new.items()
        ]
        connection.execute(insert(contents), rows)
    return saved_at


def keep_blobs(connection: Connection, by_digest: Mapping[str, bytes]) -> None:
    """Keep documents, unless they are there; in the order of their digests, so that no writers block each other."""
    connection.execute(
        _KEEP_BLOB, [{"sha256": digest, "content": by_digest[digest]} for digest in sorted(by_digest)]
    )


def _leads_to(connection: Connection, plan_id: str, number: int, following: int) -> None:
    here = and_(redo_steps.c.plan_id == plan_id, redo_steps.c.number == number)
    if connection.execute(update(redo_steps).where(here).values(following=following)).rowcount == 0:
        connection.execute(insert(redo_steps).values(plan_id=plan_id, number=number, following=following))


def _move(connection: Connection, plan_id: str, number: int) -> None:
    connection.execute(update(heads).where(heads.c.plan_id == plan_id).values(number=number))


def drop(connection: Connection, plan_ids: list[str]) -> None:
    """Take plans away for good, and the documents that no other plan has."""
    if connection.dialect.name == "postgresql":  # nobody may come to rely on a document that is about to go
        connection.execute(text(f"LOCK TABLE {blobs.name}, {contents.name} IN SHARE ROW EXCLUSIVE MODE"))
    for table in (redo_steps, heads, contents, revisions):
        connection.execute(delete(table).where(table.c.plan_id.in_(plan_ids)))
    connection.execute(delete(plans).where(plans.c.id.in_(plan_ids)))
    in_use = select(contents.c.sha256).where(contents.c.sha256 == blobs.c.sha256).exists()
    connection.execute(delete(blobs).where(~in_use))


def _line(said: str, most: int) -> str:
    """A short description on one line."""
    shown = "".join(sign if sign.isprintable() else " " for sign in said)
    return " ".join(shown.split())[:most]
