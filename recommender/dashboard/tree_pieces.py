"""The job types that trees give, as rows of a table for the screen."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from catalog_schema.units import UnitSystem, show
from recommender.work.cases import piece_mass
from recommender.work.tables import JobType


def piece_rows(jobs: Iterable[JobType], system: UnitSystem) -> list[dict[str, Any]]:
    """One row a job type; the largest mass is rounded up."""
    return [
        {
            "Job type": job.job,
            "Technique": job.technique,
            "Pieces a season": round(job.pieces_per_season or 0.0, 1),
            "Usual mass": show(float(piece_mass(job).typical), "mass", system, 0),
            "Largest mass": show(float(piece_mass(job).design), "mass", system, 0, "up"),
            "Usual length": show(job.length, "length", system),
            "Rigging height": show(job.rigging_height, "length", system),
        }
        for job in jobs
    ]
