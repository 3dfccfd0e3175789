"""What can go wrong with saved plans, in words to show."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from recommender.store.documents import Documents
    from recommender.store.records import Revision


class StoreError(Exception):
    """The store can't be opened, read or written; the message says why and what to do."""


class NewerStore(StoreError):
    """The store was brought to a later version by a newer program; nothing was changed."""


class NoSuchPlan(StoreError):
    """There is no plan of this id, or it was deleted."""


class NameTaken(StoreError):
    """Another plan has this name; ``free`` is one like it that is not taken."""

    def __init__(self, name: str, free: str) -> None:
        super().__init__(f"There is a plan named '{name}' already. Take another name, such as '{free}'.")
        self.name = name
        self.free = free


class BrokenBackup(StoreError):
    """A file that is no whole backup; nothing of it was taken in."""


class EditedElsewhere(StoreError):
    """A plan went on in another place since the state that an edit was based on; nothing was saved.

    Attributes
    ----------
    plan_id : str
    based_on : Revision
        The state that the edit was based on.
    mine : Documents or None
        What was to be saved; None if a step was to be undone or done again.
    theirs : Revision
        The state of the plan now.
    """

    def __init__(self, plan_id: str, based_on: Revision, mine: Documents | None, theirs: Revision) -> None:
        super().__init__(
            f"The plan was edited in another window ({theirs.what}) since it was shown here: "
            f"it stands at state {theirs.number}, this edit belongs to state {based_on.number}. Nothing was saved."
        )
        self.plan_id = plan_id
        self.based_on = based_on
        self.mine = mine
        self.theirs = theirs
