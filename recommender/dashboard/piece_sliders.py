"""Sliders that make a job type's piece larger or smaller, and change slack, run and height."""

from __future__ import annotations

import streamlit as st

from catalog_schema.units import UnitSystem, from_si, to_si, unit_label, unit_of
from recommender.explain.changed_job import JobChange
from recommender.work.tables import JobType

LOWEST_HEIGHT, HIGHEST_HEIGHT = 1.5, 40.0
MOST_SLACK, MOST_RUN = 2.0, 5.0
"""Ends of the sliders, further out where the job type itself lies there. [m]"""


def piece_sliders(job: JobType, key: str, system: UnitSystem) -> JobChange:
    """What the sliders say; a slider that was not moved leaves the value exactly as it is.

    Parameters
    ----------
    job : JobType
        As planned: where the sliders stand at first.
    key : str
        Of these sliders, in the session.
    system : {'metric', 'us'}

    Returns
    -------
    JobChange
    """

    def percent(label: str, name: str) -> float:
        return st.slider(label, 50, 150, 100, 5, format="%d %%", key=f"{name}_{key}") / 100

    def metres(label: str, name: str, low: float, high: float) -> float | None:
        planned: float = getattr(job, name)
        unit = unit_of("length", system)
        start, bottom, top = (
            round(from_si(one, unit, "length"), 1) for one in (planned, low, max(high, planned))
        )
        chosen = st.slider(f"{label} [{unit_label(unit)}]", min(bottom, start), max(top, start), start, 0.1,
                           format="%.1f", key=f"{name}_{key}_{system}")  # fmt: skip
        return None if chosen == start else to_si(chosen, unit, "length")

    left, right = st.columns(2)
    with left:
        length = percent("Length of the pieces, of what is planned", "length")
        diameter = percent("Thickness of the pieces, of what is planned", "diameter")
        height = metres("Rigging height", "rigging_height", LOWEST_HEIGHT, HIGHEST_HEIGHT)
    with right:
        slack = metres("Slack when the piece comes off", "slack", 0.0, MOST_SLACK)
        run = None
        if job.technique == "catch":
            run = metres("Line let run by the brake, 0 = locked", "run", 0.0, MOST_RUN)
    return JobChange(length, diameter, slack, run, height)
