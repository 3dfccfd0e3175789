"""The parts of a plan as documents to keep, and back: tables that are being typed as they are, the rest checked.

Quantities are in SI. Names of documents: ``settings``, ``work``, ``trees``, ``owned``, ``register``, ``inspections``,
``policy`` (what differs from the default policy), ``notes``, ``catalogue`` (what holds for the whole of it) and
``catalogue/<table>``. Any other document is kept beside them as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from catalog_schema.catalogue import Catalogue
from catalog_schema.gear import TABLES
from recommender.ratings.policy import changed_policy, default_policy
from recommender.ratings.settings import Policy
from recommender.store.documents import Documents, Json
from recommender.store.errors import StoreError
from recommender.work.plan_json import policy_changes
from recommender.work.register import Inspection, RegisterItem
from recommender.work.settings import PlanSettings
from recommender.work.tables import OwnedGear

Record = Mapping[str, Any]
"""A row as it is typed: name of a column to its cell, sound or not."""

ModelT = TypeVar("ModelT", bound=BaseModel)

GEAR = "catalogue"
ROWS: Mapping[str, type[BaseModel]] = {
    "owned": OwnedGear,
    "register": RegisterItem,
    "inspections": Inspection,
}
TYPED = ("work", "trees")
_NAMES = frozenset(
    (*TYPED, *ROWS, "settings", "policy", "notes", GEAR, *(f"{GEAR}/{name}" for name in TABLES))
)


@dataclass(frozen=True)
class PlanParts:
    """Everything that a plan is kept with; ``work`` and ``trees`` may be faulty, ``more`` holds other documents."""

    settings: PlanSettings
    work: tuple[Record, ...] = ()
    trees: tuple[Record, ...] = ()
    catalogue: Catalogue | None = None
    gear_from: str = ""
    owned: tuple[OwnedGear, ...] = ()
    register: tuple[RegisterItem, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    policy: Policy = field(default_factory=default_policy)
    notes: tuple[str, ...] = ()
    more: Documents = field(default_factory=dict)

    def documents(self) -> dict[str, Json]:
        """The parts as documents; :func:`parts_of` gives the parts back.

        Raises
        ------
        ValueError
            If ``more`` has the name of one of them.
        """
        if self.more.keys() & _NAMES:
            raise ValueError(f"more must have names of its own, not {sorted(self.more.keys() & _NAMES)}")
        return {
            "settings": self.settings.model_dump(mode="json"),
            **{name: getattr(self, name) for name in TYPED},
            **{name: _dumped(getattr(self, name)) for name in ROWS},
            "policy": policy_changes(self.policy),
            "notes": self.notes,
            **_gear_documents(self.catalogue, self.gear_from),
            **self.more,
        }


def parts_of(documents: Documents) -> PlanParts:
    """The parts of a plan from its documents; a document that is not there stands for an empty one.

    Raises
    ------
    StoreError
        If a document can't be understood: it was written by a program that knows other columns.
    """
    known: Mapping[str, Any] = documents
    policy, problems = changed_policy(known.get("policy") or {})
    if problems:
        raise StoreError(f"The saved policy can't be used any more: {problems[0]}")
    return PlanParts(
        settings=_validated(PlanSettings, known.get("settings") or {}, "settings"),
        **{name: tuple(known.get(name) or ()) for name in TYPED},
        **{name: _rows(model, known.get(name), name) for name, model in ROWS.items()},  # type: ignore[arg-type]
        catalogue=_catalogue(known),
        gear_from=(known.get(GEAR) or {}).get("from", ""),
        policy=policy,
        notes=tuple(known.get("notes") or ()),
        more={name: document for name, document in documents.items() if name not in _NAMES},
    )


def _gear_documents(catalogue: Catalogue | None, gear_from: str) -> dict[str, Json]:
    if catalogue is None:
        return {}
    tables = {f"{GEAR}/{name}": _dumped(rows) for name, rows in catalogue.tables().items()}
    return {GEAR: {"currency": catalogue.currency, "from": gear_from}, **tables}


def _catalogue(documents: Mapping[str, Any]) -> Catalogue | None:
    if GEAR not in documents:
        return None
    rows = {name: _rows(model, documents.get(f"{GEAR}/{name}"), name) for name, model in TABLES.items()}
    return Catalogue(**rows, currency=documents[GEAR]["currency"])  # type: ignore[arg-type]


def _dumped(rows: Iterable[BaseModel]) -> list[Json]:
    return [row.model_dump(mode="json") for row in rows]


def _rows(model: type[ModelT], rows: Any, place: str) -> tuple[ModelT, ...]:
    return tuple(
        _validated(model, row, f"{place}, row {number}") for number, row in enumerate(rows or (), start=1)
    )


def _validated(model: type[ModelT], value: Any, place: str) -> ModelT:
    try:
        return model.model_validate(value)
    except ValidationError as error:
        said = error.errors(include_url=False)[0]["msg"]
        raise StoreError(f"What was saved as {place} can't be used any more: {said}") from error
