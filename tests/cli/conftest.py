"""A copy of the invented catalogue and plans that a test may break."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "demo_catalog"


@pytest.fixture
def demo_copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "gear"))


def exchange(path: Path, old: str, new: str) -> None:
    """Replace a text that must be in a file exactly once."""
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{old!r} is {text.count(old)} times in {path.name}"
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.fixture
def too_large(demo_copy: Path) -> Path:
    """A plan with a log that nothing in the catalogue can stop."""
    plan = demo_copy / "new_owner"
    exchange(
        plan / "work.csv",
        "pine butt logs,catch,3,eastern white pine,40,",
        "pine butt logs,catch,3,eastern white pine,90,",
    )
    return plan


@pytest.fixture
def with_faults(demo_copy: Path) -> Path:
    """A plan with three faults in two files."""
    plan = demo_copy / "new_owner"
    exchange(plan / "work.csv", "small maple limbs,lower", "small maple limbs,lowr")
    exchange(plan / "work.csv", "maple limbs,lower,24,red maple,20,", "maple limbs,lower,24,red maple,-20,")
    exchange(plan / "plan.toml", 'units = "metric"', 'units = "imperial"')
    return plan
