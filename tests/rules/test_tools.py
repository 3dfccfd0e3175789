"""Lint, format and types are clean."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = {
    "lint": ["ruff", "check", "--no-cache", "--output-format=concise", "."],
    "format": ["ruff", "format", "--no-cache", "--check", "."],
    "types": ["mypy"],
}


@pytest.mark.tools
@pytest.mark.parametrize("tool", TOOLS)
def test_nothing_is_found(tool: str, root: Path, tmp_path: Path) -> None:
    pytest.importorskip(TOOLS[tool][0], reason="the tools of the test extra are not installed")
    cache = ["--cache-dir", str(tmp_path)] if tool == "types" else []
    call = [sys.executable, "-m", *TOOLS[tool], *cache]
    done = subprocess.run(call, cwd=root, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
