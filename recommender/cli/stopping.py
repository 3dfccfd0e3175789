"""Ctrl-C as a wish to see what there is so far."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def ctrl_c() -> Iterator[threading.Event]:
    """An event that Ctrl-C sets, instead of ending the program; a second one ends it."""
    pressed = threading.Event()
    before = signal.getsignal(signal.SIGINT)

    def note(*_: object) -> None:
        pressed.set()
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, note)
    try:
        yield pressed
    finally:
        signal.signal(signal.SIGINT, before)
