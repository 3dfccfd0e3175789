"""Tension against time of one rope in one job, as it usually is: usual piece, stretch of the sheet, middle friction."""

from __future__ import annotations

from math import radians, sqrt
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from recommender.explain.likely import PARTING_ANGLES
from recommender.kit.result import Typed
from recommender.loads import LineType
from recommender.physics import (
    STANDARD_GRAVITY,
    effective_length,
    peak_tension_locked,
    peak_tension_running,
    secant_stiffness,
)
from recommender.sourced import DERIVED, Sourced
from recommender.work.cases import LoadCase
from recommender.work.plan import Plan

if TYPE_CHECKING:
    from recommender.physics.simulation import CatchHistory

PARTING_ANGLE = PARTING_ANGLES[1]
"""The usual one."""
POINTS = Sourced(200, "-", DERIVED, note="of a course that is kept; the peak is always among them")
AFTER_FALL = Sourced(2.5, "-", DERIVED, note="length of a course, in times of free fall; and half a second")


class Course(Typed):
    """Tension of the line at the piece over time, from the moment the piece comes free or the line is taut.

    Attributes
    ----------
    time_s, tension_n : tuple of float
    peak_n : float
    stop_distance_m : float
        Largest drop of the centre of mass.
    run_m : float
        Line through the brake.
    """

    time_s: tuple[float, ...]
    tension_n: tuple[float, ...]
    peak_n: float
    stop_distance_m: float
    run_m: float


class Courses(NamedTuple):
    """The working state and, in a catch, the jam; None where nothing falls."""

    working: Course | None
    jam: Course | None


def usual_courses(case: LoadCase, line: LineType, r: float, plan: Plan) -> Courses:
    """Courses of one rope in one job.

    Parameters
    ----------
    case : LoadCase
    line : LineType
        The rope, with the stretch of its sheet.
    r : float
        Fall tension over lead tension at the redirect. [-]
    plan : Plan
        Has the job type that the load case is of: the usual length of its piece.

    Returns
    -------
    Courses
        Both None for a lift, which is slow.
    """
    if case.technique == "lift":
        return Courses(None, None)
    if case.technique == "lower":
        return Courses(_lowered(case, line, r), None)
    job = next(one for one in plan.jobs if one.job == case.job)
    cut_to_redirect, tie = float(job.cut_to_redirect or 0.0), float(job.tie_above_cut or 0.0)
    log = (job.length, min(tie, job.length), cut_to_redirect)
    working = _caught(case, line, r, log, locked=False)
    return Courses(working, _caught(case, line, r, log, locked=True))


def _lowered(case: LoadCase, line: LineType, r: float) -> Course:
    from recommender.physics.rope_over_redirect import RopeOverRedirect
    from recommender.physics.simulation import simulate_catch, simulate_swing

    mass, length = float(case.mass.typical), float(effective_length(case.lead, case.fall, r, line.exponent))
    if not case.swing_angle:
        rope = RopeOverRedirect(
            lead_length=case.lead, fall_length=case.fall, constant=line.constant, exponent=line.exponent, r=r
        )
        return _course(simulate_catch(mass, case.drop, rope))
    weight = mass * float(STANDARD_GRAVITY)
    peak = float(peak_tension_locked(weight, case.drop, length, line.constant, line.exponent))
    stiffness = float(secant_stiffness(peak, line.constant, line.exponent)) / length
    return _course(simulate_swing(mass, case.swing_angle, case.lead, stiffness, case.drop))


def _caught(
    case: LoadCase, line: LineType, r: float, log: tuple[float, float, float], *, locked: bool
) -> Course:
    """A log of the usual size; in the working state the brake slips at the tension that gives the planned run."""
    from recommender.physics.bodies import FallingLog
    from recommender.physics.rope_over_redirect import RopeOverRedirect
    from recommender.physics.simulation import simulate_log_catch

    mass, (length, tie, cut_to_redirect) = float(case.mass.typical), log
    weight, reach = (
        mass * float(STANDARD_GRAVITY),
        float(effective_length(case.lead, case.fall, r, line.exponent)),
    )
    slip = float("inf")
    if case.run and not locked:
        usual = 2 * (cut_to_redirect + max(length / 2, tie)) + max(case.lead - cut_to_redirect - tie, 0.0)
        slip = r * float(peak_tension_running(weight, usual, reach, line.constant, line.exponent, case.run))
    rope = RopeOverRedirect(
        lead_length=case.lead,
        fall_length=case.fall,
        constant=line.constant,
        exponent=line.exponent,
        r=r,
        slip_tension=slip,
    )
    body = FallingLog(
        mass=mass,
        length=length,
        tie_above_cut=tie,
        cut_to_redirect=cut_to_redirect,
        parting_angle=radians(float(PARTING_ANGLE)),
    )
    falling = sqrt(2 * case.drop / float(STANDARD_GRAVITY))
    return _course(simulate_log_catch(body, rope, duration=float(AFTER_FALL) * falling + 0.5))


def _course(history: CatchHistory) -> Course:
    chosen = np.unique(
        [
            *np.linspace(0, len(history.time) - 1, int(POINTS.value)).astype(int),
            int(history.lead_tension.argmax()),
        ]
    )
    return Course(
        time_s=tuple(np.round(history.time[chosen], 5).tolist()),
        tension_n=tuple(np.round(history.lead_tension[chosen], 1).tolist()),
        peak_n=history.peak_lead,
        stop_distance_m=history.stop_distance,
        run_m=history.run_out,
    )
