"""The typed result of a sweep, and how it is worked out from the draws."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from math import ceil, floor, log10, sqrt
from statistics import NormalDist
from typing import Literal

import numpy as np

from recommender.kit.result import CAUTIONS, Typed
from recommender.kit.stock import CENTS, StockItem
from recommender.sweep.kits import JudgedKit
from recommender.sweep.outcomes import DrawOutcome, SeasonJudge
from recommender.sweep.settings import SweepSettings
from recommender.work.tables import Technique

SHARES = (0.05, 0.25, 0.5, 0.75, 0.9, 0.95)
"""Shares of the draws at which the cost is told."""

CONFIDENCE = 0.95
MOST_BINS = 12

NOTES = (
    "Drawn seasons are no forecast: they say how a kit stands up if sizes, shares and prices spread as set here, each "
    "by itself. Heights, slack and places are those of the plan.",
    "In a drawn season every piece of a job type counts as its largest; a job type is covered or not as a whole.",
)


class Coverage(Typed):
    """How far the judged kit goes.

    ``probability`` is the share of draws in which it carries every piece; ``low`` and ``high`` bound the true one with
    a confidence of 95 %. ``share_of_pieces`` is over all draws together.
    """

    probability: float
    low: float
    high: float
    share_of_pieces: float


class CostAt(Typed):
    """The cost that ``share`` of the draws do not exceed."""

    share: float
    cost: float


class CostBin(Typed):
    """Draws whose cost is at least ``low`` and below ``high``."""

    low: float
    high: float
    draws: int


class Costs(Typed):
    """Cost of each draw's own cheapest kit, over the draws that have one. In units of the currency."""

    draws: int
    mean: float
    lowest: float
    highest: float
    at: tuple[CostAt, ...]
    bins: tuple[CostBin, ...]


class ItemChoice(Typed):
    """How often an item is in the cheapest kits: ``share`` of the draws that have one, and pieces where it is.

    ``judged`` is how many the judged kit holds.
    """

    id: str
    table: str
    name: str
    owned: bool
    judged: int
    draws: int
    share: float
    mean_pieces: float
    most_pieces: int


class JobRecord(Typed):
    """A job type in the draws: how often it occurs, and how often the judged kit fails it.

    ``broke_alone`` counts draws in which it is the only job type that fails; ``beyond`` those in which nothing in the
    catalogue carries it. ``pieces`` and ``pieces_failed`` are over all draws.
    """

    job: str
    technique: Technique
    draws: int
    failed: int
    broke_alone: int
    beyond: int
    pieces: float
    pieces_failed: float

    @property
    def share_failed(self) -> float:
        """Share of the seasons with this job type in which the kit fails it."""
        return self.failed / self.draws if self.draws else 0.0


