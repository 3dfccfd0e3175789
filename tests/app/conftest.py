"""The dashboard without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

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
        return next(one.value for one in self.app.dataframe if column in one.value.columns)

    def edit(self, row: int, **cells: object) -> Screen:
        """What an edit of a row leads to, cells in SI."""
        draft = self.app.session_state["draft"]
        rows = list(draft.work.now)
        rows[row] = {**rows[row], **cells}
        self.app.session_state["draft"] = draft.with_rows(tuple(rows))
        return self.run()


@pytest.fixture
def screen() -> Callable[..., Screen]:
    def opened(page: str = "", **query: str) -> Screen:
        return Screen(page, query)

    return opened
