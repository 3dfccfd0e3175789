"""Settings of the plan: who works, what line is used up, what time and money are worth; and its design factors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import streamlit as st

from recommender.charts.words import headline
from recommender.dashboard import frame, state
from recommender.dashboard.settings_form import (
    Field,
    changed_policy_tables,
    changed_settings,
    policy_fields,
    setting_fields,
)
from recommender.dashboard.shown import lines, plain
from recommender.ratings.policy_words import Place

REASON = "policy_reason"
GROUPS = {"": "The plan", "crew": "Who works", "line": "Line that is used up", "money": "Time and money"}
PER_ROW = 3
LONG = ("notice",)
"""Texts that may have several lines."""


def show() -> None:
    """The page."""
    st.title("Settings")
    st.markdown(
        "For whom, with how many people, and with which design factors is this planned? Every change counts at once."
    )
    frame.standing()
    for name, fields in setting_fields(state.draft().settings, state.system()).items():
        st.subheader(GROUPS.get(name, headline(name)))
        _form(fields, _setting)
    st.caption("The name of the plan is changed under 'Plans', the units at the side.")
    _policy()
    frame.cautions()


def _policy() -> None:
    st.subheader("Design factors and other rules")
    st.markdown(
        "A design factor may be raised, never set below its floor. What differs from the default stands in every "
        "result."
    )
    policy = state.checked().policy
    if policy is None:
        return
    reason = str(state.draft().policy.get("reason", ""))
    st.text_input(
        "Reason for the changes, told with every result", reason, key=f"{REASON} {reason}", on_change=_reason,
        args=(f"{REASON} {reason}",), max_chars=300,
    )  # fmt: skip
    lines([f"Changed: {note}." for note in policy.notes])
    for name, fields in policy_fields(policy).items():
        with st.expander(headline(name), expanded=name == "design_factor"):
            _form(fields, _factor)
    if state.draft().policy:
        st.button("Back to the default of every rule", on_click=_default_policy)


def _form(fields: list[Field], take: Callable[[Place, str], None]) -> None:
    for start in range(0, len(fields), PER_ROW):
        for column, field in zip(st.columns(PER_ROW), fields[start : start + PER_ROW], strict=False):
            with column:
                _widget(field, take)


def _widget(field: Field, take: Callable[[Place, str], None]) -> None:
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


def _setting(place: Place, key: str) -> None:
    try:
        settings = changed_settings(state.draft().settings, place, st.session_state[key], state.system())
    except ValueError as error:
        state.tell(str(error))
        return
    state.edit(replace(state.draft(), settings=settings), f"Settings: {headline(place[-1])}")


def _factor(place: Place, key: str) -> None:
    _change_policy(place, float(st.session_state[key]))


def _reason(key: str) -> None:
    _change_policy(("reason",), str(st.session_state[key]).strip())


def _change_policy(place: Place, value: object) -> None:
    changes = changed_policy_tables(state.draft().policy, place, value)
    state.edit(replace(state.draft(), policy=changes), f"Rules: {' '.join(place).replace('_', ' ')}")


def _default_policy() -> None:
    state.edit(replace(state.draft(), policy={}), "Rules: the default again")
