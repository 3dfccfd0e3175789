"""How a long search says how far it is."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[int, int, str], None]
"""Told how many of how many steps are done, and what is looked at now."""


def silent(done: int, total: int, what: str) -> None:
    """A progress that tells nobody."""
