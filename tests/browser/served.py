"""The dashboard as people run it: the command that README gives, and Debian's browser without a window."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from weakref import WeakKeyDictionary

from recommender.store import ENVIRONMENT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

ROOT = Path(__file__).parents[2]
CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PATIENCE = 90.0
"""Seconds; a test that waits so long has failed. Nothing is measured with it."""
DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}


class Server:
    """The dashboard's server, with a home folder of its own, in which everything lies that it keeps.

    ``root`` is where the program lies.
    """

    def __init__(self, home: Path, root: Path = ROOT) -> None:
        self.home, self.root = home, root
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> Server:
        """Start it, again at the same address, and wait until it answers."""
        command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(self.port)]
        elsewhere = ("XDG_", ENVIRONMENT)
        homeless = {name: text for name, text in os.environ.items() if not name.startswith(elsewhere)}
        with (self.home / "server.txt").open("ab") as log:
            self.process = subprocess.Popen(
                command, cwd=self.root, stdout=log, stderr=log, env={**homeless, "HOME": str(self.home)}
            )
        end = time.monotonic() + PATIENCE
        while not answers(f"{self.address}/_stcore/health"):
            if self.process.poll() is not None or time.monotonic() > end:
                raise RuntimeError(f"the server did not start: {self.log}")
            time.sleep(0.1)
        return self

    def stop(self, how: signal.Signals = signal.SIGTERM) -> None:
        """End it and wait until it is gone."""
        if self.process is not None:
            self.process.send_signal(how)
            self.process.wait(timeout=30)
            self.process = None

    @property
    def log(self) -> str:
        """What it has said so far."""
        return (self.home / "server.txt").read_text(encoding="utf-8", errors="replace")


@contextmanager
def served(home: Path) -> Iterator[Server]:
    """A server that ends with the block."""
    server = Server(home)
    try:
        yield server.start()
    finally:
        server.stop()


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser with a fresh profile that ends with the block."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS, headless=True)
        try:
            yield browser
        finally:
            browser.close()


STILL = """theme => {
    const app = document.querySelector("[data-testid=stApp]");
    const isDone = app?.dataset.testScriptState === "notRunning"
        && app.dataset.testConnectionState === "CONNECTED"
        && document.querySelector("h1, h2") !== null
        && !document.querySelector("[data-stale=true], [data-testid=stSkeleton]");
    const isFading = document.getAnimations().some(one =>
        one.playState === "running" && Number.isFinite(one.effect.getComputedTiming().endTime));
    const paper = getComputedStyle(app ?? document.body).backgroundColor.match(/[\\d.]+/g).slice(0, 3).map(Number);
    const isLight = paper.reduce((sum, part) => sum + part, 0) > 3 * 128;
    const isStill = isDone && !isFading && (theme === "" || isLight === (theme === "light"));
    window.stillFrames = isStill ? (window.stillFrames ?? 0) + 1 : 0;
    if (window.stillFrames === 1) window.stillSince = performance.now();
    return window.stillFrames > 10;
}"""
"""Whether for some frames nothing was computed, sent, stale or fading; in one theme, where one is named.

``stillSince`` is when that began, in milliseconds from the page's address."""
_finished: WeakKeyDictionary[Page, list[str]] = WeakKeyDictionary()
"""For every page what the server said of each run of its script that is over."""


def new_page(browser: Browser, **options: Any) -> Page:
    """A page of somebody who has not been there before; the runs that the server reports as finished are noted."""
    from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

    page = browser.new_context(**{"viewport": DESK, "accept_downloads": True, **options}).new_page()
    page.set_default_timeout(1000 * PATIENCE)
    noted = _finished[page] = []

    def note(frame: str | bytes) -> None:
        if isinstance(frame, bytes):
            message = ForwardMsg.FromString(frame)
            if message.WhichOneof("type") == "script_finished":
                noted.append(str(message.script_finished))

    page.on("websocket", lambda socket: socket.on("framereceived", note))
    return page


def settled(page: Page, theme: Literal["", "light", "dark"] = "") -> Page:
    """The page when the server has sent all of it and nothing of it fades any more, however long that takes."""
    page.evaluate("() => { window.stillFrames = 0; }")
    page.wait_for_function(STILL, arg=theme, timeout=1000 * PATIENCE)
    faults = page.get_by_test_id("stException").all_inner_texts()
    if faults:
        raise RuntimeError("\n".join(faults))
    return page


