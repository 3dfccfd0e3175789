"""The dashboard in a real browser, from the command that people type."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from recommender.dashboard.draft import DEMO_FOLDER
from recommender.kit.planning import plan_kit
from recommender.report.figures import money
from recommender.work.plan import load_plan

ROOT = Path(__file__).parents[2]
CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PATIENCE = 60.0


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    port = free_port()
    command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(port)]
    with (tmp_path / "server.txt").open("wb") as log:
        server = subprocess.Popen(
            command, cwd=ROOT, stdout=log, stderr=log, env={**os.environ, "HOME": str(tmp_path)}
        )
        try:
            wait_for(f"http://127.0.0.1:{port}/_stcore/health", server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(timeout=20)


def wait_for(url: str, server: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        assert server.poll() is None, "the server ended by itself"
        try:
            with urllib.request.urlopen(url, timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    pytest.fail("the server did not answer")


def test_the_kit_total_in_a_browser_is_that_of_the_planner(address: str, tmp_path: Path) -> None:
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if not CHROMIUM.exists():
        pytest.skip(f"there is no browser at {CHROMIUM}")
    result = plan_kit(load_plan(DEMO_FOLDER / "new_owner"))
    strangers: list[str] = []
    with playwright.sync_playwright() as driver:
        context = driver.chromium.launch_persistent_context(
            str(tmp_path / "profile"), executable_path=str(CHROMIUM), args=ARGUMENTS, headless=True
        )
        page = context.pages[0]
        page.on("request", lambda one: strangers.append(one.url) if is_elsewhere(one.url, address) else None)
        page.goto(address)
        total = page.locator(".st-key-kit_total [data-testid=stMetricValue]")
        playwright.expect(total).to_have_text(
            money(result.purchase_cost, result.currency), timeout=1000 * PATIENCE
        )
        page.get_by_role("link", name="Kit", exact=True).click()
        playwright.expect(page.get_by_role("heading", name="How hard each part works")).to_be_visible(
            timeout=1000 * PATIENCE
        )
        playwright.expect(page.get_by_text("Before you rely on these figures")).to_be_visible()
        context.close()
    assert strangers == [], "the page asked another machine for something"


def is_elsewhere(url: str, address: str) -> bool:
    own = (address, address.replace("http://", "ws://"), "data:", "blob:", "chrome")
    return not url.startswith(own)
