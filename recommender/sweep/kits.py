"""The kit that a sweep judges: the plan's cheapest one, what is owned, or any list of items."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.kit.planning import plan_kit, whole_spools
from recommender.kit.problem import Ints
from recommender.kit.result import KitResult
from recommender.kit.stock import StockItem, stock
from recommender.work.plan import Plan


class NoKitToJudge(ValueError):
    """There is no kit whose work could be judged."""


class UnfitKit(ValueError):
    """A kit holds what the plan's stock does not."""


@dataclass(frozen=True)
class JudgedKit:
    """A kit by what it is called in results, and its pieces by the ids of the stock."""

    title: str
    pieces: Mapping[str, int]

    def counts(self, items: Sequence[StockItem]) -> Ints:
        """Pieces of every item of the stock, shape (items,).

        Raises
        ------
        UnfitKit
            If the stock lacks an item of the kit, or owns fewer pieces of it.
        """
        counts = np.array([self.pieces.get(item.id, 0) for item in items], dtype=np.int64)
        strange = self.pieces.keys() - {item.id for item in items}
        if strange:
            raise UnfitKit(f"the plan has no item {', '.join(sorted(strange))} as in the kit")
        short = [item.id for item, count in zip(items, counts.tolist(), strict=True) if count > item.limit]
        if short:
            raise UnfitKit(f"the kit holds more pieces than are owned of {', '.join(short)}")
        return counts


def cheapest_kit(plan: Plan) -> JudgedKit:
    """The cheapest kit of the plan as it stands.

    Raises
    ------
    NoKitToJudge
        If no kit covers the plan's work.
    """
    result = plan_kit(whole_spools(plan))
    if not result.status.startswith("planned"):
        raise NoKitToJudge(
            "no kit covers the plan as it stands, so there is none to judge; see what 'kitplan plan' says, or judge "
            "the owned gear or a kit of your own"
        )
    return kit_of(result, "the cheapest kit of the plan")


def kit_of(result: KitResult, title: str = "the kit given") -> JudgedKit:
    """The kit of a result."""
    return JudgedKit(title, {item.id: item.quantity for item in result.items})


def owned_kit(plan: Plan) -> JudgedKit:
    """All gear that is owned and may still be used.

    Raises
    ------
    NoKitToJudge
        If there is none.
    """
    items, _ = stock(plan.catalogue, plan.owned, plan.policy)
    owned = {item.id: item.limit for item in items if item.owned}
    if not owned:
        raise NoKitToJudge("the plan lists no owned gear that may still be used")
    return JudgedKit("the gear that is owned", owned)
