"""Settings of a plan and factors of its policy as fields of a form, with words, limits and units as declared."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from catalog_schema.columns import Column, columns_of
from catalog_schema.units import UnitSystem, from_si, to_si, unit_of
from recommender.charts.words import headline, setting_label
from recommender.dashboard.rounding import rounded
from recommender.ratings.policy import default_policy
from recommender.ratings.policy_words import Place, label, leaves, value_at
from recommender.ratings.settings import Policy
from recommender.work.settings import PlanSettings

APART = ("name", "units", "catalog")
"""Settings that are changed elsewhere, or that a plan on the screen does not need."""

PROMINENT = ("design_factor", "survival", "retirement", "condition", "wear")
"""Parts of the policy that are offered on the screen; all others can be changed in a policy file."""


@dataclass(frozen=True)
class Field:
    """A field of a form, in the user's units; ``least`` and ``most`` may be taken themselves."""

    place: Place
    label: str
    about: str
    value: bool | int | float | str
    least: float | None = None
    most: float | None = None
    usual: str = ""


def setting_fields(settings: PlanSettings, system: UnitSystem) -> dict[str, list[Field]]:
    """The fields of the settings by their group; those of no group are under ''."""
    groups: dict[str, list[Field]] = {"": []}
    for place, field, value in _walk(settings, ()):
        if place[0] not in APART:
            groups.setdefault("" if len(place) == 1 else place[0], []).append(
                _field(place, field, value, system)
            )
    return groups


def _walk(model: BaseModel, before: Place) -> Iterator[tuple[Place, FieldInfo, Any]]:
    for name, field in type(model).model_fields.items():
        value, place = getattr(model, name), (*before, name)
        if isinstance(value, BaseModel):
            yield from _walk(value, place)
        else:
            yield place, field, value


def _field(place: Place, field: FieldInfo, value: Any, system: UnitSystem) -> Field:
    column, (least, most) = _column(place), _limits(field)
    kind = column.kind
    value = float(value) if column.sort == "number" else value
    if kind is not None:
        unit = unit_of(kind, system)
        value, least, most = (
            None if one is None else float(f"{from_si(one, unit, kind):.12g}") for one in (value, least, most)
        )
        value = min(max(rounded(value), least or 0.0), most or inf)
    return Field(place, setting_label(place[-1], field, system), field.description or "", value, least, most)


def _column(place: Place) -> Column:
    model: type[BaseModel] = PlanSettings
    for name in place[:-1]:
        model = type(getattr(PlanSettings(), name))
    return columns_of(model)[place[-1]]


def _limits(field: FieldInfo) -> tuple[float | None, float | None]:
    """Least and greatest value; a limit that may not be reached itself is left to the check of the whole."""
    told = {
        name: getattr(one, name)
        for one in field.metadata
        for name in ("ge", "gt", "le")
        if hasattr(one, name)
    }
    return told.get("ge", told.get("gt")), told.get("le")


def changed_settings(
    settings: PlanSettings, place: Place, value: bool | float | str, system: UnitSystem
) -> PlanSettings:
    """The settings with another value, given in the user's units.

    Raises
    ------
    ValueError
        If it is out of its limits; the message is in words to show.
    """
    column = _column(place)
    kind = column.kind
    stored = to_si(float(value), unit_of(kind, system), kind) if kind is not None else value
    tables = settings.model_dump()
    table = tables
    for name in place[:-1]:
        table = table[name]
    table[place[-1]] = float(stored) if column.sort == "number" else stored
    try:
        return PlanSettings.model_validate(tables)
    except ValidationError as error:
        said = error.errors(include_url=False)[0]["msg"]
        raise ValueError(
            f"{headline(place[-1])}: {said[:1].lower() + said[1:]}. It was left as it is."
        ) from error


def policy_fields(policy: Policy) -> dict[str, list[Field]]:
    """The numbers of the policy that are offered on the screen, by their group, with floors as least values."""
    usual = default_policy()
    groups: dict[str, list[Field]] = {}
    for place, value in leaves(policy.model_dump(include=set(PROMINENT))):
        if not isinstance(value, float) or place[-1] == "floor":
            continue
        floor = getattr(value_at(policy, place[:-1]), "floor", None)
        was = value_at(usual, place)
        told = "" if value == was else f"the default is {was:g}"
        about = f"{value_at(usual, place[:-1]).basis}" + (
            f"; not below {floor:g}" if floor is not None else ""
        )
        field = Field(
            place, headline(label(place)), about, value, floor if floor is not None else 0.0, None, told
        )
        groups.setdefault(place[0], []).append(field)
    return groups


def changed_policy_tables(changes: Mapping[str, Any], place: Place, value: object) -> dict[str, Any]:
    """What differs from the default policy after one more change; a value that is the default again is no change.

    >>> changed_policy_tables({}, ("survival", "factor"), 2.0)
    {'survival': {'factor': 2.0}}
    >>> changed_policy_tables({"survival": {"factor": 2.0}}, ("survival", "factor"), 1.5)
    {}
    """
    head, rest = place[0], place[1:]
    tables = dict(changes)
    if rest:
        inner = _changed(dict(tables.get(head, {})), rest, value, (head,))
        tables[head] = inner
    else:
        tables[head] = value
    return {name: table for name, table in tables.items() if table not in ({}, "")}


def _changed(table: dict[str, Any], place: Place, value: object, before: Place) -> dict[str, Any]:
    name, rest = place[0], place[1:]
    if rest:
        table[name] = _changed(dict(table.get(name, {})), rest, value, (*before, name))
    else:
        table[name] = value
    if not rest and value == value_at(default_policy(), (*before, name)):
        table.pop(name)
    return {key: one for key, one in table.items() if one not in ({}, "")}
