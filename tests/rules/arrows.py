"""Which package may import which, from the ground up, and which modules may use which library."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]

LAYERS: tuple[tuple[str, ...], ...] = (
    ("catalog_schema", "recommender.sourced"),
    ("recommender.wood", "recommender.physics"),
    ("recommender.ratings",),
    ("recommender.work",),
    ("recommender.loads",),
    ("recommender.kit",),
    ("recommender.seasons",),
    ("recommender.explain", "recommender.sweep"),
    ("recommender.report",),
    ("recommender.charts", "recommender.diagrams"),
    ("recommender.files", "recommender.store"),
    ("recommender.cli", "recommender.dashboard"),
    ("app",),
)
"""From the ground up: a package may import what lies in a layer below its own, and nothing beside or above."""

NARROWER: dict[str, tuple[str, ...]] = {
    "recommender.wood": ("recommender.sourced",),
    "recommender.physics": ("recommender.sourced",),
    "app": ("recommender.dashboard",),
}
"""Packages that may import less than their layer allows."""

LIBRARIES: dict[str, tuple[str, ...]] = {
    "altair": ("recommender.charts",),
    "dask": ("recommender.sweep.cluster",),
    "click": ("recommender.cli",),
    "highspy": (),
    "openpyxl": ("catalog_schema.workbooks", "catalog_schema.writing", "recommender.files"),
    "pandas": ("recommender.dashboard",),
    "pint": ("catalog_schema.units",),
    "platformdirs": ("recommender.store",),
    "pulp": (
        "recommender.explain.programmes",
        "recommender.kit.formulation",
        "recommender.kit.solver",
        "recommender.seasons.formulation",
        "recommender.seasons.model",
        "recommender.seasons.wear_rows",
    ),
    "reportlab": ("recommender.files",),
    "scipy": ("recommender.physics.simulation",),
    "sqlalchemy": ("recommender.store",),
    "streamlit": ("recommender.dashboard", "app"),
}
"""Library -> modules (or packages) that alone may import it."""

PHYSICS_LIBRARIES = ("numpy", "scipy")
"""All that the packages of pure formulas may import from outside the standard library."""


def product_files() -> list[Path]:
    """Every file of the product's code."""
    return [
        ROOT / "app.py",
        *sorted(path for name in ("catalog_schema", "recommender") for path in (ROOT / name).rglob("*.py")),
    ]


def module_of(path: Path) -> str:
    """Dotted name of a file's module."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def package_of(module: str) -> str:
    """The package that a module belongs to, as the layers name it."""
    parts = module.split(".")
    return ".".join(parts[:2]) if parts[0] == "recommender" else parts[0]


def imports_of(path: Path) -> Iterator[tuple[int, str]]:
    """Line and dotted name of everything that a file imports, wherever in the file."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            if node.module == "recommender" or node.level:
                yield from ((node.lineno, f"{node.module or '.'}.{alias.name}") for alias in node.names)
            else:
                yield node.lineno, str(node.module)


def within(module: str, places: tuple[str, ...]) -> bool:
    """Whether a module is one of some modules, or lies in one of some packages."""
    return any(module == place or module.startswith(f"{place}.") for place in places)


def allowed(package: str) -> tuple[str, ...]:
    """The packages that a package may import."""
    below: list[str] = []
    for layer in LAYERS:
        if package in layer:
            return NARROWER.get(package, tuple(below))
        below.extend(layer)
    raise ValueError(f"{package} is new: give it a place in the layers")


def present() -> set[str]:
    """The packages that there are."""
    return {package_of(module_of(path)) for path in product_files()} - {"recommender"}


def table() -> str:
    """The layers as a table in Markdown, from the top down."""
    lines = ["| layer | packages | may import |", "|---|---|---|"]
    here = present()
    for number, layer in reversed(list(enumerate(LAYERS, start=1))):
        names = [name for name in layer if name in here]
        narrow = {", ".join(f"`{one}`" for one in NARROWER[name]) for name in names if name in NARROWER}
        rest = "every layer below" if number > 1 else "nothing of this project"
        if names:
            lines.append(
                f"| {number} | {', '.join(f'`{name}`' for name in names)} | {' '.join(narrow) or rest} |"
            )
    return "\n".join(lines)
