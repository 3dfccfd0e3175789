"""The seasons problem as sets and numbers: the kit problem with time, money, piece plans, crews, wear and age."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from recommender.kit.problem import UNLIMITED, Ints, KitProblem

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SeasonProblem:
    """What the seasons model decides on. Money in the smallest unit, shares as fractions.

    Attributes
    ----------
    kit : KitProblem
        Items, the ways of every load case, and the crew's standing needs. A load case here is one piece plan of one job
        type. The limit of an item says only whether it can be bought (``UNLIMITED``) or is owned.
    job_names : tuple of str
        Job types.
    case_job : array of int, shape (cases,)
        Job type of each load case.
    case_cost : array, shape (seasons, cases)
        Cost of doing the whole job type in this way for a season: crew time of extra cuts.
    hire_cost : array, shape (seasons, jobs)
        Cost of giving the whole job type away for a season; infinite where that is not allowed.
    owned : array of int, shape (seasons, items)
        Pieces owned from the start that may still be used in each season.
    life : array of int, shape (items,)
        Seasons that a bought piece may be used, at least 1.
    price_factor, discount : array, shape (seasons,)
        Price of a season over today's; worth of money of a season today.
    budget : array, shape (seasons,)
        Most that may be spent on purchases, infinite where there is no limit.
    systems : array of int, shape (jobs,)
        Setups that one crew has up at once.
    at_once : array of int, shape (jobs,)
        Crews that may do the job type at the same time, at most ``crews``.
    crews : int
        Crews at work at the same time.
    use : array, shape (seasons, cases, items)
        Share of the life of one piece of a line that a season's work in this way uses up; empty (0 items) = no wear.
    life_left : array, shape (items,)
        Life left in all pieces owned of an item, in lives of one piece.
    """

    kit: KitProblem
    job_names: tuple[str, ...]
    case_job: Ints
    case_cost: Floats
    hire_cost: Floats
    owned: Ints
    life: Ints
    price_factor: Floats
    discount: Floats
    budget: Floats
    systems: Ints
    at_once: Ints
    crews: int = 1
    use: Floats = field(default_factory=lambda: np.zeros((0, 0, 0)))
    life_left: Floats = field(default_factory=lambda: np.zeros(0))

    def __post_init__(self) -> None:
        seasons, cases, items = self.seasons, len(self.kit.case_names), self.kit.item_count
        jobs = len(self.job_names)
        wanted = {
            "case_job": (cases,), "case_cost": (seasons, cases), "hire_cost": (seasons, jobs),
            "owned": (seasons, items), "life": (items,), "price_factor": (seasons,), "discount": (seasons,),
            "systems": (jobs,), "at_once": (jobs,),
        }  # fmt: skip
        for name, shape in wanted.items():
            if getattr(self, name).shape != shape:
                raise ValueError(f"{name} must have shape {shape}, got {getattr(self, name).shape}")
        if self.has_wear and self.use.shape != (seasons, cases, items):
            raise ValueError(f"use must have shape {(seasons, cases, items)}, got {self.use.shape}")
        if np.any(self.life < 1):
            raise ValueError("life must be at least one season")
        if np.any(self.at_once > self.crews) or np.any(self.at_once < 1):
            raise ValueError(f"at_once must be from 1 to the number of crews, {self.crews}")

    @property
    def seasons(self) -> int:
        """Number of seasons."""
        return len(self.budget)

    @property
    def has_wear(self) -> bool:
        """Whether line wears out with use."""
        return self.use.size > 0

    @property
    def buyable(self) -> NDArray[np.bool_]:
        """Items that can be bought."""
        return self.kit.limit >= UNLIMITED

    def stock(self, bought: Ints) -> Ints:
        """Pieces on hand in every season, shape (seasons, items), from purchases of the same shape."""
        on_hand = self.owned.copy()
        for season in range(self.seasons):
            for earlier in range(season + 1):
                on_hand[season] += np.where(season - earlier < self.life, bought[earlier], 0)
        return on_hand

    def purchase_cost(self, bought: Ints) -> Floats:
        """Money spent on purchases in each season, as paid then."""
        return np.asarray((bought * self.kit.price).sum(axis=1) * self.price_factor)
