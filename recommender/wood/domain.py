"""Checks that an argument lies where a formula holds; the number type that the formulas take."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt

Numbers = float | npt.NDArray[np.float64]
"""A float, or an array of floats that broadcasts with the other arguments."""


def require_positive(**arguments: Numbers) -> None:
    """Raise ValueError for the first argument that is not finite and above 0 throughout.

    Examples
    --------
    >>> require_positive(length=2.0)
    >>> require_positive(length=-2.0)
    Traceback (most recent call last):
    ValueError: length must be finite and above 0, got -2.0
    """
    _require("finite and above 0", lambda value: value > 0, arguments)


def require_non_negative(**arguments: Numbers) -> None:
    """Raise ValueError for the first argument that is not finite and at least 0 throughout."""
    _require("finite and at least 0", lambda value: value >= 0, arguments)


def require_share(**arguments: Numbers) -> None:
    """Raise ValueError for the first argument that is not between 0 and 1 throughout."""
    _require("between 0 and 1", lambda value: (value >= 0) & (value <= 1), arguments)


def _require(claim: str, holds: Callable[[Any], Any], arguments: dict[str, Numbers]) -> None:
    for name, value in arguments.items():
        if not np.all(np.isfinite(value) & holds(np.asarray(value))):
            raise ValueError(f"{name} must be {claim}, got {value}")
