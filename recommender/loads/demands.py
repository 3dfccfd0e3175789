"""What every part has to carry: load case x line x kind of redirect, in the working state and in the jam."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recommender.loads.lines import Floats, LineArrays
from recommender.physics import (
    JERKY,
    SMOOTH,
    SNATCHED,
    STEADY_LOWERING_FLOOR,
    FrictionClass,
    bollard_anchor_load,
    capstan_hold_force,
    effective_length,
    hoist_fall_tension,
    hoist_lead_tension,
    lowest_point_drop,
    peak_tension_locked,
    peak_tension_running,
    redirect_reaction,
    secant_stiffness,
    soft_lowering_peak,
    swing_design_peak,
    take_up,
    within_validity,
)
from recommender.physics.catching import RUNNING_FLOOR
from recommender.ratings import Policy
from recommender.sourced import COMMON_PRACTICE, DERIVED, Sourced
from recommender.work.cases import LoadCase, column

LOW_BOLLARD_FRICTION = Sourced(
    0.075,
    "-",
    COMMON_PRACTICE,
    note="half of 0.15, wet or glazed rope on metal: most hold force on the anchor",
)
HOLDING_WRAPS = Sourced(2.0, "turns", COMMON_PRACTICE, note="fewest wraps a ground worker takes under load")
SWING_STEPS = Sourced(
    16, "-", DERIVED, note="each step leaves (1 - 1/n) / 2 of the error or less: below 1e-8 for n up to 1.8"
)
LIFT_MANNER = {"smooth": SMOOTH.value, "jerky": JERKY.value, "snatched": SNATCHED.value}
STATES = ("working", "jam")


@dataclass(frozen=True)
class Demands:
    """Forces of shape (states, cases, lines, frictions) unless said; the jam is 0 outside a catch. [N]

    Attributes
    ----------
    line : array
        Highest tension of the line.
    reaction : array
        On the redirect, its connector and its sling.
    brake : array
        Line tension at the brake.
    brake_anchor : array
        On the brake's sling and connector: line and hold force.
    lifter : array
        Pull of the lifter on the line; 0 unless lifting.
    lifter_holding : array
        On a lifter that also lowers the piece: its pull, or what it holds on the way down.
    travel : array, shape (cases, lines, frictions)
        Line that the lifter has to pull in: lift and stretch. [m]
    drop : array, shape (cases, lines, frictions)
        How far below the cut the lowest wood of a catch may come; 0 unless catching. [m]
    valid : array of bool, shape (cases, lines, frictions)
        Whether the formulas hold there; where not, the combination is refused.
    """

    line: Floats
    reaction: Floats
    brake: Floats
    brake_anchor: Floats
    lifter: Floats
    lifter_holding: Floats
    travel: Floats
    drop: Floats
    valid: NDArray[np.bool_]


def demands(
    cases: Sequence[LoadCase], lines: LineArrays, frictions: Sequence[FrictionClass], policy: Policy
) -> Demands:
    """Forces on every part for all combinations.

    Parameters
    ----------
    cases : sequence of LoadCase
    lines : LineArrays
    frictions : sequence of FrictionClass
    policy : Policy
        Stiffness and peak factors.

    Returns
    -------
    Demands

    Notes
    -----
    Safe side on both ends: stiffness high for peaks and low for stretch; of the friction at the redirect, the end that
    is worse for each part. The jam is the catch with the brake locked.
    """
    shape = (len(STATES), len(cases), len(lines.types), len(frictions))
    result = Demands(
        *(np.zeros(shape) for _ in range(6)),
        travel=np.zeros(shape[1:]),
        drop=np.zeros(shape[1:]),
        valid=np.ones(shape[1:], dtype=bool),
    )
    for technique, fill in (("lower", _lower), ("lift", _lift), ("catch", _catch)):
        rows = np.array([k for k, case in enumerate(cases) if case.technique == technique], dtype=int)
        if rows.size and shape[2] and shape[3]:
            fill(result, rows, _Grid([cases[k] for k in rows], lines, frictions), policy)
    return result


class _Grid:
    """Columns of load cases (n, 1, 1), lines (1, k, 1) and frictions (1, 1, f), ready to broadcast."""

    def __init__(
        self, cases: Sequence[LoadCase], lines: LineArrays, frictions: Sequence[FrictionClass]
    ) -> None:
        self.cases = cases
        self.weight = self.of_case("weight")
        self.lead = self.of_case("lead")
        self.fall = self.of_case("fall")
        self.angle = self.of_case("leg_angle")
        self.stiff, self.soft, self.exponent, self.min_break = (
            values[None, :, None] for values in (lines.stiff, lines.soft, lines.exponent, lines.min_break)
        )
        self.r_low, self.r_high, self.eta_low = (
            np.array([getattr(friction, name) for friction in frictions])[None, None, :]
            for name in ("r_low", "r_high", "eta_low")
        )

    def of_case(self, name: str) -> Floats:
        """One attribute of the load cases, shape (n, 1, 1)."""
        return column(self.cases, name)[:, None, None]

    def effective(self, r: Floats) -> Floats:
        """Effective length of the rope at a tension ratio."""
        return np.asarray(effective_length(self.lead, self.fall, r))


def _anchored(brake: Floats) -> Floats:
    """Load on the brake's anchor: the line's tension and the hold force behind the fewest wraps."""
    hold = capstan_hold_force(brake, float(LOW_BOLLARD_FRICTION), 2 * np.pi * float(HOLDING_WRAPS))
    return np.asarray(bollard_anchor_load(brake, hold))


def _put(
    result: Demands, state: int, rows: NDArray[np.int_], grid: _Grid, at_low: Floats, at_high: Floats
) -> None:
    """Store the forces of a line whose lead tension is known at both ends of r."""
    reaction = np.maximum(
        redirect_reaction(at_low, grid.r_low * at_low, grid.angle),
        redirect_reaction(at_high, grid.r_high * at_high, grid.angle),
    )
    brake = np.maximum(grid.r_low * at_low, grid.r_high * at_high)
    result.line[state, rows] = np.maximum(at_low, at_high)
    result.reaction[state, rows] = reaction
    result.brake[state, rows] = brake
    result.brake_anchor[state, rows] = _anchored(brake)


def _lower(result: Demands, rows: NDArray[np.int_], grid: _Grid, policy: Policy) -> None:
    slack, angle = grid.of_case("drop"), grid.of_case("swing_angle")

    def peak(r: Floats) -> Floats:
        length = grid.effective(r)
        tension = np.asarray(soft_lowering_peak(grid.weight, slack, length, grid.stiff, grid.exponent))
        gentle = soft_lowering_peak(grid.weight, slack, length, grid.soft, grid.exponent)
        least = secant_stiffness(gentle, grid.soft, grid.exponent) / length
        for _ in range(int(SWING_STEPS.value) if np.any(angle > 0) else 0):
            stiffness = secant_stiffness(tension, grid.stiff, grid.exponent) / length
            swung = swing_design_peak(grid.weight, angle, slack, stiffness, grid.lead, least)
            tension = np.where(angle > 0, np.maximum(tension, swung), tension)
        return tension

    grid.angle = np.where(angle > 0, 0.0, grid.angle)  # a swing passes under the redirect: legs parallel
    _put(result, 0, rows, grid, peak(grid.r_low), peak(grid.r_high))
    within = within_validity(
        slack, grid.effective(grid.r_low), grid.lead, result.line[0, rows], grid.min_break
    )
    result.valid[rows] = within | (slack == 0)


def _catch(result: Demands, rows: NDArray[np.int_], grid: _Grid, policy: Policy) -> None:
    height, run = grid.of_case("drop"), grid.of_case("run")
    share = policy.catch_peak.factor
    jam, working = [], []
    for r in (grid.r_low, grid.r_high):
        event = (grid.weight, height, grid.effective(r), grid.stiff, grid.exponent)
        jam.append(share * np.asarray(peak_tension_locked(*event)))
        floor = np.where(run > 0, float(RUNNING_FLOOR) * grid.weight, 0.0)
        working.append(np.maximum(share * np.asarray(peak_tension_running(*event, run)), floor))
    _put(result, 0, rows, grid, working[0], working[1])
    _put(result, 1, rows, grid, jam[0], jam[1])
    soft_length = effective_length(grid.lead, grid.fall, grid.r_high, grid.exponent)
    soft_peak = peak_tension_running(grid.weight, height, soft_length, grid.soft, grid.exponent, run)
    centre = grid.of_case("centre_above_cut")
    below_centre = np.maximum(centre, grid.of_case("piece_length") - centre)
    fallen = lowest_point_drop(height, soft_peak, soft_length, grid.soft, grid.exponent, run=run)
    result.drop[rows] = np.asarray(fallen) - centre + below_centre
    result.valid[rows] = within_validity(
        height, grid.effective(grid.r_low), grid.lead, result.line[1, rows], grid.min_break
    )


def _lift(result: Demands, rows: NDArray[np.int_], grid: _Grid, policy: Policy) -> None:
    manner = np.array([LIFT_MANNER[case.lift_manner] for case in grid.cases])[:, None, None]
    lead = hoist_lead_tension(grid.weight, manner)
    pull = hoist_fall_tension(lead, grid.eta_low)
    lowered = float(STEADY_LOWERING_FLOOR) * grid.weight
    shape = result.line[0, rows].shape
    result.line[0, rows] = np.broadcast_to(np.maximum(pull, lowered), shape)
    result.reaction[0, rows] = np.broadcast_to(
        np.maximum(
            redirect_reaction(lead, pull, grid.angle),
            redirect_reaction(lowered, grid.r_high * lowered, grid.angle),
        ),
        shape,
    )
    result.brake[0, rows] = np.broadcast_to(grid.r_high * np.maximum(lowered, lead), shape)
    result.brake_anchor[0, rows] = _anchored(result.brake[0, rows])
    result.lifter[0, rows] = np.broadcast_to(pull, shape)
    result.lifter_holding[0, rows] = np.maximum(pull, result.brake[0, rows])
    stiffness = secant_stiffness(lead, grid.soft, grid.exponent)  # the softer leg's, for both: safe side
    result.travel[rows] = grid.of_case("lift_height") + take_up(lead, pull, grid.lead, grid.fall, stiffness)
