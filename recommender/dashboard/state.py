"""All that a session remembers: the plan in hand, the units, the last sound kit, and what the editors were given."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, cast

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.dashboard import draft as drafts
from recommender.dashboard import keeping, records
from recommender.dashboard.checking import Checked, Remembered, check
from recommender.dashboard.draft import DEMO_PLANS, FIRST_PLAN
from recommender.dashboard.keeping import Held, Kept
from recommender.dashboard.sheets import SHEETS, Sheet
from recommender.dashboard.shelf import store
from recommender.dashboard.solving import Answer, answer_to
from recommender.store import PlanParts, Record, Rows, StoreError

EMPTY = "empty"
CHOICES = ("plan", "units")
"""What a restart comes back to."""
CHOSEN = "units_chosen"
"""Set once a person has chosen the units: whatever is opened then is shown in these, else in its own."""
TO_FAULTS = "to_faults"
UNITS = "Units: "
"""Begins the name of a step that changed nothing but the units."""
SYSTEMS: tuple[UnitSystem, ...] = ("metric", "us")


@dataclass(frozen=True)
class Editor:
    """What a table editor was given last; it reports its changes against these rows."""

    sheet: Sheet
    rows: Rows
    columns: tuple[str, ...]
    key: str
    """Name of the editor in the session; another one makes it start afresh."""
    faults: frozenset[tuple[int, str]] = frozenset()
    """Row (as in a file) and column of what is marked in it."""


def open_session() -> None:
    """On the first run: the plan that the address asks for, else the last; and so the units, where they were chosen."""
    if "draft" in st.session_state:
        return
    st.session_state["session"] = secrets.token_hex(4)
    st.session_state["remembered"] = Remembered()
    last = {name: _chosen(name) for name in CHOICES if name not in st.query_params}
    wanted = st.query_params.get("plan") or last["plan"] or FIRST_PLAN
    available = drafts.demo_names(DEMO_PLANS)
    if wanted in available:
        open_demo(wanted)
    elif wanted == EMPTY or not available:
        start_empty()
    else:
        try:
            open_saved(wanted)
        except StoreError as error:
            open_first()
            if "plan" in st.query_params:
                tell(f"The plan that the address names can't be opened. {error}")
    units = st.query_params.get("units") or ("" if "plan" in st.query_params else last["units"])
    if units in SYSTEMS:
        st.session_state["units"], st.session_state[CHOSEN] = units, True


def name_in_address() -> None:
    """Let the address name the plan, and the units if they were chosen, so that a reload comes back to them, and a
    restart as well.
    """
    wanted = {"plan": kept().plan_id or st.session_state["origin"]}
    if st.session_state.get(CHOSEN):
        wanted["units"] = system()
    for name, value in wanted.items():
        if st.query_params.get(name) != value:
            st.query_params[name] = value
    if st.session_state.get("chosen") != wanted:
        st.session_state["chosen"] = wanted
        with suppress(StoreError):  # that the store can't be written to is told where an edit is lost
            for name, value in wanted.items():
                store().choose(name, value)


def _chosen(name: str) -> str:
    """What was chosen last, in whatever window; empty if nothing was, or it can't be told."""
    try:
        return store().choice(name)
    except StoreError:
        return ""


def session_id() -> str:
    """Who this session is, in the history of a plan."""
    return cast(str, st.session_state["session"])


def tell(text: str) -> None:
    """Something to say at the top of the next page."""
    st.session_state["told"] = text


def told() -> str:
    """What was to be said; it is said once."""
    return cast(str, st.session_state.pop("told", ""))


# --- the plan in hand ------------------------------------------------------------------------------------------------


def draft() -> PlanParts:
    """The plan that is being edited."""
    return cast(PlanParts, st.session_state["draft"])


def kept() -> Kept:
    """Where the plan in hand stands in the store."""
    return cast(Kept, st.session_state["kept"])


def held() -> Held:
    """The plan in hand, and where it stands."""
    return draft(), kept()


