"""Charts and drawings on the screen."""

from __future__ import annotations

from typing import Any

import streamlit as st

from catalog_schema.units import UnitSystem
from recommender.charts.marks import TYPE_SIZE, readable
from recommender.dashboard.shown import plain
from recommender.diagrams.setup import draw_setup
from recommender.kit.result import Assignment
from recommender.work.cases import load_case
from recommender.work.plan import Plan


def picture(chart: Any, key: str, type_size: int = TYPE_SIZE) -> None:
    """A chart, written in the ink of the page."""
    st.altair_chart(readable(chart, type_size), key=key)


def setup_drawn(setup: Assignment, plan: Plan, system: UnitSystem) -> None:
    """How a job type is rigged, drawn with its forces."""
    job = next(one for one in plan.jobs if one.job == setup.job)
    case = load_case(job, plan.settings.line, plan.settings.pieces_per_season)
    with st.container(key="drawn"):
        st.image(
            draw_setup(setup, case, system, plan.catalogue),
            width=620,
            alt=plain(f"How {setup.job} is rigged"),
        )
