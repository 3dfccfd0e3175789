"""Plans over seasons for tests: the training ground's without what the crew needs, and budgets season by season."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from recommender.work.plan import Plan, load_plan
from recommender.work.tables import SeasonRow

ROOT = Path(__file__).parents[2]
TRAINING = ROOT / "demo_catalog" / "training_ground"


@cache
def training() -> Plan:
    plan = load_plan(TRAINING)
    return replace(plan, settings=plan.settings.model_copy(update={"extras": False}))


def with_seasons(plan: Plan, *budgets: float | None, **changes: object) -> Plan:
    """A plan with a season for each budget; ``changes`` are made in every job type."""
    rows = tuple(SeasonRow(season=f"s{k}", budget=budget) for k, budget in enumerate(budgets))
    return replace(plan, seasons=rows, jobs=tuple(job.model_copy(update=changes) for job in plan.jobs))
