"""Saved plans: open, name, copy, compare, go back, delete and bring back; and all of them as a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime

import streamlit as st

from catalog_schema.problems import InputError
from recommender.dashboard import asked, frame, keeping, state
from recommender.dashboard import draft as drafts
from recommender.dashboard.difference_rows import difference_rows
from recommender.dashboard.listing import listing
from recommender.dashboard.plan_costs import PlanKit, cost_rows, item_rows, kit_of, season_rows
from recommender.dashboard.shelf import shelf, store
from recommender.dashboard.shown import file_problems, lines, plain, table
from recommender.dashboard.solving import digest_of
from recommender.dashboard.takeaway import saved_plan
from recommender.report.figures import counted
from recommender.store import PlanEntry, Restored, StoreError, differences
from recommender.work.plan_json import plan_from_json

BACKUP_NAME = "rigging-plans.zip"
RESTORE, PLAN_FILE, NEW_NAME, OTHER = "restore", "plan_file", "new_name", "other_plan"
HERE, THERE = "In hand", "The other"
CAME_BACK = "came_back"
MOST_STEPS = 50


def show() -> None:
    """The page."""
    st.title("Plans")
    st.markdown(
        "Which plan am I working on, and what was it like before? Every change is saved at once, with all the states "
        "before it."
    )
    try:
        _in_hand()
        entries = store().plans()
        _saved(entries)
        _compare(entries)
        _deleted()
        _as_files()
    except StoreError as error:
        st.error("The saved plans can't be read now.", icon=":material/cloud_off:")
        st.text(str(error))
    frame.cautions()


def _in_hand() -> None:
    kept, name = state.kept(), state.draft().settings.name
    st.subheader(f"In hand: {plain(name)}")
    if not kept.plan_id:
        st.caption("An example or an empty plan: it is saved as a plan of its own once it is changed.")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.text_input("Name", name, key=f"{NEW_NAME} {kept.plan_id} {name}", max_chars=200)
        st.button("Give this name", on_click=_rename)
        st.button(
            "Copy", icon=":material/content_copy:", on_click=_copy, help="Go on with a copy of this plan"
        )
        plan = state.checked().plan
        if plan is not None:
            st.download_button(
                "As a file", lambda: saved_plan(plan), "plan.json", "application/json",
                icon=":material/download:", on_click="ignore",
            )  # fmt: skip
    if kept.plan_id:
        _history(kept)


def _history(kept: keeping.Kept) -> None:
    with st.expander("What was done, the last first"):
        steps = store().history(kept.plan_id, MOST_STEPS)
        for step in steps:
            said, back = st.columns([5, 1], vertical_alignment="center")
            said.text(f"{step.number}  {_when(step.saved_at)}  {step.what}")
            if step.number == kept.number:
                back.text("now")
            else:
                back.button("Go back", key=f"back_{step.number}", on_click=_go_back, args=(step.number,))


def _saved(entries: tuple[PlanEntry, ...]) -> None:
    st.subheader(f"Saved plans ({len(entries)})")
    if not entries:
        st.text("None yet: change something, and it is one.")
    for one in entries:
        name, when, act = st.columns([3, 2, 3], vertical_alignment="center")
        name.text(one.name)
        when.text(_when(one.changed_at))
        with act, st.container(horizontal=True):
            is_here = one.id == state.kept().plan_id
            st.button(
                "In hand" if is_here else "Open", key=f"open_{one.id}", disabled=is_here,
                on_click=_tried, args=(state.open_saved, one.id),
            )  # fmt: skip
            st.button("Delete", key=f"delete_{one.id}", on_click=_tried, args=(_delete, one.id))
    st.caption(
        plain(
            f"Kept in {store().place.removeprefix('sqlite:///')}."
            if not shelf().fault
            else "Kept until this program ends only."
        )
    )


def _deleted() -> None:
    gone = store().deleted()
    if not gone:
        return
    st.subheader("Deleted plans")
    for one in gone:
        name, when, act = st.columns([3, 2, 3], vertical_alignment="center")
        name.text(one.name)
        when.text(f"gone for good on {one.gone_at.date().isoformat()}" if one.gone_at else "")
        act.button("Bring back", key=f"recover_{one.id}", on_click=_tried, args=(_recover, one.id))


def _compare(entries: tuple[PlanEntry, ...]) -> None:
    others = {one.id: one.name for one in entries if one.id != state.kept().plan_id}
    if not others:
        return
    st.subheader("Compare with another plan")
    chosen = st.selectbox(
        "The other plan", list(others), format_func=lambda one: others[one], index=None, key=OTHER,
        placeholder="Choose a plan",
    )  # fmt: skip
    if chosen is None:
        return
    other, _ = keeping.opened(store(), chosen)
    here = state.draft()
    kits = [kit_of(one, state.system(), date.today()) for one in (here, other)]
    table(cost_rows(kits, state.system()))
    if kits[0].result is not None and kits[1].result is not None:
        _by_season(kits)
        items = item_rows(kits[0].result, kits[1].result, HERE, THERE)
        st.markdown("**Items of which the kits hold different numbers**")
        if items:
            listing(items, first="Item")
        else:
            st.text("None: both kits are the same.")
    st.markdown("**What is written differently**")
    rows = difference_rows(differences(here.documents(), other.documents()), state.system(), HERE, THERE)
    if rows:
        table(rows, first="Where", height=400 if len(rows) > 10 else None)
    else:
        st.text("They are alike in every table.")


def _by_season(kits: Sequence[PlanKit]) -> None:
    """What is bought in which season, where both plans name seasons; that takes a search of each."""
    plans = [kit.planned for kit in kits]
    if any(plan is None or not plan.seasons for plan in plans):
        return
    st.markdown("**Purchases by season**")
    subject = " ".join(digest_of(plan) for plan in plans if plan)
    if not asked.wanted("compare_seasons", subject, "Plan the seasons of both", aside=True):
        return
    found = asked.tried(lambda: [asked.seasons_of(plan) for plan in plans if plan])
    if found is not None:
        listing(season_rows(found[0], found[1], HERE, THERE), first="Season")


def _as_files() -> None:
    st.subheader("All plans as a file, and back")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.download_button(
            "Backup of all plans", store().backup, BACKUP_NAME, "application/zip",
            icon=":material/download:", on_click="ignore",
        )  # fmt: skip
    restore, read = st.columns(2)
    with restore:
        st.file_uploader("Bring a backup back (.zip)", type=["zip"], key=RESTORE, on_change=_restore)
        st.caption("Its plans come in beside those that are here; nothing is overwritten.")
        came = st.session_state.pop(CAME_BACK, None)
        if came is not None:
            _what_came_back(came)
    with read:
        st.file_uploader(
            "Open a plan from a file (.json)", type=["json"], key=PLAN_FILE, on_change=_read_plan
        )
        st.caption("It becomes a saved plan of its own.")
    problems = st.session_state.get("plan_file_problems")
    if problems:
        st.error(
            f"{counted(len(problems), 'problem')} with this file: no plan was opened.",
            icon=":material/error:",
        )
        file_problems(problems)


def _what_came_back(came: Restored) -> None:
    count = counted(len(came.added), "plan")
    if came.added:
        st.success(f"{count} came back, with all earlier states.", icon=":material/check:")
    else:
        st.info("No plan came back: all of them are here.", icon=":material/info:")
    lines([*came.added, *(f"{name}: was here already, left as it is" for name in came.there)])
    lines(
        [
            f"{name}: lies among the deleted plans, left there; 'Bring back' brings it back"
            for name in came.deleted
        ]
    )


def _tried(step: Callable[..., None], *arguments: object) -> None:
    try:
        step(*arguments)
    except (StoreError, ValueError) as error:
        state.tell(str(error))


def _rename() -> None:
    kept, now = state.kept(), state.draft().settings.name
    wanted = str(st.session_state[f"{NEW_NAME} {kept.plan_id} {now}"])
    _tried(state.rename, wanted)


def _copy() -> None:
    _tried(lambda: state.open_new(state.draft(), f"copy of {state.draft().settings.name}"))


def _delete(plan_id: str) -> None:
    entry = store().delete(plan_id)
    if plan_id == state.kept().plan_id:
        state.open_first()
    state.tell(f"'{entry.name}' was deleted. It can be brought back below for 30 days.")


def _recover(plan_id: str) -> None:
    store().recover(plan_id)


def _go_back(number: int) -> None:
    _tried(lambda: state.hold(keeping.gone_back(store(), state.held(), number, state.session_id())))


def _restore() -> None:
    file = st.session_state.get(RESTORE)
    if file is None:
        return

    def bring_in() -> None:
        st.session_state[CAME_BACK] = store().restore(file.getvalue())

    _tried(bring_in)


def _read_plan() -> None:
    file = st.session_state.get(PLAN_FILE)
    st.session_state.pop("plan_file_problems", None)
    if file is None:
        return
    try:
        read = plan_from_json(file.getvalue().decode("utf-8", "replace"), file.name)
    except InputError as error:
        st.session_state["plan_file_problems"] = error.problems
        return
    _tried(
        state.open_new, drafts.parts_of_plan(read, f"the plan file {file.name}"), f"opened from {file.name}"
    )


def _when(at: datetime) -> str:
    return at.astimezone().strftime("%Y-%m-%d %H:%M")
