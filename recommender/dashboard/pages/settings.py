"""Settings of the plan: who works, what line is used up, what time and money are worth; and its design factors."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from recommender.charts.words import headline
from recommender.dashboard import frame, state
from recommender.dashboard.setting_widgets import form, take_setting
from recommender.dashboard.settings_form import changed_policy_tables, policy_fields, setting_fields
from recommender.dashboard.shown import lines
from recommender.ratings.policy_words import Place

REASON = "policy_reason"
GROUPS = {"": "The plan", "crew": "Who works", "line": "Line that is used up", "money": "Time and money"}


def show() -> None:
    """The page."""
    st.title("Settings")
    st.markdown(
        "For whom, with how many people, and with which design factors is this planned? Every change counts at once."
    )
    frame.standing()
    for name, fields in setting_fields(state.draft().settings, state.system()).items():
        st.subheader(GROUPS.get(name, headline(name)))
        form(fields, take_setting)
    st.caption(
        "The name of the plan is changed under 'Plans', the units at the side. Who works stands under 'Work' too."
    )
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
            form(fields, _factor)
    if state.draft().policy:
        st.button("Back to the default of every rule", on_click=_default_policy)


def _factor(place: Place, key: str) -> None:
    _change_policy(place, float(st.session_state[key]))


def _reason(key: str) -> None:
    _change_policy(("reason",), str(st.session_state[key]).strip())


def _change_policy(place: Place, value: object) -> None:
    changes = changed_policy_tables(state.draft().policy, place, value)
    state.edit(replace(state.draft(), policy=changes), f"Rules: {' '.join(place).replace('_', ' ')}")


def _default_policy() -> None:
    state.edit(replace(state.draft(), policy={}), "Rules: the default again")
