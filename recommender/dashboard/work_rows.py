"""The work mix while it is edited: new rows to be changed, and shares that add up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from catalog_schema.units import UnitSystem, show
from recommender.dashboard.records import with_example as records_with
from recommender.dashboard.sheets import SHEETS
from recommender.store import Record, Rows, records_of
from recommender.work.cases import small_share
from recommender.work.plan import SHARE_TOLERANCE
from recommender.work.tables import JobType, Technique

FIRST_SIZES: Mapping[Technique, Mapping[str, Any]] = {
    "lower": {"job": "pieces to lower"},
    "lift": {"job": "pieces to lift", "lift_height": 1.0},
    "catch": {
        "job": "pieces to catch",
        "length": 1.0,
        "slack": 0.1,
        "cut_to_redirect": 0.3,
        "tie_above_cut": 0.3,
        "run": 1.0,
        "clearance": 6.0,
    },
}
"""Invented sizes [m] that a new row starts with, beside the declared examples; they are there to be changed."""

SHARE_STEP = 0.001
"""Shares are evened out to tenths of a percent."""


def with_example(records: Sequence[Record], technique: Technique) -> Rows:
    """The rows and one more, ready to be changed, with a name that is not taken."""
    share = 0.1 if records else 1.0
    return records_with(SHEETS["work"], records, technique=technique, share=share, **FIRST_SIZES[technique])


def share_sum(records: Sequence[Record]) -> float:
    """The shares of all rows together. [-]"""
    return sum(share for record in records if (share := _share(record)) is not None)


def adds_up(records: Sequence[Record]) -> bool:
    """Whether the shares are 100 % together."""
    return abs(share_sum(records) - 1.0) <= SHARE_TOLERANCE


def evened_out(records: Sequence[Record]) -> Rows:
    """The rows with shares that add up to 100 %, in tenths of a percent; as they are where no share is above 0.

    >>> [row["share"] for row in evened_out([{"share": 0.5}, {"share": 1.0}])]
    [0.333, 0.667]
    """
    total = share_sum(records)
    if total <= 0:
        return tuple(records)
    steps = [round((_share(record) or 0.0) / total / SHARE_STEP) for record in records]
    largest = max(range(len(steps)), key=steps.__getitem__)
    steps[largest] += round(1 / SHARE_STEP) - sum(steps)
    return tuple(
        {**record, "share": round(step * SHARE_STEP, 3)} for record, step in zip(records, steps, strict=True)
    )


def taper_notes(jobs: Iterable[JobType], system: UnitSystem) -> list[str]:
    """What the small end of the largest piece is taken to be, where it is not the one that is stated."""
    return [
        f"{job.job}: the largest piece is taken to taper like the usual one, to "
        f"{show(small_share(job) * job.diameter_high, 'stem', system)} at its small end "
        f"(usual {show(job.small_diameter, 'stem', system)})."
        for job in jobs
        if job.small_diameter is not None
        and job.diameter_high is not None
        and job.diameter_high > job.diameter
    ]


def _share(record: Record) -> float | None:
    share = record.get("share")
    return float(share) if isinstance(share, int | float) and share > 0 else None


def with_pieces(records: Sequence[Record], jobs: Sequence[JobType]) -> Rows:
    """The rows with the job types that trees give behind them, and the shares and counts of the whole mix.

    Parameters
    ----------
    records : sequence of mapping
        The rows of the work table.
    jobs : sequence of JobType
        The whole mix: theirs first, then those of the trees.
    """
    whole = records_of(jobs)
    shares = ("share", "pieces_per_season")
    own = [
        {**record, **{name: new[name] for name in shares}}
        for record, new in zip(records, whole[: len(records)], strict=True)
    ]
    return (*own, *whole[len(records) :])
