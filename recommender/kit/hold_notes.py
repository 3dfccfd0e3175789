"""Cautions on brakes of a kit that one ground worker can't hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from catalog_schema.units import show
from recommender.kit.check import OWNED
from recommender.kit.result import Assignment, Holding
from recommender.work.plan import Plan

ROUNDING = 1e-9
HEAVY_REMEDY = (
    "Take a brake for more wraps (the crew's setting 'Holds every piece' has one chosen), have more people on the "
    "tail, or cut smaller."
)


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
    slips = [
        (one.job, hold.wraps_peak)
        for one, hold in used
        if hold.wraps_peak > max(most, hold.wraps_one + ROUNDING)
    ]
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
