"""Settings files (TOML): reading them with problems instead of errors, finding a key's line, writing values."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from catalog_schema.grids import decode, read_bytes
from catalog_schema.problems import InputError, Problem, ProblemCode

MOST_LEVELS = 10


def read_toml(path: Path) -> tuple[dict[str, Any], str]:
    """The tables of a settings file, and its text.

    Raises
    ------
    InputError
        If it is missing, can't be read, or is not TOML; the line of the fault is told.
    """
    text = decode(read_bytes(path), path.name).replace("\r\n", "\n")
    try:
        return _not_too_deep(tomllib.loads(text)), text
    except (ValueError, RecursionError) as error:
        found = re.search(r"at line (\d+)", str(error))
        line = int(found[1]) if found else text.count("\n") + 1
        hint = 'Write lines such as name = "my plan" or climbers = 2 (text in quotes, decimal point)'
        problem = Problem(path.name, ProblemCode.FILE_UNREADABLE, f"this is not TOML: {error}", hint, line)
        raise InputError([problem]) from error


def _not_too_deep(tables: dict[str, Any]) -> dict[str, Any]:
    level: list[Any] = [tables]
    for _ in range(MOST_LEVELS):
        level = [inner for outer in level if isinstance(outer, dict) for inner in outer.values()]
    if level:
        raise ValueError(f"tables in tables to more than {MOST_LEVELS} levels")
    return tables


def line_of(text: str, keys: Sequence[str]) -> int:
    """The line of a settings file where a key, or the table of that name, stands; 0 if it is written otherwise.

    >>> line_of("[crew]\\nclimbers = 2", ("crew", "climbers"))
    2
    """
    wanted, table = ".".join(keys), ""
    for number, line in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*\[+([^\[\]]+)\]", line)
        key = re.match(r"\s*([\w.\-\"']+)\s*=", line)
        if header:
            table = re.sub(r"[\s\"']", "", header[1])
        found = table if header else f"{table}.{key[1]}".lstrip(".").replace('"', "") if key else ""
        if found == wanted:
            return number
    return 0


def toml_value(value: str | float | bool) -> str:
    """A value as TOML writes it.

    >>> toml_value("3 m"), toml_value(True), toml_value(500.0)
    ('"3 m"', 'true', '500')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(int(value)) if float(value).is_integer() else repr(float(value))
