"""Buying over several seasons: budgets, piece plans, hire, several crews, wear and age."""

from recommender.seasons.answer import plan_seasons
from recommender.seasons.result import SeasonsResult

__all__ = ["SeasonsResult", "plan_seasons"]
