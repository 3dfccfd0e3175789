"""The dashboard without a browser."""

from __future__ import annotations

from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

APP = Path(__file__).parents[2] / "app.py"
TEXTS = ("title", "subheader", "markdown", "caption", "text", "error", "warning", "info", "success")


class Screen:
    """A session of the dashboard and the page that it shows."""

    def __init__(self, page: str, query: dict[str, str]) -> None:
        self.app = AppTest.from_file(str(APP), default_timeout=30)
        for name, value in query.items():
            self.app.query_params[name] = value
        self.run()
        if page:
            self.go(page)

    def run(self) -> Screen:
        self.app.run()
        assert not self.app.exception
        return self

    def go(self, page: str) -> Screen:
        """Another page, by its address; AppTest's own way knows pages only that are files."""
        self.app._page_hash = calc_hash(page)
        return self.run()

    @property
    def text(self) -> str:
        """All text on the page, without the signs that keep it from being markup."""
        found = (str(element.value) for kind in TEXTS for element in getattr(self.app, kind))
        return "\n".join(found).replace("\\", "")

    def figure(self, label: str) -> str:
        """A figure by the start of its label."""
        found = [str(one.value) for one in self.app.metric if one.label.startswith(label)]
        assert found, f"no figure {label!r} among {[one.label for one in self.app.metric]}"
        return found[0].replace("\\", "")

    def press(self, label: str) -> Screen:
        (button,) = [one for one in self.app.button if one.label == label]
        assert not button.disabled
        button.click()
        return self.run()

    def table(self, column: str) -> Any:
        """The first table to read that has a column."""
        return self.tables(column)[0]

    def tables(self, column: str) -> list[Any]:
        """Every table to read that has a column: those whose words wrap come first, their cells as text."""
        wrapped = [read_listing(one.proto.body) for one in self.app.get("html")]
        tables = [*(one for one in wrapped if one is not None), *(one.value for one in self.app.dataframe)]
        return [one for one in tables if column in one.columns]

    def edit(self, row: int, **cells: object) -> Screen:
        """What an edit of a row leads to, cells in SI."""
        draft = self.app.session_state["draft"]
        rows = list(draft.work.now)
        rows[row] = {**rows[row], **cells}
        self.app.session_state["draft"] = draft.with_rows(tuple(rows))
        return self.run()


class Listing(HTMLParser):
    """Reads a table back from what is handed to the browser."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.kinds: set[str] = set()
        self.is_cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.kinds.add(tag)
        if tag == "tr":
            self.rows.append([])
        self.is_cell = tag in ("td", "th")
        if self.is_cell:
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        self.is_cell = False

    def handle_data(self, data: str) -> None:
        if self.is_cell:
            self.rows[-1][-1] += data.replace("\u00a0", " ")


def read_listing(markup: str) -> pd.DataFrame | None:
    """A table whose words wrap, without the row of its sums; None where there is none in the markup."""
    reader = Listing()
    reader.feed(markup)
    return pd.DataFrame(reader.rows[1:], columns=reader.rows[0]) if reader.rows else None


@pytest.fixture
def screen() -> Callable[..., Screen]:
    def opened(page: str = "", **query: str) -> Screen:
        return Screen(page, query)

    return opened
