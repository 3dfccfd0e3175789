"""Two edits of one document put together, cell by cell, where each cell was changed on one side only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from recommender.store.differences import row_key, rows_of
from recommender.store.documents import Documents, Json

_GONE = object()


class _Conflict(Exception):
    """Both sides changed the same thing in two ways."""


def merged(base: Documents, mine: Documents, theirs: Documents) -> Documents | None:
    """The documents of both edits together, or None if both changed the same cell: then a person must choose.

    Rows are told apart by their names; a row that one side took out and the other changed is a conflict.

    Examples
    --------
    >>> base = {"work": [{"job": "tops", "length": 1.0, "share": 1.0}]}
    >>> mine = {"work": [{"job": "tops", "length": 2.0, "share": 1.0}]}
    >>> theirs = {"work": [{"job": "tops", "length": 1.0, "share": 0.5}]}
    >>> merged(base, mine, theirs)
    {'work': [{'job': 'tops', 'length': 2.0, 'share': 0.5}]}
    >>> merged(base, mine, {"work": [{"job": "tops", "length": 3.0, "share": 1.0}]}) is None
    True
    """
    try:
        return _mapping(base, mine, theirs)
    except _Conflict:
        return None


def _mapping(
    base: Mapping[str, Json], mine: Mapping[str, Json], theirs: Mapping[str, Json]
) -> dict[str, Json]:
    both: dict[str, Json] = {}
    for name in [*theirs, *(name for name in mine if name not in theirs)]:
        value = _value(*(side.get(name, _GONE) for side in (base, mine, theirs)))
        if value is not _GONE:
            both[name] = value  # type: ignore[assignment]
    return both


def _value(base: object, mine: object, theirs: object) -> object:
    """What one place holds after both edits."""
    if mine in (base, theirs):
        return theirs
    if theirs == base:
        return mine
    if isinstance(base, Mapping) and isinstance(mine, Mapping) and isinstance(theirs, Mapping):
        return _mapping(base, mine, theirs)
    if _are_tables(base, mine, theirs):
        return _table(base, mine, theirs)  # type: ignore[arg-type]
    raise _Conflict


def _are_tables(*sides: object) -> bool:
    return all(
        isinstance(side, Sequence) and not isinstance(side, str) and rows_of(side) is not None
        for side in sides
    )


def _table(
    base: Sequence[Mapping[str, Json]],
    mine: Sequence[Mapping[str, Json]],
    theirs: Sequence[Mapping[str, Json]],
) -> list[Json]:
    """The rows of both edits, in their order; a row that is new in mine follows the one that it followed there."""
    key = row_key(base, mine, theirs)
    if key is None:
        raise _Conflict
    was, my, their = ({str(row[key]): row for row in side} for side in (base, mine, theirs))
    gone = was.keys() - my.keys() - their.keys()
    if gone and my.keys() - was.keys() and their.keys() - was.keys():
        raise _Conflict  # one row may have been given two names
    both, order = _mapping(was, my, their), list(their)
    before = ""
    for name in my:
        if name not in their:
            order.insert(order.index(before) + 1 if before in order else len(order), name)
        before = name
    return [both[name] for name in order if name in both]
