"""The dashboard without a browser."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from recommender.dashboard.frame import FAULT
from recommender.store import ENVIRONMENT

APP = Path(__file__).parents[2] / "app.py"
TEXTS = ("title", "subheader", "markdown", "caption", "text", "error", "warning", "info", "success")


class Screen:
    """A session of the dashboard and the page that it shows."""

    def __init__(self, page: str, query: dict[str, str]) -> None:
        self.app = AppTest.from_file(str(APP), default_timeout=30)
        self.typed: dict[str, dict[str, Any]] = {}
        for name, value in query.items():
            self.app.query_params[name] = value
        self.run()
        if page:
            self.go(page)

    def run(self) -> Screen:
        self.app.run()
        assert not self.app.exception and not self.has_failed
        return self

    @property
    def has_failed(self) -> bool:
        """Whether the page is one that tells of a fault of the program."""
        return any(FAULT in one.value for one in self.app.error)

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
        (button,) = [one for one in self.app.button if _is_called(one.label, label)]
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
        """What an edit of a row of the work table leads to, cells in SI; it is not saved."""
        draft = self.app.session_state["draft"]
        rows = list(draft.rows("work"))
        rows[row] = {**rows[row], **cells}
        self.app.session_state["draft"] = draft.with_rows(work=rows)
        return self.run()

    def type(self, name: str, row: int, view: str = "", **cells: object) -> Screen:
        """Type into cells of a table by heading, in the units that are shown; a row beyond the last is a new one.

        AppTest can't type into an editor, so what the browser would report is put into its request.
        """
        given = self.app.session_state["editors"][f"{name} {view}"]
        delta = self.typed.setdefault(
            given.key, {"edited_rows": {}, "added_rows": [], "deleted_rows": []}
        )  # an editor reports all that was typed since it was given its rows
        if row < len(given.rows):
            delta["edited_rows"].setdefault(str(row), {}).update(cells)
        else:
            delta["added_rows"].append(cells)
        return self.report(given.key, delta)

    def report(self, key: str, delta: dict[str, Any]) -> Screen:
        """What an editor reports."""
        states = self.app._tree.get_widget_states()
        (one,) = [one for one in self.app.data_editor if f"-{key}" in one.proto.id]
        states.widgets.add(id=one.proto.id, string_value=json.dumps(delta))
        self.app._run(states)
        assert not self.app.exception and not self.has_failed
        return self

    def has(self, label: str) -> bool:
        """Whether there is a button that can be pressed."""
        return any(_is_called(one.label, label) and not one.disabled for one in self.app.button)


def _is_called(label: str, name: str) -> bool:
    """Whether a button has a name, with or without what it does now behind it: ``Undo: length of tops``."""
    return label == name or label.startswith(f"{name}: ")


@pytest.fixture(scope="session", autouse=True)
def _no_store_of_a_person(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Whatever a test starts, the plans of the person who runs it are left alone."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(ENVIRONMENT, f"sqlite:///{tmp_path_factory.mktemp('store') / 'plans.db'}")
        yield


@pytest.fixture(autouse=True)
def store_url(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """A store of its own for each test."""
    url = f"sqlite:///{tmp_path / 'plans.db'}"
    monkeypatch.setenv(ENVIRONMENT, url)
    yield url
    st.cache_resource.clear()


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
