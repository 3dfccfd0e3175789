"""The parts of a long page: links to them at its top, and long tables that open when they are wanted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

import streamlit as st

from recommender.dashboard.shown import plain


class Sections:
    """The headings of a page, in the order in which they come, and links to each of them at its top."""

    def __init__(self) -> None:
        self._place = st.empty()
        self._titles: list[str] = []

    def heading(self, title: str) -> None:
        """A heading that can be jumped to."""
        self._titles.append(title)
        st.subheader(plain(title), anchor=anchor_of(title))

    @contextmanager
    def folded(self, title: str, told: str) -> Iterator[None]:
        """A heading, and below it what opens when it is wanted; ``told`` says what that is."""
        self.heading(title)
        with st.expander(plain(told), key=f"open_{anchor_of(title)}"):
            yield

    def links(self) -> None:
        """The links, once every heading is there."""
        jumps = " ".join(f"[{plain(title)}](#{anchor_of(title)})" for title in self._titles)
        self._place.container(key="jumps").markdown(f"On this page: {jumps}")


def anchor_of(title: str) -> str:
    """The name that a heading is jumped to by.

    >>> anchor_of("For the crew, to buy")
    'for-the-crew-to-buy'
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
