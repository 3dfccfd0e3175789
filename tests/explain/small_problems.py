"""Random small kit problems, and all of their kits by trying each: shares no code with what is tested."""

from __future__ import annotations

import importlib.util
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np

from recommender.kit.problem import UNLIMITED, KitProblem, ways_from_lists

Way = Mapping[str, Iterable[int]]


def _loaded(name: str) -> Any:
    path = Path(__file__).parents[1] / "kit" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


serves = _loaded("brute_force").serves
PARTS = ("line", "redirect", "redirect_sling", "brake_sling")


@dataclass(frozen=True)
class Small:
    """A problem, its load cases as plain lists, and every kit with at most two pieces of an item."""

    problem: KitProblem
    cases: list[list[dict[str, list[int]]]]
    weight: np.ndarray

    def covers(self, counts: Sequence[int]) -> frozenset[int]:
        """Load cases that a kit covers, by trying each piece for each need."""
        return frozenset(
            number
            for number, ways in enumerate(self.cases)
            if any(serves(counts, [set(need) for need in way.values()]) for way in ways)
        )

    def cost(self, counts: Sequence[int]) -> int:
        return int(self.problem.price @ np.array(counts))

    def kits(self) -> list[tuple[tuple[int, ...], int, frozenset[int]]]:
        """Every kit with its cost and the load cases that it covers."""
        ranges = [range(min(int(top), 2) + 1) for top in self.problem.limit]
        return [(counts, self.cost(counts), self.covers(counts)) for counts in product(*ranges)]


def small(seed: int, items: int = 6) -> Small:
    """A stock whose last half are slings that two parts may share; some items are owned."""
    rng = random.Random(seed)
    lines = max(1, items // 3)
    pools = [range(lines), range(lines, 2 * lines), range(2 * lines, items), range(2 * lines, items)]
    cases = []
    for _ in range(rng.randint(2, 4)):
        ways = []
        for _ in range(rng.randint(1, 2)):
            parts = rng.sample(range(4), rng.randint(1, 3))
            ways.append({PARTS[k]: rng.sample(list(pools[k]), rng.randint(1, len(pools[k]))) for k in parts})
        cases.append(ways)
    limit = [UNLIMITED] * items
    price = [rng.randint(1, 9) for _ in range(items)]
    if rng.random() < 0.5:
        owned = rng.randrange(items)
        limit[owned], price[owned] = 1, 0
    problem = KitProblem(
        tuple(f"i{k}" for k in range(items)),
        np.array(price), np.array([rng.randint(1, 4) for _ in range(items)]), np.array(limit),
        tuple(f"c{k}" for k in range(len(cases))), ways_from_lists(cases, items),
    )  # fmt: skip
    return Small(problem, cases, np.array([float(rng.randint(1, 9)) for _ in cases]))
