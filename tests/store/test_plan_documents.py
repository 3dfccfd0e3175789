"""The parts of a plan go into the store and come back the same."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from recommender.store import PlanParts, Store, StoreError, gear_table, parts_of, records_of
from recommender.work.plan import load_plan
from recommender.work.register import Inspection, RegisterItem
from recommender.work.settings import PlanSettings

DEMO = Path(__file__).parents[2] / "demo_catalog"


def parts_of_demo(name: str) -> PlanParts:
    plan = load_plan(DEMO / name)
    return PlanParts(
        plan.settings,
        tables={
            "work": ({"job": "half ty", "diameter": "2o cm", "share": None}, *records_of(plan.jobs)),
            "trees": ({"tree": ""},),
            "owned": (*records_of(plan.owned), {"item": "A1", "colour": "red"}),
            "register": records_of(
                [RegisterItem(id="R-1", item="A1", first_use=date(2026, 3, 31), length=44.96)]
            ),
            "inspections": records_of([Inspection(piece="R-1", day=date(2026, 4, 1), result="passed")]),
            **{gear_table(table): records_of(rows) for table, rows in plan.catalogue.tables().items()},
        },
        policy={"knot": {"hmpe": 0.25, "reason": "own tests"}},
        gear_from="invented gear",
        notes=plan.notes,
        more={"page": {"largest piece": 0.25}},
    )


@pytest.mark.parametrize("name", ["new_owner", "company"])
def test_all_parts_come_back_the_same(name: str, store: Store) -> None:
    parts = parts_of_demo(name)
    saved = store.create("Demo", parts.documents())
    back = parts_of(store.current(saved.plan_id).documents)
    assert back == parts
    assert back.rows("register")[0]["first_use"] == "2026-03-31"
    assert len(back.rows("catalogue/ropes")) == len(load_plan(DEMO / name).catalogue.ropes)
    same = store.save(saved.plan_id, back.documents(), 1, "nothing")
    assert same.number == 1


def test_what_did_not_change_stays_the_same_object(store: Store) -> None:
    parts = parts_of_demo("new_owner")
    saved = store.create("Demo", parts.documents())
    changed = parts.with_rows(work=parts.rows("work")[1:])
    store.save(saved.plan_id, changed.documents(), 1, "one row less")
    back = parts_of(store.undo(saved.plan_id, 2).documents, like=changed)
    assert back == parts
    assert all(back.rows(name) is changed.rows(name) for name in parts.tables if name != "work")


def test_an_edit_of_the_work_leaves_the_gear_where_it_is(store: Store) -> None:
    parts = parts_of_demo("new_owner")
    saved = store.create("Demo", parts.documents())
    store.save(saved.plan_id, parts.with_rows(work=()).documents(), 1, "cleared the work")
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


def test_documents_need_names_that_are_free() -> None:
    with pytest.raises(ValueError, match="more must have names of its own"):
        PlanParts(PlanSettings(), more={"work": []}).documents()
    with pytest.raises(ValueError, match="tables must be among"):
        replace(PlanParts(PlanSettings()), tables={"wrok": ({},)}).documents()


def test_settings_that_can_not_be_understood_are_told() -> None:
    with pytest.raises(StoreError, match="settings"):
        parts_of({"settings": {"units": "cubits"}})
