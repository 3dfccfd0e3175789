"""Backup to one file and back: nothing lost, nothing overwritten, nothing taken from a broken file."""

from __future__ import annotations

import io
import json
import random
import zipfile
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from recommender.store import BrokenBackup, Store, backup

PAST = 5


@pytest.fixture
def other(new_url: Callable[[], str]) -> Iterator[Store]:
    with Store.open(new_url()) as store:
        yield store


@pytest.fixture
def filled(store: Store) -> Store:
    return fill(store)


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A backup; it is the same from either engine."""
    with Store.open(tmp_path_factory.mktemp("backup") / "plans.db") as store:
        return fill(store).backup()


def fill(store: Store) -> Store:
    """Plans with a history that branches, one of them undone, one deleted, one kept as a register."""
    plan = store.create("Oaks", {"work": []}, session="window 1")
    for number in range(1, PAST):
        store.save(
            plan.plan_id, {"work": [{"job": f"limbs {number} ☂"}], "notes": None}, number, f"edit {number}"
        )
    store.undo(plan.plan_id, PAST)
    store.save(plan.plan_id, {"work": [{"job": "tops"}]}, PAST - 1, "another way")
    store.undo(plan.plan_id, PAST + 1)
    store.delete(store.copy(plan.plan_id, "Gone").plan_id)
    store.create("Truck", {"register": [{"id": "R-001"}]}, kind="register")
    store.create("Without anything", {})
    return store


def state_of(store: Store) -> list[Any]:
    """All that a store holds, with every state of every plan."""
    return [
        (one, store.history(one.id), [store.revision(one.id, step.number) for step in store.history(one.id)])
        if one.deleted_at is None
        else one
        for kind in ("plan", "register")
        for one in sorted((*store.plans(kind), *store.deleted(kind)), key=lambda one: one.id)
    ]


def test_everything_comes_back(filled: Store, other: Store) -> None:
    restored = other.restore(filled.backup())
    assert (set(restored.added), restored.there) == ({"Oaks", "Gone", "Truck", "Without anything"}, ())
    assert state_of(other) == state_of(filled)
    oaks = next(one for one in other.plans() if one.name == "Oaks")
    assert other.redo(oaks.id, oaks.head).documents == {"work": [{"job": "tops"}]}
    other.recover(other.deleted()[0].id)
    assert other.faults() == ()


def test_a_backup_moves_between_the_engines(filled: Store, tmp_path: Path) -> None:
    with Store.open(tmp_path / "moved.db") as moved:
        moved.restore(filled.backup())
        assert state_of(moved) == state_of(filled)


def test_nothing_is_overwritten(filled: Store, other: Store) -> None:
    """What is there already or has gone on stays; what went another way comes in beside it."""
    data = filled.backup()
    other.restore(data)
    oaks = next(one for one in other.plans() if one.name == "Oaks")
    gone_on = other.save(oaks.id, {"work": "went on"}, oaks.head, "went on")
    assert other.restore(data).added == ()
    assert other.current(oaks.id) == gone_on
    filled.save(oaks.id, {"work": "went elsewhere"}, oaks.head, "went elsewhere")
    assert other.restore(filled.backup()).added == ("Oaks 2",)
    assert other.current(oaks.id) == gone_on
    beside = next(one for one in other.plans() if one.name == "Oaks 2")
    assert other.current(beside.id).documents == {"work": "went elsewhere"}
    assert other.faults() == ()


def test_a_name_that_is_taken_is_changed(filled: Store, other: Store) -> None:
    mine = other.create("OAKS", {"work": "mine"})
    assert "Oaks 2" in other.restore(filled.backup()).added
    assert other.current(mine.plan_id).documents == {"work": "mine"}


def test_a_broken_file_changes_nothing(data: bytes, other: Store) -> None:
    """Cut off anywhere, or with any byte changed: refused, or all the same."""
    chance, before = random.Random(1), state_of(other)
    for _ in range(40):
        with pytest.raises(BrokenBackup):
            other.restore(data[: chance.randrange(len(data))])
    whole = backup.read(data)
    for _ in range(300):
        place = chance.randrange(len(data))
        broken = data[:place] + bytes([data[place] ^ 1 << chance.randrange(8)]) + data[place + 1 :]
        try:  # a byte that says nothing about the contents, such as that of a time, may change
            assert backup.read(broken) == whole
        except BrokenBackup as error:
            assert "Nothing was changed" in str(error)
    for nothing in (b"", b"PK", b"\x00" * 1000, b"a letter"):
        with pytest.raises(BrokenBackup, match="no backup"):
            other.restore(nothing)
    assert state_of(other) == before


def rewritten(data: bytes, change: Callable[[dict[str, Any]], object], *, honest: bool = True) -> bytes:
    """The backup with its list changed by somebody, who made the checksum anew if ``honest`` is set."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        contents = json.loads(old.read(backup.CONTENTS))
        change(contents)
        text = json.dumps(contents).encode()
        for name in old.namelist():
            content = old.read(name)
            if name == backup.CONTENTS:
                content = text
            elif name == backup.CHECKSUM and honest:
                content = sha256(text).hexdigest().encode()
            new.writestr(name, content)
    return out.getvalue()


