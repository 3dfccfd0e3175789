"""Constants that carry their source, and the list of sources that they may name."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
DERIVED = "derived"


@dataclass(frozen=True)
class Sourced:
    """A number with its unit as printed, the key of its source in ``data/sources.csv``, and the place there.

    ``source`` may also be ``common practice`` (a habit of the trade, no source), ``from memory`` or ``derived``
    (``note`` says how).
    """

    value: float
    unit: str
    source: str
    place: str = ""
    note: str = ""

    def __float__(self) -> float:
        return float(self.value)


def data_rows(name: str) -> list[dict[str, str]]:
    """Rows of ``recommender/data/<name>`` as dictionaries of text, in file order."""
    text = files("recommender").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines(keepends=True)))


@cache
def citations() -> dict[str, str]:
    """Every source key with its full citation."""
    return {row["key"]: row["citation"] for row in data_rows("sources.csv")}


def cite(source: str) -> str:
    """The full citation of a source key; the reserved words stay as they are.

    Raises
    ------
    KeyError
        If the key is not in ``data/sources.csv``.
    """
    if source in (COMMON_PRACTICE, FROM_MEMORY, DERIVED):
        return f"{source}, no source" if source == COMMON_PRACTICE else source
    return citations()[source]
