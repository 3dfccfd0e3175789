"""Forces of a caught piece, with the line running as planned and locked, and how low it comes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from recommender.explain.force_steps import ENERGY, Inputs, both_ends, force_step, lengths, spring
from recommender.explain.rigged import ENDS, Rigged
from recommender.explain.steps import Step, constant, source_of_constant, source_text, value, values
from recommender.kit.result import State
from recommender.physics import KNOT_AND_SLING_CREEP, RUNNING_FLOOR
from recommender.ratings.policy import source_of
from recommender.sourced import DERIVED

MANNER: dict[State, str] = {"working": "running", "jam": "locked"}
LOCKED = "W (h + x) = T x / (1 + n), x = L (T / C)^(1/n)"
RUNNING = "W (h + x + d) = T x / (1 + n) + T d"


def catch_steps(found: Rigged) -> Iterator[Step]:
    """Forces of both states; for a redirect that moves down with the cuts, from its lowest and its highest place."""
    case = found.load_case
    places = {"lowest": ("fall leg", case.fall)}
    if "highest low length" in found.kept:
        places["highest"] = ("fall leg, redirect at its highest", case.longest_fall)
    for place, (name, fall) in places.items():
        yield from lengths(found, f"{place} {{end}} length", name, fall)
    for state in MANNER:
        for end in ENDS:
            yield from (_peak(found, state, place, end) for place in places)
            yield _counts(found, state, tuple(places), end)
        yield from both_ends(found, state)
    yield from _clearance(found)


def _peak(found: Rigged, state: State, place: str, end: str) -> Step:
    case = found.load_case
    fall = (value("W", case.weight, "force"), value("h", case.drop, "length"))
    inputs: Inputs = (*fall, *spring(found, f"{place} {end} length"))
    result = value("T", found.step(f"{place} {end} {MANNER[state]}"), "force")
    if state == "working" and case.run:
        inputs += (value("d, run", case.run, "length"),)
        return force_step(f"line let run as planned, {end} r", RUNNING, inputs, result, ENERGY, state)
    source = f"{ENERGY}; n = 1: {source_text('goldstone_impact')}"
    return force_step(f"line locked at the brake, {end} r", LOCKED, inputs, result, source, state)


def _counts(found: Rigged, state: State, places: Sequence[str], end: str) -> Step:
    """The tension that counts: the policy's factor on the peak, and the floor of a running brake."""
    policy = found.fits.policy
    names = {place: "T" if len(places) == 1 else f"T, redirect at its {place}" for place in places}
    peaks = {name: found.step(f"{place} {end} {MANNER[state]}") for place, name in names.items()}
    inputs = (*values("force", peaks), value("factor", policy.catch_peak.factor))
    formula, source = "factor * T", source_of(policy, "catch_peak", "factor")
    if state == "working" and found.load_case.run:
        formula = f"max(factor * T, {RUNNING_FLOOR.value:g} W)"
        source = f"{source}; floor: {source_of_constant(RUNNING_FLOOR)}"
    result = value("T", found.step(f"{state} {end} line"), "force")
    return force_step(f"tension that counts, {end} r", formula, inputs, result, source, state)


def _clearance(found: Rigged) -> Iterator[Step]:
    case = found.load_case
    inputs: Inputs = (
        *values("length", {"h": case.drop, "run": case.run, "L, high r, longest": found.step("soft length")}),
        value("T, soft rope", found.step("soft peak"), "force"),
        constant("creep", KNOT_AND_SLING_CREEP, "length"),
    )
    fallen = value("D", found.step("soft fallen"), "length")
    formula = "D = h + x + run + creep, x = L (T / C)^(1/n)"
    source = f"{DERIVED}; creep: {source_of_constant(KNOT_AND_SLING_CREEP)}"
    yield force_step("drop of the centre of mass", formula, inputs, fallen, source)
    inputs = (fallen, *values("length", {"a_c": case.centre_above_cut, "length": case.piece_length}))
    if np.isfinite(case.clearance):
        inputs += (value("free under the cut", case.clearance, "length"),)
    result = value("lowest wood below the cut", found.length("drop"), "length")
    formula = "D - a_c + max(a_c, length - a_c)"
    yield force_step("how low the piece comes", formula, inputs, result, DERIVED)
