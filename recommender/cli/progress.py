"""Progress of a long search on the error stream, and nothing there if it is no terminal or the search is short."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

QUIET_FOR = 1.0
"""Seconds before anything is shown."""


@contextmanager
def shown_progress() -> Iterator[Callable[..., None]]:
    """A callable for steps done, steps in all and what is looked at; its one line goes away at the end.

    It says how long the rest takes too, where it is told at least twice: from the steps since it was told first.
    """
    start, terminal = time.monotonic(), sys.stderr.isatty()
    first: list[int] = []

    def report(done: int, total: int, what: str = "") -> None:
        first.append(done)
        spent, fresh = time.monotonic() - start, done - first[0]
        if terminal and spent > QUIET_FOR:
            now = f": {what}" if what else ""
            left = (
                f", about {spent * (total - done) / fresh:,.0f} s left" if fresh > 0 and total > done else ""
            )
            line = f"{done:,d} of {total:,d}{now}{left} (Ctrl-C shows what is known)"
            click.echo(f"\r{line}\x1b[K", err=True, nl=False)

    try:
        yield report
    finally:
        if terminal:
            click.echo("\r\x1b[K", err=True, nl=False)
