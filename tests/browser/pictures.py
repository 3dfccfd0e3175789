"""Makes the pictures of README.md from the dashboard, on the invented plans: ``python tests/browser/pictures.py``.

They lie in ``.pictures``, small enough to be kept with the code.
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).parent))

from PIL import Image
from served import ROOT, chromium, followed, go, new_page, press, served, settled, themed

if TYPE_CHECKING:
    from playwright.sync_api import Page

FOLDER = ROOT / ".pictures"
SCREEN = {"width": 1180, "height": 980}
WIDTH = 900
"""Of a picture. [pixel]"""
QUALITY = 80
MOST_BYTES = 80_000
EXAMPLES = {
    "kit": ("Open the first-truck example", "Kit", ""),
    "setup": ("Open the first-truck example", "Kit", "How it is rigged"),
    "limits": ("Open the first-truck example", "Limits", ""),
    "seasons": ("Open the two-crew example", "Seasons", "To buy in all"),
    "ropes": ("Open the training example", "Rope against rope", ""),
}
"""File -> the example to open on the first page, the page to show, and the words at its top, its title if empty."""


def picture(page: Page, example: str, title: str, top: str) -> bytes:
    """A page of an example as a small picture."""
    go(page, "Start")
    press(page, example)
    go(page, title)
    questions = page.get_by_test_id("stBaseButton-primary")
    if questions.count():
        with followed(page):
            questions.first.click()
    if title == "Rope against rope":
        page.get_by_text("What is compared").click()
    themed(page, "light")
    first = page.get_by_text(top).first if top else page.get_by_role("heading", level=1)
    first.evaluate("one => one.scrollIntoView()")
    page.mouse.move(0, 0)
    settled(page)
    shown = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    small = shown.resize((WIDTH, round(shown.height * WIDTH / shown.width)), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.save(out, "WEBP", quality=QUALITY, method=6)
    return out.getvalue()


def main() -> None:
    """Make them all anew."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as home, served(Path(home)) as server, chromium() as browser:
        page = new_page(browser, viewport=SCREEN)
        page.goto(server.address)
        settled(page)
        for name, (example, title, top) in EXAMPLES.items():
            content = picture(page, example, title, top)
            if len(content) > MOST_BYTES:
                raise SystemExit(f"{name} is {len(content):,d} bytes: more than {MOST_BYTES:,d}")
            (FOLDER / f"{name}.webp").write_bytes(content)
            print(f"{name}: {len(content):,d} bytes")


if __name__ == "__main__":
    main()
