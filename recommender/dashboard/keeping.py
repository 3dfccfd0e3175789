"""Every edit goes into the store at once: where the plan in hand stands there, and what keeps an edit out of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from recommender.store import (
    Documents,
    EditedElsewhere,
    NoSuchPlan,
    PlanParts,
    Revision,
    Store,
    StoreError,
    merged,
    parts_of,
)


@dataclass(frozen=True)
class Kept:
    """Where a plan in hand stands in the store.

    Attributes
    ----------
    plan_id : str
        Empty as long as nothing was edited: looking at an example leaves nothing behind.
    name : str
        Of the plan in the store.
    number : int
        Of the state that is shown.
    can_undo, can_redo : bool
    undoes, redoes : str
        What a step back takes back, and what a step forward does again.
    trouble : StoreError or None
        Why what is on the screen is not what is saved.
    """

    plan_id: str = ""
    name: str = ""
    number: int = 0
    can_undo: bool = False
    can_redo: bool = False
    undoes: str = ""
    redoes: str = ""
    trouble: StoreError | None = None


Held = tuple[PlanParts, Kept]
"""A plan in hand, and where it stands."""


def opened(store: Store, plan_id: str, like: PlanParts | None = None) -> Held:
    """A saved plan.

    Raises
    ------
    StoreError
        If it is not there, was deleted, or can't be read.
    """
    entry = store.entry(plan_id)
    if entry.deleted_at is not None:
        raise NoSuchPlan(
            f"The plan '{entry.name}' was deleted; it can be brought back among the deleted plans."
        )
    return _held(store.current(plan_id), entry.name, like)


def created(store: Store, parts: PlanParts, what: str, session: str) -> Held:
    """A new plan, under its own name or the first like it that is free.

    Raises
    ------
    StoreError
    """
    name = store.free_name(parts.settings.name)
    made = store.create(name, named(parts, name).documents(), what=what, session=session)
    return _held(made, name, parts)


def saved(store: Store, before: Held, parts: PlanParts, what: str, session: str) -> Held:
    """The plan after an edit, kept if that can be; what keeps it from being kept is its ``trouble``.

    Parameters
    ----------
    store : Store
    before : Held
        The plan that was edited; it is the first state of a plan that is new.
    parts : PlanParts
        The plan now.
    what : str
        What was done, in a few words.
    session : str
        Who did it.
    """
    kept = before[1]
    try:
        if not kept.plan_id:
            kept = created(store, before[0], "as it was opened", session)[1]
            parts = named(parts, kept.name)
        state = store.save(kept.plan_id, parts.documents(), kept.number, what, session=session)
    except StoreError as trouble:
        return parts, replace(kept, trouble=trouble)
    return parts, _standing(state, kept.name)


def stepped(store: Store, held: Held, *, forward: bool) -> Held:
    """The plan one step back, or forward again; as it was, with its trouble, if that can't be done."""
    parts, kept = held
    step = store.redo if forward else store.undo
    try:
        return _held(step(kept.plan_id, kept.number), kept.name, parts)
    except StoreError as trouble:
        return parts, replace(kept, trouble=trouble)


def gone_back(store: Store, held: Held, number: int, session: str) -> Held:
    """The plan as it was at an earlier state, as a new state: what came after stays in the history."""
    state = store.revision(held[1].plan_id, number)
    parts = named(parts_of(state.documents, held[0]), held[1].name)
    return saved(store, held, parts, f"back to state {number}: {state.what}", session)


def looked_after(store: Store, held: Held) -> Held:
    """The plan in hand, with its trouble if it went on in another window since it was shown here."""
    parts, kept = held
    if not kept.plan_id or kept.trouble is not None:
        return held
    try:
        entry = store.entry(kept.plan_id)
        if entry.deleted_at is not None:
            raise NoSuchPlan(f"The plan '{entry.name}' was deleted in another window.")
        if entry.head != kept.number:
            base = store.revision(kept.plan_id, kept.number)
            raise EditedElsewhere(kept.plan_id, base, None, store.current(kept.plan_id))
    except StoreError as trouble:
        return parts, replace(kept, trouble=trouble)
    return parts, kept if kept.name == entry.name else replace(kept, name=entry.name)


def put_together(store: Store, held: Held, session: str) -> Held:
    """This edit and that of another window together, where no cell was changed in both.

    Raises
    ------
    ValueError
        If one was: then a person must choose.
    """
    parts, kept = held
    trouble = kept.trouble
    both = both_edits(store, held)
    if both is None or not isinstance(trouble, EditedElsewhere):
        raise ValueError("held must differ from the other window in other cells only")
    theirs = store.current(kept.plan_id)
    now = named(parts_of(both, parts), kept.name)
    return saved(store, (parts, _standing(theirs, kept.name)), now, "two edits put together", session)


def both_edits(store: Store, held: Held) -> Documents | None:
    """The documents of both edits together, or None if they can't be put together by themselves."""
    parts, kept = held
    if not isinstance(kept.trouble, EditedElsewhere):
        return None
    theirs = store.current(kept.plan_id)
    return merged(kept.trouble.based_on.documents, parts.documents(), theirs.documents)


def named(parts: PlanParts, name: str) -> PlanParts:
    """The plan under another name."""
    if parts.settings.name == name:
        return parts
    return replace(parts, settings=parts.settings.model_copy(update={"name": name}))


def _held(state: Revision, name: str, like: PlanParts | None) -> Held:
    return named(parts_of(state.documents, like), name), _standing(state, name)


def _standing(state: Revision, name: str) -> Kept:
    undoes = state.what if state.can_undo else ""
    return Kept(state.plan_id, name, state.number, state.can_undo, state.can_redo, undoes, state.redoes)
