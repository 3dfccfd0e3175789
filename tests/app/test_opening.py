"""The dashboard opens before what only later pages need is imported, and imports that while nobody waits."""

import asyncio
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from streamlit.web.server.app_discovery import discover_asgi_app

from recommender.dashboard import opening

ROOT = Path(__file__).parents[2]
HEAVY = ("pandas", "altair", "reportlab", "openpyxl", "scipy.optimize", "scipy.integrate")
FIRST_PAGE = f"""
import logging, sys
logging.disable()
import recommender.dashboard.frame, recommender.dashboard.pages.{opening.FIRST}
print([name for name in {HEAVY!r} if name in sys.modules])
"""
ALL_PAGES = """
import logging, sys
logging.disable()
from recommender.dashboard import opening
opening.import_pages()
print(sorted(name.rpartition(".")[2] for name in sys.modules if name.startswith("recommender.dashboard.pages.")))
"""


def printed(program: str) -> str:
    call = [sys.executable, "-c", program]
    return subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=True).stdout.strip()


def test_the_first_page_needs_nothing_heavy() -> None:
    assert printed(FIRST_PAGE) == "[]"


def test_every_page_is_imported_ahead() -> None:
    folder = ROOT / "recommender" / "dashboard" / "pages"
    pages = sorted(path.stem for path in folder.glob("*.py") if path.stem != "__init__")
    assert printed(ALL_PAGES) == str(pages)


def test_the_server_is_told_to_begin_importing_when_it_starts(monkeypatch: pytest.MonkeyPatch) -> None:
    assert discover_asgi_app(ROOT / "app.py").import_string == "app:app"
    importing = threading.Event()
    monkeypatch.setattr(opening, "import_pages", importing.set)

    async def started() -> bool:
        async with opening.lifespan(None):  # type: ignore[arg-type]
            return await asyncio.to_thread(importing.wait, 60)

    with ThreadPoolExecutor() as elsewhere:  # a thread without an event loop of its own yet
        assert elsewhere.submit(lambda: asyncio.run(started())).result()
