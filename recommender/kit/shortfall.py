"""Which part falls short where nothing in the catalogue carries a load case, and by how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from recommender.kit.fits import Fits, TableFits
from recommender.kit.holding import is_run, people_there, slippery, tail_loads
from recommender.kit.problem import Ints
from recommender.kit.way_builder import FULL, WayBuilder, friction_name
from recommender.physics import wraps_needed
from recommender.sourced import COMMON_PRACTICE, Sourced

Floats = Any
MOST_PULLING = Sourced(4, "-", COMMON_PRACTICE, note="people who get a hand on one tail")

FORCE_OF = {
    "line": "line",
    "redirect": "reaction",
    "redirect_sling": "reaction",
    "brake": "brake",
    "brake_sling": "brake_anchor",
    "lifter": "lifter",
    "lifter_sling": "lifter",
}


@dataclass(frozen=True)
class Shortfall:
    """The part that falls short in the best setup there is.

    ``ratio`` is demand over rating, infinite where nothing fits at all; ``demand`` in N. ``people`` is how many would
    have to pull or to hold, where a lifter or a brake is strong enough and the people on the ground are not; 0
    elsewhere, and where more would be needed than get a hand on a tail. ``wraps`` are those with which the people on
    the ground would hold the line; 0 unless that is what falls short.
    """

    part: str
    ratio: float
    demand: float
    people: int = 0
    wraps: float = 0.0


def shortfall(fits: Fits, case: int) -> Shortfall:
    """The worst part of the best setup for a load case: over all lines and kinds of redirect.

    What gear carries comes first; the hold of the people on the ground only where gear carries.
    """
    if not fits.crew.holds_every_piece:
        return _of_gear(fits, case)
    gear = fits.with_crew(holds_every_piece=False)
    short = _of_gear(gear, case)
    return short if short.ratio > FULL else _of_hold(fits, gear, case, short.demand)


def _of_hold(fits: Fits, gear: Fits, case: int, demand: float) -> Shortfall:
    """What the people on the ground lack on the best brake that carries; ``gear`` is ``fits`` without their hold."""
    builder = _builder(gear, case)
    carries = np.logical_and.reduce([ratio <= FULL for ratio in part_ratios(builder).values()])
    load_case, low = fits.cases[case], slippery(fits.cases[case].wet)
    loads = [
        tail_loads(fits, case, int(builder.kinds[kind]), int(friction))[is_run(load_case)]
        for kind, friction in np.argwhere(carries)
    ]
    hand = fits.policy.hand.hold * people_there(fits.crew)
    wraps = min((float(wraps_needed(load, hand, low)) for load in loads), default=0.0)
    people = _enough_people(fits, lambda more: len(_builder(more, case).ways()) > 0)
    return Shortfall("brake", np.inf, demand, people, wraps)


def _of_gear(fits: Fits, case: int) -> Shortfall:
    builder = _builder(fits, case)
    ratios = part_ratios(builder)
    if not ratios or not ratios["line"].size:
        return Shortfall("line", float("inf"), 0.0)
    together = np.stack([np.broadcast_to(ratio, ratios["line"].shape) for ratio in ratios.values()])
    finite = np.where(np.isfinite(together), together, 1e6)
    best = int(np.argmin(finite.sum(axis=0) + finite.max(axis=0) * 1e3))
    kind, friction = (int(place) for place in np.unravel_index(best, finite.shape[1:]))
    part = list(ratios)[int(np.argmax(finite[:, kind, friction]))]
    ratio = float(together[list(ratios).index(part), kind, friction])
    line = int(builder.kinds[kind])
    force = FORCE_OF[part]
    demand = float(getattr(fits.demands, force)[:, case, line, friction].max())
    people = 0
    if part == "lifter":
        people = _enough_people(
            fits, lambda more: _lifter_ratios(_builder(more, case))[kind, friction] <= FULL
        )
    return Shortfall(part, ratio, demand, people)


def part_ratios(builder: WayBuilder) -> dict[str, Floats]:
    """Utilisation of the best item for each part of the builder's only load case: (lines, frictions) each."""
    fits = builder.fits
    long_enough = builder.line_words()[0].any(axis=1)
    line = np.where(long_enough[:, None], builder.line_ratio()[0], np.inf)
    frictions = range(len(fits.frictions))
    redirects, owned_slings = _redirect_ratios(builder, frictions)
    ratios = {"line": line, "redirect": redirects}
    slings = _best(builder, fits.slings, "reaction", "stem_at_redirect")
    ratios["redirect_sling"] = np.minimum(slings, owned_slings)
    lifting = bool(builder.lifting[0])
    brakes = _brake_ratios(builder)
    if lifting:
        ratios["lifter"] = _lifter_ratios(builder)
    ratios["brake"], ratios["brake_sling"] = brakes
    return ratios


