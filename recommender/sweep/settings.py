"""What a sweep draws: how many seasons, from which seed, and how widely they spread around the plan."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from recommender.kit.result import Typed

Counting = Literal["poisson", "multinomial", "expected"]


class SweepSettings(Typed):
    """How seasons are drawn around a plan.

    A *draw* is one season: its own trees, its own share of each job type, its own prices. Every factor is log-normal
    with median 1: ``exp(ln(1 + percent / 100) * z)``, z standard normal, so that two of three factors lie between
    ``1 / (1 + percent / 100)`` and ``1 + percent / 100``, and the user's own figure is the middle. Log-normal, because
    sizes and prices are above zero and err by shares of themselves.

    *Sizes.* Each job type has one factor across the wood (piece diameters, and the stems where the gear sits) and one
    along it (piece lengths), for usual and largest alike; a stated mass takes both, across squared. A job type whose
    row leaves the limits of its table is drawn again: the distribution is cut off there, nothing is pushed to a limit.

    *Shares.* Each share has a factor; then the shares are brought back to their old sum. Pieces stated for a job type
    have a factor of their own. The pieces of a season follow: ``poisson`` counts each job type by itself around its
    mean; ``multinomial`` deals out the season's whole number of pieces; ``expected`` takes the means.

    *Prices.* Every item of the catalogue has a factor; all lengths of one rope share theirs. Owned gear costs nothing.

    Draws are numbered from 1. Seed and number alone tell a draw, whatever else is drawn, where and in which order.
    """

    draws: int = Field(default=200, ge=1, le=1_000_000, description="Seasons to draw")
    seed: int = Field(default=1, ge=0, description="Seed of the random numbers")
    size_percent: float = Field(
        default=10.0, ge=0, le=50, description="Spread of the sizes of pieces, in percent"
    )
    share_percent: float = Field(
        default=20.0, ge=0, le=200, description="Spread of the shares of work, in percent"
    )
    price_percent: float = Field(default=10.0, ge=0, le=100, description="Spread of the prices, in percent")
    pieces: Counting = Field(default="poisson", description="How the pieces of a season are counted")
    cheapest_kits: bool = Field(
        default=True,
        description="Find the cheapest kit of every draw too, not only what the given kit covers",
    )
