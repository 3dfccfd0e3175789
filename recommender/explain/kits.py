"""Kits read back from pieces by item: how two differ, and a kit for some job types as a checked result."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from recommender.explain.answers import Change
from recommender.kit.check import InternalFault, check_kit
from recommender.kit.planning import _result, prepare, whole_spools
from recommender.kit.problem import Ints
from recommender.kit.result import KitResult
from recommender.kit.solver import KitSolution, Status
from recommender.kit.stock import CENTS, StockItem
from recommender.work.plan import Plan


def changes(stock: Sequence[StockItem], before: Ints, after: Ints) -> tuple[Change, ...]:
    """What one kit has more or fewer than another: first what is added, dearest first, then what is gone."""
    found = [_change(stock[k], int(after[k] - before[k])) for k in np.flatnonzero(after != before).tolist()]
    return tuple(sorted(found, key=lambda one: (one.pieces < 0, -abs(one.price), one.id)))


def _change(item: StockItem, pieces: int) -> Change:
    return Change(id=item.id, name=item.gear.name, pieces=pieces, price=pieces * item.price / CENTS)


def checked_kit(plan: Plan, pieces: Ints, jobs: Sequence[int] | None = None) -> KitResult:
    """A kit as a result for some (or all) job types of a plan, rigged and independently checked.

    Parameters
    ----------
    plan : Plan
    pieces : array of int, shape (items,)
        Extras included.
    jobs : sequence of int, optional
        Positions of the job types that the kit is for.

    Raises
    ------
    InternalFault
        If the kit fails the check; nothing about it may be used.
    """
    chosen = whole_spools(plan if jobs is None else replace(plan, jobs=tuple(plan.jobs[k] for k in jobs)))
    prepared = prepare(chosen)
    cost = int(prepared.problem.price @ pieces)
    kit = KitSolution(Status.FEASIBLE_ONLY, pieces, cost, 0.0, 0, 0.0, "")  # says nothing of an optimum
    result = _result(prepared, kit, ())
    faults = check_kit(chosen, result)
    if faults:
        raise InternalFault("Do not use this result. The check of a kit found: " + "; ".join(faults))
    return result
