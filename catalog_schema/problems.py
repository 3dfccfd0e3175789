"""Problems found in people's files: each with its place, what is wrong, and what to write instead."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum


class ProblemCode(StrEnum):
    """What is wrong, as a fixed word (the headings of the errors page are the same words)."""

    FILE_MISSING = "file-missing"
    FILE_UNREADABLE = "file-unreadable"
    FILE_TOO_LARGE = "file-too-large"
    FILE_EMPTY = "file-empty"
    SHEET_MISSING = "sheet-missing"
    COLUMN_MISSING = "column-missing"
    COLUMN_UNKNOWN = "column-unknown"
    COLUMN_TWICE = "column-twice"
    UNIT_MISSING = "unit-missing"
    UNIT_WRONG = "unit-wrong"
    VALUE_MISSING = "value-missing"
    NOT_A_NUMBER = "not-a-number"
    AMBIGUOUS_NUMBER = "ambiguous-number"
    OUT_OF_RANGE = "out-of-range"
    NOT_A_CHOICE = "not-a-choice"
    CONFLICT = "conflict"
    ID_TWICE = "id-twice"
    ID_UNKNOWN = "id-unknown"
    SPECIES_UNKNOWN = "species-unknown"
    SETTING_UNKNOWN = "setting-unknown"
    BELOW_FLOOR = "below-floor"


@dataclass(frozen=True)
class Problem:
    """One fault: where it is, what stands there, what is wrong, what would be right.

    ``line`` is the line a person sees (the header is line 1); 0 and empty text mean "the whole of it".
    """

    file: str
    code: ProblemCode
    message: str
    hint: str
    line: int = 0
    column: str = ""
    value: str = ""
    sheet: str = ""

    def __str__(self) -> str:
        place = self.file + (f" [{self.sheet}]" if self.sheet else "")
        if self.line:
            place += f", row {self.line}"
        if self.column:
            place += f", column '{self.column}'"
        shown = self.value if len(self.value) <= 60 else self.value[:57] + "..."
        found = f" (found '{shown}')" if self.value else ""
        return f"{place}: {self.message}{found}. {self.hint}"


class InputError(ValueError):
    """Raised once for a whole input, with every problem found in it."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: Sequence[Problem] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))
