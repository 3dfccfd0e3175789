"""A policy in words: names of its values, notes on changes, and the problems of a policy file with their place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from catalog_schema.problems import Problem, ProblemCode
from recommender.ratings.settings import Policy

FIXED = ("floor", "source", "basis", "notes")
"""What a plan's own policy can't set."""

Place = tuple[str, ...]
_PARTS = {"rope_explicit": "rope", "rope_all_in": "rope all-in"}
_HIGHER_IS_SAFER = (("design_factor",), ("survival",), ("catch_peak",), ("stiffness", "high"))
_CODES = {
    "below_floor": ProblemCode.BELOW_FLOOR,
    "extra_forbidden": ProblemCode.SETTING_UNKNOWN,
    "literal_error": ProblemCode.NOT_A_CHOICE,
    "value_error": ProblemCode.CONFLICT,
    "string_type": ProblemCode.CONFLICT,
    "model_type": ProblemCode.CONFLICT,
    "tuple_type": ProblemCode.CONFLICT,
    "greater_than": ProblemCode.OUT_OF_RANGE,
    "greater_than_equal": ProblemCode.OUT_OF_RANGE,
    "less_than_equal": ProblemCode.OUT_OF_RANGE,
}
_MESSAGES = {"model_type": "this is the name of a table", "tuple_type": "this is a list of numbers"}
_HINTS = {
    "literal_error": "Write one of these, in quotes",
    "value_error": "Compare with the default policy",
    "string_type": "Write it in quotes",
    "model_type": "Write it as a table: a line [name], and below it its values",
    "tuple_type": "Write a list of numbers: [1.0, 2.0]",
}


def value_at(policy: BaseModel, path: Place) -> Any:
    """A value or a group of a policy by its path."""
    value: Any = policy
    for name in path:
        value = getattr(value, name)
    return value


def leaves(tables: Mapping[str, Any], path: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Every value of nested mappings with its path."""
    for key, value in tables.items():
        if isinstance(value, Mapping):
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key), value


def label(path: Place) -> str:
    """A value's name in plain words."""
    if path[0] == "design_factor" and len(path) == 3:
        part = _PARTS.get(path[1], path[1])
        return f"{part} design factor for {path[2]}"
    name = Policy.model_fields[path[0]].description or path[0]
    rest = " ".join(path[1:]).replace("_", " ")
    return name if rest in ("", "factor") else f"{name}: {rest}"


def notes(policy: Policy, default: Policy, reason: str) -> Iterator[str]:
    """A sentence for every value that differs from the default; ``reason`` holds for values outside any table."""
    before = dict(leaves(default.model_dump(exclude={"notes"})))
    for path, value in leaves(policy.model_dump(exclude={"notes"})):
        if path[-1] != "reason" and value != before[path]:
            group = value_at(policy, path[:-1])
            usual = before[path] if before[path] is not None else group.others
            change = _change(path, usual, value, getattr(group, "floor", None))
            because = getattr(group, "reason", reason)
            yield f"{label(path)} {change}; {f'reason: {because}' if because else 'no reason given'}"


def _change(path: Place, before: object, value: object, floor: float | None) -> str:
    """``lowered from 6 to 5.5 (floor 5; less careful than the default)``."""
    verb, remarks = "changed", [] if floor is None else [f"floor {floor:g}"]
    if isinstance(value, float) and isinstance(before, float):
        verb = "raised" if value > before else "lowered" if value < before else "set"
        safer_up = any(path[: len(start)] == start for start in _HIGHER_IS_SAFER)
        if value != before and (value > before) != safer_up:
            remarks.append("less careful than the default")
    inside = f" ({'; '.join(remarks)})" if remarks else ""
    return f"{verb} from {_shown(before)} to {_shown(value)}{inside}"


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(f"{number:g}" for number in value) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value)


def problem_at(
    file: str, text: str, path: Place, code: ProblemCode, message: str, hint: str, value: object
) -> Problem:
    """A problem with the line of its value; a whole table is not repeated as the value found."""
    shown = "" if isinstance(value, Mapping) else str(value)
    return Problem(file, code, message, hint, _line_of(text, path), ".".join(path), shown)


def problem_of(file: str, text: str, fault: ErrorDetails, default: Policy) -> Problem:
    """A fault that validation found, in plain words."""
    path = tuple(part for part in fault["loc"] if isinstance(part, str))
    code = _CODES.get(fault["type"], ProblemCode.NOT_A_NUMBER)
    message = _MESSAGES.get(fault["type"], fault["msg"].removeprefix("Value error, "))
    hint = _HINTS.get(fault["type"], "Write a number with a decimal point")
    if code is ProblemCode.SETTING_UNKNOWN:
        message, hint = "there is no such setting", _near_miss(path, default)
    elif code is ProblemCode.BELOW_FLOOR:
        floor = fault["ctx"]["floor"]
        message = f"{label(path)} may not be below {floor}"
        hint = f"Write {floor} or more; if nothing passes, plan smaller pieces"
    elif code is ProblemCode.OUT_OF_RANGE:
        hint = f"The default is {_shown(value_at(default, path))}"
    return problem_at(file, text, path, code, message, hint, fault["input"])


def _near_miss(path: Place, default: Policy) -> str:
    group = value_at(default, path[:-1])
    names = [name for name in type(group).model_fields if name not in FIXED]
    close = get_close_matches(path[-1], names, n=1)
    return f"Did you mean '{close[0]}'?" if close else f"There are: {', '.join(names)}"


def _line_of(text: str, path: Place) -> int:
    """The line where a value or its table stands; 0 if it is written in another way."""
    wanted, table, at_table = ".".join(path), "", 0
    for number, line in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*\[([^\[\]]+)\]", line)
        if header:
            table = re.sub(r"[\s\"']", "", header[1])
            at_table = number if table == wanted else at_table
            continue
        key = re.match(r"\s*([\w.\-\"']+)\s*=", line)
        if key and (f"{table}." if table else "") + re.sub(r"[\"']", "", key[1]) == wanted:
            return number
    return at_table
