"""How the dashboard opens quickly: pages are imported when they are shown, or before, while nobody waits."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from importlib import import_module
from pkgutil import iter_modules
from threading import Thread

import streamlit as st

from recommender.dashboard import pages as page_modules

FIRST = "start"
"""The page that opens without a name in the address."""
FRAME = "recommender.dashboard.frame"
ASKED_FOR = (
    "scipy.integrate",
    "recommender.files.workbooks",
    "recommender.files.report_pdf",
    "recommender.explain.reasons",
    "recommender.explain.curve",
    "recommender.seasons",
)
"""What pages import only when a button is pressed or a first answer is worked out."""


@asynccontextmanager
async def lifespan(app: st.App) -> AsyncIterator[None]:
    """While the server runs: everything that pages need is imported as soon as it has started."""
    Thread(target=import_pages, name="import pages", daemon=True).start()
    yield


def import_pages() -> None:
    """Import the frame and every page, the first one first, then what they ask for."""
    names = [one.name for one in iter_modules(page_modules.__path__)]
    import_module(FRAME)
    for name in sorted(names, key=lambda name: name != FIRST):
        import_module(f"{page_modules.__name__}.{name}")
    for module in ASKED_FOR:
        import_module(module)


def show(pages: Mapping[str, tuple[str, str]]) -> None:
    """The dashboard, once.

    Parameters
    ----------
    pages : mapping of str to (str, str)
        Module in ``pages`` to title and icon, in the order of the navigation.
    """
    made = {
        name: st.Page(
            _page(name),
            title=title,
            icon=f":material/{icon}:",
            url_path="" if name == FIRST else name,
            default=name == FIRST,
        )
        for name, (title, icon) in pages.items()
    }
    page = st.navigation(list(made.values()), expanded=True)
    from recommender.dashboard import frame

    frame.run(made, page)


def _page(name: str) -> Callable[[], None]:
    def shown() -> None:
        import_module(f"{page_modules.__name__}.{name}").show()

    return shown
