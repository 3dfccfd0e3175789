"""One season drawn around a plan: job types with their sizes and pieces, and the prices of all items."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import ValidationError

from recommender.kit.problem import Ints
from recommender.kit.stock import StockItem
from recommender.sweep.settings import Counting, SweepSettings
from recommender.work.plan import Plan
from recommender.work.tables import JobType

Floats = NDArray[np.float64]

ACROSS = ("diameter", "small_diameter", "diameter_high", "stem_at_redirect", "stem_at_brake")
ALONG = ("length", "length_high")
HEAVY = ("mass", "mass_high")

MOST_REDRAWS = 10_000
"""Draws of one job type after which its distribution is taken to miss the limits of the table altogether."""


class Aspect(IntEnum):
    """What is drawn; each has random numbers of its own, so that the spread of one leaves the others as they are."""

    SIZES = 0
    SHARES = 1
    PIECES = 2
    PRICES = 3


@dataclass(frozen=True)
class Season:
    """A drawn season.

    Attributes
    ----------
    number : int
    jobs : tuple of JobType
        Those with any piece this season, each with its drawn sizes and its pieces as ``pieces_per_season``.
    price : array of int, shape (items,)
        Of the stock. [cent]
    """

    number: int
    jobs: tuple[JobType, ...]
    price: Ints


def draw_season(plan: Plan, items: Sequence[StockItem], settings: SweepSettings, number: int) -> Season:
    """The season of a number.

    Parameters
    ----------
    plan : Plan
    items : sequence of StockItem
        The stock of the plan.
    settings : SweepSettings
    number : int
        From 1; may lie above ``settings.draws``.

    Returns
    -------
    Season

    Raises
    ------
    ValueError
        If the number is below 1, or a job type can't be drawn within the limits of its table.
    """
    if number < 1:
        raise ValueError(f"number must be at least 1, not {number}")
    seed = settings.seed
    sizes = stream(seed, number, Aspect.SIZES)
    jobs = [drawn_sizes(job, settings.size_percent, sizes) for job in plan.jobs]
    means = drawn_means(
        plan.jobs,
        plan.settings.pieces_per_season,
        settings.share_percent,
        stream(seed, number, Aspect.SHARES),
    )
    pieces = drawn_pieces(means, settings.pieces, stream(seed, number, Aspect.PIECES))
    return Season(
        number,
        tuple(
            job.model_copy(update={"pieces_per_season": count})
            for job, count in zip(jobs, pieces.tolist(), strict=True)
            if count > 0
        ),
        drawn_prices(items, settings.price_percent, stream(seed, number, Aspect.PRICES)),
    )


def season_plan(plan: Plan, season: Season) -> Plan:
    """The plan with the work of a drawn season instead of its own; prices are left as they are."""
    return replace(plan, jobs=season.jobs, seasons=(), season_work=())


def stream(seed: int, number: int, aspect: Aspect) -> np.random.Generator:
    """Random numbers for one aspect of one draw: the seed's child of that number, and its child of that aspect.

    >>> child = np.random.SeedSequence(7).spawn(4)[3].spawn(2)[Aspect.SHARES]
    >>> bool(stream(7, 3, Aspect.SHARES).random() == np.random.default_rng(child).random())
    True
    """
    return np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(number, int(aspect))))


def factors(percent: float, rng: np.random.Generator, count: int) -> Floats:
    """Log-normal factors with median 1; two of three lie within ``percent`` of it. [-]

    >>> factors(0.0, np.random.default_rng(1), 2)
    array([1., 1.])
    """
    return np.asarray(np.exp(np.log1p(percent / 100) * rng.standard_normal(count)))


def drawn_sizes(job: JobType, percent: float, rng: np.random.Generator) -> JobType:
    """A job type with other sizes; drawn again while it leaves the limits of the table.

    Raises
    ------
    ValueError
        If no draw comes to lie within them.
    """
    if not percent:
        return job
    for _ in range(MOST_REDRAWS):
        across, along = factors(percent, rng, 2).tolist()
        try:
            return resized(job, across, along)
        except ValidationError:
            continue
    raise ValueError(
        f"size_percent = {percent:g}: no size of job type {job.job!r} lies within the limits of the table"
    )


def resized(job: JobType, across: float, along: float) -> JobType:
    """A job type with its diameters and its lengths times a factor each; a stated mass goes with the volume.

    Raises
    ------
    ValidationError
        If the row leaves the limits of its table.
    """
    row: dict[str, Any] = job.model_dump()
    for names, factor in ((ACROSS, across), (ALONG, along), (HEAVY, across**2 * along)):
        row |= {name: row[name] * factor for name in names if row[name] is not None}
    return JobType.model_validate(row)


def drawn_means(jobs: Sequence[JobType], pieces: float, percent: float, rng: np.random.Generator) -> Floats:
    """Mean pieces of each job type, shape (jobs,): shares times factors, brought back to their old sum."""
    factor = factors(percent, rng, len(jobs))
    stated = np.array([job.pieces_per_season is not None for job in jobs], dtype=bool)
    share = np.array([job.share for job in jobs])
    own = np.array([job.pieces_per_season or 0.0 for job in jobs])
    weight = np.where(stated, 0.0, share * factor)
    whole = pieces * float(share[~stated].sum())
    shared = whole * weight / weight.sum() if weight.sum() else weight
    return np.asarray(np.where(stated, own * factor, shared))


def drawn_pieces(means: Floats, counting: Counting, rng: np.random.Generator) -> Floats:
    """Pieces of each job type in the season, shape (jobs,).

    >>> float(drawn_pieces(np.array([30.0, 70.0]), "multinomial", np.random.default_rng(1)).sum())
    100.0
    """
    if counting == "poisson":
        return rng.poisson(means).astype(float)
    if counting == "multinomial" and means.sum():
        return rng.multinomial(round(float(means.sum())), means / means.sum()).astype(float)
    return means


def drawn_prices(items: Sequence[StockItem], percent: float, rng: np.random.Generator) -> Ints:
    """Prices of the stock, shape (items,); one factor for every row of the catalogue. [cent]"""
    rows = list(dict.fromkeys(item.gear.id for item in items))
    factor = dict(zip(rows, factors(percent, rng, len(rows)).tolist(), strict=True))
    return np.array([round(item.price * factor[item.gear.id]) for item in items], dtype=np.int64)
