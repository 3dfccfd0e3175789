"""The kit: what to buy, what is owned, how hard each part works; or what can't be carried and what would help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from recommender.dashboard import asked, frame, state
from recommender.dashboard.kit_tables import (
    crews_together,
    extras_to_buy,
    force_rows,
    gear_to_buy,
    hardest,
    owned_rows,
    rig_rows,
    size_rows,
    sum_row,
    to_buy_rows,
    together,
    utilisation_rows,
)
from recommender.dashboard.listing import listing
from recommender.dashboard.pictures import setup_drawn
from recommender.dashboard.sections import Sections
from recommender.dashboard.settings_form import changed_settings
from recommender.dashboard.shown import lines, plain, shortfall
from recommender.dashboard.solving import Answer
from recommender.dashboard.takeaway import takeaways
from recommender.explain.crews import told_apart
from recommender.kit.hold_notes import holding_notes
from recommender.kit.result import KitItem, KitResult
from recommender.report.figures import counted, mass, money
from recommender.report.hold_words import too_heavy
from recommender.report.packed import HOW, room_for
from recommender.work.plan import Plan


def show() -> None:
    """The page."""
    st.title("Kit")
    st.text(state.draft().settings.name)
    frame.standing()
    answer = state.answer()
    if answer is None:
        frame.link("work", "Write down the work")
        frame.link("gear", "Bring in the gear")
    elif answer.result is not None and answer.result.assignments:
        _kit(answer, answer.result)
    elif answer.result is not None:
        _no_kit(answer, answer.result)
    if answer is None or answer.result is None or not answer.result.assignments:
        frame.cautions()


def _kit(answer: Answer, result: KitResult) -> None:
    system, catalogue = state.system(), answer.plan.catalogue
    every = asked.crews_of(answer.plan, result)
    setups = told_apart(every.assignments)
    _totals(answer, result)
    frame.short_caution()
    sections = Sections()
    heavy = too_heavy(setups)
    if heavy:
        st.error(plain(heavy), icon=":material/front_hand:")
        if not state.draft().settings.crew.holds_every_piece:
            st.button(
                "Choose gear that the crew can hold", key="hold_every_piece", on_click=_hold_every_piece
            )
    gear, extras = gear_to_buy(result), extras_to_buy(result)
    if gear:
        sections.heading("Rigging gear to buy")
        _buy(gear, answer, result)
    hold = holding_notes(answer.plan, setups)
    if hold:
        points = "\n".join(f"- {plain(note)}" for note in hold)
        st.warning(f"**Holding at the brake**\n\n{points}", icon=":material/front_hand:")
    sections.heading("How it is rigged")
    _drawn(answer, result)
    frame.cautions()
    sections.heading("To take home")
    _take_home(answer, result)
    if extras:
        sums = f"{counted(sum(one.quantity for one in extras), 'piece')}, {money(together(extras), result.currency)}"
        with sections.folded("For the crew, to buy", sums):
            _buy(extras, answer, result)
    owned = owned_rows(result, catalogue, system)
    if owned:
        with sections.folded("Used of what you own", f"{counted(len(owned), 'kind')} of gear"):
            listing(owned, first="Item")
    used = crews_together(utilisation_rows(every))
    with sections.folded("How hard each part works", f"{_by_job(used)}{_hardest_words(result)}"):
        st.markdown(
            "Load over rating with all design factors taken; over 100 % is refused. 'locked': judged by the line "
            "locking in a catch, with the factor of survival."
        )
        listing(used, first="Job type")
    with sections.folded("If it were the next size", "What the next size of each item would cost and do"):
        _sizes(answer, result)
    forces = force_rows(result, system)
    with sections.folded("Forces", _by_job(forces)):
        st.markdown(
            "Of the largest piece planned for, rounded up; each at the friction that is worst for it, so not all of "
            "them come at once. 'locked': the line locks at the brake in a catch."
        )
        listing(forces, first="Job type")
    rigged = crews_together(rig_rows(every, system))
    with sections.folded("What to rig", _by_job(rigged)):
        listing(rigged, first="Job type")
    sections.heading("Notes")
    _small_print(answer.plan, result)
    sections.links()


def _hardest_words(result: KitResult) -> str:
    top = hardest(result)
    return f"; the hardest: {top[1]}, {top[0]} in {top[2]}" if top else ""


def _by_job(rows: Sequence[object]) -> str:
    return f"By job type, {counted(len(rows), 'row')}"


def _hold_every_piece() -> None:
    """From now on only gear with which the people on the ground hold every piece."""
    draft = state.draft()
    settings = changed_settings(draft.settings, ("crew", "holds_every_piece"), True, state.system())
    state.edit(replace(draft, settings=settings), "Settings: Holds every piece")


def _buy(items: Sequence[KitItem], answer: Answer, result: KitResult) -> None:
    system, catalogue = state.system(), answer.plan.catalogue
    rows = to_buy_rows(items, catalogue, result.currency, system)
    listing(rows, first="Item", total=sum_row(items, result.currency, system))
    st.markdown(f"Packed: about {room_for(items, catalogue).in_words(system)}.")


def _sizes(answer: Answer, result: KitResult) -> None:
    st.markdown(
        "The next size of the same make in the place of every piece, with the rest of each setup as it is: what it "
        "costs, how hard it works, and where it does not do."
    )
    found = asked.tried(lambda: asked.next_sizes_of(answer.plan, result))
    if found is not None:
        listing(size_rows(found, result.currency), first="Item")


def _take_home(answer: Answer, result: KitResult) -> None:
    st.markdown(
        "Reasons, seasons and first purchases are in the full plan and the report where they were worked out."
    )
    with st.container(horizontal=True):
        more = asked.worked_out(answer.plan)
        for one in takeaways(result, answer.plan, state.system(), more):
            st.download_button(
                one.label, one.build, one.name, one.media_type, icon=":material/download:", on_click="ignore"
            )


def _drawn(answer: Answer, result: KitResult) -> None:
    setups = {one.job: one for one in result.assignments}
    top = hardest(result)
    name = st.selectbox(
        "Job type", list(setups), index=list(setups).index(top[2]) if top else 0, key="drawn_job"
    )
    setup_drawn(setups[name], answer.plan, state.system())


def _totals(answer: Answer, result: KitResult) -> None:
    bought = [item for item in result.items if not item.owned]
    room = room_for(bought, answer.plan.catalogue).in_words(state.system())
    pieces = [sum(item.quantity for item in result.items if item.owned is owned) for owned in (False, True)]
    with st.container(horizontal=True, gap="medium"):
        with st.container(key="kit_total", width="content"):
            st.metric("Total to buy", plain(money(result.purchase_cost, result.currency)))
        st.metric("Mass of the kit, dry", mass(result.mass_kg, state.system()), width="content")
        st.metric("Packed, what is bought", room, help=HOW, width="content")
        st.metric("Pieces to buy / owned", f"{pieces[0]} / {pieces[1]}", width="content")
        frame.hardest_part(result)


def _no_kit(answer: Answer, result: KitResult) -> None:
    if result.status == "stopped":
        st.error("The search stopped before it found a kit.", icon=":material/timer_off:")
        return
    st.error(
        "No kit: nothing in the tables carries all of this work with its design factors.",
        icon=":material/block:",
    )
    if not result.uncovered:
        st.markdown("Each job type can be carried by itself, but not all of them with one kit.")
    for one in result.uncovered:
        shortfall(one)
    st.subheader("Notes")
    _small_print(answer.plan, result)


def _small_print(plan: Plan, result: KitResult) -> None:
    said = holding_notes(plan, result.assignments)
    lines([note for note in result.notes if note not in said])
    if result.assignments:
        proof = "proven to be the cheapest" if result.status == "planned" else "not proven to be the cheapest"
        st.caption(f"{result.solver}: {proof}, gap {100 * result.gap:.1f} %, {result.solve_seconds:.2f} s.")