def hold(now: Held, *, in_its_units: bool = False) -> None:
    """Another plan, or another state of it, in hand; every editor starts afresh.

    It is shown in its own units where a person has chosen none, or ``in_its_units`` asks for them.
    """
    st.session_state["draft"], st.session_state["kept"] = now
    if in_its_units or not st.session_state.get(CHOSEN):
        st.session_state["units"] = now[0].settings.units
    restart_editors()


def system() -> UnitSystem:
    """The units that everything is shown in."""
    return cast(UnitSystem, st.session_state["units"])


def look_around() -> None:
    """Whether the plan in hand went on in another window."""
    st.session_state["draft"], st.session_state["kept"] = keeping.looked_after(store(), held())


def refresh() -> None:
    """Check the plan and, where it is sound, find its kit; else the last kit stays."""
    found = check(draft(), system(), date.today(), st.session_state["remembered"])
    st.session_state["checked"] = found
    if found.plan is not None:
        st.session_state["answer"] = answer_to(found.plan)


def checked() -> Checked:
    """What the last check of the plan found."""
    return cast(Checked, st.session_state["checked"])


def answer() -> Answer | None:
    """The last kit of a sound plan, if there has been one."""
    return cast("Answer | None", st.session_state.get("answer"))


def is_behind() -> bool:
    """Whether the kit that is shown belongs to an earlier state of the plan."""
    return answer() is not None and checked().plan is None


def open_demo(name: str) -> None:
    """One of the example plans; it is saved as a plan of one's own once it is edited."""
    _begin((drafts.opened(drafts.DEMO_FOLDER / name), Kept()), name)


def start_empty() -> None:
    """A plan without work and gear."""
    _begin((drafts.empty(), Kept()), EMPTY)


def open_first() -> None:
    """What is shown where nothing else is asked for."""
    available = drafts.demo_names(DEMO_PLANS)
    if available:
        open_demo(available[0])
    else:
        start_empty()


def open_saved(plan_id: str) -> None:
    """A saved plan.

    Raises
    ------
    StoreError
        If it can't be opened.
    """
    _begin(keeping.opened(store(), plan_id))


def open_new(parts: PlanParts, what: str) -> None:
    """A plan that is saved at once.

    Raises
    ------
    StoreError
        If it can't be saved.
    """
    _begin(keeping.created(store(), parts, what, session_id()))


def _begin(now: Held, origin: str = "") -> None:
    st.session_state["origin"] = origin
    show_faults()
    for name in ("answer", "pending"):
        st.session_state.pop(name, None)
    hold(now)


def show_faults() -> None:
    """Let the page of the gear open the first table with a problem: other gear came in hand."""
    st.session_state[TO_FAULTS] = True


def are_faults_shown() -> bool:
    """Whether the first table with a problem is to be opened; that is asked for once."""
    return bool(st.session_state.pop(TO_FAULTS, False))


# --- edits -----------------------------------------------------------------------------------------------------------


def edit(new: PlanParts, what: str) -> None:
    """The plan after an edit, saved at once; every editor starts afresh."""
    _save(new, what)
    restart_editors()


def edit_rows(name: str, rows: Sequence[Record], what: str) -> None:
    """Other rows in one table."""
    edit(draft().with_rows(**{name: rows}), f"{SHEETS[name].title}: {what}")


def units_changed() -> None:
    """Keep the units that a person chose, with a plan that is saved as well; every editor starts afresh."""
    st.session_state[CHOSEN] = True
    if kept().plan_id:
        _save(draft(), f"{UNITS}{system()}")
    restart_editors()


def rename(wanted: str) -> None:
    """Give the plan in hand another name; a plan that is not saved yet is saved under it.

    Raises
    ------
    StoreError, ValueError
        If it can't have this name.
    """
    if not kept().plan_id:
        open_new(keeping.named(draft(), wanted.strip() or "My plan"), "named")
        return
    entry = store().rename(kept().plan_id, wanted)
    edit(keeping.named(draft(), entry.name), f"Named {entry.name}")


