"""How a column of a table is declared: a pydantic field with its kind of quantity, words and example."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic.fields import FieldInfo

from catalog_schema.units import KINDS


class Row(BaseModel):
    """One row of a table: frozen, unknown columns refused, quantities in SI."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


CURRENCY = "currency"
"""The unit of what is in the currency of the catalogue's prices."""


def column(description: str, *, example: str = "", default: Any = ..., unit: str = "", **limits: Any) -> Any:
    """A column that is no quantity: text, a number, yes/no, or a choice; ``unit`` is what a number counts, if told."""
    extra = {"example": example, **({"unit": unit} if unit else {})}
    return Field(default, description=description, json_schema_extra=extra, **limits)  # type: ignore[arg-type]


def quantity(kind: str, description: str, *, example: str = "", default: Any = ..., **limits: Any) -> Any:
    """A column that holds a quantity of ``kind``; its header carries a unit, its value is stored in SI.

    ``example`` is a value in the kind's metric unit; ``limits`` (``gt``, ``ge``, ``lt``, ``le``) are in SI.
    """
    extra = {"kind": kind, "si_unit": KINDS[kind].si, "unit": KINDS[kind].metric, "example": example}
    return Field(default, description=description, json_schema_extra=extra, **limits)  # type: ignore[arg-type]


def kind_of(field: FieldInfo) -> str | None:
    """The kind of quantity of a declared column, or None for a column without a unit."""
    extra = field.json_schema_extra
    kind = extra.get("kind") if isinstance(extra, dict) else None
    return str(kind) if kind is not None else None


def counted_in(field: FieldInfo) -> str:
    """The unit that a declared number without a kind counts; empty if there is none."""
    extra = field.json_schema_extra
    return str(extra.get("unit", "")) if isinstance(extra, dict) and "kind" not in extra else ""


def example_of(field: FieldInfo) -> str:
    """The example value of a declared column, in the kind's metric unit."""
    extra = field.json_schema_extra
    return str(extra.get("example", "")) if isinstance(extra, dict) else ""


def word(value: object) -> object:
    """A word of a choice column in the one way that it is kept: ``double_braid`` for ``Double braid``."""
    return re.sub(r"[\s\-/]+", "_", value.strip().lower()) if isinstance(value, str) else value


Word = BeforeValidator(word)
"""Marks a choice column: 'Double braid', 'double-braid' and 'double_braid' are one word."""

_YES_NO = {
    "yes": True,
    "y": True,
    "true": True,
    "x": True,
    "1": True,
    "no": False,
    "n": False,
    "false": False,
    "0": False,
}


def yes_or_no(value: object) -> object:
    """Yes or no in any of the ways that people write it; anything else as it is."""
    return _YES_NO.get(value.strip().lower(), value) if isinstance(value, str) else value


YesNo = Annotated[bool, BeforeValidator(yes_or_no)]
