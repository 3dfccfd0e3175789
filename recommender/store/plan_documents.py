"""The parts of a plan as documents to keep, and back: tables and policy as they are typed, sound or not.

Quantities are in SI. Names of documents: ``settings``, the tables of :data:`TABLES`, ``policy`` (what differs from the
default policy), ``notes`` and ``catalogue`` (where the gear comes from). Any other document is kept as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Self

from pydantic import BaseModel, ValidationError

from catalog_schema import gear
from recommender.store.documents import Documents, Json
from recommender.store.errors import StoreError
from recommender.work import register
from recommender.work.plan_json import PLAN_ROWS
from recommender.work.settings import PlanSettings
from recommender.work.tree_table import TreeRow

Record = Mapping[str, Any]
"""A row as it is typed: name of a column to its cell, quantities in SI where they could be read; a blank is None."""

Rows = tuple[Record, ...]

GEAR = "catalogue"
TABLES: Mapping[str, type[BaseModel]] = {
    **PLAN_ROWS,
    "trees": TreeRow,
    **register.TABLES,
    **{f"{GEAR}/{name}": model for name, model in gear.TABLES.items()},
}
"""Every table of a plan by the name of its document."""

_NAMES = frozenset((*TABLES, "settings", "policy", "notes", GEAR))


def gear_table(name: str) -> str:
    """The document of a table of the catalogue.

    >>> gear_table("ropes")
    'catalogue/ropes'
    """
    return f"{GEAR}/{name}"


def records_of(rows: Iterable[BaseModel]) -> Rows:
    """Sound rows as rows to edit."""
    return tuple(
        {name: None if cell == "" else cell for name, cell in row.model_dump(mode="json").items()}
        for row in rows
    )


@dataclass(frozen=True)
class PlanParts:
    """Everything that a plan is kept with.

    ``tables`` holds the rows of every table of :data:`TABLES` that has any, ``policy`` what differs from the default
    policy, ``more`` other documents; none of it need be sound.
    """

    settings: PlanSettings
    tables: Mapping[str, Rows] = field(default_factory=dict)
    policy: Mapping[str, Any] = field(default_factory=dict)
    gear_from: str = ""
    notes: tuple[str, ...] = ()
    more: Documents = field(default_factory=dict)

    def rows(self, table: str) -> Rows:
        """The rows of a table; the same object as long as it was not changed."""
        return self.tables.get(table, ())

    def with_rows(self, **tables: Iterable[Record]) -> Self:
        """The parts with other rows in some tables, by the names of their documents."""
        changed = {name: tuple(rows) for name, rows in tables.items()}
        kept = {**self.tables, **changed}
        return replace(self, tables={name: rows for name, rows in kept.items() if rows})

    def documents(self) -> dict[str, Json]:
        """The parts as documents; :func:`parts_of` gives the parts back.

        Raises
        ------
        ValueError
            If ``tables`` or ``more`` has a name that it can't have.
        """
        if strange := self.tables.keys() - TABLES.keys():
            raise ValueError(f"tables must be among {', '.join(TABLES)}, not {sorted(strange)}")
        if taken := self.more.keys() & _NAMES:
            raise ValueError(f"more must have names of its own, not {sorted(taken)}")
        return {
            "settings": self.settings.model_dump(mode="json"),
            **{name: list(self.rows(name)) for name in TABLES},
            "policy": self.policy,
            "notes": list(self.notes),
            GEAR: {"from": self.gear_from},
            **self.more,
        }


def parts_of(documents: Documents, like: PlanParts | None = None) -> PlanParts:
    """The parts of a plan from its documents; a document that is not there stands for an empty one.

    Parameters
    ----------
    documents : mapping
    like : PlanParts, optional
        Rows of a table that equal its own are taken from it: what was worked out for them still holds.

    Raises
    ------
    StoreError
        If the settings can't be understood: they were written by a program that knows other ones.
    """
    known: Mapping[str, Any] = documents
    before = like.tables if like else {}
    tables = {name: tuple(known.get(name) or ()) for name in TABLES}
    return PlanParts(
        settings=_settings(known.get("settings") or {}),
        tables={
            name: before[name] if before.get(name) == rows else rows for name, rows in tables.items() if rows
        },
        policy=known.get("policy") or {},
        gear_from=(known.get(GEAR) or {}).get("from", ""),
        notes=tuple(known.get("notes") or ()),
        more={name: document for name, document in documents.items() if name not in _NAMES},
    )


def _settings(value: Any) -> PlanSettings:
    try:
        return PlanSettings.model_validate(value)
    except ValidationError as error:
        said = error.errors(include_url=False)[0]["msg"]
        raise StoreError(f"What was saved as settings can't be used any more: {said}") from error
