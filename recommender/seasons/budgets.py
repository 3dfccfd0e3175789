"""What more money in a season would save in all: each answer from a plan of its own, in whole purchases.

No price of a relaxed model is shown: half a rope helps nobody, and between two purchases more money saves nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from recommender.kit.solver import USABLE, SolverSettings
from recommender.kit.stock import CENTS
from recommender.seasons.planning import prepare_seasons
from recommender.seasons.result import BudgetStep, BudgetView
from recommender.seasons.solve import Watch, solve_seasons
from recommender.work.plan import Plan

SUMS = (1.0, 100.0, 500.0)
"""Money more that is tried in each season that has a budget."""
CENT = 0.01


def budget_view(
    plan: Plan,
    cost: float,
    settings: SolverSettings | None = None,
    watch: Watch | None = None,
    sums: Sequence[float] = SUMS,
) -> BudgetView:
    """What each season's budget is worth.

    Parameters
    ----------
    plan : Plan
    cost : float
        Of the plan that was found for it (``SeasonsResult``).
    settings : SolverSettings, optional
        For each plan anew.
    watch : Watch, optional
        Hears how far it is, and may stop it; the view then has the steps up to there.
    sums : sequence of float
        Money more in a season, > 0. [currency of the catalogue]

    Returns
    -------
    BudgetView
    """
    watching = watch or Watch()
    prepared = prepare_seasons(plan)
    problem = prepared.problem
    limited = np.flatnonzero(np.isfinite(problem.budget)).tolist()
    asked = [(season, more) for season in limited for more in sorted(sums, reverse=True)]
    told: dict[tuple[int, float], BudgetStep] = {}
    for number, (season, more) in enumerate(asked):
        if watching.stop():
            break
        name = prepared.seasons[season].season
        watching.told(number, len(asked), f"more money in season {name}")
        larger = [step for (when, _), step in told.items() if when == season]
        if larger and larger[-1].saves_at_most <= CENT:
            told[season, more] = larger[-1].model_copy(update={"more": more})  # less money saves no more
            continue
        budget = problem.budget.copy()
        budget[season] += more * CENTS
        found = solve_seasons(replace(problem, budget=budget), settings, Watch(watching.stop))
        if found.status not in USABLE:
            break
        saves = max(0.0, cost - found.cost / CENTS)
        most = max(saves, cost - found.bound / CENTS)
        told[season, more] = BudgetStep(season=name, more=more, saves=saves, saves_at_most=most)
    steps = tuple(told[key] for key in sorted(told))
    return BudgetView(
        currency=plan.catalogue.currency, cost=cost, steps=steps, complete=len(steps) == len(asked)
    )
