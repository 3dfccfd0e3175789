"""What the store hands out: plans in a list, states of a plan, steps of its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from recommender.store.documents import Documents

RECOVERABLE = timedelta(days=30)
"""How long a deleted plan can be brought back."""


@dataclass(frozen=True)
class PlanEntry:
    """A plan in the list: ``head`` is the number of its present state; times are in UTC."""

    id: str
    kind: str
    name: str
    head: int
    created_at: datetime
    changed_at: datetime
    deleted_at: datetime | None = None

    @property
    def gone_at(self) -> datetime | None:
        """When a deleted plan can't be brought back any more."""
        return self.deleted_at + RECOVERABLE if self.deleted_at else None


@dataclass(frozen=True)
class Step:
    """One saved state without its documents: what was done, in which session, when (UTC), after which state."""

    number: int
    parent: int | None
    what: str
    session: str
    saved_at: datetime


@dataclass(frozen=True)
class Revision:
    """One state of a plan with its documents; lists and dictionaries as JSON has them.

    ``what`` is what led to it, ``redoes`` what the step that was undone last did.
    """

    plan_id: str
    number: int
    what: str
    session: str
    saved_at: datetime
    documents: Documents
    can_undo: bool
    can_redo: bool
    redoes: str = ""
