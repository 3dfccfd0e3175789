"""Small problems and the invented plans, read and solved once."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from recommender.kit.planning import prepare
from recommender.kit.solve import KitSolution, solve
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


def _small_problems() -> Any:
    spec = importlib.util.spec_from_file_location(
        "small_problems", Path(__file__).with_name("small_problems.py")
    )
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    import sys

    sys.modules["small_problems"] = module
    spec.loader.exec_module(module)
    return module


_module = _small_problems()


@pytest.fixture(scope="session")
def small() -> Callable[..., Any]:
    """Makes the random small problem of a seed."""
    made: Callable[..., Any] = _module.small
    return made


@cache
def _demo(name: str) -> tuple[Plan, KitSolution]:
    plan = load_plan(DEMO / name)
    return plan, solve(prepare(plan).problem)


@pytest.fixture(scope="session")
def demo() -> Callable[[str], tuple[Plan, KitSolution]]:
    """An invented plan by its name, with its cheapest kit."""
    return _demo
