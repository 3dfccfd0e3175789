"""All that a session remembers: the draft, the units, the last sound kit, and what the editor was given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.dashboard import draft as drafts
from recommender.dashboard import work_table
from recommender.dashboard.draft import Checked, Draft
from recommender.dashboard.solving import Answer, answer_to
from recommender.dashboard.uploads import Upload, read_upload
from recommender.work.tables import Technique

FIRST_PLAN = "new_owner"
DEMO_PLANS = (FIRST_PLAN, "company", "training_ground")
SYSTEMS: tuple[UnitSystem, ...] = ("metric", "us")
UPLOADER = "uploader"


@dataclass(frozen=True)
class Editor:
    """What the table editor was given last; it reports its changes against these rows."""

    rows: drafts.Rows
    columns: tuple[str, ...]
    version: int

    @property
    def key(self) -> str:
        """Name of the editor in the session; another one makes it start afresh."""
        return f"work_editor_{self.version}"


def open_session() -> None:
    """On the first run: the plan and the units that the address asks for, else the new owner's example."""
    if "draft" in st.session_state:
        return
    wanted = st.query_params.get("plan", FIRST_PLAN)
    available = drafts.demo_names(DEMO_PLANS)
    if wanted in available:
        open_demo(wanted)
    elif available and wanted != "empty":
        open_demo(available[0])
    else:
        start_empty()
    units = st.query_params.get("units")
    if units in SYSTEMS:
        st.session_state["units"] = units


def draft() -> Draft:
    """The plan that is being edited."""
    return cast(Draft, st.session_state["draft"])


def system() -> UnitSystem:
    """The units that everything is shown in."""
    return cast(UnitSystem, st.session_state["units"])


def refresh() -> None:
    """Check the draft and, where it is sound, find its kit; else the last kit stays."""
    checked = draft().checked(system())
    st.session_state["checked"] = checked
    if checked.plan is not None:
        st.session_state["answer"] = answer_to(checked.plan)


def checked() -> Checked:
    """What the last check of the draft found."""
    return cast(Checked, st.session_state["checked"])


def answer() -> Answer | None:
    """The last kit of a sound table, if there has been one."""
    return cast("Answer | None", st.session_state.get("answer"))


def is_behind() -> bool:
    """Whether the kit that is shown belongs to an earlier state of the plan."""
    return answer() is not None and checked().plan is None


def change(new: Draft) -> None:
    """Another draft; the editor starts afresh from its rows."""
    st.session_state["draft"] = new
    restart_editor()


def open_demo(name: str) -> None:
    """One of the example plans, in its own units."""
    _begin(drafts.opened(drafts.DEMO_FOLDER / name))


def start_empty() -> None:
    """A plan without work and gear."""
    _begin(drafts.empty())


def _begin(new: Draft) -> None:
    st.session_state["units"] = new.settings.units
    st.session_state.pop("answer", None)
    st.session_state.pop("upload", None)
    change(new)


def editor() -> Editor:
    """What the editor is given: the same as before, or the rows as they are now if it starts afresh."""
    given = cast("Editor | None", st.session_state.get("editor"))
    if given is None or given.key not in st.session_state:
        given = _fresh_editor()
        st.session_state["editor"] = given
    return given


def restart_editor() -> None:
    """Let the editor start afresh, from the draft as it is then."""
    st.session_state.pop("editor", None)


def _fresh_editor() -> Editor:
    rows = draft().work.now
    wants_all = bool(st.session_state.get("every_column"))
    columns = tuple(work_table.COLUMNS) if wants_all else work_table.used_columns(rows)
    version = st.session_state.get("editor_version", 0) + 1
    st.session_state["editor_version"] = version
    return Editor(rows, columns, version)


def take_edit() -> None:
    """What the editor reports becomes the new state of the draft."""
    given = cast(Editor, st.session_state["editor"])
    delta = cast("Mapping[str, Any]", st.session_state[given.key])
    rows = work_table.edited(given.rows, delta, system())
    st.session_state["draft"] = draft().with_rows(rows)


def undo() -> None:
    """Take back the last edit of the work table."""
    change(draft().undone())


def redo() -> None:
    """Make the edit again that was taken back last."""
    change(draft().redone())


def even_out() -> None:
    """Make the shares add up to 100 %."""
    change(draft().with_rows(work_table.evened_out(draft().work.now)))


def add_example(technique: Technique) -> None:
    """A new row to be changed."""
    change(draft().with_rows(work_table.with_example(draft().work.now, technique)))


def take_files() -> None:
    """Read what was handed in; gear without problems is used from now on."""
    files = st.session_state.get(UPLOADER) or []
    if not files:
        st.session_state.pop("upload", None)
        return
    upload = read_upload([(file.name, file.getvalue()) for file in files])
    st.session_state["upload"] = upload
    if upload.catalogue is not None:
        st.session_state["draft"] = draft().with_gear(upload.catalogue, upload.name)


def upload() -> Upload | None:
    """What came of the files that were handed in last."""
    return cast("Upload | None", st.session_state.get("upload"))


def use_demo_gear() -> None:
    """Choose from the invented gear of the examples."""
    catalogue = drafts.demo_catalogue()
    st.session_state.pop("upload", None)
    if catalogue is not None:
        st.session_state["draft"] = draft().with_gear(catalogue, drafts.DEMO_GEAR)
