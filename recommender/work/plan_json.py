"""A whole plan as one JSON document of a published form, and back to the identical plan.

Quantities are in SI. Of the policy only what differs from the default is written, and it is laid over the default
again when it is read: a file can't lower a factor below its floor, and every change is noted.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from math import isinf
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal, NoReturn, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from catalog_schema.catalogue import REQUIRED, Catalogue
from catalog_schema.gear import TABLES, Brake, Connector, Extra, Lifter, Redirect, Rope, Sling
from catalog_schema.grids import decode, read_bytes
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.writing import write_rows_csv
from recommender.ratings.policy import changed_policy, default_policy
from recommender.ratings.policy_words import leaves, notes
from recommender.ratings.settings import Policy
from recommender.work.origins import Origins, counted_gear
from recommender.work.plan import Plan, load_plan
from recommender.work.register import (
    Inspection,
    RegisterItem,
    is_unlisted,
    read_register_files,
    register_files,
)
from recommender.work.settings import PlanSettings, settings_to_toml
from recommender.work.tables import JobType, OwnedGear, SeasonRow, SeasonWork
from recommender.work.tree_jobs import jobs_of_tree
from recommender.work.tree_reading import joined, tree_notes
from recommender.work.tree_table import TreeRow

FORMAT = "rigging kit plan"
VERSION = 1
"""Raised by one whenever a document of the form before could be read wrongly."""

PLAN_ROWS: dict[str, type[BaseModel]] = {
    "work": JobType,
    "owned": OwnedGear,
    "seasons": SeasonRow,
    "season_work": SeasonWork,
}
_MODELS: dict[str, type[BaseModel]] = {**TABLES, **PLAN_ROWS, "trees": TreeRow}
_ACROSS_ROWS = (
    ProblemCode.ID_TWICE, ProblemCode.ID_UNKNOWN, ProblemCode.SPECIES_UNKNOWN, ProblemCode.CONFLICT,
    ProblemCode.FILE_EMPTY, ProblemCode.VALUE_MISSING,
)  # fmt: skip
"""What is found between rows, beyond single cells."""

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


Held = TypeVar("Held", bound=BaseModel)


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
    trees: tuple[TreeRow, ...] = Field(default=(), description="Trees whose pieces come on top of ``work``")
    owned: tuple[OwnedGear, ...] = ()
    seasons: tuple[SeasonRow, ...] = ()
    season_work: tuple[SeasonWork, ...] = ()
    catalogue: GearTables
    policy: dict[str, Any] = Field(default={}, description="What differs from the default policy")
    notes: tuple[str, ...] = Field(default=(), description="What was taken for granted when it was read")
    registered: tuple[RegisterItem, ...] = Field(
        default=(),
        description="Piece by piece what is owned; counts instead of ``owned``, which is what of it was sound",
    )
    inspections: tuple[Inspection, ...] = ()


def plan_to_json(plan: Plan) -> str:
    """A plan as one JSON document that ends with a line end; the folder that it came from is left out."""
    origins = plan.origins
    document = {
        "format": FORMAT,
        "version": VERSION,
        "settings": plan.settings.model_dump(mode="json"),
        "work": [_filled(job) for job in (origins.work if origins.trees else plan.jobs)],
        "owned": [_filled(one) for one in plan.owned],
        "seasons": [_filled(one) for one in plan.seasons],
        "season_work": [_filled(one) for one in plan.season_work],
        "catalogue": {
            "currency": plan.catalogue.currency,
            **{name: [_filled(row) for row in rows] for name, rows in plan.catalogue.tables().items()},
        },
        "policy": policy_changes(plan.policy),
        "notes": [note for note in plan.notes if note not in origins.notes],
        **{name: [_filled(row) for row in rows] for name, rows in _origins(origins).items() if rows},
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _origins(origins: Origins) -> dict[str, Sequence[BaseModel]]:
    return {"trees": origins.trees, "registered": origins.register, "inspections": origins.inspections}


def plan_from_json(text: str, file: str = "plan.json", today: date | None = None) -> Plan:
    """The plan of a JSON document; its ``folder`` is the present one.

    Parameters
    ----------
    text : str
    file : str
        Name to show in problems.
    today : date, optional
        Of its register what is sound on this day is planned with; the day it is, if left out.

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
    policy, problems = changed_policy(document.policy, file=file)
    problems += _across(document, file)
    catalogue = Catalogue(**{name: getattr(document.catalogue, name) for name in GearTables.model_fields})
    today = today or date.today()
    problems += _across_register(document, catalogue, file, today)
    if problems:
        raise InputError(problems)
    from_trees = tuple(job for row in document.trees for job in jobs_of_tree(row))
    own_jobs = document.work if document.trees else ()
    told = tuple(tree_notes(document.trees, from_trees, document.settings.units))
    origins = Origins(own_jobs, document.trees, document.registered, document.inspections, told)
    listed = () if document.registered else document.owned
    owned, origins = counted_gear(listed, origins, catalogue, policy, today)
    return Plan(
        folder=Path(),
        settings=document.settings,
        jobs=joined(document.work, from_trees, document.settings.pieces_per_season),
        catalogue=catalogue,
        owned=owned,
        policy=policy,
        notes=(*document.notes, *origins.notes),
        seasons=document.seasons,
        season_work=document.season_work,
        origins=origins,
    )


