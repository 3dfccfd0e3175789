"""The parts of a plan go into the store and come back the same."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from recommender.ratings.policy import changed_policy, default_policy
from recommender.store import PlanParts, Store, StoreError, parts_of
from recommender.work.plan import load_plan
from recommender.work.register import Inspection, RegisterItem
from recommender.work.settings import PlanSettings

DEMO = Path(__file__).parents[2] / "demo_catalog"


def parts_of_demo(name: str) -> PlanParts:
    plan = load_plan(DEMO / name)
    policy, problems = changed_policy({"knot": {"hmpe": 0.25, "reason": "own tests"}})
    assert problems == []
    return PlanParts(
        plan.settings,
        work=(
            {"job": "half ty", "diameter": "2o cm", "share": None},
            *(job.model_dump() for job in plan.jobs),
        ),
        trees=({"tree": ""},),
        catalogue=plan.catalogue,
        gear_from="invented gear",
        owned=plan.owned,
        register=(RegisterItem(id="R-1", item="A1", first_use=date(2026, 3, 31), length=44.96),),
        inspections=(Inspection(piece="R-1", day=date(2026, 4, 1), result="passed"),),
        policy=policy,
        notes=plan.notes,
        more={"page": {"largest piece": 0.25}},
    )


@pytest.mark.parametrize("name", ["new_owner", "company"])
def test_all_parts_come_back_the_same(name: str, store: Store) -> None:
    parts = parts_of_demo(name)
    saved = store.create("Demo", parts.documents())
    back = parts_of(store.current(saved.plan_id).documents)
    assert back == parts
    assert back.policy.knot.hmpe == 0.25 and back.policy.notes == parts.policy.notes
    assert back.catalogue is not None and back.catalogue.ids == parts.catalogue.ids  # type: ignore[union-attr]
    same = store.save(saved.plan_id, back.documents(), 1, "nothing")
    assert same.number == 1


def test_an_edit_of_the_work_leaves_the_gear_where_it_is(store: Store) -> None:
    parts = parts_of_demo("new_owner")
    saved = store.create("Demo", parts.documents())
    store.save(saved.plan_id, replace(parts, work=()).documents(), 1, "cleared the work")
    assert [
        one.document for one in store.compare(saved.plan_id, store.copy(saved.plan_id, "x").plan_id)
    ] == []
    assert (
        store.undo(saved.plan_id, 2).documents["work"] == store.revision(saved.plan_id, 1).documents["work"]
    )


def test_an_empty_plan_comes_back(store: Store) -> None:
    empty = PlanParts(PlanSettings(name="My plan"))
    saved = store.create("Empty", empty.documents())
    assert parts_of(saved.documents) == empty
    assert parts_of({}) == PlanParts(PlanSettings())


def test_other_documents_need_names_of_their_own() -> None:
    with pytest.raises(ValueError, match="more must have names of its own"):
        PlanParts(PlanSettings(), more={"work": []}).documents()


@pytest.mark.parametrize(
    ("documents", "said"),
    [
        ({"owned": [{"item": "A1"}, {"item": "A1", "colour": "red"}]}, "owned, row 2"),
        ({"settings": {"units": "cubits"}}, "settings"),
        ({"policy": {"survival": {"factor": 1.0}}}, "may not be below"),
    ],
)
def test_what_can_not_be_understood_is_told(documents: dict[str, object], said: str) -> None:
    """A factor below its floor does not come back by way of the store."""
    with pytest.raises(StoreError, match=said):
        parts_of(documents)  # type: ignore[arg-type]
    assert default_policy().survival.floor > 1.0
