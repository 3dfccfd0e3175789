"""Whether one ground worker holds the line on the brake: wraps that are needed against wraps that fit.

A brake that needs more is reported and not refused. A person's hand is not the only thing that holds a line: a second
person pulls on the tail, the tail is tied off on the brake, and then the brake's rating and that of its sling count,
which are checked anyway. To refuse it would drop brakes for what a hitch puts right; to be silent about it would leave
a ground worker with a line that runs away. In a catch the hold decides how far the line runs, hence how low the piece
comes: a hold is a person's choice and no dependable limit of force, which is why the jam is checked as well.

Low friction is the safe side for holding: half of the usual figure on wet gear. Wraps that are needed with high
friction say from how few on the line can be held at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, exp, log

from catalog_schema.gear import Brake
from catalog_schema.units import show
from recommender.kit.check import OWNED
from recommender.kit.fits import Fits
from recommender.kit.result import Assignment, Holding
from recommender.kit.setups import Setup
from recommender.loads.demands import LOW_BOLLARD_FRICTION
from recommender.physics import wraps_needed
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.plan import Plan

DRY_BOLLARD_FRICTION = Sourced(
    0.15, "-", COMMON_PRACTICE, note="rope on a metal bollard, for holding; aluminium measured 0.14 to 0.21"
)
HIGH_BOLLARD_FRICTION = Sourced(0.25, "-", "delaney_2022", "p. 88", "steel bars 0.19 to 0.25")


def holding(fits: Fits, setup: Setup) -> Holding | None:
    """What one ground worker needs on the brake of a setup; None without a brake."""
    if "brake" not in setup.parts:
        return None
    brake: Brake = fits.items[setup.parts["brake"]].gear  # type: ignore[assignment]
    return held_by_one(fits, setup.case, setup.line, setup.friction, brake.wraps_max)


def held_by_one(fits: Fits, case: int, line: int, friction: int, wraps_max: float) -> Holding:
    """What one ground worker needs on a brake that takes ``wraps_max`` wraps, for a line over a kind of redirect."""
    hand, low = fits.policy.hand.hold, slippery(fits.cases[case].wet)
    hanging, peak = tail_loads(fits, case, line, friction)
    return Holding(
        hanging_n=hanging,
        wraps_hanging=float(wraps_needed(hanging, hand, low)),
        wraps_peak=float(wraps_needed(peak, hand, low)),
        wraps_peak_dry=float(wraps_needed(peak, hand, float(HIGH_BOLLARD_FRICTION))),
        wraps_max=wraps_max,
    )


def tail_loads(fits: Fits, case: int, line: int, friction: int) -> tuple[float, float]:
    """Tension at the brake while the piece hangs still, with the least friction at the redirect, and the peak. [N]"""
    hanging = fits.frictions[friction].r_high * fits.cases[case].weight
    return hanging, float(fits.demands.brake[0, case, line, friction])


def slippery(wet: bool) -> float:
    """The low friction on a brake that holding is reckoned with."""
    return float(LOW_BOLLARD_FRICTION if wet else DRY_BOLLARD_FRICTION)


def people_hanging(hold: Holding, hand: float) -> int:
    """How many people hold the piece while it hangs, each with so much, on all wraps that fit and slippery line.

    A wrap divides the tension by the same factor each time, which follows from the wraps that one person needs.

    Parameters
    ----------
    hold : Holding
    hand : float
        Hold of one person, > 0. [N]
    """
    if hold.wraps_hanging <= hold.wraps_max:
        return 1
    by_wrap = log(hold.hanging_n / hand) / hold.wraps_hanging
    return ceil(exp(by_wrap * (hold.wraps_hanging - hold.wraps_max)) - 1e-9)


def holding_notes(plan: Plan, assignments: Iterable[Assignment]) -> tuple[str, ...]:
    """Cautions on brakes that one ground worker can't hold, one for each brake and kind of trouble."""
    by_brake: dict[str, list[tuple[Assignment, Holding]]] = {}
    for one in assignments:
        if one.holding is not None:
            by_brake.setdefault(one.parts["brake"], []).append((one, one.holding))
    return tuple(note for brake, used in by_brake.items() for note in _notes(plan, _named(brake), used))


def _named(item: str) -> str:
    """An item by its id in the catalogue, with a word where it is owned."""
    plain = item.removeprefix(OWNED)
    return item if plain == item else f"{plain.partition('#')[0]} (owned)"


def _notes(plan: Plan, brake: str, used: Sequence[tuple[Assignment, Holding]]) -> Iterator[str]:
    most = used[0][1].wraps_max
    units = plan.settings.units
    hand = show(plan.policy.hand.hold, "force", units, 0 if units == "us" else 2, rounding="down")
    if plan.settings.line.wraps > most:
        yield f"Brake {brake}: the plan reckons with {plan.settings.line.wraps:g} wraps, {most:g} fit."
    slack = [(one.job, hold) for one, hold in used if hold.verdict == "not held by one"]
    if slack:
        asked = [
            (job, hold.wraps_hanging, people_hanging(hold, plan.policy.hand.hold)) for job, hold in slack
        ]
        there = plan.settings.crew.ground_workers
        short_of = f"; a crew has {there} on the ground" if max(most for _, _, most in asked) > there else ""
        told = ", ".join(
            f"{job} ({_up(wraps)} wraps needed, or {people} people on the tail)"
            for job, wraps, people in asked
        )
        yield (
            f"Brake {brake}: its {most:g} wraps leave more than {hand} to the hand of one ground worker while the "
            f"piece hangs, on slippery line: {told}. Tie the line off, or have so many people on it{short_of}."
        )
    slips = [(one.job, hold.wraps_peak) for one, hold in used if hold.verdict == "slips at the peak"]
    if slips:
        yield (
            f"Brake {brake}: with its {most:g} wraps slippery line may run on through one ground worker's hands at the "
            f"peak: {_listed(slips)}."
        )
    short = [
        (one.job, hold.wraps_peak_dry)
        for one, hold in used
        if one.technique == "catch" and hold.wraps_peak_dry > most
    ]
    if short:
        yield (
            f"Brake {brake}: even on rough line one ground worker can't give the hold that a catch needs, so the line "
            f"runs further than stated and the piece comes lower: {_listed(short)}."
        )


def _listed(wraps: Sequence[tuple[str, float]]) -> str:
    """Job types with the wraps that each would need, rounded up."""
    return ", ".join(f"{job} ({_up(count)} wraps needed)" for job, count in wraps)


def _up(wraps: float) -> str:
    return f"{-(-10 * wraps // 1) / 10:.1f}"