def read_plan_file(path: Path | str) -> Plan:
    """The plan in a file that :func:`plan_to_json` made.

    Raises
    ------
    InputError
        If it can't be read, and for every problem that :func:`plan_from_json` finds.
    """
    path = Path(path)
    return plan_from_json(decode(read_bytes(path), path.name), path.name)


def policy_changes(policy: Policy) -> dict[str, Any]:
    """What differs from the default policy, as :func:`recommender.ratings.policy.changed_policy` takes it.

    >>> from recommender.ratings.policy import changed_policy
    >>> changed, _ = changed_policy({"knot": {"hmpe": 0.25, "reason": "own tests"}})
    >>> policy_changes(changed)
    {'knot': {'reason': 'own tests', 'hmpe': 0.25}}
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
    at = next((k for k, one in enumerate(place) if isinstance(one, int)), 0)
    row, table = (int(place[at]) + 1, str(place[at - 1])) if at else (0, "")
    column = ".".join(str(one) for one in place[at + 1 if at else 0 :])
    code, message, hint = _CODES.get(fault["type"], (ProblemCode.CONFLICT, "", ""))
    said, _, advice = fault["msg"].removeprefix("Value error, ").partition(": ")
    value = "" if isinstance(fault["input"], dict | list) else str(fault["input"])
    told = hint or (advice[:1].upper() + advice[1:]) or "Compare it with the published form"
    return Problem(
        file, code, message or said[:1].lower() + said[1:], told, row, column, value, table if row else ""
    )


def _across(document: PlanDocument, file: str) -> Iterator[Problem]:
    """What is wrong between rows that are sound each: the tables are written to a folder and read like any plan."""
    tables: dict[str, Sequence[BaseModel]] = {name: getattr(document.catalogue, name) for name in TABLES}
    tables |= {name: getattr(document, name) for name in (*PLAN_ROWS, "trees")}
    with TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "plan.toml").write_text(settings_to_toml(PlanSettings(catalog=".")), encoding="utf-8")
        for name, rows in tables.items():
            if rows or name in REQUIRED or (name == "work" and not document.trees):
                write_rows_csv(
                    [_on_one_line(row) for row in rows], folder / f"{name}.csv", model=_MODELS[name]
                )
        try:
            read = load_plan(folder)
        except InputError as error:
            yield from (_moved(one, file) for one in error.problems if _is_across(one))
            return
    if read.catalogue.currency != document.catalogue.currency:
        message, hint = f"the prices are in {read.catalogue.currency or 'no currency'}", "Write the same here"
        value = document.catalogue.currency
        yield Problem(file, ProblemCode.CONFLICT, message, hint, 0, "currency", value, "catalogue")


def _across_register(
    document: PlanDocument, catalogue: Catalogue, file: str, today: date
) -> Iterator[Problem]:
    """What is wrong between rows of the register that are sound each."""
    if document.registered or document.inspections:
        files = register_files(
            [_on_one_line(one) for one in document.registered],
            [_on_one_line(one) for one in document.inspections],
        )
        _, _, problems = read_register_files(files, catalogue, today)
        for one in (one for one in problems if not is_unlisted(one)):
            moved = _moved(one, file)
            yield replace(moved, sheet="registered") if moved.sheet == "register" else moved


def _on_one_line(row: Held) -> Held:
    """The row with texts that take one line each, so that lines can be told as rows."""
    texts = {name: " ".join(value.split()) for name, value in row if isinstance(value, str)}
    return row.model_copy(update=texts)


def _is_across(problem: Problem) -> bool:
    """Whether a problem is one between rows: cells were checked before, and numbers are written with 12 digits only."""
    return problem.line == 0 or problem.code in _ACROSS_ROWS


def _moved(problem: Problem, file: str) -> Problem:
    """A problem of a table's file at its place in the document."""
    return replace(problem, file=file, sheet=Path(problem.file).stem, line=max(problem.line - 1, 0))
