"""Seconds that people wait for the dashboard, in a real browser.

Run by hand: ``python tests/benchmarks/dashboard_speed.py [--times N]``. Each line has the median and the range, and
beside it what the server computed for it: on a shared machine the second is the one to compare.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from served import ROOT, Server, chromium, edit_cell, go, new_page, served, settled, to_cell, total

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Cost = tuple[float, float]
"""Seconds on the clock, and seconds that the server computed."""
QUIET = 0.03
WATCH = """() => {
    const value = document.querySelector(".st-key-kit_total [data-testid=stMetricValue]").closest(".st-key-kit_total");
    const app = document.querySelector("[data-testid=stApp]");
    const text = () => document.querySelector(".st-key-kit_total [data-testid=stMetricValue]")?.innerText;
    const before = text();
    window.pressed = window.shown = window.ended = 0;
    addEventListener("keydown", one => { if (one.key === "Enter") window.pressed = performance.now(); }, true);
    new MutationObserver(() => {
        const now = performance.now();
        if (!window.shown && text() && text() !== before) window.shown = now;
        if (window.shown && app.dataset.testScriptState === "notRunning") window.ended ||= now;
    }).observe(document.body, {subtree: true, childList: true, characterData: true, attributes: true});
}"""


def computed(server: Server) -> float:
    """Seconds that a server has computed so far."""
    assert server.process is not None
    fields = Path(f"/proc/{server.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def wait_until_quiet(server: Server) -> None:
    """Wait until a server computes nothing more."""
    before = -1.0
    while (now := computed(server)) - before > QUIET:
        before = now
        time.sleep(1.5)


@contextmanager
def newcomer(browser: Browser) -> Iterator[Page]:
    """A page of somebody who has not been there before."""
    page = new_page(browser)
    yield page
    page.context.close()


def cost_of(server: Server, wait: Callable[[], object]) -> Cost:
    """What something costs."""
    start, before = time.perf_counter(), computed(server)
    wait()
    return time.perf_counter() - start, computed(server) - before


def said(what: str, costs: list[Cost]) -> None:
    """One line."""
    clock, work = zip(*costs, strict=True)
    print(
        f"{what:44s} {median(clock):5.2f} s ({min(clock):.2f} to {max(clock):.2f}), "
        f"computed {median(work):5.2f} s; load {os.getloadavg()[0]:.1f}",
        flush=True,
    )


def first_kit(browser: Browser, *, at_once: bool) -> Cost:
    """From the address to the kit's total, of a server that was just started."""
    with tempfile.TemporaryDirectory() as home, served(Path(home)) as server, newcomer(browser) as page:
        if not at_once:
            wait_until_quiet(server)

        def wait() -> None:
            page.goto(server.address)
            total(page).wait_for()

        return cost_of(server, wait)


FLOORS = {
    "nothing but a title": "import streamlit as st\nst.title('Title')\n",
    "a title, a table to edit, a chart": """import altair, pandas, streamlit as st
st.title('Title')
rows = pandas.DataFrame({'a': range(8), 'b': range(8)})
st.data_editor(rows)
st.altair_chart(altair.Chart(rows).mark_bar().encode(x='a:N', y='b:Q'))
""",
}
"""Pages that any program of this kind has to wait for."""


@contextmanager
def other_program(text: str, folder: Path) -> Iterator[Server]:
    """A server of a program of its own."""
    (folder / "app.py").write_text(text, encoding="utf-8")
    shutil.copytree(ROOT / ".streamlit", folder / ".streamlit")
    server = Server(folder, root=folder)
    try:
        yield server.start()
    finally:
        server.stop()


def cold_page(browser: Browser, server: Server, address: str) -> Cost:
    """From an address to the last change on the screen, by the browser's clock, as somebody new."""
    with newcomer(browser) as page:
        before = computed(server)
        page.goto(address)
        page.get_by_role("heading", level=1).wait_for()
        settled(page)
        return float(page.evaluate("() => window.stillSince")) / 1000, computed(server) - before


def floors(browser: Browser, times: int) -> None:
    """What the browser and Streamlit take for themselves on this machine."""
    for name, text in FLOORS.items():
        with tempfile.TemporaryDirectory() as home, other_program(text, Path(home)) as server:
            costs = [cold_page(browser, server, server.address) for _ in range(times + 1)]
            said(f"floor: {name}", costs[1:])


def cold_pages(browser: Browser, server: Server, times: int) -> None:
    """Every page by its own address, each time as somebody new."""
    with newcomer(browser) as page:
        page.goto(server.address)
        links = settled(page).get_by_test_id("stSidebarNav").get_by_role("link")
        links.first.wait_for()
        places = [(one.get_attribute("href") or "", one.locator("p").inner_text()) for one in links.all()]
    for address, name in places:
        costs = [cold_page(browser, server, address) for _ in range(times + 1)]
        said(f"page {name}, the very first time", costs[:1])
        said(f"page {name}, new session", costs[1:])


def edits(browser: Browser, server: Server, times: int) -> None:
    """From the Enter that ends a cell to the other total, and to the end of the run; no kit is known before."""
    shown, ended = [], []
    for number in range(times):
        with newcomer(browser) as page:
            page.goto(f"{server.address}/?plan=new_owner")
            go(settled(page), "Work")
            to_cell(page, "Rigging height", 2)
            wait_until_quiet(server)
            page.evaluate(WATCH)
            before = computed(server)
            edit_cell(page, "Rigging height", 2, f"{55 - number / 100:.2f}")
            page.wait_for_function("() => window.ended")
            work = computed(server) - before
            marks = page.evaluate("() => [window.pressed, window.shown, window.ended]")
            shown.append(((marks[1] - marks[0]) / 1000, work))
            ended.append(((marks[2] - marks[0]) / 1000, work))
    said("cell edited to another total", shown)
    said("cell edited to the end of the run", ended)


def main() -> None:
    """Print one line a measure."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--times", type=int, default=5)
    times = parser.parse_args().times
    with chromium() as browser:
        said(
            "fresh server asked at once, first kit", [first_kit(browser, at_once=True) for _ in range(times)]
        )
        said("fresh server, asked when ready", [first_kit(browser, at_once=False) for _ in range(times)])
        with tempfile.TemporaryDirectory() as home, served(Path(home)) as server:
            wait_until_quiet(server)
            floors(browser, times)
            cold_pages(browser, server, times)
            edits(browser, server, times)


if __name__ == "__main__":
    main()