def _save(new: PlanParts, what: str) -> None:
    before = held()
    if not kept().plan_id:  # its first state is what was on the screen
        before = _in_units(before[0]), before[1]
    now = keeping.saved(store(), before, _in_units(drafts.made_own(new)), what, session_id())
    st.session_state["draft"], st.session_state["kept"] = now


def _in_units(parts: PlanParts) -> PlanParts:
    if parts.settings.units == system():
        return parts
    return replace(parts, settings=parts.settings.model_copy(update={"units": system()}))


def save_again() -> None:
    """Try once more to save what could not be saved."""
    before = draft(), replace(kept(), trouble=None)
    hold(keeping.saved(store(), before, draft(), "saved at another try", session_id()))


def undo() -> None:
    """Take back the last edit, in whatever table it was."""
    hold(keeping.stepped(store(), held(), forward=False), in_its_units=kept().undoes.startswith(UNITS))


def redo() -> None:
    """Make the edit again that was taken back last."""
    hold(keeping.stepped(store(), held(), forward=True), in_its_units=kept().redoes.startswith(UNITS))


# --- table editors ---------------------------------------------------------------------------------------------------


def editor(name: str, *, view: str = "", columns: Sequence[str] = ()) -> Editor:
    """What the editor of a table is given: the same as before, or the rows as they are now if it starts afresh.

    It starts afresh also when something else than before is wrong, so that the right cells are marked.

    Parameters
    ----------
    name : str
        Of the table.
    view : str, optional
        Tells editors of the same table apart.
    columns : sequence of str, optional
        What it shows; those that are needed or used without it.
    """
    editors = _editors()
    place = f"{name} {view}"
    given, sheet = editors.get(place), SHEETS[name]
    if given is None or given.key not in st.session_state or given.faults != _faults(sheet, len(given.rows)):
        count = st.session_state.get("editors_made", 0) + 1
        st.session_state["editors_made"] = count
        rows = draft().rows(name)
        if st.session_state.get(every_column(name)):
            columns = sheet.on_screen
        if not columns:
            used = {*records.used_columns(sheet, rows), *(name for _, name in _faults(sheet, len(rows)))}
            columns = tuple(one for one in sheet.on_screen if one in used)
        given = editors[place] = Editor(
            sheet, rows, tuple(columns), f"editor_{count}", _faults(sheet, len(rows))
        )
    return given


def _faults(sheet: Sheet, rows: int) -> frozenset[tuple[int, str]]:
    """What is marked in an editor that was given some rows: faults that stand there, and cells that are empty there.

    A row that is only being added below them is not told of its empty cells.
    """
    return frozenset(
        (one.line, one.column) for one in checked().of(sheet) if 0 < one.line < rows + records.FIRST_ROW
    )


def every_column(name: str) -> str:
    """Key of the switch that shows every column of a table."""
    return f"every_column {name}"


def _editors() -> dict[str, Editor]:
    return cast("dict[str, Editor]", st.session_state.setdefault("editors", {}))


def restart_editors() -> None:
    """Let every editor start afresh, from the plan as it is then."""
    st.session_state["editors"] = {}


def take_edit(given: Editor) -> None:
    """What an editor reports becomes the new state of the plan; the editor goes on from where it is.

    It starts afresh where a row was taken out, so that the numbers of the others have no hole.
    """
    delta = cast("Mapping[str, Any]", st.session_state[given.key])
    rows = records.edited(given.sheet, given.rows, delta, system())
    name = given.sheet.name
    what = records.change_in_words(given.sheet, draft().rows(name), rows)
    kept = {place: one for place, one in _editors().items() if one.sheet.name != name or one is given}
    _save(draft().with_rows(**{name: rows}), what)
    st.session_state["editors"] = {} if delta.get("deleted_rows") else kept
