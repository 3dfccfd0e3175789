"""Forces on the parts of one rigged job type, worked out a second time, number by number, to check a kit.

Nothing is shared with the kit model but the declared tables, the ratings and the masses from the wood table: geometry,
formulas and constants are written here again, so that a slip in one place shows as a disagreement. Where the model
uses closed forms and Newton's rule, the energy balance is halved down here.

Safe side as in the model: stiffness high for peaks and low for stretch; of the friction at the redirect, the end that
is worse for each part.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from catalog_schema.gear import Lifter, Redirect, Rope
from recommender.ratings import Policy
from recommender.sourced import COMMON_PRACTICE, DERIVED, FROM_MEMORY, Sourced
from recommender.wood import LogSize, density_band, find_species, log_mass
from recommender.work.settings import LineAllowances
from recommender.work.tables import JobType

GRAVITY = Sourced(9.80665, "m/s2", "si_brochure")
NEW_BRAID = Sourced(1.5, "-", FROM_MEMORY, note="exponent of a rope with one stretch point on its sheet")
SOFT_LOWER = Sourced(2.5, "x W", COMMON_PRACTICE, note="least peak of a lower")
STEADY_LOWER = Sourced(1.5, "x W", COMMON_PRACTICE, note="least line load while a lifted piece is let down")
RUNNING_CATCH = Sourced(2.0, "x W", COMMON_PRACTICE, note="least peak of a catch whose line runs")
HOIST = {
    "smooth": Sourced(1.1, "x W", COMMON_PRACTICE, note="smooth hand winch"),
    "jerky": Sourced(1.25, "x W", COMMON_PRACTICE, note="jerky, or freeing from a crown"),
    "snatched": Sourced(1.5, "x W", COMMON_PRACTICE, note="snatched by hand"),
}
HITCH_SET = Sourced(0.2, "m", COMMON_PRACTICE, note="hitches tighten before a piece moves, high end")
CREEP = Sourced(0.3, "m", COMMON_PRACTICE, note="knots and slings tighten in a catch, high end")
WORKING_HEIGHT = Sourced(1.0, "m", COMMON_PRACTICE, note="brake and lifter above the ground")
LINE_ABOVE_PIECE = Sourced(1.0, "m", COMMON_PRACTICE, note="where a job type states none")
WRAPPED_DRUM = Sourced(0.1, "m", COMMON_PRACTICE, note="drum for the length of line in the wraps")
WET_DRUM_FRICTION = Sourced(0.075, "-", COMMON_PRACTICE, note="half of 0.15, metal; the anchor's worse side")
LEAST_WRAPS = Sourced(2.0, "turns", COMMON_PRACTICE, note="under load")
STIFF_BOUNCE = Sourced(1.15, "-", DERIVED, note="margin on a swing while W / (k L) is at most 0.05")
SOFT_BOUNCE = Sourced(1.5, "-", DERIVED, note="margin beyond that")
BOUNCE_STEPS = (0.05, 0.2)
"""W / (k L) up to which the one and the other margin holds; beyond, the bound of energy counts too (derived)."""
FALL_LIMIT = Sourced(2.0, "-", COMMON_PRACTICE, note="fall over effective length")
BREAK_LIMIT = Sourced(0.75, "-", COMMON_PRACTICE, note="of the breaking strength")
LEAD_LIMIT = Sourced(0.5, "m", COMMON_PRACTICE, note="line from redirect to piece")
ROUNDING = 1e-8
"""Relative allowance where a figure meets its limit: rounding only."""
CONVERGED = 1e-12
"""Relative step at which a repeated calculation ends."""


@dataclass(frozen=True)
class Friction:
    """Tension ratios at a redirect: fall over lead while the piece pulls line, lead over fall while hoisting."""

    r_low: float
    r_high: float
    efficiency: float

    @property
    def ends(self) -> tuple[float, float]:
        """Both ends of the ratio."""
        return self.r_low, self.r_high


FRICTION = {
    "roller": Friction(0.60, 0.98, 0.86),  # Donzelli 1999, rounded outward; Delaney 2022, p. 88
    "plain": Friction(0.60, 0.95, 0.77),  # rotating block; friction circle at the highest shaft friction
    "ring": Friction(0.45, 0.95, 0.46),  # bars 0.46 to 0.64, Delaney 2022, p. 88; drop tests, Kane 2019
    "multi_hole_ring": Friction(0.30, 0.95, 0.30),  # common practice
}


@dataclass(frozen=True)
class Piece:
    """The design piece of a job type and where the line lies. SI.

    ``drop`` is the fall of the centre of mass before the line is taut, ``centre`` the height of that centre above the
    cut, ``lowest`` how far the lowest wood hangs below it. Where the redirect moves down with the cuts, ``fall`` is the
    line from its lowest place to the brake and ``longest_fall`` that from its highest.
    """

    mass: float
    usual_mass: float
    centre: float
    lowest: float
    lead: float
    fall: float
    longest_fall: float
    drop: float
    line_needed: float

    @property
    def weight(self) -> float:
        """[N]"""
        return self.mass * GRAVITY.value


@dataclass(frozen=True)
class Forces:
    """Forces on the parts, each (working, jam), 0 where there is none. [N]

    ``travel`` is the line that the lifter pulls in, ``below_cut`` how far the lowest wood of a catch comes down; [m]
    ``limits`` says which limits of the formulas are passed.
    """

    line: tuple[float, float]
    reaction: tuple[float, float]
    brake: tuple[float, float]
    brake_anchor: tuple[float, float]
    lifter: tuple[float, float] = (0.0, 0.0)
    travel: float = 0.0
    below_cut: float | None = None
    limits: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Spring:
    """A rope as ``T = constant * strain^exponent``. [N], [-]"""

    constant: float
    exponent: float

    def strain(self, tension: float) -> float:
        """Stretch over length. [-]"""
        return math.pow(tension / self.constant, 1.0 / self.exponent)

    def stiffness(self, tension: float, length: float) -> float:
        """Secant stiffness of a length. [N/m]"""
        return tension / (self.strain(tension) * length)


def piece_of(job: JobType, allowances: LineAllowances) -> Piece:
    """The design piece of a job type: largest size, upper density."""
    taper = 1.0 if job.small_diameter is None else job.small_diameter / job.diameter
    big, length = job.diameter_high or job.diameter, job.length_high or job.length
    centre = length * (1 + 2 * taper + 3 * taper**2) / (4 * (1 + taper + taper**2))
    if job.branches:
        centre = max(centre, length / 2)
    mass, usual = _masses(job, LogSize(big, big * taper, length))
    above = LINE_ABOVE_PIECE.value if job.cut_to_redirect is None else job.cut_to_redirect
    tie, drop = 0.0, job.slack
    if job.technique == "catch":
        tie = job.tie_above_cut or 0.0
        drop = 2 * (above + max(centre, tie)) + job.slack
    highest = job.rigging_height if job.highest_redirect is None else job.highest_redirect
    longest = highest - WORKING_HEIGHT.value
    way = highest if job.lowering_distance is None else job.lowering_distance
    used_up = allowances.tail + allowances.tie + allowances.wraps * math.pi * WRAPPED_DRUM.value
    return Piece(
        mass=mass,
        usual_mass=usual,
        centre=centre,
        lowest=max(centre, length - centre),
        lead=above + tie + job.slack,
        fall=job.rigging_height - WORKING_HEIGHT.value,
        longest_fall=longest,
        drop=drop,
        line_needed=longest + way + used_up,
    )


def _masses(job: JobType, largest: LogSize) -> tuple[float, float]:
    """Design and usual mass: what the job type states, else from the wood table. [kg]"""
    if job.mass is not None and job.mass_high is not None:
        return job.mass_high, job.mass
    species = find_species(job.species)
    if job.mass is not None:
        band = density_band(species, young_conifer=job.young_conifer)
        return job.mass * band.high / band.typical, job.mass
    taper = 1.0 if job.small_diameter is None else job.small_diameter / job.diameter
    size = (job.diameter, job.diameter * taper, job.length)
    wood = log_mass(species, *size, high_size=largest, young_conifer=job.young_conifer)
    return float(wood.design) * (1 + job.branches), float(wood.typical) * (1 + job.branches)


def spring_of(rope: Rope, share: float) -> Spring:
    """A rope through the stretch of its sheet, its stiffness times ``share``."""
    if rope.elongation_2 is None or rope.elongation_2_at is None:
        strain, part, exponent = rope.elongation, rope.elongation_at, NEW_BRAID.value
    else:
        strain, part = rope.elongation_2, rope.elongation_2_at
        exponent = math.log(part / rope.elongation_at) / math.log(strain / rope.elongation)
    return Spring(share * part * rope.min_break / strain**exponent, exponent)


def least_break(rope: Rope, policy: Policy) -> float:
    """Breaking strength, made a minimum where the sheet gives an average. [N]"""
    return rope.min_break * (policy.average_strength.factor if rope.break_basis == "average" else 1.0)


def friction_of(redirect: Redirect) -> Friction:
    """Tension ratios of a redirect by its bearing, or by the kind of ring."""
    return FRICTION[redirect.kind if redirect.bearing == "none" else redirect.bearing]


def forces_on(
    job: JobType, piece: Piece, *, rope: Rope, redirect: Redirect, lifter: Lifter | None, policy: Policy
) -> Forces:
    """Forces on every part of a job type's setup.

    Parameters
    ----------
    job : JobType
    piece : Piece
        Of :func:`piece_of`.
    rope, redirect, lifter
        The line, what it runs over, and what pulls it (lifting only).
    policy : Policy
        Stiffness, strength of an average, and the factor on a catch's peak.

    Returns
    -------
    Forces
    """
    friction, stiff = friction_of(redirect), spring_of(rope, policy.stiffness.high)
    soft = spring_of(rope, policy.stiffness.low)
    if job.technique == "lift":
        return _lift(job, piece, friction, soft, own_brake=lifter is not None and lifter.own_brake)
    if job.technique == "lower":
        return _lower(job, piece, friction, (stiff, soft), least_break(rope, policy))
    return _catch(job, piece, friction, (stiff, soft), least_break(rope, policy), policy.catch_peak.factor)


def _lower(
    job: JobType, piece: Piece, friction: Friction, springs: tuple[Spring, Spring], strength: float
) -> Forces:
    leads = [_lowering_peak(job, piece, piece.lead + r * piece.fall, springs) for r in friction.ends]
    angle = 0.0 if job.swing_angle else job.leg_angle  # a swinging piece passes under the redirect
    line, reaction, brake = _parts(leads, friction, angle)
    limits = _limits(piece, friction, line, strength) if job.slack else []
    return Forces((line, 0.0), (reaction, 0.0), (brake, 0.0), (_anchor(brake), 0.0), limits=limits)


def _catch(
    job: JobType,
    piece: Piece,
    friction: Friction,
    springs: tuple[Spring, Spring],
    strength: float,
    share: float,
) -> Forces:
    stiff, soft = springs
    floor = RUNNING_CATCH.value * piece.weight if job.run else 0.0
    working, jam = [], []
    for r in friction.ends:
        lengths = [piece.lead + r * fall for fall in (piece.fall, piece.longest_fall)]
        locked, let_run = (
            max(balanced_tension(piece.weight, piece.drop, run, length, stiff) for length in lengths)
            for run in (0.0, job.run)
        )
        jam.append(share * locked)
        working.append(max(share * let_run, floor))
    at_work, jammed = (_parts(leads, friction, job.leg_angle) for leads in (working, jam))
    line, reaction, brake = zip(at_work, jammed, strict=True)
    # the fall leg at r * T stretches r^(1/n) times as far as the lead leg: more than r, so worse for the clearance
    length = piece.lead + friction.r_high ** (1 / soft.exponent) * piece.longest_fall
    peak = max(balanced_tension(piece.weight, piece.drop, job.run, length, soft), floor)
    fallen = piece.drop + soft.strain(peak) * length + job.run + CREEP.value
    return Forces(
        line,
        reaction,
        brake,
        (_anchor(brake[0]), _anchor(brake[1])),
        below_cut=fallen - piece.centre + piece.lowest,
        limits=_limits(piece, friction, line[1], strength),
    )


def _lift(job: JobType, piece: Piece, friction: Friction, soft: Spring, own_brake: bool) -> Forces:
    lead = HOIST[job.lift_manner].value * piece.weight
    pull = lead / friction.efficiency
    down = STEADY_LOWER.value * piece.weight
    reaction = max(
        legs_together(lead, pull, job.leg_angle),
        legs_together(down, friction.r_high * down, job.leg_angle),
    )
    brake = friction.r_high * max(down, lead)
    lifter = max(pull, brake) if own_brake else pull
    stretch = soft.strain(lead) * piece.lead + soft.strain(pull) * piece.fall
    return Forces(
        (max(pull, down), 0.0),
        (reaction, 0.0),
        (brake, 0.0),
        (_anchor(brake), 0.0),
        lifter=(lifter, 0.0),
        travel=(job.lift_height or 0.0) + stretch + HITCH_SET.value,
    )


def _parts(leads: list[float], friction: Friction, angle: float) -> tuple[float, float, float]:
    """Line tension, force on the redirect and tension at the brake: each at the worse end of the friction."""
    both = list(zip(leads, friction.ends, strict=True))
    return (
        max(leads),
        max(legs_together(lead, r * lead, angle) for lead, r in both),
        max(r * lead for lead, r in both),
    )


def _limits(piece: Piece, friction: Friction, tension: float, strength: float) -> list[str]:
    """The limits of the energy balance that are passed, in words with figures."""
    ratio = piece.drop / (piece.lead + friction.r_low * piece.fall)
    share = tension / strength
    passed = []
    if ratio > FALL_LIMIT.value * (1 + ROUNDING):
        passed.append(f"fall over effective length is {ratio:.3g}, above {FALL_LIMIT.value:g}")
    if share > BREAK_LIMIT.value * (1 + ROUNDING):
        passed.append(
            f"line tension is {100 * share:.3g} % of the breaking strength, above {100 * BREAK_LIMIT.value:g} %"
        )
    if piece.lead < LEAD_LIMIT.value * (1 - ROUNDING):
        passed.append(f"line from redirect to piece is {piece.lead:.3g} m, below {LEAD_LIMIT.value:g} m")
    return passed


def _anchor(tension: float) -> float:
    """Load on the brake's anchor: the line and the hold behind the fewest wraps on a wet drum. [N]"""
    return tension + tension * math.exp(-WET_DRUM_FRICTION.value * 2 * math.pi * LEAST_WRAPS.value)


