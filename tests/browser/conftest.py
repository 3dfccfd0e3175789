"""One browser and one server for all tests; each opens a plan of its own there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

import pytest
from expected import lacking
from served import CHROMIUM, PATIENCE, Server, chromium, new_page, served, settled

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

OpenPage = Callable[..., "Page"]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if find_spec("playwright") is None:
        lacking("chromium", "playwright is not installed (test extra)")
    if not CHROMIUM.exists():
        lacking("chromium", f"there is no browser at {CHROMIUM} (Debian: apt-get install chromium)")
    from playwright.sync_api import expect

    expect.set_options(timeout=1000 * PATIENCE)
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="session")
def shared_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with served(tmp_path_factory.mktemp("home")) as server:
        yield server


@pytest.fixture
def opened(browser: Browser) -> Iterator[OpenPage]:
    """Opens the dashboard as somebody who has not been there before; options are those of a new context.

    The plan is named, since the program opens the last one of whoever was there.
    """
    pages = []

    def open_page(server: Server, path: str = "?plan=new_owner", **options: Any) -> Page:
        page = new_page(browser, **options)
        pages.append(page)
        page.goto(f"{server.address}/{path}")
        return settled(page)

    yield open_page
    for page in pages:
        page.context.close()
