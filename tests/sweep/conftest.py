"""A small plan to draw seasons around, and the kit that is judged."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from recommender.sweep.kits import JudgedKit, cheapest_kit
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
JOBS = ("hung logs, lowered", "hung logs let swing", "birch logs caught")


@pytest.fixture(scope="session")
def plan() -> Plan:
    """Three job types of the training ground, shares as they are: 60 % of its pieces."""
    whole = load_plan(DEMO / "training_ground")
    return replace(whole, jobs=tuple(job for job in whole.jobs if job.job in JOBS))


@pytest.fixture(scope="session")
def kit(plan: Plan) -> JudgedKit:
    return cheapest_kit(plan)
