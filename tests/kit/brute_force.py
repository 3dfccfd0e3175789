"""The cheapest kit by trying every kit: shares no code with the model."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product

Way = Mapping[str, Iterable[int]]


def serves(counts: Sequence[int], needs: list[set[int]]) -> bool:
    """Whether different pieces fill all needs, by trying each piece for the first need."""
    if not needs:
        return True
    for item in needs[0]:
        if counts[item]:
            left = list(counts)
            left[item] -= 1
            if serves(left, needs[1:]):
                return True
    return False


def best_kit(
    price: Sequence[int],
    mass: Sequence[int],
    limit: Sequence[int],
    cases: Sequence[Sequence[Way]],
    standing: Sequence[tuple[Iterable[int], int]] = (),
    most: int = 2,
    copies: Sequence[int] | None = None,
) -> tuple[int, int, int] | None:
    """Least (cost, mass, different items) of all kits with at most ``most`` pieces of an item, or None."""
    found = None
    for counts in product(*(range(min(top, most) + 1) for top in limit)):
        total = (
            sum(p * n for p, n in zip(price, counts, strict=True)),
            sum(m * n for m, n in zip(mass, counts, strict=True)),
            sum(1 for n in counts if n),
        )
        if found is not None and total >= found:
            continue
        if any(sum(counts[i] for i in items) < count for items, count in standing):
            continue
        times = copies or [1] * len(cases)
        if all(
            any(serves(counts, [set(need) for need in way.values() for _ in range(n)]) for way in ways)
            for ways, n in zip(cases, times, strict=True)
        ):
            found = total
    return found


def widened(ways: Sequence[Way]) -> list[dict[str, list[int]]]:
    """Lines of an easier way of the same load case work in a harder one too (all setups of a case are rigged alike)."""
    others = [{part: set(items) for part, items in way.items() if part != "line"} for way in ways]
    result = []
    for way, mine in zip(ways, others, strict=True):
        wider = {part: list(items) for part, items in way.items()}
        if "line" in way:
            wider["line"] = sorted(
                {
                    item
                    for other, theirs in zip(ways, others, strict=True)
                    if "line" in other
                    and all(part in mine and mine[part] <= items for part, items in theirs.items())
                    for item in other["line"]
                }
            )
        result.append(wider)
    return result
