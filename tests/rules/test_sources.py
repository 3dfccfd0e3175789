"""Every number names where it comes from, and every citation is used."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from arrows import module_of, product_files

from recommender import sourced
from recommender.sourced import COMMON_PRACTICE, DERIVED, FROM_MEMORY, citations, cite, data_rows

WORDS = {"COMMON_PRACTICE": COMMON_PRACTICE, "DERIVED": DERIVED, "FROM_MEMORY": FROM_MEMORY}
QUOTING = ("cite", "source_text")
WITHOUT_SOURCE_COLUMN = {"sources.csv"}


def _data_files(root: Path) -> list[str]:
    return [path.name for path in sorted((root / "recommender" / "data").glob("*.csv"))]


def _data_sources(root: Path) -> Iterator[tuple[str, str]]:
    """Place and source of every row of the data tables; several sources in a cell are parted by semicolons."""
    for name in _data_files(root):
        if name in WITHOUT_SOURCE_COLUMN:
            continue
        for number, row in enumerate(data_rows(name), start=2):
            cells = [
                value for column, value in row.items() if column == "source" or column.endswith("_source")
            ]
            for value in cells:
                yield from (
                    (f"{name}, row {number}", part.strip()) for part in value.split(";") if part.strip()
                )


def _policy_sources(tables: dict[str, Any], place: str = "default_policy.toml") -> Iterator[tuple[str, str]]:
    for name, value in tables.items():
        if isinstance(value, dict):
            yield from _policy_sources(value, f"{place}: {name}")
        elif name == "source":
            yield place, str(value)


def _argument(call: ast.Call, position: int, name: str) -> ast.expr | None:
    named = [keyword.value for keyword in call.keywords if keyword.arg == name]
    return named[0] if named else call.args[position] if len(call.args) > position else None


def _constants() -> Iterator[tuple[str, ast.Call]]:
    """Every call of ``Sourced`` in the product."""
    for path in product_files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Sourced":
                yield f"{module_of(path)}, line {node.lineno}", node


def _constant_sources() -> Iterator[tuple[str, str]]:
    for place, call in _constants():
        source = _argument(call, 2, "source")
        if isinstance(source, ast.Name):
            yield place, WORDS[source.id]
        else:
            assert isinstance(source, ast.Constant), f"{place}: the source is no plain text"
            yield place, str(source.value)


def _quoted_sources() -> Iterator[tuple[str, str]]:
    """Keys that the product's words quote by name."""
    for path in product_files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in QUOTING:
                said = _argument(node, 0, "source")
                if isinstance(said, ast.Constant):
                    yield f"{module_of(path)}, line {node.lineno}", str(said.value)


@pytest.fixture(scope="module")
def named(root: Path) -> list[tuple[str, str]]:
    """Every place in data, policy and constants that names a source."""
    policy = tomllib.loads(
        (root / "recommender" / "ratings" / "default_policy.toml").read_text(encoding="utf-8")
    )
    return [*_data_sources(root), *_policy_sources(policy), *_constant_sources(), *_quoted_sources()]


def test_every_kind_of_place_was_found(named: list[tuple[str, str]]) -> None:
    places = " ".join(place for place, _ in named)
    assert all(
        word in places for word in ("wood_green_density.csv", "default_policy.toml", "recommender.physics")
    )
    assert len(named) > 400


def test_every_source_resolves(named: list[tuple[str, str]]) -> None:
    known = {*citations(), COMMON_PRACTICE, DERIVED, FROM_MEMORY}
    assert [(place, source) for place, source in named if source not in known] == []
    assert all(cite(source) for _, source in named)


def test_every_citation_is_used(named: list[tuple[str, str]]) -> None:
    used = {source for _, source in named}
    assert [key for key in citations() if key not in used] == []


def test_every_citation_says_something() -> None:
    rows = data_rows("sources.csv")
    assert len({row["key"] for row in rows}) == len(rows)
    assert [row["key"] for row in rows if len(row["citation"]) < 20] == []


def test_every_data_table_says_where_each_row_comes_from(root: Path) -> None:
    for name in set(_data_files(root)) - WITHOUT_SOURCE_COLUMN:
        rows = data_rows(name)
        assert {"source", "place"} <= rows[0].keys()
        assert [number for number, row in enumerate(rows, start=2) if not row["source"]] == []


def test_constants_without_a_citation_say_what_they_are() -> None:
    """Habit, memory and derivation need a note; a citation has its key."""
    without = [
        place
        for place, call in _constants()
        if isinstance(_argument(call, 2, "source"), ast.Name) and _argument(call, 4, "note") is None
    ]
    assert without == []


def test_the_reserved_words_are_the_ones_of_the_module() -> None:
    assert all(getattr(sourced, name) == word for name, word in WORDS.items())
