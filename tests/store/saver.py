"""A program that saves without pause until it is killed, for ``test_kills.py``.

Reads lines of a URL and a log from its input. For a new URL it first saves a few states itself, so that its forks are
quick from their first save on. It answers with the process id of a fork that saves into the store's only plan, and
with ``gone`` once that was killed. The fork writes a line to its log: ``+ n`` before state n is saved, ``= n`` once it
was reported as saved.
"""

from __future__ import annotations

import os
import sys

from recommender.store import Documents, Store

ROWS = 30


def documents_of(number: int) -> Documents:
    """What state ``number`` holds: two documents that belong together."""
    return {
        "work": [{"job": f"job {row}", "state": number, "share": number / (row + 1)} for row in range(ROWS)],
        "policy": f"state = {number}\n",
        "settings": {"name": "never changed"},
    }


def save_on(store: Store, log: str, most: int) -> None:
    """Save one state after another, with an undo and a redo now and then."""
    with open(log, "a", buffering=1) as said:
        (plan,) = store.plans()
        head, last = plan.head, store.history(plan.id, most=1)[0].number
        for number in range(last + 1, last + 1 + most):
            said.write(f"+ {number}\n")
            head = store.save(plan.id, documents_of(number), head, f"state {number}").number
            said.write(f"= {number}\n")
            if number % 5 == 0:
                head = store.undo(plan.id, head).number
                head = store.redo(plan.id, head).number


def main() -> None:
    """Fork for every line of the input; ends with it."""
    stores: dict[str, Store] = {}
    for line in sys.stdin:
        url, log = line.rstrip("\n").split("\t")
        if url not in stores:
            stores[url] = Store.open(url)
            save_on(stores[url], log, most=5)
            stores[url].close()  # no connection may be shared with a fork
        pid = os.fork()
        if pid == 0:
            save_on(stores[url], log, most=10**9)
        for answer in (str(pid), "gone"):
            sys.stdout.write(f"{answer}\n")
            sys.stdout.flush()
            if answer != "gone":
                os.waitpid(pid, 0)


if __name__ == "__main__":
    main()