def plan_named_oaks(contents: dict[str, Any]) -> dict[str, Any]:
    return next(plan for plan in contents["plans"] if plan["name"] == "Oaks")


CHANGES: dict[str, tuple[Callable[[dict[str, Any]], object], str]] = {
    "newer": (lambda c: c.update(version=2), "newer version"),
    "another form": (lambda c: c.update(format="letters"), "broken at format"),
    "a state is missing": (lambda c: plan_named_oaks(c)["states"].pop(1), "a state is missing"),
    "no state": (lambda c: plan_named_oaks(c).update(states=[]), "not there"),
    "head is not there": (lambda c: plan_named_oaks(c).update(head=99), "not there"),
    "redo leads elsewhere": (lambda c: plan_named_oaks(c)["redo"].update({"1": 4}), "not there"),
    "loop": (
        lambda c: plan_named_oaks(c)["states"][1].update(parent=2) or plan_named_oaks(c).update(redo={}),
        "not follow",
    ),
    "unknown document": (
        lambda c: plan_named_oaks(c)["states"][1]["documents"].update(work="0" * 64),
        "missing",
    ),
    "a path": (lambda c: plan_named_oaks(c)["states"][1]["documents"].update(work="../x"), "missing"),
    "unknown field": (lambda c: c.update(run="this"), "broken at run"),
    "a name of nothing": (lambda c: plan_named_oaks(c).update(name="\n"), "name must have"),
    "a sign that can't be shown": (
        lambda c: plan_named_oaks(c)["states"][0].update(what="\0"),
        "can't be shown",
    ),
    "twice": (lambda c: c["plans"].append(plan_named_oaks(c)), "there twice"),
    "no zone": (lambda c: plan_named_oaks(c).update(deleted_at="2026-01-01T00:00:00"), "no time in UTC"),
    "no time": (lambda c: plan_named_oaks(c).update(created_at="yesterday"), "broken at plans"),
    "an id of another kind": (lambda c: plan_named_oaks(c).update(id="'; DROP"), "broken at plans"),
}


@pytest.mark.parametrize("case", CHANGES)
def test_a_list_that_does_not_add_up_is_refused(case: str, data: bytes) -> None:
    change, said = CHANGES[case]
    with pytest.raises(BrokenBackup, match=said):
        backup.read(rewritten(data, change))


def test_a_list_that_was_changed_is_noticed(data: bytes) -> None:
    changed = rewritten(data, lambda c: plan_named_oaks(c).update(name="Elms"), honest=False)
    with pytest.raises(BrokenBackup, match="not what was saved"):
        backup.read(changed)


def test_a_document_that_was_exchanged_is_noticed(data: bytes) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, b"[]" if name.startswith(backup.DOCUMENTS) else old.read(name))
    with pytest.raises(BrokenBackup, match="not what was saved"):
        backup.read(out.getvalue())


def test_a_file_is_replaced_whole_or_not_at_all(
    filled: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "backup.zip"
    path.write_bytes(b"the backup before")

    def power_fails(_: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", power_fails)
        with pytest.raises(KeyboardInterrupt):
            filled.backup_to(path)
    assert [(one.name, one.read_bytes()) for one in tmp_path.glob("*back*")] == [
        ("backup.zip", b"the backup before")
    ]
    filled.backup_to(path)
    assert backup.read(path.read_bytes()).store.plans
