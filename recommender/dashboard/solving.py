"""Kits kept by the digest of everything that they were planned from."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass

import streamlit as st
from pydantic import BaseModel

from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.work.plan import Plan


@dataclass(frozen=True)
class Answer:
    """A plan with what came of it: a result, or the reason why there is none that may be used."""

    plan: Plan
    result: KitResult | None
    fault: str = ""


def answer_to(plan: Plan) -> Answer:
    """The kit for a plan; taken from what is kept if the same plan was solved before."""
    try:
        return Answer(plan, _kit(digest_of(plan), plan))
    except (ValueError, ArithmeticError, RuntimeError) as error:
        return Answer(plan, None, f"{type(error).__name__}: {error}")


def digest_of(plan: Plan) -> str:
    """A digest of every input of a plan: two plans that differ in any cell have different ones."""
    digest = hashlib.sha256()
    for text in _inputs(plan):
        digest.update(text.encode("utf-8", "surrogatepass") + b"\0")
    return digest.hexdigest()


def _inputs(plan: Plan) -> Iterator[str]:
    models: tuple[BaseModel, ...] = (
        plan.settings, plan.policy, *plan.jobs, *plan.owned, *plan.seasons, *plan.season_work
    )  # fmt: skip
    for model in models:
        yield model.model_dump_json()
    for name, rows in plan.catalogue.tables().items():
        yield name
        for row in rows:
            yield row.model_dump_json()
    yield plan.catalogue.currency
    yield from plan.notes


@st.cache_data(max_entries=64, show_spinner="Looking for the cheapest kit that carries this work ...")
def _kit(digest: str, _plan: Plan) -> KitResult:
    return plan_kit(_plan)
