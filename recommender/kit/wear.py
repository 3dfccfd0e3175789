"""How long the ropes and slings of a kit last, by the planning rule of the policy.

Every piece that a job type takes down in a season loads each of its textiles once, with the force of the largest piece
in the working state. A jam is no part of the count: a line that has been near its strength is retired for that.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from recommender.kit.fits import Fits
from recommender.kit.result import TextileLife
from recommender.kit.setups import Setup, SetupRater, plain_part
from recommender.kit.stock import TEXTILE_TABLES
from recommender.ratings import rate_line, rate_sling, seasons_of_life


def textile_lives(fits: Fits, setups: Iterable[Setup], crews: int = 1) -> tuple[TextileLife, ...]:
    """The life of every rope and sling that is used in some setups, in the order of the stock.

    Parameters
    ----------
    fits : Fits
    setups : iterable of Setup
        One for each job type.
    crews : int
        Crews that share the work; in each, one piece of an item is taken to do all that the item does.

    Returns
    -------
    tuple of TextileLife
    """
    rater = SetupRater(fits)
    loads: dict[int, list[tuple[float, float]]] = {}
    for setup in setups:
        for part, item in setup.parts.items():
            if fits.items[item].table in TEXTILE_TABLES:
                share = load_share(rater, setup, part)
                loads.setdefault(item, []).append((fits.cases[setup.case].pieces / crews, share))
    return tuple(_life(fits, item, loads[item]) for item in sorted(loads))


def load_share(rater: SetupRater, setup: Setup, part: str) -> float:
    """Load of the working state on a rope or sling over the strength that is left at its weakest spot. [-]"""
    if plain_part(part) == "line":
        return max(
            _demand(rater, setup, force) / _strength(rater, setup, part, bend)
            for force, bend in line_spots(rater.fits, setup.parts)
        )
    return _demand(rater, setup, rater.force_on(part, setup.parts)) / _strength(rater, setup, part, None)


def line_spots(fits: Fits, parts: dict[str, int]) -> list[tuple[str, float | None]]:
    """Where the line is looked at: force there, and the diameter that it bends round over its own."""
    items: list[Any] = fits.items  # type: ignore[assignment]
    diameter = items[parts["line"]].gear.diameter
    spots: list[tuple[str, float | None]] = [
        ("line", None),
        ("line", items[parts["redirect"]].gear.sheave_diameter / diameter),
    ]
    if "brake" in parts:
        spots.append(("brake", items[parts["brake"]].gear.drum_diameter / diameter))
    return spots


def _demand(rater: SetupRater, setup: Setup, force: str) -> float:
    return rater.demand(force, setup.case, setup.line, setup.friction)[0]


def _strength(rater: SetupRater, setup: Setup, part: str, bend: float | None) -> float:
    """Strength that is left, before any design factor: what survives a jam, times the survival factor. [N]"""
    fits, case = rater.fits, rater.fits.cases[setup.case]
    item: Any = fits.items[setup.parts[part]]
    rest = {"policy": fits.policy, "wet": case.wet, "condition": item.condition}
    if plain_part(part) == "line":
        rating = rate_line(item.gear, case.technique, "jam", bend_ratio=bend, **rest)
    else:
        rating = rate_sling(item.gear, case.technique, "jam", **rest)
    return rating.capacity * fits.policy.survival.factor


def _life(fits: Fits, position: int, loads: list[tuple[float, float]]) -> TextileLife:
    item = fits.items[position]
    seasons = seasons_of_life(loads, fits.policy, item.age_years)
    by_age = seasons_of_life((), fits.policy, item.age_years)
    return TextileLife(
        item=item.id,
        loads_per_season=sum(pieces for pieces, _ in loads),
        highest_share=max(share for _, share in loads),
        seasons=seasons,
        ends_by="loads" if seasons < by_age else "age",
    )
