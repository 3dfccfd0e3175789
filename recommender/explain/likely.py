"""The likely peak of a catch beside the rated one: the log as a rigid rod, stepped in time.

The rated peak is an upper bound: all energy goes into the line and the whole fall counts. A log tips, turns and is
caught near its butt, so that much of its energy stays in its own turning. The simulation keeps everything else as for
the rated peak (largest piece, stiff line, tension ratio at the low end), so that the difference is the log's motion
alone. It is shown to be understood, and used for no rating.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

import numpy as np

from recommender.explain.rigged import Rigged
from recommender.explain.steps import LikelyPeak
from recommender.kit.result import State
from recommender.kit.setups import STATES
from recommender.physics.bodies import FallingLog
from recommender.physics.rope_over_redirect import RopeOverRedirect
from recommender.physics.simulation import CatchHistory, simulate_log_catch
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.tables import JobType

PARTING_ANGLES = (
    Sourced(40.0, "deg", COMMON_PRACTICE, note="early: thin hinge"),
    Sourced(70.0, "deg", COMMON_PRACTICE, note="usual"),
    Sourced(100.0, "deg", COMMON_PRACTICE, note="late: thick hinge, wide notch"),
)
"""Tilt of the log from the vertical at which its hinge parts."""


def likely_peaks(found: Rigged, job: JobType) -> tuple[LikelyPeak, ...]:
    """Simulated peaks of a catch, working and jammed; none for another technique or where no simulation is possible.

    Parameters
    ----------
    found : Rigged
        The load case with its line and redirect.
    job : JobType
        Where its knot and its cut are.

    Returns
    -------
    tuple of LikelyPeak
        In the working state the brake slips at the tension that the stated run goes with; ``run_m`` is what then runs.
    """
    if found.load_case.technique != "catch":
        return ()
    return tuple(one for number in range(len(STATES)) for one in _likely(found, job, number))


def simulated(found: Rigged, job: JobType, state: int, parting_angle: float) -> CatchHistory | None:
    """One simulated catch; None where the line is taut before the hinge parts or the brake can't stop the piece."""
    case, lines = found.load_case, found.fits.lines
    r = found.friction_class.r_low
    hold = r * found.step("working low line") if state == 0 and case.run else inf
    rope = RopeOverRedirect(
        lead_length=case.lead, fall_length=case.fall, constant=float(lines.stiff[found.line]),
        exponent=float(lines.exponent[found.line]), r=r, slip_tension=hold,
    )  # fmt: skip
    log = FallingLog(
        mass=float(case.mass.design), length=case.piece_length, tie_above_cut=job.tie_above_cut or 0.0,
        cut_to_redirect=job.cut_to_redirect or 0.0, parting_angle=parting_angle,
    )  # fmt: skip
    try:
        return simulate_log_catch(log, rope)
    except ValueError:
        return None


def _likely(found: Rigged, job: JobType, number: int) -> Iterator[LikelyPeak]:
    state: State = STATES[number]  # type: ignore[assignment]
    courses = [simulated(found, job, number, float(np.radians(float(angle)))) for angle in PARTING_ANGLES]
    there = [course for course in courses if course is not None]
    if there:
        yield LikelyPeak(
            state=state,
            rated_n=found.step(f"{state} low line"),
            least_n=min(course.peak_lead for course in there),
            most_n=max(course.peak_lead for course in there),
            run_m=max(course.run_out for course in there),
            stop_distance_m=max(course.stop_distance for course in there),
        )
