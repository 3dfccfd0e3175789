"""What every physical function shares: the kind of its numbers, the checks of their domain, gravity.

Arguments are numbers or numpy arrays that broadcast; a result of numbers alone is a plain ``float``.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from recommender.sourced import Sourced

Values: TypeAlias = float | NDArray[np.float64]

STANDARD_GRAVITY = Sourced(9.80665, "m/s^2", "si_brochure", "defined value of standard gravity")


def plain(values: NDArray[np.float64] | np.float64 | float) -> Values:
    """A ``float`` for a result without dimensions, the array otherwise."""
    return float(values) if np.ndim(values) == 0 else np.asarray(values)


def _refuse(name: str, value: Values, bad: NDArray[np.bool_], claim: str) -> None:
    culprit = float(np.asarray(value, dtype=float)[bad].flat[0]) if np.ndim(value) else float(value)
    raise ValueError(f"{name} must be {claim}, not {culprit!r}")


def require_finite(**arguments: Values) -> None:
    """Raise ValueError, naming argument and value, unless every number is finite."""
    for name, value in arguments.items():
        bad = ~np.isfinite(value)
        if np.any(bad):
            _refuse(name, value, bad, "a finite number")


def require_non_negative(**arguments: Values) -> None:
    """Raise ValueError, naming argument and value, unless every number is finite and 0 or more."""
    for name, value in arguments.items():
        bad = ~(np.isfinite(value) & (np.asarray(value) >= 0))
        if np.any(bad):
            _refuse(name, value, bad, "finite and 0 or more")


def require_positive(**arguments: Values) -> None:
    """Raise ValueError, naming argument and value, unless every number is finite and above 0."""
    for name, value in arguments.items():
        bad = ~(np.isfinite(value) & (np.asarray(value) > 0))
        if np.any(bad):
            _refuse(name, value, bad, "finite and above 0")


def require_within(low: float, high: float, **arguments: Values) -> None:
    """Raise ValueError, naming argument and value, unless every number lies in [low, high]."""
    for name, value in arguments.items():
        bad = ~((np.asarray(value) >= low) & (np.asarray(value) <= high))
        if np.any(bad):
            _refuse(name, value, bad, f"from {low:g} to {high:g}")


def require_share(**arguments: Values) -> None:
    """Raise ValueError, naming argument and value, unless every number is above 0 and at most 1."""
    for name, value in arguments.items():
        bad = ~((np.asarray(value) > 0) & (np.asarray(value) <= 1))
        if np.any(bad):
            _refuse(name, value, bad, "above 0 and at most 1")