def legs_together(first: float, second: float, angle: float) -> float:
    """Force of two legs of a line on what they bend over, by their components. [N]

    >>> round(legs_together(10.0, 6.0, math.pi / 3), 6)
    14.0
    """
    return math.hypot(first + second * math.cos(angle), second * math.sin(angle))


def balanced_tension(weight: float, fall: float, run: float, length: float, spring: Spring) -> float:
    """Peak tension by energy: ``W * (h + x + d) = T * x / (1 + n) + T * d``, ``x = L * strain(T)``. [N]

    At ``T = W`` less is taken up than falls, and above it the difference only grows: one root, found by halving.

    200 kg, 1.6 m, linear rope of 320 kN, 0.5 m and 6 m of it, r 0.73, as worked out by hand: 22 kN locked.

    >>> round(balanced_tension(200 * 9.80665, 1.6, 0.0, 0.5 + 0.73 * 6, Spring(320e3, 1.0)), -3)
    22000.0
    """

    def surplus(tension: float) -> float:
        stretch = length * spring.strain(tension)
        taken = tension * stretch / (1 + spring.exponent) + tension * run
        return taken - weight * (fall + stretch + run)

    high = 2 * weight
    while surplus(high) < 0:
        high *= 2
    return _halved(surplus, weight, high)


