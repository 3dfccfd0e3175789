"""Settings as fields on the screen, wherever they are shown: every change counts and is saved at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import streamlit as st

from recommender.charts.words import headline
from recommender.dashboard import state
from recommender.dashboard.settings_form import Field, changed_settings, setting_fields
from recommender.dashboard.shown import plain
from recommender.ratings.policy_words import Place

PER_ROW, NARROW = 3, 150
LONG = ("notice",)
"""Texts that may have several lines."""
Take = Callable[[Place, str], None]


def settings_of(group: str) -> None:
    """The settings of a group as narrow fields in a row."""
    with st.container(horizontal=True, key=f"settings_{group}"):
        for field in setting_fields(state.draft().settings, state.system())[group]:
            with st.container(width=NARROW):
                _widget(field, take_setting)


def form(fields: list[Field], take: Take) -> None:
    """Fields side by side; ``take`` is given the place of one that was changed, and the key of its widget."""
    for start in range(0, len(fields), PER_ROW):
        for column, field in zip(st.columns(PER_ROW), fields[start : start + PER_ROW], strict=False):
            with column:
                _widget(field, take)


def _widget(field: Field, take: Take) -> None:
    key = f"set {'.'.join(field.place)} {field.value!r} {state.system()}"
    value, label = field.value, plain(field.label)
    given: dict[str, Any] = {
        "key": key, "on_change": take, "args": (field.place, key), "help": plain(field.about)
    }  # fmt: skip
    if isinstance(value, bool):
        st.toggle(label, value, **given)
    elif isinstance(value, str):
        write = st.text_area if field.place[-1] in LONG else st.text_input
        write(label, value, **given)
    elif isinstance(value, int):
        least, most = (None if one is None else int(one) for one in (field.least, field.most))
        st.number_input(label, least, most, value, **given)
    else:
        least_, most_ = (None if one is None else float(one) for one in (field.least, field.most))
        st.number_input(label, least_, most_, value, format="%.6g", **given)
    if field.usual:
        st.caption(plain(field.usual))


def take_setting(place: Place, key: str) -> None:
    """A setting as its widget has it now; one that can't be is left as it was, and told."""
    try:
        settings = changed_settings(state.draft().settings, place, st.session_state[key], state.system())
    except ValueError as error:
        state.tell(str(error))
        return
    state.edit(replace(state.draft(), settings=settings), f"Settings: {headline(place[-1])}")
