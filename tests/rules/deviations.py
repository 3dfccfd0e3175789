"""How far the product's figures lie from the published and derived ones of ``tests/published``, measured."""

from __future__ import annotations

import runpy
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PUBLISHED = Path(__file__).parents[1] / "published"
ORIGIN = {
    "printed": "published",
    "arithmetic": "published, worked examples",
    "compare": "published, against a second publication",
    "self-computed": "computed once more from the published equation",
    "computed independently": "computed by an independent time stepping",
    "policy": "derived",
}
"""The words of the files for where an expected value comes from, as the table says them."""


@dataclass(frozen=True)
class Check:
    """One row of a file of checks; ``found`` is None, and ``reason`` says why, where the product computes nothing."""

    file: str
    id: str
    origin: str
    expected: float
    allowed: float
    found: float | None
    reason: str = ""

    @property
    def relative(self) -> float:
        """Deviation over the expected value; 0 without either."""
        if self.found is None or not self.expected:
            return 0.0
        return abs(self.found - self.expected) / abs(self.expected)

    @property
    def used(self) -> float:
        """Deviation over the one that is allowed."""
        return 0.0 if self.found is None else abs(self.found - self.expected) / self.allowed


def checks() -> list[Check]:
    """Every row of every file of checks."""
    return [*_forces(), *_steppings(), *_green_weights(), *_standards()]


def _module(name: str) -> Mapping[str, Any]:
    return runpy.run_path(str(PUBLISHED / name))


def _origin(status: str) -> str:
    if status.startswith("derived"):
        return "derived"
    return ORIGIN.get(status, "published" if status.startswith("published") else status)


def _forces() -> Iterator[Check]:
    test = _module("test_forces.py")
    for row in test["FORCE_ROWS"]:
        head = ("force_checks.csv", row["id"], _origin(row["status"]))
        if row["model"] in test["NOT_COMPUTED"]:
            yield Check(*head, 0.0, 1.0, None, test["NOT_COMPUTED"][row["model"]])
            continue
        model = row["model"] + ("_run" if "out=run" in row["inputs"] else "")
        found = float(test["MODELS"][model](test["inputs_of"](row["inputs"])))
        if row["tolerance"] == "range":
            low, high = (float(end) for end in row["expected"].split(".."))
            nearest = min(max(found, low), high)
            yield Check(*head, nearest, (high - low) / 2, found)
        else:
            expected, share = float(row["expected"]), float(row["tolerance"].rstrip("%")) / 100
            yield Check(*head, expected, share * abs(expected), found)


def _steppings() -> Iterator[Check]:
    test = _module("test_forces.py")
    for row in test["SIM_ROWS"]:
        found = float(test["SIM_MODELS"][row["kind"]](test["inputs_of"](row["inputs"]), row["inputs"]))
        head = ("force_checks_sim.csv", row["check_id"], _origin(row["status"]))
        yield Check(*head, float(row["expected"]), float(row["tol_abs"]), found)


def _green_weights() -> Iterator[Check]:
    test = _module("test_green_weight.py")
    for row in test["ROWS"]:
        head = ("green_weight_checks.csv", row["check_id"], _origin(row["kind"]))
        if row["check_id"] in test["WITHOUT_COUNTERPART"]:
            yield Check(*head, 0.0, 1.0, None, test["WITHOUT_COUNTERPART"][row["check_id"]])
            continue
        expected = float(row["expected"])
        if row["kind"] == "compare":
            band = float(row["suggested_band_pct"]) * test["PERCENT"]
            density = test["find_species"](row["table_species_id"]).green_wood_density
            yield Check(*head, expected, band * expected, density / test["UNIT"][row["unit"]])
            continue
        if row["kind"] == "arithmetic":
            found = test["COMPUTED_BY"][row["topic"]](row)
        else:
            given = test["numbers"](row)
            found = float(test["total_dry_mass"](int(given["group"]), given["dbh"]))
        yield Check(*head, expected, float(row["tol_abs"]), found / test["UNIT"][row["unit"]])


def _standards() -> Iterator[Check]:
    test = _module("test_standards.py")
    for row in test["rows"]():
        head = ("standards_checks.csv", row["case_id"], _origin(row["kind"]))
        if row["case_id"] in test["NO_COUNTERPART"]:
            yield Check(*head, 0.0, 1.0, None, test["NO_COUNTERPART"][row["case_id"]])
            continue
        expected, tolerance = float(row["expected"]), float(row["tolerance"])
        allowed = tolerance * abs(expected) if row["tolerance_type"] == "rel" else tolerance
        found = float(test["COMPUTED"][row["case_id"]](test["inputs_of"](row["inputs"])))
        yield Check(*head, expected, allowed, found)


def table() -> str:
    """The checks by file and origin as a table in Markdown."""
    groups: defaultdict[tuple[str, str], list[Check]] = defaultdict(list)
    for check in checks():
        groups[check.file, check.origin].append(check)
    lines = [
        "| file in `tests/published` | where its values come from | rows | computed, all within tolerance "
        "| largest deviation | most of a tolerance used | no counterpart |",
        "|---|---|---|---|---|---|---|",
    ]
    for (file, origin), members in groups.items():
        done = [check for check in members if check.found is not None]
        lines.append(
            f"| `{file}` | {origin} | {len(members)} | {len(done)} | {_worst(done, 'relative')} "
            f"| {_worst(done, 'used')} | {_left_out(members)} |"
        )
    return "\n".join(lines)


def _worst(done: list[Check], name: str) -> str:
    if not done:
        return "-"
    worst = max(done, key=lambda check: float(getattr(check, name)))
    return f"{100 * getattr(worst, name):.2g} % ({worst.id})"


def _left_out(members: list[Check]) -> str:
    reasons: defaultdict[str, list[str]] = defaultdict(list)
    for check in members:
        if check.found is None:
            reasons[check.reason].append(check.id)
    return "; ".join(f"{len(ids)}: {reason}" for reason, ids in reasons.items()) or "0"
