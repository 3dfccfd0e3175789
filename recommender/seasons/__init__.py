"""Buying over several seasons: budgets, piece plans, hire, several crews, wear and age."""

from recommender.seasons.answer import plan_seasons
from recommender.seasons.budgets import budget_view
from recommender.seasons.growth import Watch
from recommender.seasons.result import BudgetView, SeasonShortage, SeasonsResult

__all__ = ["BudgetView", "SeasonShortage", "SeasonsResult", "Watch", "budget_view", "plan_seasons"]
