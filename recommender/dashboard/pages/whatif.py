"""What if the work were other: sliders for one job type, the cost curve, the cost of each job type, other kits."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.charts.cost_curve import cost_chart, cost_rows
from recommender.dashboard import asked, frame, state
from recommender.dashboard.listing import listing
from recommender.dashboard.pictures import picture, setup_drawn
from recommender.dashboard.piece_sliders import piece_sliders
from recommender.dashboard.reason_rows import ADDS, job_rows, step_rows
from recommender.dashboard.shown import lines, plain, shortfall
from recommender.dashboard.solving import Answer, answer_to, digest_of
from recommender.dashboard.what_if_rows import (
    alternative_title,
    change_rows,
    kit_changes,
    kit_rows,
    load_rows,
)
from recommender.explain.answers import Answer as Told
from recommender.explain.changed_job import changed_job, differences
from recommender.kit.result import Assignment, KitResult
from recommender.report.reasons_text import unfinished
from recommender.work.plan import Plan
from recommender.work.tables import JobType

WORK = "work"
"""The table that a change is put into."""


def show() -> None:
    """The page."""
    st.title("What if")
    st.markdown(
        "Change a job type and see at once which kit it would take. The plan stays as it is until you say so."
    )
    frame.standing()
    answer = state.answer()
    if answer is None or answer.result is None:
        st.info("There is no kit to compare with yet.", icon=":material/info:")
        frame.link("work", "Write down the work")
    else:
        plan, now = answer.plan, answer.result
        _try_out(plan, now, state.system())
        frame.cautions()
        if now.assignments:
            _curve(plan, state.system())
            _without(plan)
            _alternatives(plan, state.system())
        return
    frame.cautions()


def _try_out(plan: Plan, now: KitResult, system: UnitSystem) -> None:
    names = [job.job for job in plan.jobs]
    hardest = max(now.assignments, key=lambda one: one.highest[1]).job if now.assignments else names[0]
    place = st.selectbox(
        "Job type",
        range(len(names)),
        index=names.index(hardest),
        format_func=names.__getitem__,
        key="what_if_job",
    )
    job = plan.jobs[place]
    change = piece_sliders(job, f"{place}_{digest_of(plan)[:12]}", system)
    other = asked.tried(lambda: changed_job(job, change))
    if other is None:
        return
    if other == job:
        st.markdown("Move a slider: the kit for it stands here beside the present one.")
        then = Answer(plan, now)
    else:
        jobs = tuple(other if k == place else one for k, one in enumerate(plan.jobs))
        then = answer_to(replace(plan, jobs=jobs))
    if then.result is None:
        st.error("This can't be worked out; no result of it may be used.", icon=":material/error:")
        st.text(then.fault)
        return
    _compared(now, then.result, job.job, system)
    if other != job and any(row.get("job") == job.job for row in state.draft().rows(WORK)):
        st.button(
            "Put into the plan", key="put_into_plan", type="primary", icon=":material/check:",
            on_click=_put_into_plan, args=(job, other),
        )  # fmt: skip
    setup = _assignment(then.result, job.job)
    if setup is not None:
        setup_drawn(setup, then.plan, system)


def _compared(now: KitResult, then: KitResult, job: str, system: UnitSystem) -> None:
    listing(kit_rows(now, then, system), first="Figure", stack=False)
    for one in then.uncovered:
        shortfall(one)
    different = kit_changes(now, then) if now.assignments and then.assignments else []
    if different:
        st.markdown("**What the changed kit has more and fewer**")
        listing(different, first="Item")
    elif then.assignments and then is not now:
        st.markdown("The same kit does.")
    st.markdown(f"**{plain(job)}**")
    listing(load_rows(_assignment(now, job), _assignment(then, job), system), first="Figure", stack=False)


def _assignment(kit: KitResult, job: str) -> Assignment | None:
    return next((one for one in kit.assignments if one.job == job), None)


def _put_into_plan(job: JobType, other: JobType) -> None:
    """The changed cells into the row of the work table that has this job type's name."""
    new = differences(job, other)
    rows = [{**row, **new} if row.get("job") == job.job else row for row in state.draft().rows(WORK)]
    state.edit_rows(WORK, rows, f"{job.job} as tried out")


def _curve(plan: Plan, system: UnitSystem) -> None:
    st.subheader("Cost against the largest piece")
    names = {number: job.job for number, job in enumerate(plan.jobs)}
    if any(job.technique == "lower" for job in plan.jobs):
        names = {asked.ALL_LOWERED: "All that are lowered", **names}
    job = st.selectbox("Pieces that change", list(names), format_func=names.__getitem__, key="curve_job")
    if not asked.wanted("curve", f"{job} {digest_of(plan)}", "Draw the curve"):
        return
    result = asked.tried(lambda: asked.curve_of(plan, job))
    if result is None:
        return
    picture(cost_chart(cost_rows(result, result.currency, system)), "cost_curve")
    st.markdown(
        "Pieces from half to one and a half of their planned length; where the cost jumps, and what changes there:"
    )
    listing(step_rows(result, system), first="Pieces up to")
    _unfinished(result)


def _without(plan: Plan) -> None:
    st.subheader("Without a job type")
    st.markdown(ADDS)
    if asked.wanted("without", digest_of(plan), "Work out what each job type adds"):
        result = asked.tried(lambda: asked.reasons_of(plan))
        if result is not None:
            listing(job_rows(result), first="Job type")
            _unfinished(result)


def _alternatives(plan: Plan, system: UnitSystem) -> None:
    st.subheader("Other kits for a little more")
    within = st.slider("Rigging gear may cost more by", 0, 30, 10, 1, format="%d %%", key="within")
    if not asked.wanted("alternatives", f"{within} {digest_of(plan)}", "Look for other kits"):
        return
    result = asked.tried(lambda: asked.alternatives_of(plan, within / 100))
    if result is None:
        return
    if not result.kits and result.complete:
        st.text(f"No other kit whose rigging gear costs at most {within} % more leaves out any of its items.")
    for number, kit in enumerate(result.kits, start=1):
        st.markdown(f"**{plain(alternative_title(number, kit, result, system))}**")
        listing(change_rows(list(kit.changes), result.currency), first="Item")
    _unfinished(result)
    lines(result.notes)


def _unfinished(result: Told) -> None:
    lines([text for text in unfinished(result.complete, result.proven) if text])
