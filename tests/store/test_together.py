"""Many windows at once: every reported edit is kept, none is overwritten, each has one place in the history."""

from __future__ import annotations

import threading
from collections.abc import Callable

from recommender.store import EditedElsewhere, NameTaken, Store

WINDOWS, EDITS = 4, 8


def at_once(work: Callable[[int], None], count: int = WINDOWS) -> None:
    """Call something from several threads, and raise what any of them raised."""
    failed: list[BaseException] = []

    def guarded(number: int) -> None:
        try:
            work(number)
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=guarded, args=(number,)) for number in range(count)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    if failed:
        raise failed[0]


def test_windows_that_edit_one_plan(url: str) -> None:
    """Each window adds its rows, and on a conflict begins again from the state that is there."""
    with Store.open(url) as store:
        plan = store.create("Oaks", {"work": []}).plan_id

        def edit(window: int) -> None:
            with Store.open(url) as own:
                state = own.current(plan)
                for number in range(EDITS):
                    while True:
                        rows = [*state.documents["work"], f"{window}-{number}"]  # type: ignore[misc]
                        try:
                            state = own.save(plan, {"work": rows}, state.number, "row", session=str(window))
                            break
                        except EditedElsewhere as error:
                            state = error.theirs

        at_once(edit)
        rows = store.current(plan).documents["work"]
        assert sorted(rows) == sorted(f"{w}-{n}" for w in range(WINDOWS) for n in range(EDITS))  # type: ignore[arg-type, type-var]
        assert len(store.history(plan)) == 1 + WINDOWS * EDITS
        assert store.faults() == ()


def test_one_of_the_windows_wins(store: Store) -> None:
    """The same store shared between threads, as a server's program does it."""
    plan = store.create("Oaks", {"work": []}).plan_id
    won: list[int] = []
    lost: list[EditedElsewhere] = []

    def edit(window: int) -> None:
        try:
            store.save(plan, {"work": window}, 1, "edit")
            won.append(window)
        except EditedElsewhere as error:
            lost.append(error)

    at_once(edit)
    assert (len(won), len(lost)) == (1, WINDOWS - 1)
    assert store.current(plan).documents == {"work": won[0]}
    assert {(error.theirs.number, error.theirs.documents["work"]) for error in lost} == {(2, won[0])}


def test_a_name_goes_to_one(store: Store) -> None:
    taken: list[int] = []

    def create(window: int) -> None:
        try:
            store.create("Oaks", {"work": window})
        except NameTaken:
            taken.append(window)

    at_once(create)
    assert (len(store.plans()), len(taken)) == (1, WINDOWS - 1)


def test_deleting_for_good_does_not_take_what_others_save(store: Store) -> None:
    """A document that two plans share stays as long as one of them has it."""

    def come_and_go(window: int) -> None:
        for number in range(EDITS):
            one = store.create(f"{window}-{number}", {"work": "shared", "own": window})
            store.save(one.plan_id, {"work": "shared", "own": number}, 1, "edit")
            if number % 2:
                gone_at = store.delete(one.plan_id).gone_at
                assert gone_at is not None
                store.clear_out(gone_at.replace(year=gone_at.year + 1))

    at_once(come_and_go)
    assert len(store.plans()) == WINDOWS * EDITS // 2
    assert store.faults() == ()