def themed(page: Page, theme: Literal["light", "dark"]) -> Page:
    """The page by day or by night."""
    page.emulate_media(color_scheme=theme)
    return settled(page, theme)


@contextmanager
def followed(page: Page) -> Iterator[None]:
    """What is done in the block makes the page run again; the block ends when all of that is on the screen."""
    noted = _finished[settled(page)]
    before, end = len(noted), time.monotonic() + PATIENCE
    yield
    while len(noted) == before:
        if time.monotonic() > end:
            raise RuntimeError(f"the page did not run again within {PATIENCE:g} s")
        page.wait_for_timeout(20)
    settled(page)


def press(page: Page, label: str) -> Page:
    """Press a button, and wait for what follows from it."""
    with followed(page):
        page.get_by_role("button", name=label, exact=True).click()
    return page


def go(page: Page, title: str) -> Page:
    """Another page, by its name in the navigation."""
    link = page.get_by_test_id("stSidebarNav").get_by_role("link", name=title, exact=True)
    with followed(page):
        link.evaluate("link => link.click()")  # also where a narrow screen has put the navigation away
    return page


def titles(page: Page) -> list[str]:
    """Names of all pages, from the navigation."""
    links = page.get_by_test_id("stSidebarNav").get_by_role("link")
    links.first.wait_for(timeout=1000 * PATIENCE)
    return links.locator("p").all_inner_texts()


def download(page: Page, label: str) -> bytes:
    """What a button hands out."""
    with page.expect_download() as coming:
        page.get_by_role("button", name=label, exact=True).click()
    return Path(coming.value.path()).read_bytes()


def total(page: Page) -> Locator:
    """What the kit to buy costs, where a page shows it as a figure."""
    return page.locator(".st-key-kit_total [data-testid=stMetricValue]")


MARK = "\u26a0 "
"""Stands before the heading of a column with a fault in it."""
HERE = """() => {
    const cell = document.activeElement, place = cell.getAttribute("aria-colindex");
    const heads = cell.closest("table")?.querySelectorAll("th") ?? [];
    const head = [...heads].find(one => one.getAttribute("aria-colindex") === place);
    return [head?.textContent.trim() ?? "", cell.textContent];
}"""


def to_cell(page: Page, column: str, row: int, table: int = 0) -> str:
    """Go to a cell of an editable table by keys; its text.

    Parameters
    ----------
    page : Page
    column : str
        Start of its heading.
    row : int
        From 0.
    table : int, optional
        Of those on the page.
    """
    grid = page.get_by_test_id("data-grid-canvas").nth(table)
    grid.scroll_into_view_if_needed()
    grid.focus()
    page.keyboard.press("ArrowDown")
    page.wait_for_function("() => document.activeElement.tagName === 'TD'")
    page.keyboard.press("Control+Home")
    for _ in range(row):
        page.keyboard.press("ArrowDown")
    page.wait_for_function(f"() => /^glide-cell-[01]-{row}$/.test(document.activeElement.id)")
    while True:
        heading, text = page.evaluate(HERE)
        if heading.removeprefix(MARK).startswith(column):
            return str(text)
        here = page.evaluate("() => document.activeElement.id")
        page.keyboard.press("ArrowRight")
        page.wait_for_function("here => document.activeElement.id !== here", arg=here)  # fails after the last


def edit_cell(page: Page, column: str, row: int, text: str, table: int = 0) -> Page:
    """Write into a cell of an editable table by keys, and wait for what follows from it."""
    to_cell(page, column, row, table)
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.activeElement.matches('textarea, input')")
    page.keyboard.press("Control+a")
    page.keyboard.type(text, delay=20)
    page.wait_for_function("text => document.activeElement.value === text", arg=text)
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    with followed(page):
        page.keyboard.press("Enter")
    return page


def answers(url: str) -> bool:
    """Whether a server answers."""
    try:
        with urllib.request.urlopen(url, timeout=2):
            return True
    except (urllib.error.URLError, OSError):
        return False


def free_port() -> int:
    """A port of this machine that nobody listens at."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])
