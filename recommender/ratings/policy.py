"""The default policy, and a plan's own policy laid over it: every change noted, every fault reported."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from catalog_schema.problems import Problem, ProblemCode
from catalog_schema.units import UnitError, to_si
from recommender.ratings.policy_words import FIXED, leaves, notes, problem_at, problem_of, value_at
from recommender.ratings.settings import HandForce, Policy, Setting, Technique
from recommender.sourced import cite

__all__ = ["Policy", "Technique", "changed_policy", "default_policy", "read_policy", "source_of"]

_HAND_FORCES = tuple(name for name in HandForce.model_fields if name not in Setting.model_fields)
_FORCE = re.compile(r"\s*([+-]?\d*\.?\d+)\s*([A-Za-z_]+)\s*")


@cache
def _default_tables() -> dict[str, Any]:
    text = files("recommender.ratings").joinpath("default_policy.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    return tables | {"hand": tables["hand"] | _hand_forces(tables["hand"])}


@cache
def default_policy() -> Policy:
    """The policy that holds where a plan says nothing else.

    Examples
    --------
    >>> default_policy().design_factor.rope_explicit.at("catch"), default_policy().survival.factor
    (6.0, 1.5)
    """
    return Policy.model_validate(_default_tables())


def read_policy(path: Path | str) -> tuple[Policy, list[Problem]]:
    """A plan's ``policy.toml`` laid over the default policy.

    Parameters
    ----------
    path : path
        The file; it holds only what differs, and ``reason = "..."`` in a table or at the top.

    Returns
    -------
    Policy
        The policy with its ``notes``; the default policy if there is any problem.
    list of Problem
        Every fault: a factor below its floor, an unknown setting, a wrong kind of value.
    """
    file = Path(path).name
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
        given = tomllib.loads(text)
    except FileNotFoundError:
        return _refused(file, ProblemCode.FILE_MISSING, "there is no such file", "Check the name")
    except (OSError, UnicodeDecodeError) as error:
        hint = "Save it as plain text in UTF-8"
        return _refused(file, ProblemCode.FILE_UNREADABLE, f"the file can't be read ({error})", hint)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"at line (\d+)", str(error))
        line = int(found[1]) if found else text.count("\n") + 1
        hint = "Write [table] lines and lines such as: catch = 6.5 (decimal point, text in quotes)"
        return _refused(file, ProblemCode.FILE_UNREADABLE, f"this is not TOML: {error}", hint, line)
    return changed_policy(given, file=file, text=text)


def changed_policy(
    given: Mapping[str, Any], *, file: str = "policy.toml", text: str = ""
) -> tuple[Policy, list[Problem]]:
    """Changed values, as nested mappings like the tables of the file, laid over the default policy.

    Parameters
    ----------
    given : mapping
        Tables of changed values; hand forces as text with a unit.
    file, text : str
        Name and text of the file they come from, for the place of a problem.

    Returns
    -------
    Policy
        The policy with its ``notes``; the default policy if there is any problem.
    list of Problem
        Every fault found.

    Examples
    --------
    >>> policy, problems = changed_policy({"knot": {"hmpe": 0.25, "reason": "own tests"}})
    >>> policy.notes, problems
    (('strength left in a knot: hmpe lowered from 0.3 to 0.25; reason: own tests',), [])
    """
    reason = str(given.get("reason", ""))
    problems = [_fixed(file, text, path, value) for path, value in leaves(given) if path[-1] in FIXED]
    problems += _hand_problems(given.get("hand"), file, text)
    policy = default_policy()
    try:
        policy = Policy.model_validate(_merged(_default_tables(), _ready(given, reason)))
    except ValidationError as error:
        faults = [fault for fault in error.errors() if not _told(fault, problems)]
        problems += [problem_of(file, text, fault, default_policy()) for fault in faults]
    if problems:
        return default_policy(), sorted(problems, key=lambda problem: problem.line)
    return policy.model_copy(update={"notes": tuple(notes(policy, default_policy(), reason))}), []


def source_of(policy: Policy, *path: str) -> str:
    """Where a value of the policy comes from: its citation and basis, or the plan's own reason.

    Parameters
    ----------
    policy : Policy
        The policy in use.
    path : str
        Name of the value, such as ``"knot", "hmpe"`` or ``"design_factor", "sling", "lift"``.

    Returns
    -------
    str
        Text for the trace of a rating.

    Examples
    --------
    >>> source_of(default_policy(), "survival", "factor")
    'common practice, no source: accidental situation in the sense of EN 1990; the value itself has no source'
    """
    group, value = value_at(policy, path[:-1]), value_at(policy, path)
    if value == value_at(default_policy(), path):
        return f"{cite(group.source)}: {group.basis}"
    return f"changed in the plan's policy ({group.reason or 'no reason given'})"


def _ready(given: Mapping[str, Any], reason: str) -> dict[str, Any]:
    """The given tables for validation: hand forces in newton, fixed values out, the common reason filled in."""
    tables = {key: value for key, value in given.items() if key not in ("reason", *FIXED)}
    hand = tables.get("hand")
    if isinstance(hand, Mapping):
        sound = {key: value for key, value in hand.items() if not _hand_problems({key: value}, "", "")}
        tables["hand"] = {**hand, **_hand_forces(sound)}
    return {key: _reasoned(value, reason) for key, value in tables.items()}


def _reasoned(table: Any, reason: str) -> Any:
    """A table without what is fixed, and with the common reason where it holds values and gives none."""
    if not isinstance(table, Mapping):
        return table
    inner = {key: _reasoned(value, reason) for key, value in table.items() if key not in FIXED}
    return (
        inner if any(isinstance(value, Mapping) for value in inner.values()) else {"reason": reason, **inner}
    )


def _merged(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(base)
    for key, value in over.items():
        below = base.get(key)
        both = isinstance(below, Mapping) and isinstance(value, Mapping)
        merged[key] = _merged(below, value) if both else value  # type: ignore[arg-type]
    return merged


def _force(text: object) -> float:
    """Newtons from a number with a unit."""
    found = _FORCE.fullmatch(text) if isinstance(text, str) else None
    if found is None:
        raise UnitError("a force needs its number and unit")
    return to_si(float(found[1]), found[2], "force")


def _hand_forces(table: Mapping[str, Any]) -> dict[str, float]:
    return {key: _force(value) for key, value in table.items() if key in _HAND_FORCES}


def _hand_problems(table: object, file: str, text: str) -> list[Problem]:
    problems = []
    for key, value in table.items() if isinstance(table, Mapping) else ():
        try:
            _hand_forces({key: value})
        except UnitError as error:
            known = isinstance(value, str) and _FORCE.fullmatch(value)
            code = ProblemCode.UNIT_WRONG if known else ProblemCode.UNIT_MISSING
            hint = 'Write it in quotes with its unit, such as "100 N" or "22 lbf"'
            problems.append(problem_at(file, text, ("hand", key), code, str(error), hint, value))
    return problems


def _told(fault: ErrorDetails, problems: list[Problem]) -> bool:
    column = ".".join(str(part) for part in fault["loc"])
    return any(problem.column == column for problem in problems)


def _fixed(file: str, text: str, path: tuple[str, ...], value: object) -> Problem:
    message = f"{path[-1]} belongs to the default policy and can't be changed"
    return problem_at(file, text, path, ProblemCode.SETTING_UNKNOWN, message, "Take the line out", value)


def _refused(
    file: str, code: ProblemCode, message: str, hint: str, line: int = 0
) -> tuple[Policy, list[Problem]]:
    return default_policy(), [Problem(file, code, message, hint, line)]
