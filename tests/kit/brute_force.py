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
        if all(any(serves(counts, [set(need) for need in way.values()]) for way in ways) for ways in cases):
            found = total
    return found
