"""A long search on the screen: what it is at, how far it is where that is known, and a way to stop it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import streamlit as st
from streamlit.runtime.scriptrunner import RerunException, StopException

from recommender.dashboard.shown import plain

EVERY = 0.3
"""Seconds between two looks whether the page is still wanted."""
Shown = Callable[[float | None, str], None]
"""Puts on the screen how far a search is, None where that is not known, and what it is at."""


class Search:
    """A search that is watched: called with how far it is, and asked whether it is to stop.

    It runs on while the page is run again by somebody who presses *Stop*, which reaches it as :meth:`end`. A page that
    is not wanted any more learns so by an exception where it shows something; one that comes while a solver asks
    :meth:`stop` is held back, since it must not go through the solver. A solver may ask in a thread of its own, in
    which nothing can be shown.

    Attributes
    ----------
    over : threading.Event
        Set once it has ended, in whatever way.
    """

    def __init__(self, show: Shown, *, can_stop: bool = False) -> None:
        self.over = threading.Event()
        self._show, self._can_stop = show, can_stop
        self._now: tuple[float | None, str] = None, ""
        self._is_half = not can_stop
        self._looked = 0.0
        self._thread = threading.get_ident()
        self._is_ended = threading.Event()
        self._unwanted: RerunException | StopException | None = None

    def __call__(self, done: int, total: int, what: str) -> None:
        """How many of how many steps are done; how many there are is not known where ``total`` is 0."""
        self._now = (min(done / total, 1.0) if total else None), what
        self._is_half = not (self._can_stop and total)  # half of why there is no answer is no answer
        self._look()
        if self._unwanted is not None and not self.counts:
            raise self._unwanted

    @property
    def counts(self) -> bool:
        """Whether what it gives back now is an answer: nobody stopped it, or was content with what it has."""
        if self.is_ended:
            return not self._is_half
        return self._unwanted is None

    @property
    def is_ended(self) -> bool:
        """Whether somebody pressed *Stop*."""
        return self._is_ended.is_set()

    def end(self) -> None:
        """Let it end with what it has."""
        self._is_ended.set()

    def stop(self) -> bool:
        """Whether it is to end."""
        if threading.get_ident() == self._thread and time.monotonic() - self._looked > EVERY:
            self._look()
        return self.is_ended or self._unwanted is not None

    def _look(self) -> None:
        """Show how far it is, and learn whether the page is still wanted."""
        self._looked = time.monotonic()
        if self._unwanted is None:
            try:
                self._show(*self._now)
            except (RerunException, StopException) as unwanted:
                self._unwanted = unwanted


def bar() -> Shown:
    """A place on the screen for how far a search is."""
    place = st.empty()

    def show(share: float | None, what: str) -> None:
        if share is None:
            place.caption(plain(f"Now: {what}. How long that takes is not known." if what else ""))
        else:
            place.progress(share, text=plain(what))

    return show
