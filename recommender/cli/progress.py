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
def shown_progress() -> Iterator[Callable[[int, int, str], None]]:
    """A callable for steps done, steps in all and what is looked at; its one line goes away at the end."""
    start, terminal = time.monotonic(), sys.stderr.isatty()

    def report(done: int, total: int, what: str) -> None:
        if terminal and time.monotonic() - start > QUIET_FOR:
            click.echo(f"\r{done} of {total}: {what} (Ctrl-C shows what is known)\x1b[K", err=True, nl=False)

    try:
        yield report
    finally:
        if terminal:
            click.echo("\r\x1b[K", err=True, nl=False)
