"""A job type with another size of piece, other slack, run or height: for a look at what that would change."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from recommender.kit.diagnosis import shortened
from recommender.work.tables import JobType


@dataclass(frozen=True)
class JobChange:
    """What is other than planned: factors of the piece's length and thickness [-], slack, run and height [m].

    None leaves a value as it is; a run of 0 is a locked line.
    """

    length: float = 1.0
    diameter: float = 1.0
    slack: float | None = None
    run: float | None = None
    rigging_height: float | None = None


def changed_job(job: JobType, change: JobChange) -> JobType:
    """A job type with a change; usual and largest size are changed together, a stated mass with the volume.

    Parameters
    ----------
    job : JobType
    change : JobChange

    Returns
    -------
    JobType

    Raises
    ------
    ValueError
        If the change goes against another value of the job type; the message says which.
    """
    new = job if change.length == 1.0 else shortened(job, change.length)
    values: dict[str, Any] = {}
    if change.diameter != 1.0:
        for name, power in (
            ("diameter", 1), ("diameter_high", 1), ("small_diameter", 1), ("mass", 2), ("mass_high", 2),
        ):  # fmt: skip
            value = getattr(new, name)
            values[name] = None if value is None else value * change.diameter**power
    for name in ("slack", "run", "rigging_height"):
        if getattr(change, name) is not None:
            values[name] = getattr(change, name)
    try:
        return JobType.model_validate(new.model_copy(update=values).model_dump())
    except ValidationError as error:
        reasons = "; ".join(one["msg"].removeprefix("Value error, ") for one in error.errors())
        raise ValueError(f"this does not go together: {reasons}") from error


def differences(job: JobType, other: JobType) -> dict[str, Any]:
    """The columns in which two job types differ, with the values of the second in SI."""
    return {
        name: getattr(other, name)
        for name in JobType.model_fields
        if getattr(other, name) != getattr(job, name)
    }
