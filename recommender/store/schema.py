"""The tables of the store as they are now; :mod:`recommender.store.migrations` makes them.

A state of a plan is a row of ``revisions`` and one row of ``contents`` for each of its documents; a document is kept
once in ``blobs``, under the SHA-256 of its bytes. ``heads`` says which state a plan is in, ``redo_steps`` which state
follows when an undone step is done again. Rows of ``revisions``, ``contents`` and ``blobs`` are never changed.
"""

from __future__ import annotations

from sqlalchemy import (
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
)

metadata = MetaData()

choices = Table(
    "kitplan_choices",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", String(200), nullable=False),
)
"""What was chosen last, such as the plan that was open: no part of any plan, and in no backup."""

version = Table("kitplan_version", metadata, Column("version", Integer, nullable=False))

plans = Table(
    "kitplan_plans",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("name_key", String(600), nullable=False),
    Column("created_at", String(32), nullable=False),
    Column("deleted_at", String(32)),
    Column("kind", String(40), nullable=False, server_default="plan"),
)

one_name = Index(
    "kitplan_one_name",
    plans.c.kind,
    plans.c.name_key,
    unique=True,
    sqlite_where=plans.c.deleted_at.is_(None),
    postgresql_where=plans.c.deleted_at.is_(None),
)

revisions = Table(
    "kitplan_revisions",
    metadata,
    Column("plan_id", String(32), ForeignKey(plans.c.id), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("parent", Integer),
    Column("what", String(200), nullable=False),
    Column("session", String(100), nullable=False),
    Column("saved_at", String(32), nullable=False),
    ForeignKeyConstraint(["plan_id", "parent"], ["kitplan_revisions.plan_id", "kitplan_revisions.number"]),
)

blobs = Table(
    "kitplan_blobs",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)


def _to_revision(number: str) -> ForeignKeyConstraint:
    return ForeignKeyConstraint(["plan_id", number], [revisions.c.plan_id, revisions.c.number])


contents = Table(
    "kitplan_contents",
    metadata,
    Column("plan_id", String(32), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("document", String(100), primary_key=True),
    Column("sha256", String(64), ForeignKey(blobs.c.sha256), nullable=False),
    _to_revision("number"),
)

heads = Table(
    "kitplan_heads",
    metadata,
    Column("plan_id", String(32), ForeignKey(plans.c.id), primary_key=True),
    Column("number", Integer, nullable=False),
    _to_revision("number"),
)

redo_steps = Table(
    "kitplan_redo_steps",
    metadata,
    Column("plan_id", String(32), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("following", Integer, nullable=False),
    _to_revision("number"),
    _to_revision("following"),
)
