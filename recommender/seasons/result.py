"""The typed result of planning over seasons."""

from __future__ import annotations

from typing import Literal

from recommender.kit.result import CAUTIONS, Assignment, ResultStatus, Typed, Uncovered


class Purchase(Typed):
    """Something to buy in a season. Prices in units of the currency, as paid then."""

    id: str
    table: str
    name: str
    quantity: int
    unit_price: float


class JobInSeason(Typed):
    """How a job type is done in a season.

    ``pieces_of_each`` is 1 for a piece taken whole, 2 for halves and so on; ``longest_piece_m`` is the longest piece
    allowed; ``lines`` says which line does which share of the work, where wear is looked at.
    """

    job: str
    how: Literal["with the kit", "given away", "no work"]
    pieces: float
    pieces_of_each: int
    longest_piece_m: float | None
    crew_cost: float
    hire_cost: float
    lines: dict[str, float]
    setup: Assignment | None


class SeasonPlan(Typed):
    """One season: purchases, cash, how the work is done, and line life used up so far."""

    season: str
    budget: float | None
    purchases: tuple[Purchase, ...]
    purchase_cost: float
    crew_cost: float
    hire_cost: float
    jobs: tuple[JobInSeason, ...]
    share_with_kit: float
    wear_used: dict[str, float]


class SeasonRemedy(Typed):
    """One change that makes a plan possible. ``costs`` is what it takes in money, where that is known."""

    kind: Literal["move money", "more money", "put off", "hire", "shorter pieces"]
    change: str
    costs: float | None
    pieces: float


class SeasonShortage(Typed):
    """A smallest set of what can't go together, and remedies, the cheapest first.

    Without any one of ``budgets`` (seasons) or ``jobs`` the rest could be done. Without ``budgets`` it is wear or age
    that leaves no plan.
    """

    budgets: tuple[str, ...]
    jobs: tuple[str, ...]
    remedies: tuple[SeasonRemedy, ...]


class BudgetStep(Typed):
    """What more money in a season would save in all, found by planning anew with that budget.

    ``saves`` is the difference to the plan that was found; ``saves_at_most`` the most that it can be, as far as both
    are proven.
    """

    season: str
    more: float
    saves: float
    saves_at_most: float


class BudgetView(Typed):
    """The shadow view of budgets: steps by season, each from a plan of its own in whole purchases."""

    currency: str
    cost: float
    steps: tuple[BudgetStep, ...]
    complete: bool


class SeasonsResult(Typed):
    """Everything that planning over seasons gives. ``cost`` is discounted; purchases are listed as paid."""

    status: ResultStatus
    plan: str
    notice: str
    currency: str
    cost: float
    bound: float
    gap: float
    solve_seconds: float
    solver: str
    purchase_cost: float
    crew_cost: float
    hire_cost: float
    seasons: tuple[SeasonPlan, ...]
    uncovered: tuple[Uncovered, ...]
    notes: tuple[str, ...]
    shortage: SeasonShortage | None = None
    budget_view: BudgetView | None = None
    cautions: tuple[str, ...] = CAUTIONS