class SweepResult(Typed):
    """Everything that a sweep gives.

    ``kit`` holds the judged kit's pieces by id, ``kit_title`` what it is. ``draws`` were done, of ``settings.draws``.
    ``costs`` is empty where the cheapest kits were not looked for, or no draw has one; ``without_kit`` counts draws in
    which something is beyond the catalogue, ``unproven`` those whose kit is not proven to be the cheapest or was not
    found in time.
    """

    status: Literal["done", "stopped"]
    plan: str
    notice: str
    currency: str
    settings: SweepSettings
    draws: int
    kit_title: str
    kit: dict[str, int]
    coverage: Coverage | None
    costs: Costs | None
    without_kit: int
    unproven: int
    items: tuple[ItemChoice, ...]
    jobs: tuple[JobRecord, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS


def summary(judge: SeasonJudge, kit: JudgedKit, outcomes: Sequence[DrawOutcome]) -> SweepResult:
    """The result of some draws, in the order of their numbers."""
    plan = judge.plan
    return SweepResult(
        status="done" if len(outcomes) == judge.settings.draws else "stopped",
        plan=plan.settings.name,
        notice=plan.settings.notice,
        currency=plan.catalogue.currency,
        settings=judge.settings,
        draws=len(outcomes),
        kit_title=kit.title,
        kit=dict(kit.pieces),
        coverage=coverage(outcomes) if outcomes else None,
        costs=costs([outcome.cost for outcome in outcomes if outcome.cost is not None]),
        without_kit=sum(outcome.status == "no kit" for outcome in outcomes),
        unproven=sum(outcome.status in ("planned, optimum not proven", "stopped") for outcome in outcomes),
        items=tuple(_items(judge.prepared.fits.items, kit, outcomes)) if judge.settings.cheapest_kits else (),
        jobs=tuple(_job(job.job, job.technique, outcomes) for job in plan.jobs),
        notes=(*NOTES, *judge.prepared.notes),
    )


def coverage(outcomes: Sequence[DrawOutcome]) -> Coverage:
    """How far a kit goes in some draws, at least one."""
    covered = sum(outcome.covered for outcome in outcomes)
    low, high = probability_bounds(covered, len(outcomes))
    pieces = sum(sum(outcome.pieces.values()) for outcome in outcomes)
    failed = sum(outcome.pieces[job] for outcome in outcomes for job in outcome.failed)
    share = 1.0 - failed / pieces if pieces else 1.0
    return Coverage(probability=covered / len(outcomes), low=low, high=high, share_of_pieces=share)


def probability_bounds(hits: int, draws: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Bounds of a probability from draws: the score interval.

    ``(p + z^2 / 2n -+ z * sqrt(p * (1 - p) / n + z^2 / 4n^2)) / (1 + z^2 / n)``, p = hits / n

    Parameters
    ----------
    hits, draws : int
        Draws with the event, of all draws. [-]
    confidence : float
        [-]

    Returns
    -------
    tuple of float
        Low and high. [-]

    Raises
    ------
    ValueError
        If there are no draws, or not 0 <= hits <= draws.

    References
    ----------
    Wilson, "Probable Inference, the Law of Succession, and Statistical Inference", J. American Statistical Association
    22 (1927) 209-212.

    Examples
    --------
    >>> [round(bound, 4) for bound in probability_bounds(0, 20)]
    [0.0, 0.1611]
    """
    if draws < 1 or not 0 <= hits <= draws:
        raise ValueError(f"hits = {hits} must lie from 0 to draws = {draws}, and draws must be at least 1")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share, grown = hits / draws, z * z / draws
    middle = share + grown / 2
    half = z * sqrt(share * (1 - share) / draws + grown / (4 * draws))
    low = 0.0 if hits == 0 else (middle - half) / (1 + grown)
    high = 1.0 if hits == draws else (middle + half) / (1 + grown)
    return low, high


def costs(found: Sequence[float]) -> Costs | None:
    """The distribution of costs, each a cost that was found; None without any. In units of the currency."""
    if not found:
        return None
    cents = np.sort(np.round(np.array(found) * CENTS).astype(np.int64))
    at = [
        CostAt(share=share, cost=int(cents[max(0, ceil(share * len(cents)) - 1)]) / CENTS) for share in SHARES
    ]
    return Costs(
        draws=len(cents),
        mean=float(cents.mean()) / CENTS,
        lowest=int(cents[0]) / CENTS,
        highest=int(cents[-1]) / CENTS,
        at=tuple(at),
        bins=tuple(_bins(cents / CENTS)),
    )


def _bins(found: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Iterator[CostBin]:
    """At most ``MOST_BINS`` equal bins with round edges."""
    lowest, highest = float(found[0]), float(found[-1])
    width = bin_width(highest - lowest)
    first = floor(lowest / width)
    number = np.floor(found / width).astype(np.int64) - first
    for k, count in enumerate(np.bincount(number).tolist()):
        yield CostBin(low=(first + k) * width, high=(first + k + 1) * width, draws=count)


def bin_width(span: float) -> float:
    """The least of 1, 2, 5, 10, 20 ... with which a span falls into at most ``MOST_BINS`` bins.

    >>> bin_width(0.0), bin_width(100.0), bin_width(101.0), bin_width(4321.0)
    (1.0, 10.0, 10.0, 500.0)
    """
    least = max(1.0, span / (MOST_BINS - 1))
    power = 10.0 ** floor(log10(least))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= least)


def _items(
    items: Sequence[StockItem], kit: JudgedKit, outcomes: Sequence[DrawOutcome]
) -> Iterator[ItemChoice]:
    """Every item of the judged kit or of any draw's kit, the most often chosen first."""
    with_kit = sum(outcome.cost is not None for outcome in outcomes)
    draws = Counter(item for outcome in outcomes for item in outcome.items)
    pieces = Counter[str]()
    for outcome in outcomes:
        pieces.update(outcome.items)
    chosen = [item for item in items if draws[item.id] or kit.pieces.get(item.id)]
    for item in sorted(chosen, key=lambda item: -draws[item.id]):
        times = draws[item.id]
        yield ItemChoice(
            id=item.id,
            table=item.table,
            name=item.gear.name,
            owned=item.owned,
            judged=kit.pieces.get(item.id, 0),
            draws=times,
            share=times / with_kit if with_kit else 0.0,
            mean_pieces=pieces[item.id] / times if times else 0.0,
            most_pieces=max((outcome.items.get(item.id, 0) for outcome in outcomes), default=0),
        )


def _job(job: str, technique: Technique, outcomes: Sequence[DrawOutcome]) -> JobRecord:
    there = [outcome for outcome in outcomes if job in outcome.pieces]
    failed = [outcome for outcome in there if job in outcome.failed]
    return JobRecord(
        job=job,
        technique=technique,
        draws=len(there),
        failed=len(failed),
        broke_alone=sum(len(outcome.failed) == 1 for outcome in failed),
        beyond=sum(job in outcome.beyond for outcome in there),
        pieces=sum(outcome.pieces[job] for outcome in there),
        pieces_failed=sum(outcome.pieces[job] for outcome in failed),
    )
