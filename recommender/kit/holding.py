"""Who holds the line on the brake: wraps and people that are needed against wraps that fit and people that are there.

A brake that needs more is reported and not refused: a kit is gear, and a hold is a person's choice and no dependable
limit of force, which is why a catch is judged with the line locked as well. To be silent about it would leave a crew
with a line that runs away. What hands must hold is the hanging piece; in a catch with a stated run the hold that this
run needs: with less the line runs further, and the piece comes lower.

Low friction is the safe side for holding: half of the usual figure on wet gear. Wraps that are needed with high
friction say from how few on the line can be held at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, exp, pi

from catalog_schema.gear import Brake
from catalog_schema.units import show
from recommender.kit.check import OWNED
from recommender.kit.fits import Fits
from recommender.kit.result import Assignment, Holding
from recommender.kit.setups import Setup
from recommender.loads.demands import LOW_BOLLARD_FRICTION
from recommender.physics import wraps_needed
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.work.cases import LoadCase
from recommender.work.plan import Plan

DRY_BOLLARD_FRICTION = Sourced(
    0.15, "-", COMMON_PRACTICE, note="rope on a metal bollard, for holding; aluminium measured 0.14 to 0.21"
)
HEAVY_REMEDY = "Take a brake for more wraps, have more people on the tail, or cut smaller."
HIGH_BOLLARD_FRICTION = Sourced(0.25, "-", "delaney_2022", "p. 88", "steel bars 0.19 to 0.25")


def holding(fits: Fits, setup: Setup) -> Holding | None:
    """What one ground worker needs on the brake of a setup; None without a brake."""
    if "brake" not in setup.parts:
        return None
    brake: Brake = fits.items[setup.parts["brake"]].gear  # type: ignore[assignment]
    return held_by_one(fits, setup.case, setup.line, setup.friction, brake.wraps_max)


def held_by_one(fits: Fits, case: int, line: int, friction: int, wraps_max: float) -> Holding:
    """What people need on a brake that takes ``wraps_max`` wraps, for a line over a kind of redirect."""
    hand, load_case = fits.policy.hand.hold, fits.cases[case]
    low = slippery(load_case.wet)
    hanging, peak = tail_loads(fits, case, line, friction)
    held = peak if is_run(load_case) else hanging
    return Holding(
        hanging_n=hanging,
        wraps_hanging=float(wraps_needed(hanging, hand, low)),
        wraps_peak=float(wraps_needed(peak, hand, low)),
        wraps_peak_dry=float(wraps_needed(peak, hand, float(HIGH_BOLLARD_FRICTION))),
        wraps_max=wraps_max,
        wraps_one=float(wraps_needed(held, hand, low)),
        people=people_for(held / (hand * exp(2 * pi * low * wraps_max))),
        there=max(1, fits.ground_workers),
    )


def is_run(case: LoadCase) -> bool:
    """Whether the hold of a catch decides how far the line runs; otherwise hands hold what hangs."""
    return case.technique == "catch" and case.run > 0


def people_for(share: float) -> int:
    """How many people hold a tension, by what one of them would have to do as a share of what one can; 1 at least."""
    return max(1, ceil(share - 1e-9))


def tail_loads(fits: Fits, case: int, line: int, friction: int) -> tuple[float, float]:
    """Tension at the brake while the piece hangs still, with the least friction at the redirect, and the peak. [N]"""
    hanging = fits.frictions[friction].r_high * fits.cases[case].weight
    return hanging, float(fits.demands.brake[0, case, line, friction])


def slippery(wet: bool) -> float:
    """The low friction on a brake that holding is reckoned with."""
    return float(LOW_BOLLARD_FRICTION if wet else DRY_BOLLARD_FRICTION)


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
    hand = show(plan.policy.hand.hold, "force", units, 1 if units == "us" else 2, rounding="down")
    if plan.settings.line.wraps > most:
        yield f"Brake {brake}: the plan reckons with {plan.settings.line.wraps:g} wraps, {most:g} fit."
    for verdict, said, remedy in (
        ("too heavy for the crew", f"too heavy for the {used[0][1].there} on the ground", HEAVY_REMEDY),
        ("held by several", "more than one person on the tail", ""),
    ):
        found = [(one.job, hold) for one, hold in used if hold.verdict == verdict]
        if found:
            told = ", ".join(
                f"{job} ({hold.people} people, or {_up(hold.wraps_one)} wraps)" for job, hold in found
            )
            held = f"{most:g} wraps fit; slippery line, {hand} to a person"
            yield f"Brake {brake} ({held}): {said}: {told}. {remedy}".strip()
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
