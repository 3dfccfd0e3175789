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
from recommender.physics.domain import Values
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
Kept = dict[str, Floats]
"""Steps of the calculation by name, such as ``low length``; (cases, lines, frictions) or what broadcasts to it."""


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
    cases: Sequence[LoadCase],
    lines: LineArrays,
    frictions: Sequence[FrictionClass],
    policy: Policy,
    kept: Kept | None = None,
) -> Demands:
    """Forces on every part for all combinations.

    Parameters
    ----------
    cases : sequence of LoadCase
    lines : LineArrays
    frictions : sequence of FrictionClass
    policy : Policy
        Stiffness and peak factors.
    kept : dict, optional
        Filled with the steps of the calculation, to show how a force came about; for load cases of one technique.

    Returns
    -------
    Demands

    Notes
    -----
    Safe side on both ends: stiffness high for peaks and low for stretch; of the friction at the redirect, the end that
    is worse for each part. The jam is the catch with the brake locked.
    """
    shape = (len(STATES), len(cases), len(lines.types), len(frictions))
    line, reaction, brake, anchor, lifter, holding = (np.zeros(shape) for _ in range(6))
    travel, drop, valid = np.zeros(shape[1:]), np.zeros(shape[1:]), np.ones(shape[1:], dtype=bool)
    result = Demands(line, reaction, brake, anchor, lifter, holding, travel, drop, valid)
    for technique, fill in (("lower", _lower), ("lift", _lift), ("catch", _catch)):
        rows = np.array([k for k, case in enumerate(cases) if case.technique == technique], dtype=int)
        if rows.size and shape[2] and shape[3]:
            fill(result, rows, _Grid([cases[k] for k in rows], lines, frictions, kept), policy)
    return result


class _Grid:
    """Columns of load cases (n, 1, 1), lines (1, k, 1) and frictions (1, 1, f), ready to broadcast."""

    def __init__(
        self,
        cases: Sequence[LoadCase],
        lines: LineArrays,
        frictions: Sequence[FrictionClass],
        kept: Kept | None = None,
    ) -> None:
        self.cases, self.kept = cases, kept
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

    @property
    def ends(self) -> tuple[tuple[str, Floats], ...]:
        """Both ends of the tension ratio at the redirect."""
        return ("low", self.r_low), ("high", self.r_high)

    def effective(self, r: Floats, fall: Floats | None = None) -> Floats:
        """Effective length of the rope at a tension ratio."""
        return np.asarray(effective_length(self.lead, self.fall if fall is None else fall, r))

    def keep(self, step: str, values: Values) -> Floats:
        """The values of a step, kept under its name where that was asked for."""
        kept = np.asarray(values)
        if self.kept is not None:
            self.kept[step] = kept
        return kept


def _anchored(brake: Floats) -> Floats:
    """Load on the brake's anchor: the line's tension and the hold force behind the fewest wraps."""
    hold = capstan_hold_force(brake, float(LOW_BOLLARD_FRICTION), 2 * np.pi * float(HOLDING_WRAPS))
    return np.asarray(bollard_anchor_load(brake, hold))


def _put(
    result: Demands, state: int, rows: NDArray[np.int_], grid: _Grid, at_low: Floats, at_high: Floats
) -> None:
    """Store the forces of a line whose lead tension is known at both ends of r."""
    reactions, brakes = [], []
    for (end, r), lead in zip(grid.ends, (at_low, at_high), strict=True):
        fall = grid.keep(f"{STATES[state]} {end} brake", r * lead)
        reaction = redirect_reaction(lead, fall, grid.angle)
        reactions.append(grid.keep(f"{STATES[state]} {end} reaction", reaction))
        brakes.append(fall)
    result.line[state, rows] = np.maximum(at_low, at_high)
    result.reaction[state, rows] = np.maximum(*reactions)
    result.brake[state, rows] = np.maximum(*brakes)
    result.brake_anchor[state, rows] = _anchored(np.maximum(*brakes))


