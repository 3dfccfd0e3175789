"""What a test needs and this machine lacks: a reason to skip it, but a failure where it was said to be there."""

from __future__ import annotations

import os
from typing import NoReturn

import pytest

EXPECTED = "KITPLAN_EXPECT"
"""Environment variable: names, with commas between, of what is there for certain; .ci/run sets it."""


def lacking(name: str, reason: str) -> NoReturn:
    """Skip a test, or fail it if what it needs is expected to be there."""
    if name in os.environ.get(EXPECTED, "").split(","):
        pytest.fail(f"{name} is expected here ({EXPECTED}): {reason}")
    pytest.skip(reason)
