"""What kits have more or fewer than others, in one line."""

from __future__ import annotations

from collections.abc import Sequence

from recommender.explain.answers import Change
from recommender.report.figures import money
from recommender.report.specification import OWNED_MARK, catalogue_id


def changes_in_words(changes: Sequence[Change], named: bool = False) -> str:
    """Items that are added and that go; ``named`` ones by their names, with the id behind it.

    >>> one = Change(id="R1/45m", name="rope", pieces=1, price=90.0)
    >>> changes_in_words([one, Change(id="owned:S1", name="sling", pieces=-2, price=0.0)])
    'add R1/45m; leave out 2 x S1 (owned)'
    >>> changes_in_words([one], named=True)
    'add rope (R1/45m)'
    """
    added = [_item(one, named) for one in changes if one.pieces > 0]
    gone = [_item(one, named) for one in changes if one.pieces < 0]
    parts = [f"add {', '.join(added)}"] if added else []
    parts += [f"leave out {', '.join(gone)}"] if gone else []
    return "; ".join(parts) or "nothing changes"


def _item(change: Change, named: bool) -> str:
    count = abs(change.pieces)
    if named:
        name = named_item(change.id, change.name)
        return f"{count} x {name}" if count > 1 else name
    owned = " (owned)" if change.id.startswith(OWNED_MARK) else ""
    return f"{count} x {catalogue_id(change.id)}{owned}" if count > 1 else f"{catalogue_id(change.id)}{owned}"


def named_item(id: str, name: str) -> str:
    """An item by its name, with its id behind it.

    >>> named_item("owned:S1", "sling")
    'sling (S1, owned)'
    """
    return f"{name} ({catalogue_id(id)}{', owned' if id.startswith(OWNED_MARK) else ''})"


def more_or_less(difference: float | None, currency: str) -> str:
    """A difference in cost in words.

    >>> more_or_less(12.0, "EUR"), more_or_less(-3.5, ""), more_or_less(0.0, "EUR"), more_or_less(None, "EUR")
    ('EUR 12.00 more', '3.50 less', 'costs the same', 'no kit would cover the work')
    """
    if difference is None:
        return "no kit would cover the work"
    if difference == 0:
        return "costs the same"
    return f"{money(abs(difference), currency)} {'more' if difference > 0 else 'less'}"
