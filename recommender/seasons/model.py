"""A programme of the seasons model while it is built: its variables by position, and a way to add a row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import pulp

from recommender.kit.problem import Ints, Ways

Variable: TypeAlias = pulp.LpVariable


@dataclass
class SeasonModel:
    """A built programme with its variables by position.

    ``bought``, ``on_hand`` by (season, item); ``chosen`` by (season, way); ``given`` by (season, job); ``worked`` by
    (season, case, line); ``row_items`` has season and items of every S3 and S5 row.
    """

    programme: pulp.LpProblem
    ways: Ways
    bought: dict[tuple[int, int], Variable] = field(default_factory=dict)
    on_hand: dict[tuple[int, int], Variable] = field(default_factory=dict)
    chosen: dict[tuple[int, int], Variable] = field(default_factory=dict)
    given: dict[tuple[int, int], Variable] = field(default_factory=dict)
    worked: dict[tuple[int, int, int], Variable] = field(default_factory=dict)
    row_items: dict[str, tuple[int, Ints]] = field(default_factory=dict)


def add_row(
    model: SeasonModel, terms: Sequence[tuple[Variable, float]], sense: int, name: str, limit: float
) -> None:
    """One constraint: the terms together, compared with a limit."""
    expression = pulp.LpAffineExpression(list(terms))
    model.programme.addConstraint(pulp.LpConstraint(expression, sense, name, limit))