def _halved(surplus: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that is below 0 at ``low`` and not at ``high`` changes sign, down to neighbouring floats."""
    while True:
        middle = (low + high) / 2
        if middle in (low, high):
            return high
        if surplus(middle) < 0:
            low = middle
        else:
            high = middle


def _lowering_peak(job: JobType, piece: Piece, length: float, springs: tuple[Spring, Spring]) -> float:
    """Lead tension of a lower: a locked catch of the slack, or the swing from the side if that is more. [N]

    A swing's peak rises with the stiffness at that peak: it is worked out again at its own answer until it stays. A
    soft rope jumps less but bounces more: the margin is chosen by the soft rope at the peak of a straight lower.
    """
    stiff, soft = springs
    floor = SOFT_LOWER.value * piece.weight
    gentle = max(balanced_tension(piece.weight, job.slack, 0.0, length, soft), floor)
    softness = piece.weight / (soft.stiffness(gentle, length) * piece.lead)
    tension = max(balanced_tension(piece.weight, job.slack, 0.0, length, stiff), floor)
    while job.swing_angle:
        swung = _swing(job, piece, stiff.stiffness(tension, length), softness)
        if swung <= tension * (1 + CONVERGED):
            break
        tension = swung
    return tension


def _swing(job: JobType, piece: Piece, stiffness: float, softness: float) -> float:
    """Peak of a swing on a spring of known stiffness, with its margin for the bounce. [N]"""
    weight, upright = piece.weight, math.cos(job.swing_angle)
    jump = math.sqrt((weight * upright) ** 2 + 2 * stiffness * weight * job.slack)
    peak = weight * (3 - 2 * upright) + jump
    if softness <= BOUNCE_STEPS[0]:
        return STIFF_BOUNCE.value * peak
    if softness <= BOUNCE_STEPS[1]:
        return SOFT_BOUNCE.value * peak
    height = piece.lead * (1 - upright) + job.slack
    return max(SOFT_BOUNCE.value * peak, weight * (1 + math.sqrt(1 + 2 * height * stiffness / weight)))
