"""A whole plan as one JSON document of a published form, and back to the identical plan.

Quantities are in SI. Of the policy only what differs from the default is written, and it is laid over the default
again when it is read: a file can't lower a factor below its floor, and every change is noted.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from math import isinf
from pathlib import Path
from typing import Any, Literal, NoReturn

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from catalog_schema.catalogue import REQUIRED, Catalogue, lengths_of
from catalog_schema.gear import Brake, Connector, Extra, Gear, Lifter, Redirect, Rope, Sling
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.writing import row_values
from recommender.ratings.policy import changed_policy, default_policy
from recommender.ratings.policy_words import leaves, notes
from recommender.ratings.settings import Policy
from recommender.work.plan import Plan, jobs_from_rows, owned_from_rows
from recommender.work.settings import PlanSettings
from recommender.work.tables import JobType, OwnedGear

FORMAT = "rigging kit plan"
VERSION = 1
"""Raised by one whenever a document of the form before could be read wrongly."""

_ACROSS_ROWS = (
    ProblemCode.ID_TWICE, ProblemCode.ID_UNKNOWN, ProblemCode.SPECIES_UNKNOWN, ProblemCode.CONFLICT,
    ProblemCode.FILE_EMPTY, ProblemCode.VALUE_MISSING,
)  # fmt: skip
"""What the checks of a work mix and of owned gear find beyond single cells, which are checked before."""

_CODES = {
    "missing": (ProblemCode.VALUE_MISSING, "the value is missing", "Write it"),
    "extra_forbidden": (ProblemCode.SETTING_UNKNOWN, "there is no such name here", "Take it out"),
    "literal_error": (ProblemCode.NOT_A_CHOICE, "", "Write one of these"),
    "greater_than": (ProblemCode.OUT_OF_RANGE, "", "Check the number; quantities are in SI"),
    "greater_than_equal": (ProblemCode.OUT_OF_RANGE, "", "Check the number; quantities are in SI"),
    "less_than": (ProblemCode.OUT_OF_RANGE, "", "Check the number; quantities are in SI"),
    "less_than_equal": (ProblemCode.OUT_OF_RANGE, "", "Check the number; quantities are in SI"),
    "float_type": (ProblemCode.NOT_A_NUMBER, "this is not a number", "Write a number without quotes"),
    "int_type": (
        ProblemCode.NOT_A_NUMBER,
        "this is not a whole number",
        "Write a whole number without quotes",
    ),
}


class _Document(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class GearTables(_Document):
    """Every table of a catalogue, and the currency of its prices."""

    currency: str = ""
    ropes: tuple[Rope, ...]
    redirects: tuple[Redirect, ...]
    slings: tuple[Sling, ...]
    brakes: tuple[Brake, ...]
    lifters: tuple[Lifter, ...] = ()
    connectors: tuple[Connector, ...] = ()
    extras: tuple[Extra, ...] = ()


class PlanDocument(_Document):
    """A plan with its catalogue, in one file. Quantities are in their si_unit.

    ``policy`` holds the values that differ from the default policy, as the tables of a policy.toml.
    """

    format: Literal["rigging kit plan"] = Field(description="Tells this form from others")
    version: Literal[1] = Field(description="Version of this form")
    settings: PlanSettings
    work: tuple[JobType, ...]
    owned: tuple[OwnedGear, ...] = ()
    catalogue: GearTables
    policy: dict[str, Any] = Field(default={}, description="What differs from the default policy")
    notes: tuple[str, ...] = Field(default=(), description="What was taken for granted when it was read")


def plan_to_json(plan: Plan) -> str:
    """A plan as one JSON document; the folder that it came from is left out.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    str
        Ends with a line end.
    """
    document = {
        "format": FORMAT,
        "version": VERSION,
        "settings": plan.settings.model_dump(mode="json"),
        "work": [_filled(job) for job in plan.jobs],
        "owned": [_filled(one) for one in plan.owned],
        "catalogue": {
            "currency": plan.catalogue.currency,
            **{name: [_filled(row) for row in rows] for name, rows in plan.catalogue.tables().items()},
        },
        "policy": policy_changes(plan.policy),
        "notes": list(plan.notes),
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def plan_from_json(text: str, file: str = "plan.json") -> Plan:
    """The plan of a JSON document; its ``folder`` is the present one.

    Parameters
    ----------
    text : str
    file : str
        Name to show in problems.

    Raises
    ------
    InputError
        With every problem: text that is no JSON, another form, a newer version, wrong values, a policy factor
        below its floor, rows that do not agree with each other.
    """
    _check_form(_parsed(text, file), file)
    try:
        document = PlanDocument.model_validate_json(text, strict=True)
    except ValidationError as error:
        raise InputError(_problem(file, fault) for fault in error.errors(include_url=False)) from error
    catalogue = Catalogue(**{name: getattr(document.catalogue, name) for name in GearTables.model_fields})
    policy, problems = changed_policy(document.policy, file=file)
    problems += _across(document, catalogue, file)
    if problems:
        raise InputError(problems)
    return Plan(
        Path(), document.settings, document.work, catalogue, document.owned, policy, document.notes
    )  # fmt: skip


def policy_changes(policy: Policy) -> dict[str, Any]:
    """What differs from the default policy, as :func:`recommender.ratings.policy.changed_policy` takes it.

    >>> from recommender.ratings.policy import changed_policy
    >>> changed, _ = changed_policy({"knot": {"hmpe": 0.25, "reason": "own tests"}})
    >>> policy_changes(changed)
    {'knot': {'hmpe': 0.25, 'reason': 'own tests'}}
    """
    usual = dict(leaves(default_policy().model_dump(exclude={"notes"})))
    changes: dict[str, Any] = {}
    for path, value in leaves(policy.model_dump(mode="json", exclude={"notes"})):
        before = usual[path]
        if value == (list(before) if isinstance(before, tuple) else before):
            continue
        table = changes
        for name in path[:-1]:
            table = table.setdefault(name, {})
        table[path[-1]] = (
            f"{Decimal(repr(value)):f} N" if path[0] == "hand" and path[-1] != "reason" else value
        )
    reason = _common_reason(policy)
    return {"reason": reason, **changes} if reason else changes


def _common_reason(policy: Policy) -> str:
    """The reason at the top of a policy, which stands in the notes on values outside any table only."""
    for told, bare in zip(policy.notes, notes(policy, default_policy(), ""), strict=False):
        if told != bare and bare.endswith("no reason given"):
            return told.removeprefix(bare.removesuffix("no reason given")).removeprefix("reason: ")
    return ""


def _filled(row: BaseModel) -> dict[str, Any]:
    return row.model_dump(mode="json", exclude_none=True)


def _parsed(text: str, file: str) -> Any:
    try:
        return json.loads(text, parse_constant=_no_number, parse_float=_finite)
    except json.JSONDecodeError as error:
        line, message = error.lineno, f"this is not JSON: {error.msg}"
    except (ValueError, RecursionError) as error:
        line, message = 0, f"this can't be read: {error}"
    hint = "Take a file that was saved whole, or save the plan again"
    raise InputError([Problem(file, ProblemCode.FILE_UNREADABLE, message, hint, line)])


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number that a plan can hold")


def _finite(text: str) -> float:
    value = float(text)
    return _no_number(text) if isinf(value) else value


def _check_form(document: Any, file: str) -> None:
    """Refuse what is another form, or a version that this program does not know."""
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        message, hint = "this is JSON, but no saved plan", "Take a file that was saved as a plan"
        raise InputError([Problem(file, ProblemCode.FILE_UNREADABLE, message, hint, column="format")])
    version = document.get("version")
    if isinstance(version, int) and version > VERSION:
        message = f"it was saved by a newer program: version {version}, this one reads up to {VERSION}"
        hint = "Bring the program up to date, then read it"
        raise InputError(
            [Problem(file, ProblemCode.FILE_UNREADABLE, message, hint, column="version", value=str(version))]
        )


def _problem(file: str, fault: ErrorDetails) -> Problem:
    """A fault of validation with its table, the number of its row, and its name."""
    place = list(fault["loc"])
    table = str(place[-3 if isinstance(place[-2], int) else -2]) if len(place) > 2 else ""
    row = next((one + 1 for one in reversed(place) if isinstance(one, int)), 0)
    column = (
        ".".join(str(one) for one in place)
        if not row
        else str(place[-1] if not isinstance(place[-1], int) else "")
    )
    code, message, hint = _CODES.get(fault["type"], (ProblemCode.CONFLICT, "", ""))
    said, _, advice = fault["msg"].removeprefix("Value error, ").partition(": ")
    value = "" if isinstance(fault["input"], dict | list) else str(fault["input"])
    told = hint or (advice[:1].upper() + advice[1:]) or "Compare it with the published form"
    return Problem(
        file, code, message or said[:1].lower() + said[1:], told, row, column, value, table if row else ""
    )


def _across(document: PlanDocument, catalogue: Catalogue, file: str) -> Iterator[Problem]:
    """What is wrong between rows that are sound each."""
    yield from _gear_across(catalogue, file)
    _, of_work = jobs_from_rows([row_values(job) for job in document.work])
    _, of_owned = owned_from_rows([row_values(one) for one in document.owned], catalogue)
    for sheet, problems in (("work", of_work), ("owned", of_owned)):
        for one in problems:
            if one.code in _ACROSS_ROWS:
                row = max(one.line - 1, 0)
                yield Problem(file, one.code, one.message, one.hint, row, one.column, one.value, sheet)


def _gear_across(catalogue: Catalogue, file: str) -> Iterator[Problem]:
    tables = catalogue.tables()
    for name in REQUIRED:
        if not tables[name]:
            message, hint = "the table has no row", f"Write at least one row: no kit works without {name}"
            yield Problem(file, ProblemCode.FILE_EMPTY, message, hint, sheet=name)
    for id, count in Counter(_ids(row for rows in tables.values() for row in rows)).items():
        if count > 1:
            message, hint = f"the id is there {count} times", "Give every row an id of its own"
            yield Problem(file, ProblemCode.ID_TWICE, message, hint, column="id", value=id, sheet="catalogue")
    for name, rows in tables.items():
        yield from _other_currencies(rows, catalogue.currency, file, name)


def _ids(rows: Iterable[Gear]) -> Iterator[str]:
    for row in rows:
        yield row.id
        if isinstance(row, Rope):
            yield from (one.id for one in lengths_of(row) if one.id != row.id)


def _other_currencies(rows: Sequence[Gear], currency: str, file: str, sheet: str) -> Iterator[Problem]:
    for number, row in enumerate(rows, start=1):
        if row.currency and row.currency.upper() != currency:
            message = f"prices are in {currency or 'no currency'} in the catalogue and in another one here"
            hint = "Write every price in one currency"
            yield Problem(
                file, ProblemCode.CONFLICT, message, hint, number, "currency", row.currency, sheet
            )  # fmt: skip