def _lower(result: Demands, rows: NDArray[np.int_], grid: _Grid, policy: Policy) -> None:
    slack, angle = grid.of_case("drop"), grid.of_case("swing_angle")

    def peak(end: str, r: Floats) -> Floats:
        length = grid.keep(f"{end} length", grid.effective(r))
        event = (grid.weight, slack, length)
        tension = grid.keep(f"{end} soft", soft_lowering_peak(*event, grid.stiff, grid.exponent))
        gentle = soft_lowering_peak(*event, grid.soft, grid.exponent)
        least = grid.keep(f"{end} least", secant_stiffness(gentle, grid.soft, grid.exponent) / length)
        for _ in range(int(SWING_STEPS.value) if np.any(angle > 0) else 0):
            stiffness = secant_stiffness(tension, grid.stiff, grid.exponent) / length
            grid.keep(f"{end} stiffness", stiffness)
            swung = swing_design_peak(grid.weight, angle, slack, stiffness, grid.lead, least)
            tension = np.where(angle > 0, np.maximum(tension, swung), tension)
        return grid.keep(f"working {end} line", tension)

    grid.angle = np.where(angle > 0, 0.0, grid.angle)  # a swing passes under the redirect: legs parallel
    _put(result, 0, rows, grid, *(peak(*end) for end in grid.ends))
    within = within_validity(
        slack, grid.effective(grid.r_low), grid.lead, result.line[0, rows], grid.min_break
    )
    result.valid[rows] = within | (slack == 0)


def _catch(result: Demands, rows: NDArray[np.int_], grid: _Grid, policy: Policy) -> None:
    height, run, share = grid.of_case("drop"), grid.of_case("run"), policy.catch_peak.factor
    floor = np.where(run > 0, float(RUNNING_FLOOR) * grid.weight, 0.0)
    longest = grid.of_case("longest_fall")
    places = [("lowest", grid.fall)]
    if np.any(longest != grid.fall):  # a redirect that moves down: at its highest the line is longest
        places.append(("highest", longest))
    at_work, jammed = [], []
    for end, r in grid.ends:
        locked, let_run = [], []
        for place, fall in places:
            length = grid.keep(f"{place} {end} length", grid.effective(r, fall))
            event = (grid.weight, height, length, grid.stiff, grid.exponent)
            locked.append(grid.keep(f"{place} {end} locked", peak_tension_locked(*event)))
            let_run.append(grid.keep(f"{place} {end} running", peak_tension_running(*event, run)))
        jammed.append(grid.keep(f"jam {end} line", share * np.maximum.reduce(locked)))
        at_work.append(
            grid.keep(f"working {end} line", np.maximum(share * np.maximum.reduce(let_run), floor))
        )
    _put(result, 0, rows, grid, *at_work)
    _put(result, 1, rows, grid, *jammed)
    result.drop[rows] = _drop_below_cut(grid, height, run, longest)
    result.valid[rows] = within_validity(
        height, grid.effective(grid.r_low), grid.lead, result.line[1, rows], grid.min_break
    )


def _drop_below_cut(grid: _Grid, height: Floats, run: Floats, fall: Floats) -> Floats:
    """How far below the cut the lowest wood of a catch may come: softest rope, longest fall leg, highest ratio."""
    soft = (grid.soft, grid.exponent)
    length = grid.keep("soft length", effective_length(grid.lead, fall, grid.r_high, grid.exponent))
    peak = grid.keep("soft peak", peak_tension_running(grid.weight, height, length, *soft, run))
    fallen = grid.keep("soft fallen", lowest_point_drop(height, peak, length, *soft, run=run))
    centre = grid.of_case("centre_above_cut")
    return fallen - centre + np.maximum(centre, grid.of_case("piece_length") - centre)


def _lift(result: Demands, rows: NDArray[np.int_], grid: _Grid, policy: Policy) -> None:
    manner = np.array([LIFT_MANNER[case.lift_manner] for case in grid.cases])[:, None, None]
    lead = grid.keep("hoist lead", hoist_lead_tension(grid.weight, manner))
    pull = grid.keep("hoist pull", hoist_fall_tension(lead, grid.eta_low))
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
    taken_up = grid.keep("take-up", take_up(lead, pull, grid.lead, grid.fall, stiffness))
    result.travel[rows] = grid.of_case("lift_height") + taken_up
