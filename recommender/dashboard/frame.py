"""What every page has around it: navigation, units, the plan in hand, and the cautions."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from recommender.charts.words import headline
from recommender.dashboard import guard, state, troubles
from recommender.dashboard.kit_tables import hardest
from recommender.dashboard.records import with_example
from recommender.dashboard.sheets import SHEETS
from recommender.dashboard.shown import plain
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.figures import counted, money

_LOG = logging.getLogger(__name__)
UNIT_NAMES = {"metric": "Metric", "us": "US"}
_PAGES = "pages"
STYLE = """<style>
[data-testid=stAlertContainer], [data-testid=stCaptionContainer] { color: inherit; opacity: 1; }
[data-stale]:has([data-testid=stAlert]) { opacity: 1 !important; transition: none !important; }
[data-testid=stMultiSelect] [data-tag] { background: transparent; border: 1px solid currentColor; }
[data-testid=stMultiSelect] [data-tag], [data-testid=stMultiSelect] [data-tag] * { color: inherit; }
[data-testid=stBaseButton-primary], [data-testid=stBaseButton-primary] * { color: light-dark(#ffffff, #10140f); }
[data-testid=stSliderThumbValue], [data-testid=stSliderThumbValue] * { color: inherit !important; }
.st-key-way, .st-key-way [data-testid=stHorizontalBlock] { flex-wrap: nowrap !important; }
.st-key-way > div { flex: 0 0 auto !important; width: auto !important; min-width: 0 !important; }
.st-key-way > :last-child { margin-left: auto; }
.st-key-way button p { display: block; max-width: 6rem; }
.st-key-way button p { overflow: hidden; text-overflow: ellipsis; white-space: nowrap; }
@media (min-width: 90rem) { .st-key-way button p { max-width: 11rem; } }
@media (max-width: 78rem) {
  .st-key-way { overflow-x: auto; gap: 0 !important; }
  .st-key-way > :last-child { order: -1; margin: 0; }
  .st-key-way [data-testid=stPageLink] a { padding: 0.25rem 0.35rem; }
  .st-key-way [data-testid=stPageLink] a > span:has([data-testid=stIconMaterial]) { display: none; }
  .st-key-way button { padding: 0.25rem 0.5rem; }
  .st-key-way button p { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
}
.st-key-jumps p { line-height: 2; }
.st-key-jumps a { white-space: nowrap; margin-right: 0.75rem; display: inline-block; }
a:focus-visible, summary:focus-visible, canvas:focus-visible { outline: 3px solid currentColor !important; }
</style>"""
"""Cautions, small print and what was chosen in the ink of the page, not in a paler one: to be read in sunlight, and
while a page is worked out again. Where the keyboard is shows on links as on buttons."""
FAULT = "The program has failed here."
LONGEST_STEP = 32
"""Letters of what a step back would undo."""
WAY = {"work": "Work", "gear": "Gear", "kit": "Kit", "reasons": "Reasons", "first": "Buy"}
"""The way from the work to the order, by the names of the pages."""


def run(pages: Mapping[str, Any], page: Any) -> None:
    """A page with its frame, once: every page works on the same draft and shows the same kit.

    Parameters
    ----------
    pages : mapping of str to page
        All that there are, by a short name for links.
    page : page
        The one to show.
    """
    guard.require_login()
    st.session_state[_PAGES] = dict(pages)
    st.html(STYLE)
    try:
        _run(page)
    except (
        Exception
    ):  # the last place before a person: nothing else may be seen of a fault than what to do about it
        _LOG.exception("The page could not be shown.")
        _fault()


def _fault() -> None:
    """What to do about a fault of the program."""
    st.error(
        f"**{FAULT}** Rely on no figure of this page. Your plan is saved as it was before. Take the last edit back, or "
        "open another page; if it comes again, hand on what stands in the window in which the program was started.",
        icon=":material/error:",
    )
    st.button("Take the last edit back", key="undo_fault", on_click=state.undo)


def _run(page: Any) -> None:
    state.open_session()
    state.look_around()
    with st.sidebar:
        st.radio("Units", state.SYSTEMS, key="units", format_func=UNIT_NAMES.__getitem__, horizontal=True,
                 on_change=state.units_changed)  # fmt: skip
    state.refresh()
    state.name_in_address()
    guard.exposure()
    troubles.show()
    _way()
    with st.sidebar:
        _plan_in_hand()
    page.run()


def _way() -> None:
    """The way from the work to the order, and the steps back and forth."""
    pages = st.session_state[_PAGES]
    with st.container(horizontal=True, vertical_alignment="center", gap="small", key="way"):
        for number, (name, label) in enumerate(WAY.items(), start=1):
            if name in pages:
                st.page_link(pages[name], label=f"{number} {label}", width="content")
        with st.container(horizontal=True, horizontal_alignment="right", width="content", gap="small"):
            _step("Undo", state.undo, state.kept().undoes, can=state.kept().can_undo)
            _step("Redo", state.redo, state.kept().redoes, can=state.kept().can_redo)


def _step(name: str, step: Callable[[], None], what: str, *, can: bool) -> None:
    """A button that goes one state back or forth, and says what that takes back or does again."""
    done = what.split(": ", 1)[-1]
    short = done if len(done) <= LONGEST_STEP else f"{done[:LONGEST_STEP].rstrip()}..."
    label = f"{name}: {plain(short)}" if can and short else name
    icon, about = f":material/{name.lower()}:", plain(what) if can else None
    st.button(label, icon=icon, key=name.lower(), help=about, on_click=step, disabled=not can)


def link(name: str, label: str) -> None:
    """A link to another page."""
    st.page_link(st.session_state[_PAGES][name], label=label, icon=":material/arrow_forward:")


def add_row(table: str, **own: object) -> None:
    """A row of the declared examples in a table, to be changed; ``own`` cells (in SI) go before them."""
    rows = state.draft().rows(table)
    state.edit_rows(table, with_example(SHEETS[table], rows, **own), f"a new {SHEETS[table].one}")


def cautions() -> None:
    """What must stand beside every load and every kit."""
    points = "\n".join(f"- {plain(caution)}" for caution in CAUTIONS)
    st.warning(f"**Before you rely on these figures**\n\n{points}", icon=":material/warning:")


def short_caution() -> None:
    """The cautions in a line, above figures that are far from them."""
    st.caption(
        "Planning aid only: the maker's instructions, local codes and a qualified person decide. The tree is not "
        "rated. Nobody hangs on load rigging. In full below."
    )


def standing() -> None:
    """Whether the kit that is shown belongs to the table as it is now, and what stands against it."""
    checked, answer = state.checked(), state.answer()
    if checked.missing:
        st.info(plain(". ".join(checked.missing) + "."), icon=":material/info:")
    if checked.problems:
        count = len(checked.problems)
        places = ", ".join(dict.fromkeys(headline(problem.file) for problem in checked.problems))
        text = f"{counted(count, 'problem')} to put right in: {plain(places)}."
        if answer is not None:
            text += " The kit shown belongs to the earlier plan, before these rows were changed."
        st.error(text, icon=":material/error:")
    elif state.is_behind():
        st.warning("The kit shown belongs to the earlier plan.", icon=":material/history:")
    if answer is not None and answer.fault:
        st.error("This plan can't be worked out; no result of it may be used.", icon=":material/error:")
        st.text(answer.fault)


def hardest_part(result: KitResult) -> None:
    """The part that works hardest in the whole kit, as a figure."""
    top = hardest(result)
    if top is not None:
        used, name, job = top
        st.metric("Hardest-working part", f"{used}, {name}", help=plain(f"in {job}"), width="content")


def total_in_words() -> str:
    """The total of the kit that is shown, or why there is none."""
    answer = state.answer()
    if answer is None:
        return "none yet"
    if answer.result is None:
        return "no result"
    result = answer.result
    return money(result.purchase_cost, result.currency) if result.assignments else result.status


def _plan_in_hand() -> None:
    st.caption("Plan in hand")
    st.text(state.draft().settings.name)
    kept = state.kept()
    is_saved = "NOT SAVED" if kept.trouble else "Saved" if kept.plan_id else "Is saved once it is edited"
    st.caption(is_saved)
    st.caption("Kit to buy" + (" (earlier plan)" if state.is_behind() else ""))
    st.text(total_in_words())
