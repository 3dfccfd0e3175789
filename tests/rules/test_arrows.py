"""Imports point down only, and every library has its few places."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from arrows import (
    LAYERS,
    LIBRARIES,
    PHYSICS_LIBRARIES,
    allowed,
    imports_of,
    module_of,
    package_of,
    present,
    product_files,
    within,
)

FILES = {module_of(path): path for path in product_files()}
EVERY_IMPORT = [(module, line, name) for module, path in FILES.items() for line, name in imports_of(path)]
DISTRIBUTION = {"PIL": "pillow", "docx": "python-docx"}
"""Libraries that are installed under another name than they are imported by."""
TOGETHER = {"pydantic_core"}
"""Libraries that always come with another one."""
NOT_IMPORTED = {"highspy"}
"""The solver: PuLP imports it."""
OWN = ("catalog_schema", "recommender", "app")


def test_every_package_has_its_place() -> None:
    """``recommender`` itself is the empty roof over its packages."""
    assert present() <= {package for layer in LAYERS for package in layer}
    assert list(imports_of(FILES["recommender"])) == []


def test_imports_point_down() -> None:
    wrong = [
        f"{module}, line {line}: {name}"
        for module, line, name in EVERY_IMPORT
        if name.split(".")[0] in OWN
        and package_of(name) not in (package_of(module), *allowed(package_of(module)))
    ]
    assert wrong == []


def test_libraries_stay_in_their_places() -> None:
    wrong = [
        f"{module}, line {line}: {name}"
        for module, line, name in EVERY_IMPORT
        if not within(module, LIBRARIES.get(name.split(".")[0], (module,)))
    ]
    assert wrong == []


@pytest.mark.parametrize("name", ["recommender.wood", "recommender.physics"])
def test_formulas_stand_on_arrays_alone(name: str) -> None:
    known = {*sys.stdlib_module_names, *PHYSICS_LIBRARIES, *OWN}
    roots = {imported.split(".")[0] for module, _, imported in EVERY_IMPORT if package_of(module) == name}
    assert roots <= known


def test_nothing_prints() -> None:
    """The command line writes through ``click.echo``; nothing else speaks to a terminal."""
    calls = [
        f"{module}, line {node.lineno}"
        for module, path in FILES.items()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]
    assert calls == []


def test_every_library_of_the_table_is_in_use() -> None:
    libraries = {name.split(".")[0] for _, _, name in EVERY_IMPORT}
    assert {name for name, places in LIBRARIES.items() if places} <= libraries


def _project(root: Path) -> dict[str, Any]:
    project: dict[str, Any] = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return project


def _names(requirements: list[str]) -> set[str]:
    return {re.split(r"[<>=\[ ]", line)[0].lower() for line in requirements}


def _distributions(modules: Iterable[str], own: Iterable[str]) -> set[str]:
    """What has to be installed for some imports, the standard library and this project left out."""
    outside = {name.split(".")[0] for name in modules} - {*sys.stdlib_module_names, *own}
    return {DISTRIBUTION.get(name, name).lower() for name in outside} - TOGETHER


def test_libraries_that_are_imported_are_those_that_are_installed(root: Path) -> None:
    """What pyproject.toml names and what the code imports are the same; an extra may be imported too."""
    project = _project(root)
    extras = project["optional-dependencies"]
    asked_for = _names([line for name, lines in extras.items() if name != "test" for line in lines])
    imported = _distributions((name for _, _, name in EVERY_IMPORT), OWN)
    assert imported - asked_for == _names(project["dependencies"]) - NOT_IMPORTED


def test_what_the_tests_import_comes_with_the_test_extra(root: Path) -> None:
    project = _project(root)
    files = [path for path in (root / "tests").rglob("*.py") if "benchmarks" not in path.parts]
    near = {path.stem for path in files}
    imported = _distributions((name for path in files for _, name in imports_of(path)), (*OWN, *near))
    installed = _names([*project["dependencies"], *project["optional-dependencies"]["test"]])
    assert imported - installed == set()
