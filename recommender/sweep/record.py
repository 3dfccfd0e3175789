"""Draws kept in a file as they are done, so that a sweep that was stopped goes on from there.

The file has one JSON document a line: first what the draws belong to (a digest of each input), then one draw a line. A
line that was cut off by an interruption, which can only be the last, is dropped and drawn again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Literal

from pydantic import ValidationError

from recommender.kit.result import Typed
from recommender.sweep.kits import JudgedKit
from recommender.sweep.outcomes import DrawOutcome
from recommender.sweep.settings import SweepSettings
from recommender.work.origins import AS_WRITTEN
from recommender.work.plan import Plan
from recommender.work.plan_json import plan_to_json

NAMES = {
    "settings": "plan.toml",
    "work": "the work mix",
    "owned": "the owned gear",
    "catalogue": "the catalogue",
    "policy": "the policy",
    "kit": "the kit that is judged",
}
"""What people call the inputs that are told apart."""


class CannotResume(ValueError):
    """A file of draws belongs to other inputs, or is none."""


class SweepHeader(Typed):
    """First line of a file of draws: digests of the inputs, and the settings that a draw depends on."""

    form: Literal["kitplan sweep draws"] = "kitplan sweep draws"
    version: Literal[1] = 1
    inputs: dict[str, str]
    settings: dict[str, int | float | str | bool]


def header(plan: Plan, settings: SweepSettings, kit: JudgedKit) -> SweepHeader:
    """The header of the draws of a sweep; how many are drawn is left out, so that a sweep can be made longer."""
    parts = json.loads(plan_to_json(replace(plan, origins=AS_WRITTEN)))
    parts["kit"] = dict(sorted(kit.pieces.items()))
    return SweepHeader(
        inputs={name: _digest(parts[name]) for name in NAMES},
        settings=settings.model_dump(exclude={"draws"}),
    )


def _digest(content: object) -> str:
    return sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:32]


class DrawsFile:
    """The draws of one sweep in a file.

    Parameters
    ----------
    path : Path
        Made if it is not there.
    wanted : SweepHeader

    Attributes
    ----------
    known : dict of int to DrawOutcome
        What was in the file.

    Raises
    ------
    CannotResume
        If the file is of another sweep, with what differs; or of another kind, or damaged.
    OSError
        If it can't be read or written.
    """

    def __init__(self, path: Path, wanted: SweepHeader) -> None:
        self.path = path
        self.known: dict[int, DrawOutcome] = {}
        sound = self._read(wanted) if path.exists() and path.stat().st_size else 0
        with path.open("ab") as file:
            file.truncate(sound)
            if not sound:
                file.write(_line(wanted))

    def append(self, outcomes: Iterable[DrawOutcome]) -> None:
        """Write draws, so that they last even if the program ends now."""
        with self.path.open("ab") as file:
            file.write(b"".join(_line(outcome) for outcome in outcomes))
            file.flush()
            os.fsync(file.fileno())

    def _read(self, wanted: SweepHeader) -> int:
        """Take in the draws of the file; how many bytes of it are whole lines. 0 if not even the header is."""
        content = self.path.read_bytes()
        whole = content.rfind(b"\n") + 1
        lines = content[:whole].splitlines()
        if not lines:
            if _line(wanted).startswith(content):
                return 0
            raise CannotResume(f"{self.path} is no file of draws; name another file")
        self._compare(lines[0], wanted)
        for number, line in enumerate(lines[1:], start=2):
            try:
                outcome = DrawOutcome.model_validate_json(line)
            except ValidationError as error:
                raise CannotResume(
                    f"{self.path}, line {number} is no draw; take it out, or name another file"
                ) from error
            self.known[outcome.number] = outcome
        return whole

    def _compare(self, line: bytes, wanted: SweepHeader) -> None:
        try:
            found = SweepHeader.model_validate_json(line)
        except ValidationError as error:
            raise CannotResume(f"{self.path} is no file of draws; name another file") from error
        differs = [name for key, name in NAMES.items() if found.inputs.get(key) != wanted.inputs[key]]
        differs += [
            f"{name} ({found.settings.get(name)} there, {value} here)"
            for name, value in wanted.settings.items()
            if found.settings.get(name) != value
        ]
        if differs:
            raise CannotResume(
                f"{self.path} holds draws of another sweep; it differs in {', '.join(differs)}. "
                f"Name another file, or set back what differs"
            )


def _line(document: Typed) -> bytes:
    return document.model_dump_json().encode() + b"\n"
