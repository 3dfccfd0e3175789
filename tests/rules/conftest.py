"""What the rules of the house are held against: the files that git knows."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def tracked() -> list[str]:
    """Files that git tracks, as paths from the root."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("this is no git checkout")
    call = ["git", "ls-files", "-z"]
    listed = subprocess.run(call, cwd=ROOT, capture_output=True, check=True, text=True).stdout
    return [name for name in listed.split("\0") if name and (ROOT / name).is_file()]