def drops_of_strong_lines(fits: Fits, case: int) -> list[float]:
    """How low the piece comes with each line that is long and strong enough but refused by the clearance, rising. [m]

    A line that stretches far keeps the force low and lets the piece come lower; one for each kind of redirect.
    """
    builder = _builder(fits, case)
    if not len(builder.kinds):
        return []
    strong = builder.strength_ratio()[0] <= FULL
    strong &= builder.line_words()[0].any(axis=1)[:, None]
    drop = builder.flat("drop")[0]
    lower: list[float] = np.unique(drop[strong & (drop > fits.cases[case].clearance)]).tolist()
    return lower


def _enough_people(fits: Fits, will_do: Callable[[Fits], bool]) -> int:
    """With how many on the ground something will do; 0 if that is not what it takes."""
    for people in range(fits.crew.ground_workers + 1, int(MOST_PULLING.value) + 1):
        if will_do(fits.with_crew(ground_workers=people)):
            return people
    return 0


def _redirect_ratios(builder: WayBuilder, frictions: range) -> tuple[Floats, Floats]:
    """Best redirect for each line and friction; and 0 where one with its own sling carries, else infinite."""
    fits = builder.fits
    shape = (len(builder.kinds), len(frictions))
    best, own = np.full(shape, np.inf), np.full(shape, np.inf)
    rows = np.arange(len(fits.redirects.positions))
    gear = fits.gear(fits.redirects, rows)
    for friction in frictions:
        name = fits.frictions[friction].name
        chosen: Ints = np.array(
            [k for k, item in enumerate(gear) if friction_name(item) == name], dtype=np.int64
        )
        ratio = builder.redirect_ratio(chosen, [gear[k] for k in chosen], friction)[0]
        best[:, friction] = ratio.min(axis=-1, initial=np.inf)
        with_own = np.array([gear[k].own_sling for k in chosen], dtype=bool)
        carries = (ratio[:, with_own] <= FULL).any(axis=-1)
        own[carries, friction] = 0.0
    return best, own


def _brake_ratios(builder: WayBuilder) -> tuple[Floats, Floats]:
    """Best brake for each line and friction, and the best sling for it (0 where a stem-mounted one carries)."""
    fits = builder.fits
    rows = np.arange(len(fits.brakes.positions))
    gear = fits.gear(fits.brakes, rows)
    ratio = builder.brake_ratio(rows, gear)[0]
    own = np.array([item.own_sling for item in gear], dtype=bool)
    slings = _best(builder, fits.slings, "brake_anchor", "stem_at_brake")
    carried = (ratio[..., own] <= FULL).any(axis=-1)
    return ratio.min(axis=-1, initial=np.inf), np.where(carried, 0.0, slings)


def _lifter_ratios(builder: WayBuilder) -> Floats:
    """Best lifter for each line and friction, with or without a brake of its own."""
    fits = builder.fits
    rows = np.arange(len(fits.lifters.positions))
    gear = fits.gear(fits.lifters, rows)
    ratios = []
    for own in (False, True):
        chosen = np.array([k for k, item in enumerate(gear) if item.own_brake == own], dtype=np.int64)
        ratio = builder.lifter_ratio(chosen, [gear[k] for k in chosen], own)[0]
        ratios.append(ratio.min(axis=-1, initial=np.inf))
    return np.minimum(*ratios)


def _best(builder: WayBuilder, table: TableFits, force: str, where: str) -> Floats:
    rows = np.arange(len(table.positions))
    ratio = builder.held_ratio(table, rows, builder.fits.gear(table, rows), force, where)
    return ratio[0].min(axis=-1, initial=np.inf)


def _builder(fits: Fits, case: int) -> WayBuilder:
    """Everything there is, for one load case."""
    return WayBuilder(fits, np.array([case]), np.ones(len(fits.items), dtype=bool))
