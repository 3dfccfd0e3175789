"""How pieces are taken down on a limits sheet: one manner each for lowering, swinging and lifting, and for catches.

Every figure is the least favourable one of the plan's job types of that technique, so that the sheet holds for all of
them; where the plan has no such job type, the figures of common practice below are taken.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, radians
from typing import Any

from catalog_schema.units import UnitSystem, show, to_si
from recommender.kit.result import Typed
from recommender.physics import SHORTEST_LEAD
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.cases import SHORT_LEAD
from recommender.work.plan import Plan
from recommender.work.tables import JobType, Technique

USUAL_SWING = Sourced(45.0, "deg", COMMON_PRACTICE, note="line from the vertical when a side limb lets go")
USUAL_LIFT = Sourced(1.0, "m", COMMON_PRACTICE, note="pulled up to come off clear")
USUAL_RUN = Sourced(1.0, "m", COMMON_PRACTICE, note="line let run in a catch; short is safe")
USUAL_CUT = Sourced(0.3, "m", COMMON_PRACTICE, note="from the cut down to the redirect in a catch")
USUAL_TIE = Sourced(0.3, "m", COMMON_PRACTICE, note="from the cut up to the knot in a catch")
USUAL_SLACK = Sourced(0.1, "m", COMMON_PRACTICE, note="slack of a catch, sling creep in it")
USUAL_LENGTH = Sourced(1.0, "m", COMMON_PRACTICE, note="length of a caught piece")
LENGTH_STEPS = {"metric": (0.5, "m"), "us": (1.0, "ft")}
"""Caught lengths are rounded up to this step."""
MANNERS_OF_LIFTING = ("smooth", "jerky", "snatched")


class Manner(Typed):
    """A technique with everything that a load depends on beside mass and height. [m], [rad]

    ``piece_length_m`` is the longest piece that the figures hold for, in a catch; 0 where it does not matter.
    """

    name: str
    technique: Technique
    slack_m: float
    lead_m: float
    leg_angle_rad: float = 0.0
    swing_angle_rad: float = 0.0
    tie_above_cut_m: float | None = None
    run_m: float = 0.0
    piece_length_m: float = 0.0
    lift_height_m: float | None = None
    lift_manner: str = "jerky"

    @property
    def slacks(self) -> tuple[float, ...]:
        """Slacks to try: in a catch a tight line may be the worse one, since slack is also line that stretches. [m]"""
        return (0.0, self.slack_m) if self.technique == "catch" and self.slack_m else (self.slack_m,)

    def assumptions(self, system: UnitSystem) -> str:
        """What holds for this manner, in words with figures."""
        lead = show(self.lead_m, "length", system)
        slack = f"slack at most {show(self.slack_m, 'length', system)}" if self.slack_m else "no slack"
        if self.technique == "catch":
            tie = show(self.tie_above_cut_m or 0.0, "length", system)
            length = show(self.piece_length_m, "length", system, rounding="down")
            short = show(float(SHORTEST_LEAD), "length", system, rounding="up")
            run = "the line is locked"
            if self.run_m:
                run = f"the brake hand lets {show(self.run_m, 'length', system)} run (less is harder, more comes lower)"
            return (
                f"redirect at most {lead} below the cut, knot at least {tie} above it and at least {short} of "
                f"line between them, {slack}, {run}; pieces at most {length} long; a line that "
                "locks is counted too; the piece stops above the ground"
            )
        above = f"at least {lead} of line above the piece"
        if self.technique == "lift":
            return f"pulled up at most {show(self.lift_height_m or 0.0, 'length', system)}, {self.lift_manner}; {above}"
        swing = (
            f"swings free from at most {show(self.swing_angle_rad, 'angle', system)}, "
            if self.swing_angle_rad
            else ""
        )
        return f"{swing}{slack}; {above}"


def usual_manners(plan: Plan, system: UnitSystem) -> tuple[Manner, ...]:
    """The manners of a plan's limits sheet: lower, swing, lift, and catches of the shortest and longest pieces.

    Parameters
    ----------
    plan : Plan
    system : {'metric', 'us'}
        In whose round figures the names of the catches are.

    Returns
    -------
    tuple of Manner
    """
    by_technique = {
        name: [job for job in plan.jobs if job.technique == name] for name in ("lower", "lift", "catch")
    }
    swings = [job for job in by_technique["lower"] if job.swing_angle]
    straight = [job for job in by_technique["lower"] if not job.swing_angle]
    angle = max([radians(float(USUAL_SWING)), *(job.swing_angle for job in swings)])
    return (
        Manner(name="Lower", technique="lower", **_line(straight)),
        Manner(
            name=f"Swing, {show(angle, 'angle', system)}",
            technique="lower",
            swing_angle_rad=angle,
            **_line(swings or straight),
        ),
        _lift(by_technique["lift"]),
        *_catches(by_technique["catch"], system),
    )


def _line(jobs: Iterable[JobType]) -> dict[str, Any]:
    """Slack, line above the piece and angle of the legs, each as the worst of some job types."""
    jobs = list(jobs)
    lead = min(
        (float(SHORT_LEAD) if job.cut_to_redirect is None else job.cut_to_redirect for job in jobs),
        default=float(SHORT_LEAD),
    )
    return {
        "slack_m": max((job.slack for job in jobs), default=0.0),
        "lead_m": lead,
        "leg_angle_rad": min((job.leg_angle for job in jobs), default=0.0),
    }


def _lift(jobs: list[JobType]) -> Manner:
    manner = max((job.lift_manner for job in jobs), key=MANNERS_OF_LIFTING.index, default="jerky")
    height = max((job.lift_height or 0.0 for job in jobs), default=float(USUAL_LIFT))
    return Manner(name="Lift", technique="lift", lift_height_m=height, lift_manner=manner, **_line(jobs))


def _catches(jobs: list[JobType], system: UnitSystem) -> list[Manner]:
    usual: dict[str, Any] = {
        "lead_m": max((job.cut_to_redirect or 0.0 for job in jobs), default=float(USUAL_CUT)),
        "slack_m": max((job.slack for job in jobs), default=float(USUAL_SLACK)),
        "tie_above_cut_m": min((job.tie_above_cut or 0.0 for job in jobs), default=float(USUAL_TIE)),
        "run_m": min((job.run for job in jobs), default=float(USUAL_RUN)),
        "leg_angle_rad": min((job.leg_angle for job in jobs), default=0.0),
    }
    lengths = [job.length_high or job.length for job in jobs] or [float(USUAL_LENGTH)]
    step = to_si(*LENGTH_STEPS[system], "length")
    ends = sorted({step * ceil(length / step - 1e-9) for length in (min(lengths), max(lengths))})
    return [
        Manner(
            name=f"Catch, to {show(length, 'length', system, rounding='down')}",
            technique="catch",
            piece_length_m=length,
            **usual,
        )
        for length in ends
    ]
