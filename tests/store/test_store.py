"""Plans that are saved, undone, copied, renamed, deleted; on both engines."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from recommender.store import (
    RECOVERABLE,
    Documents,
    EditedElsewhere,
    NameTaken,
    NoSuchPlan,
    Revision,
    Store,
    merged,
)

EMPTY: Documents = {"settings": {"name": "Oaks"}, "work": []}


def work(*jobs: str) -> Documents:
    """Documents of a plan with some jobs; half-typed rows are kept too."""
    return {**EMPTY, "work": [{"job": job, "share": None, "diameter": "2o cm"} for job in jobs]}


@pytest.fixture
def plan(store: Store) -> Revision:
    return store.create("Oaks", EMPTY, session="window 1")


@pytest.fixture
def reopened(store: Store, url: str) -> Iterator[Store]:
    """The same store as another program sees it."""
    with Store.open(url) as other:
        yield other


def test_a_plan_is_kept_as_it_was_typed(store: Store, plan: Revision, reopened: Store) -> None:
    typed: Documents = {
        "work": [
            {
                "job": "=1+1 <b>\u0000",
                "share": 0.1 + 0.2,
                "wet": True,
                "count": 12345678901234567890,
                "x": None,
            }
        ],
        "policy": 'catch = "half-typed\n',
        "trees": "\ud800 ☂ \x00",
    }
    saved = store.save(plan.plan_id, typed, plan.number, "typed something", session="window 1")
    assert saved == reopened.current(plan.plan_id)
    assert saved.documents == typed
    assert (saved.what, saved.session) == ("typed something", "window 1")
    assert abs(saved.saved_at - datetime.now(UTC)) < timedelta(minutes=1)


def test_an_edit_that_changes_nothing_is_no_state(store: Store, plan: Revision) -> None:
    same = store.save(plan.plan_id, dict(EMPTY), plan.number, "nothing")
    assert (same.number, len(store.history(plan.plan_id))) == (plan.number, 1)


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), datetime(2026, 1, 1), {1: "a"}, b"bytes", {"set"}]
)
def test_what_json_cannot_hold_is_refused_with_its_place(store: Store, plan: Revision, value: object) -> None:
    with pytest.raises(ValueError, match=r"^work/1"):
        store.save(plan.plan_id, {"work": [{}, {"share": value}]}, plan.number, "x")  # type: ignore[dict-item]
    assert store.current(plan.plan_id).documents == EMPTY


def test_unchanged_documents_are_kept_once(store: Store, plan: Revision) -> None:
    large = {"catalogue/ropes": [{"id": f"R{i}"} for i in range(100)]}
    number = plan.number
    for job in "abc":
        number = store.save(plan.plan_id, {**work(job), **large}, number, job).number
    store.copy(plan.plan_id, "Copy")
    kept = store.backup()
    assert kept.count(b"documents/") == 2 * (
        1 + 1 + 1 + 3
    )  # settings, no work, ropes, three works; each named twice


def test_undo_and_redo_after_a_restart(store: Store, plan: Revision, url: str) -> None:
    for number, job in enumerate("abc", start=1):
        store.save(plan.plan_id, work(*"abc"[:number]), number, f"added {job}")
    store.close()
    seen = []
    for based_on in (4, 3, 2, 1):
        with Store.open(url) as again:
            seen.append(again.undo(plan.plan_id, based_on))
    assert [one.documents for one in seen] == [work("a", "b"), work("a"), EMPTY, EMPTY]
    assert [(one.can_undo, one.can_redo) for one in seen] == [(True, True)] * 2 + [(False, True)] * 2
    with Store.open(url) as again:
        assert again.redo(plan.plan_id, 1).documents == work("a")
        assert again.redo(plan.plan_id, 2).documents == work("a", "b")


def test_an_edit_after_undo_leaves_nothing_to_redo_but_loses_nothing(store: Store, plan: Revision) -> None:
    store.save(plan.plan_id, work("a"), 1, "a")
    store.undo(plan.plan_id, 2)
    other = store.save(plan.plan_id, work("b"), 1, "b")
    assert (other.number, other.can_redo) == (3, False)
    assert store.redo(plan.plan_id, 3).number == 3
    assert store.undo(plan.plan_id, 3).number == 1
    assert store.redo(plan.plan_id, 1).documents == work("b")
    assert [(step.number, step.parent) for step in store.history(plan.plan_id)] == [(3, 1), (2, 1), (1, None)]
    assert store.revision(plan.plan_id, 2).documents == work("a")


def test_two_windows_never_overwrite_each_other(store: Store, plan: Revision, reopened: Store) -> None:
    theirs = reopened.save(plan.plan_id, work("theirs"), plan.number, "their edit", session="window 2")
    with pytest.raises(EditedElsewhere) as caught:
        store.save(plan.plan_id, work("mine"), plan.number, "my edit")
    said = caught.value
    assert (said.based_on.documents, said.mine, said.theirs) == (EMPTY, work("mine"), theirs)
    assert "their edit" in str(said)
    for move in (store.undo, store.redo):
        with pytest.raises(EditedElsewhere):
            move(plan.plan_id, plan.number)
    assert store.current(plan.plan_id) == theirs
    assert store.save(plan.plan_id, work("mine"), said.theirs.number, "mine all the same").number == 3


def test_edits_of_different_documents_can_be_joined(store: Store, plan: Revision, reopened: Store) -> None:
    reopened.save(plan.plan_id, {"settings": {"name": "Beeches"}, "work": []}, plan.number, "renamed")
    with pytest.raises(EditedElsewhere) as caught:
        store.save(plan.plan_id, work("mine"), plan.number, "my edit")
    said = caught.value
    assert said.mine is not None
    both = merged(said.based_on.documents, said.mine, said.theirs.documents)
    assert both == {**work("mine"), "settings": {"name": "Beeches"}}


def test_the_state_before_must_be_one(store: Store, plan: Revision) -> None:
    for number in (0, 2, -1):
        with pytest.raises(ValueError, match="number must be that of a state"):
            store.save(plan.plan_id, work("a"), number, "x")
    assert store.head(plan.plan_id) == 1


def test_what_was_chosen_last_is_kept_and_is_no_plan(store: Store, reopened: Store) -> None:
    assert store.choice("plan") == ""
    for value in ("a", "b"):
        store.choose("plan", value)
        assert reopened.choice("plan") == value
    assert reopened.choice("units") == "" and store.faults() == ()
    before = store.backup()
    assert b"choices" not in before and store.plans() == ()


def test_names_are_given_once(store: Store, plan: Revision) -> None:
    with pytest.raises(NameTaken) as caught:
        store.create("  OAKS\n", EMPTY)
    assert caught.value.free == "OAKS 2"
    assert store.create(caught.value.free, EMPTY).number == 1
    assert store.free_name("oaks") == store.free_name("oaks 2") == "oaks 3"
    store.create("Oaks 2027", EMPTY)
    assert store.free_name("Oaks 2027") == "Oaks 2027 2"
    assert store.rename(plan.plan_id, "oaKs").name == "oaKs"
    with pytest.raises(NameTaken):
        store.rename(plan.plan_id, "Oaks 2")
    with pytest.raises(ValueError, match="name must have"):
        store.rename(plan.plan_id, "\u200b \n")
    assert store.create("Oaks", EMPTY, kind="register").number == 1


def test_a_copy_goes_its_own_way(store: Store, plan: Revision) -> None:
    store.save(plan.plan_id, work("a", "b"), 1, "work")
    copy = store.copy(plan.plan_id, "Second try")
    store.save(copy.plan_id, {**work("a", "c"), "notes": ["new"]}, 1, "other work")
    assert store.current(plan.plan_id).documents == work("a", "b")
    found = {one.document: one for one in store.compare(plan.plan_id, copy.plan_id)}
    assert found["notes"].manner == "added"
    assert [(row.row, row.manner) for row in found["work"].rows] == [("b", "removed"), ("c", "added")]
    assert [one.name for one in store.plans()] == ["Second try", "Oaks"]


def test_a_deleted_plan_comes_back_with_its_history(store: Store, plan: Revision) -> None:
    store.save(plan.plan_id, work("a"), 1, "a")
    gone = store.delete(plan.plan_id)
    assert gone.deleted_at is not None and gone.gone_at == gone.deleted_at + RECOVERABLE
    assert (store.plans(), [one.id for one in store.deleted()]) == ((), [plan.plan_id])
    for call in (store.current, store.head, store.delete):
        with pytest.raises(NoSuchPlan, match="deleted"):
            call(plan.plan_id)
    with pytest.raises(NoSuchPlan):
        store.save(plan.plan_id, work("b"), 2, "from another window")
    other = store.create("Oaks", EMPTY)
    with pytest.raises(NameTaken):
        store.recover(plan.plan_id)
    store.rename(plan.plan_id, "Old oaks")
    assert store.recover(plan.plan_id).name == "Old oaks"
    assert store.undo(plan.plan_id, 2).documents == EMPTY
    assert {one.id for one in store.plans()} == {plan.plan_id, other.plan_id}


def test_what_was_deleted_long_ago_goes_and_nothing_else(store: Store, plan: Revision) -> None:
    twin = store.copy(plan.plan_id, "Twin")
    store.save(plan.plan_id, work("only here"), 1, "a")
    deleted_at = store.delete(plan.plan_id).deleted_at
    assert deleted_at is not None
    assert store.clear_out(deleted_at + RECOVERABLE) == 0
    assert store.clear_out(deleted_at + RECOVERABLE + timedelta(seconds=1)) == 1
    assert store.deleted() == ()
    with pytest.raises(NoSuchPlan):
        store.recover(plan.plan_id)
    assert (store.current(twin.plan_id).documents, store.faults()) == (EMPTY, ())
    assert b"only here" not in store.backup()


def test_an_unknown_plan_is_told(store: Store) -> None:
    calls = (store.current, store.delete, store.recover, store.history, lambda plan: store.copy(plan, "x"))
    for call in calls:
        with pytest.raises(NoSuchPlan):
            call("0123456789abcdef")


def test_a_description_is_one_short_line(store: Store, plan: Revision) -> None:
    saved = store.save(plan.plan_id, work("a"), 1, "a\nb\x00" + "c" * 500, session="\t" + "s" * 500)
    step = store.history(plan.plan_id)[0]
    assert (step.what, step.session) == (saved.what, saved.session)
    assert saved.what.startswith("a b c") and len(saved.what) == 200 and len(saved.session) == 100
