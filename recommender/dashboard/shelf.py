"""The store of this dashboard: opened once, shared by all sessions; if it can't be opened, one that nobody keeps."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp

import streamlit as st

from recommender.store import Store, StoreError, default_url


@dataclass(frozen=True)
class Shelf:
    """The store, and why it is not the one that was asked for: then nothing in it outlives the program."""

    store: Store
    fault: str = ""


def shelf() -> Shelf:
    """The store of this dashboard; undo and redo work in either kind."""
    return _opened(default_url())


def store() -> Store:
    """The store of :func:`shelf`."""
    return shelf().store


def open_again() -> None:
    """Try once more to open the store that was asked for."""
    _opened.clear()


@st.cache_resource(show_spinner=False)
def _opened(url: str) -> Shelf:
    try:
        return Shelf(Store.open(url))
    except StoreError as error:
        return Shelf(Store.open(Path(mkdtemp(prefix="kitplan-")) / "unsaved.db"), str(error))
