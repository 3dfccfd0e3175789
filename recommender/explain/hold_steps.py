"""What one ground worker needs on the brake, step by step."""

from __future__ import annotations

from collections.abc import Iterator

from recommender.explain.force_steps import force_step
from recommender.explain.rigged import Rigged
from recommender.explain.steps import Step, constant, require_same, source_of_constant, value
from recommender.kit.holding import DRY_BOLLARD_FRICTION, HIGH_BOLLARD_FRICTION
from recommender.kit.result import Holding
from recommender.loads.demands import LOW_BOLLARD_FRICTION
from recommender.physics import wraps_needed
from recommender.ratings.policy import source_of
from recommender.sourced import DERIVED

WRAPS = "turns = ln(max(T / hand, 1)) / (2 pi * friction)"


def hold_steps(found: Rigged, hold: Holding | None) -> Iterator[Step]:
    """Tension of the hanging piece at the brake, and the wraps that leave no more than one person's hold.

    Parameters
    ----------
    found : Rigged
    hold : Holding or None
        As the kit reports it; no steps without a brake.
    """
    if hold is None:
        return
    case, high = found.load_case, found.friction_class.r_high
    inputs = (value("W", case.weight, "force"), value("r high", high))
    hanging = value(
        "T, hanging", require_same("the hanging piece", high * case.weight, hold.hanging_n), "force"
    )
    what = "tension at the brake while the piece hangs still"
    yield force_step(what, "T = r high * W", inputs, hanging, f"{DERIVED}; r: {found.friction_source}")
    hand = value("hand", found.fits.policy.hand.hold, "force")
    slippery = LOW_BOLLARD_FRICTION if case.wet else DRY_BOLLARD_FRICTION
    peak = found.demanded("brake", 0)
    moment = "for the hold that the planned run needs" if case.run else "at the peak"
    for name, tension, friction, told in (
        ("while the piece hangs, slippery line", hanging, slippery, hold.wraps_hanging),
        (f"{moment}, slippery line", peak, slippery, hold.wraps_peak),
        (f"{moment}, rough line", peak, HIGH_BOLLARD_FRICTION, hold.wraps_peak_dry),
    ):
        turns = float(wraps_needed(tension.value, hand.value, float(friction)))
        result = value("wraps", require_same("the wraps", turns, told))
        source = f"{source_of_constant(friction)}; hand: {source_of(found.fits.policy, 'hand', 'hold')}"
        shown = (tension, hand, constant("friction", friction), value("wraps that fit", hold.wraps_max))
        yield force_step(f"wraps for one ground worker, {name}", WRAPS, shown, result, source)
