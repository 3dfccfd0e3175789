"""From the figure in the catalogue to the rating of a part in its place, and to its utilisation."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from typing import Any

from recommender.explain.rigged import Rigged
from recommender.explain.steps import Step, Value, made, require_same, source_of_constant, value
from recommender.kit.fits import TableFits
from recommender.kit.result import State
from recommender.kit.setups import STATES, SetupRater, plain_part
from recommender.kit.wear import line_spots
from recommender.physics import WHOLE_BODY_PULL, simple_tackle_advantage
from recommender.ratings import (
    Factor,
    Rating,
    rate_brake,
    rate_connector,
    rate_lifter,
    rate_line,
    rate_redirect,
    rate_sling,
)
from recommender.sourced import DERIVED

SPOTS = ("straight", "over the redirect", "round the drum of the brake")
OVER = "force / rating"


def rating_steps(found: Rigged, rater: SetupRater, parts: dict[str, int], part: str) -> Iterator[Step]:
    """Rating and utilisation of a part in every state; the last step of a state is its utilisation."""
    states = STATES if found.load_case.technique == "catch" else STATES[:1]
    for number, state in enumerate(states):
        steps = _line if part == "line" else _other
        yield from steps(found, rater, parts, part, state, number)  # type: ignore[arg-type]


def _line(
    found: Rigged, rater: SetupRater, parts: dict[str, int], part: str, state: State, number: int
) -> Iterator[Step]:
    """The line at its three spots; the one that works hardest is worked out in full."""
    fits, case = found.fits, found.load_case
    item: Any = fits.items[parts["line"]]
    ends: list[tuple[float, Rating, Value, str]] = []
    for (force, bend), spot in zip(line_spots(fits, parts), SPOTS, strict=False):
        rest = {"policy": fits.policy, "wet": case.wet, "condition": item.condition}
        rating = rate_line(item.gear, case.technique, state, bend_ratio=bend, **rest)
        require_same(f"the line {spot}", rating.capacity, _line_capacity(found, rater, parts, spot, number))
        demand = found.demanded(force, number)
        ends.append((_over(demand.value, rating.capacity), rating, demand, spot))
    highest = max(ratio for ratio, *_ in ends)
    hardest = next(k for k, (ratio, *_) in enumerate(ends) if ratio == highest)
    ends.append(ends.pop(hardest))
    for number_of_spot, (ratio, rating, demand, spot) in enumerate(ends, start=1):
        if number_of_spot == len(ends):
            yield from _rating(part, state, rating, spot)
        inputs = (demand, value(f"rating, {rating.rule}", rating.capacity, "force"))
        result = value("utilisation", ratio, "share")
        yield _step(part, state, f"line {spot}", OVER, inputs, result, DERIVED)
    every = tuple(value(spot, ratio, "share") for ratio, _, _, spot in ends)
    yield _end(part, state, "largest of the spots", every, highest)


def _line_capacity(found: Rigged, rater: SetupRater, parts: dict[str, int], spot: str, state: int) -> float:
    """Capacity of the line at a spot, as the kit model has it. [N]"""
    fits, regime = found.fits, found.fits.regime[found.case]
    straight, over_redirect, over_drum = fits.bends
    if spot == SPOTS[0]:
        return float(straight[state, regime, found.line])
    table, part = (over_redirect, "redirect") if spot == SPOTS[1] else (over_drum, "brake")
    return float(table[state, regime, found.line, rater.row[parts[part]][1]])


def _other(
    found: Rigged, rater: SetupRater, parts: dict[str, int], part: str, state: State, number: int
) -> Iterator[Step]:
    """Any part but the line: what it carries over what it may carry."""
    fits = found.fits
    table, row = rater.row[parts[part]]
    capacity = float(table.capacity[number, fits.regime[found.case], row])
    rating = _rated(found, part, parts[part], state)
    require_same(f"the rating of the {part}", rating.capacity, capacity)
    yield from _rating(part, state, rating)
    force = rater.force_on(part, parts)
    demand = found.demanded(force, number)
    ratio = _over(demand.value, capacity)
    inputs: tuple[Value, ...] = (demand, value(f"rating, {rating.rule}", capacity, "force"))
    if part == "lifter" and number == 0:
        pulls = yield from _hand_pull(found, table, row, part, state)
        inputs += (value("people's share", pulls, "share"),)
        yield _end(part, state, f"max({OVER}, people's share)", inputs, max(ratio, pulls))
        return
    yield _end(part, state, OVER, inputs, ratio)


def _hand_pull(
    found: Rigged, table: TableFits, row: int, part: str, state: State
) -> Generator[Step, None, float]:
    """Pull on a tackle set over what the people on the ground can give; 0 for a machine."""
    lifter: Any = found.fits.items[table.positions[row]].gear
    pull, most = found.demand("lifter", 0), float(found.fits.tackle_pull[row])
    if lifter.kind == "tackle_set":
        advantage = float(simple_tackle_advantage(lifter.tackle_parts, lifter.sheave_efficiency))
        inputs = (
            value("advantage", advantage), value("one person", float(WHOLE_BODY_PULL), "force"),
            value("people", found.fits.crew.ground_workers),
        )  # fmt: skip
        formula = "(1 + eta + ... + eta^(parts - 1)) * pull of one * people"
        result = value("largest pull on the line", most, "force")
        yield _step(
            part,
            state,
            "what the people can pull",
            formula,
            inputs,
            result,
            source_of_constant(WHOLE_BODY_PULL),
        )
    return pull / most


def _rated(found: Rigged, part: str, position: int, state: State) -> Rating:
    case, policy = found.load_case, found.fits.policy
    item: Any = found.fits.items[position]
    if item.table == "slings":
        return rate_sling(
            item.gear, case.technique, state, policy=policy, wet=case.wet, condition=item.condition
        )
    rates: dict[str, Any] = {
        "redirects": rate_redirect, "brakes": rate_brake, "connectors": rate_connector, "lifters": rate_lifter,
    }  # fmt: skip
    rating: Rating = rates[item.table](item.gear, case.technique, state, policy=policy)
    return rating


def _rating(part: str, state: State, rating: Rating, spot: str = "") -> Iterator[Step]:
    """The steps from the catalogue's figure to the rating: each factor multiplies or divides what is left."""
    left = value(rating.basis_name, rating.basis, "force")
    where = f", {spot}" if spot else ""
    yield _step(part, state, f"figure of the catalogue{where}", "as listed", (), left, "the plan's catalogue")
    times, divisor = 1.0, 1.0
    for factor in rating.factors:
        times, divisor = (times, factor.value) if factor.divides else (times * factor.value, divisor)
        result = value(f"left after {factor.name}", rating.basis * times / divisor, "force")
        yield _factor(part, state, factor, left, result)
        left = result
    require_same(f"the rating of the {part}", left.value, rating.capacity)


def _factor(part: str, state: State, factor: Factor, before: Value, result: Value) -> Step:
    sign = "/" if factor.divides else "*"
    inputs = (before, value(factor.name, factor.value))
    return _step(
        part, state, factor.name, f"{before.name} {sign} {factor.name}", inputs, result, factor.source
    )


def _end(part: str, state: State, formula: str, inputs: tuple[Value, ...], ratio: float) -> Step:
    what = f"utilisation of the {plain_part(part).replace('_', ' ')}"
    return _step(part, state, what, formula, inputs, value("utilisation", ratio, "share"), DERIVED)


def _step(
    part: str, state: State, what: str, formula: str, inputs: tuple[Value, ...], result: Value, source: str
) -> Step:
    return made("rating", what, formula, inputs, result, source, part=part, state=state)


def _over(demand: float, capacity: float) -> float:
    if demand == 0.0:
        return 0.0
    return demand / capacity if capacity > 0 else float("inf")
