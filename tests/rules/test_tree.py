"""The tree: what lies at its top, how long modules and functions are, and words that do not belong in it."""

from __future__ import annotations

import ast
import csv
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest
from arrows import product_files

from catalog_schema.columns import columns_of
from catalog_schema.gear import TABLES
from recommender.report.schemas import PLAN_TABLES

TOP = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "recommender", "catalog_schema", "app.py", "tests", "demo_catalog",
}  # fmt: skip
MOST_LINES = 400
MOST_CODE_LINES = 60


def test_the_visible_top_level_is_as_small_as_agreed(root: Path, tracked: list[str]) -> None:
    tops = {name.split("/")[0] for name in tracked}
    assert {name for name in tops if not name.startswith(".")} <= TOP
    assert [name for name in sorted(TOP) if not (root / name).exists()] == []


def test_no_module_is_long(root: Path, tracked: list[str]) -> None:
    lengths = {
        name: len((root / name).read_text(encoding="utf-8").splitlines())
        for name in tracked
        if name.endswith(".py")
    }
    assert {name: length for name, length in lengths.items() if length > MOST_LINES} == {}


def _code_lines(text: str) -> set[int]:
    """Lines that bear a token, comments and blank lines left out."""
    aside = (
        tokenize.COMMENT,
        tokenize.NL,
        tokenize.NEWLINE,
        tokenize.INDENT,
        tokenize.DEDENT,
        tokenize.ENDMARKER,
    )
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return {
        line
        for token in tokens
        if token.type not in aside
        for line in range(token.start[0], token.end[0] + 1)
    }


def _functions(path: Path) -> Iterator[tuple[str, int]]:
    """Name of every function, and its lines of code without the docstring."""
    text = path.read_text(encoding="utf-8")
    code = _code_lines(text)
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            own = set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
            if ast.get_docstring(node) is not None:
                own -= set(range(node.body[0].lineno, (node.body[0].end_lineno or 0) + 1))
            yield f"{path.name}: {node.name}", len(own & code)


def test_no_function_is_long() -> None:
    lengths = dict(pair for path in product_files() for pair in _functions(path))
    assert {name: length for name, length in lengths.items() if length > MOST_CODE_LINES} == {}


# Put together here, so that this file may be searched too.
FORBIDDEN = {
    "a path of one machine": r"(?<![\w.])/(?:"
    + "|".join(["wo" + "rk", "fa" + "rm", "ro" + "ot", "ho" + "me"])
    + r")/\w",
    "a temporary path": r"(?<![\w.])/" + "tmp" + r"/\w",
    "a host of packages": "|".join(
        [
            "py" + r"pi\.org",
            "python" + "hosted",
            "npm" + r"js\.",
            "crates" + r"\.io",
            "anaconda" + r"\.(?:org|com)",
        ]
    ),
    "where the project came from": "|".join(
        [
            "trans" + "cript",
            "seed " + "document",
            r"\bthe " + r"talk\b",
            r"\bthe " + r"video\b",
            r"\bas " + r"asked\b",
        ]
    ),
    "what is not finished": "|".join(["TO" + "DO", "FIX" + "ME", "XX" + "X"]),
}


def _text(path: Path) -> str:
    """The text of a file; nothing of one that is no text."""
    content = path.read_bytes()
    return "" if b"\0" in content else content.decode("utf-8")


@pytest.mark.parametrize("kind", FORBIDDEN)
def test_words_that_do_not_belong(kind: str, root: Path, tracked: list[str]) -> None:
    pattern = re.compile(FORBIDDEN[kind], re.IGNORECASE if kind.startswith("where") else 0)
    found = [
        f"{name}, line {number}: {line.strip()[:80]}"
        for name in tracked
        for number, line in enumerate(_text(root / name).splitlines(), start=1)
        if pattern.search(line)
    ]
    assert found == []


def _searched(path: Path, kind: str) -> str:
    """What is searched of a file: bytes of fonts and pictures may spell a short word by chance, but hardly a path."""
    return _text(path) if kind == "what is not finished" else path.read_bytes().decode("utf-8", "replace")


def test_the_search_for_words_finds_them() -> None:
    """A rule that can't fail is none."""
    examples = {
        "a path of one machine": 'open("/' + "ro" + 'ot/x")',
        "a temporary path": "cp a /" + "tmp/a",
        "a host of packages": "https://py" + "pi.org/simple",
        "where the project came from": "after The " + "Talk",
        "what is not finished": "# TO" + "DO: later",
    }
    assert examples.keys() == FORBIDDEN.keys()
    assert [
        kind for kind, text in examples.items() if not re.search(FORBIDDEN[kind], text, re.IGNORECASE)
    ] == []


@pytest.mark.parametrize("table", [*TABLES, *PLAN_TABLES])
def test_headers_of_the_invented_tables_are_declared(table: str, root: Path) -> None:
    """A catalogue's tables carry every declared column; a plan's may leave out those that may be empty."""
    model = {**TABLES, **PLAN_TABLES}[table]
    columns = columns_of(model)
    files = sorted((root / "demo_catalog").rglob(f"{table}.csv"))
    assert files or table not in (*TABLES, "work")
    for path in files:
        with path.open(encoding="utf-8", newline="") as file:
            headers = [header.split(" [")[0] for header in next(csv.reader(file))]
        left_out = set(columns) - set(headers)
        assert len(headers) == len(set(headers)) and set(headers) <= set(columns)
        assert [name for name in left_out if columns[name].is_required] == []
        if table in TABLES:
            assert left_out == ({"mass"} if table == "ropes" else set()), (
                "a rope has a mass per length instead"
            )
