"""One rope on both sides of a redirect with Coulomb friction, its end in a brake that may slip.

Two unstretched lengths remember what happened: ``shifted`` (q), rope slid over the redirect to the lead
side, and ``run`` (p), rope let through the brake. With ``extension`` (y, of the lead leg against its taut
length) and ``sag`` (z, of the redirect along its legs) the strains are

``lead = (y - z - q) / (L_lead + q)``, ``fall = (q - z - p) / (L_fall - q + p)``

(without ``q`` and ``p`` in the lengths if ``lengths_follow`` is False, a first-order model).

Rope slides over the redirect only at a bound of ``r * T_lead <= T_fall <= T_lead / r``, and runs through the
brake only at ``T_fall = F_slip``. Both legs follow the same power law, so the bounds are bounds of strain
with ``r^(1/n)``, and the lengths that restore them are roots of a quadratic. Derived.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import inf, sqrt
from typing import NamedTuple

from recommender.physics.domain import require_non_negative, require_positive, require_share, require_within


@dataclass(frozen=True, kw_only=True)
class RopeOverRedirect:
    """A rope from the piece over the redirect to the brake.

    Attributes
    ----------
    lead_length, fall_length : float
        Unstretched lengths from redirect to piece and to brake, > 0. [m]
    constant, exponent : float
        Power law ``T = C * strain^n``, > 0 and >= 1. [N], [-]
    r : float
        Least ratio of the smaller to the larger tension across the redirect, above 0 and at most 1. [-]
    slip_tension : float
        Tension of the fall leg at which the brake lets rope run, > 0; infinite for a locked brake. [N]
    damping_ratio : float
        Viscous damping of the rope over its critical value, >= 0. [-]
    lengths_follow : bool
        True if rope that slides or runs lengthens one leg at the cost of the other, as it does; False keeps the
        lengths to which strains refer, as simpler models do.
    """

    lead_length: float
    fall_length: float
    constant: float
    exponent: float
    r: float
    slip_tension: float = inf
    damping_ratio: float = 0.0
    lengths_follow: bool = True

    def __post_init__(self) -> None:
        require_positive(lead_length=self.lead_length, fall_length=self.fall_length, constant=self.constant)
        require_within(1.0, inf, exponent=self.exponent)
        require_share(r=self.r)
        require_non_negative(damping_ratio=self.damping_ratio)
        if not self.slip_tension > 0:
            raise ValueError(f"slip_tension must be above 0, not {self.slip_tension!r}")

    @cached_property
    def strain_share(self) -> float:
        """``r^(1/n)``, the least ratio of the smaller to the larger strain. [-]"""
        return float(self.r ** (1 / self.exponent))

    @cached_property
    def slip_strain(self) -> float:
        """Strain of the fall leg at which the brake slips. [-]"""
        return float((self.slip_tension / self.constant) ** (1 / self.exponent))

    def tension(self, strain: float) -> float:
        """Tension at a strain, 0 where the rope is slack. [N]"""
        return float(self.constant * strain**self.exponent) if strain > 0 else 0.0


class RopeState(NamedTuple):
    """Lengths that a rope remembers and the tensions that go with them. [m], [N]"""

    shifted: float = 0.0
    run: float = 0.0
    lead_tension: float = 0.0
    fall_tension: float = 0.0


def settle(rope: RopeOverRedirect, before: RopeState, extension: float, sag: float = 0.0) -> RopeState:
    """State of the rope after its ends have moved, from the state before: slide and run as friction allows.

    Parameters
    ----------
    rope : RopeOverRedirect
        The rope.
    before : RopeState
        Its state before the move.
    extension : float
        y, distance from redirect's place at rest to the tie, less ``lead_length``. [m]
    sag : float
        z, displacement of the redirect towards piece and brake. [m]

    Returns
    -------
    RopeState
        The state after the move.

    Examples
    --------
    Without friction both legs share the stretch: 0.1 m on 10 m is 1 %.

    >>> rope = RopeOverRedirect(lead_length=2, fall_length=8, constant=1e5, exponent=1, r=1)
    >>> state = settle(rope, RopeState(), 0.1)
    >>> round(state.lead_tension, 6), round(state.fall_tension, 6), round(state.shifted, 6)
    (1000.0, 1000.0, 0.08)
    """
    shifted, run = before.shifted, before.run
    lead, fall = _strains(rope, extension, sag, shifted, run)
    share = rope.strain_share
    if fall < share * lead:
        shifted = _slid_to_lead(rope, extension, sag, run)
    elif lead < share * fall:
        shifted = _slid_to_fall(rope, extension, sag, run)
    lead, fall = _strains(rope, extension, sag, shifted, run)
    slip = rope.slip_strain
    if fall > slip:
        shifted, run = _slipped(rope, extension, sag, shifted, run)
        lead, fall = _strains(rope, extension, sag, shifted, run)
    return RopeState(shifted, run, rope.tension(lead), rope.tension(fall))


def _strains(
    rope: RopeOverRedirect, extension: float, sag: float, shifted: float, run: float
) -> tuple[float, float]:
    follow = rope.lengths_follow
    lead = (extension - sag - shifted) / (rope.lead_length + follow * shifted)
    fall = (shifted - sag - run) / (rope.fall_length - follow * (shifted - run))
    return max(lead, 0.0), max(fall, 0.0)


def _slid_to_lead(rope: RopeOverRedirect, extension: float, sag: float, run: float) -> float:
    """q at which ``fall = share * lead``."""
    share, taut, slack, follow = rope.strain_share, extension - sag, sag + run, rope.lengths_follow
    length = rope.fall_length + follow * run
    square = follow * (1 - share)
    linear = rope.lead_length - follow * slack + share * (follow * taut + length)
    constant = slack * rope.lead_length + share * taut * length
    return 2 * constant / (linear + sqrt(linear * linear + 4 * square * constant))


def _slid_to_fall(rope: RopeOverRedirect, extension: float, sag: float, run: float) -> float:
    """q at which ``lead = share * fall``; with the whole rope slack, q at which the fall leg is just straight."""
    share, taut, slack, follow = rope.strain_share, extension - sag, sag + run, rope.lengths_follow
    if taut <= slack:
        return slack
    length = rope.fall_length + follow * run
    square = follow * (1 - share)
    linear = follow * taut + length + share * (rope.lead_length - follow * slack)
    constant = taut * length + share * slack * rope.lead_length
    return 2 * constant / (linear + sqrt(linear * linear - 4 * square * constant))


def _slipped(
    rope: RopeOverRedirect, extension: float, sag: float, shifted: float, run: float
) -> tuple[float, float]:
    """q and p with the fall leg at its slip strain; rope slides on over the redirect if the lead leg asks for it."""
    slip, follow = rope.slip_strain, rope.lengths_follow

    def run_at(held: float) -> float:
        return (held - sag - slip * (rope.fall_length - follow * held)) / (1 + follow * slip)

    lead, _ = _strains(rope, extension, sag, shifted, run)
    limit = slip / rope.strain_share
    if lead > limit:
        shifted = (extension - sag - limit * rope.lead_length) / (1 + follow * limit)
    return shifted, run_at(shifted)
