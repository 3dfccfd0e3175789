"""When registered gear is due for inspection, when it retires, and what of it may be planned with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache, cached_property
from math import floor

from catalog_schema.catalogue import Catalogue
from catalog_schema.units import from_si
from recommender.ratings.parts import retired
from recommender.ratings.settings import Policy
from recommender.sourced import Sourced, cite, data_rows
from recommender.work.register import Inspection, RegisterItem, Service, months_after
from recommender.work.tables import OwnedGear

MADE_LIMIT = Sourced(
    10.0, "yr", "life_safety_life", note="life-safety rope from its making, used here for planning"
)
"""Age of a textile since its making at which it retires, used little or much."""

DAILY = (
    Sourced(1.0, "day", "osha_1926_251", "(a)(6)", "slings: each day or shift, before use"),
    Sourced(1.0, "day", "ansi_z133_2017", "8.1.3", "arborist lines and gear: before each use"),
    Sourced(1.0, "day", "asse_a10_48", "10.3", "synthetic rope used for lifting: each day, in writing"),
)
"""Looks before use, which stand beside the inspections that a register keeps."""

TEXTILES = ("ropes", "slings")
MONTHS_PER_YEAR = 12
SECONDS_PER_DAY = 86_400.0


@dataclass(frozen=True)
class Interval:
    """Most months between inspections, and who says so."""

    months: int
    source: str
    place: str = ""
    note: str = ""

    def __str__(self) -> str:
        how_often = f"every {self.months} months" if self.months != 1 else "every month"
        where = " of ".join(part for part in (self.place, cite(self.source)) if part)
        return f"{how_often} ({'; '.join(part for part in (where, self.note) if part)})"


Intervals = Mapping[tuple[str, Service], Interval]
"""Table of the catalogue and service -> interval."""


@cache
def default_intervals() -> Intervals:
    """The intervals that hold where a register says nothing else; lay own ones over them with ``|``.

    Examples
    --------
    >>> default_intervals()["slings", "severe"].months, default_intervals()["connectors", "loler"].months
    (3, 6)
    """
    return {
        (row["table"], row["service"]): Interval(int(row["months"]), row["source"], row["place"], row["note"])  # type: ignore[misc]
        for row in data_rows("inspection_intervals.csv")
    }


@dataclass(frozen=True)
class Due:
    """The next inspection of a piece: its day, the last one, and the rule behind the day."""

    item: RegisterItem
    due: date
    last: Inspection | None
    rule: str


@dataclass(frozen=True)
class Retirement:
    """A piece that may not be used for loads any more: since when (None if that is not known), and why."""

    item: RegisterItem
    since: date | None
    reason: str
    may_pass: bool = False
    """Whether a passed inspection brings it back: only where one that failed is all that keeps it out."""

    def __str__(self) -> str:
        return f"{self.reason} ({self.since.isoformat()})" if self.since else self.reason


@dataclass(frozen=True)
class Register:
    """Owned gear with its inspections, rows as :mod:`recommender.work.register` has checked them.

    A day is still in time on its due day. An item that the catalogue does not list has no kind: it is inspected as
    a rope, which is the strictest but for monthly rules, and not planned with.
    """

    items: tuple[RegisterItem, ...]
    inspections: tuple[Inspection, ...]
    catalogue: Catalogue
    intervals: Intervals = field(default_factory=default_intervals)

    @cached_property
    def _tables(self) -> dict[str, str]:
        by_id = {row.id: name for name, rows in self.catalogue.tables().items() for row in rows}
        return by_id | {one.id: "ropes" for one in self.catalogue.rope_lengths}

    @cached_property
    def _last(self) -> dict[str, Inspection]:
        """The last inspection of each piece; of two on one day the one that failed."""
        ordered = sorted(self.inspections, key=lambda one: (one.day, one.result == "failed"))
        return {one.piece: one for one in ordered}

    def table_of(self, item: RegisterItem) -> str:
        """The catalogue's table that a piece belongs to; empty if the catalogue does not list it."""
        return self._tables.get(item.item, "")

    def next_due(self, item: RegisterItem) -> Due:
        """When a piece is to be inspected next: by the last inspection, its own interval, or that of its kind."""
        usual = self.intervals[self.table_of(item) or "ropes", item.service]
        months = item.months_between or usual.months
        last = self._last.get(item.id)
        if last is not None and last.next_due is not None:
            return Due(item, last.next_due, last, "as the last inspection says")
        rule = str(usual)
        if item.months_between:
            longer = f", longer than usual: {usual}" if months > usual.months else ""
            rule = f"own interval of {months} months{longer}"
        return Due(item, months_after(last.day if last else item.start, months), last, rule)

    def overdue(self, policy: Policy, today: date) -> tuple[Due, ...]:
        """Inspections whose day has passed, the longest overdue first; of pieces that are in use."""
        return tuple(due for due in self._dues(policy, today) if due.due < today)

    def due_within(self, policy: Policy, today: date, days: int) -> tuple[Due, ...]:
        """Inspections of the next days, today included, the first of them first; of pieces that are in use.

        Raises
        ------
        ValueError
            If ``days`` is negative.
        """
        if days < 0:
            raise ValueError(f"days must be 0 or more, not {days!r}")
        return tuple(due for due in self._dues(policy, today) if 0 <= (due.due - today).days <= days)

    def _dues(self, policy: Policy, today: date) -> list[Due]:
        dues = [self.next_due(item) for item in self.items if self._retirement(item, policy, today) is None]
        return sorted(dues, key=lambda due: (due.due, due.item.id))

    def retires_on(self, item: RegisterItem, policy: Policy) -> date | None:
        """The day on which a piece retires by its age; metal parts have no limit of age here."""
        if self.table_of(item) not in TEXTILES:
            return None
        used = months_after(item.start, floor(policy.retirement.textile_years * MONTHS_PER_YEAR))
        made = item.made and months_after(item.made, floor(MADE_LIMIT.value * MONTHS_PER_YEAR))
        return min(used, made) if made else used

    def retired(self, policy: Policy, today: date) -> tuple[Retirement, ...]:
        """Pieces out of use: taken out, failed, worn, or too old; in the order of the register."""
        found = (self._retirement(item, policy, today) for item in self.items)
        return tuple(one for one in found if one is not None)

    def _retirement(self, item: RegisterItem, policy: Policy, today: date) -> Retirement | None:
        """Why a piece is out of use: what no inspection can undo first."""
        if item.retired_on is not None and item.retired_on <= today:
            return Retirement(item, item.retired_on, "taken out of use")
        by_age = self.retires_on(item, policy)
        if by_age is not None and by_age <= today:
            limit = policy.retirement.textile_years
            said = f"too old: textiles retire {limit:g} years after first use, {MADE_LIMIT.value:g} after their making"
            return Retirement(item, by_age, said)
        textile = self.table_of(item) in TEXTILES
        reason = retired(textile, from_si(_age(item, today), "yr", "age"), item.condition or "sound", policy)
        if reason:
            return Retirement(item, None, reason)
        last = self._last.get(item.id)
        if last is not None and last.result == "failed":
            return Retirement(item, last.day, "failed its last inspection", may_pass=True)
        return None

    def left_out(self, policy: Policy, today: date) -> dict[str, str]:
        """Why pieces may not be planned with, by their ids; those that may be are not in it."""
        gone = {one.item.id: str(one) for one in self.retired(policy, today)}
        late = {due.item.id: due.due.isoformat() for due in self.overdue(policy, today)}
        reasons: dict[str, str] = {}
        for item in self.items:
            if item.id in gone:
                reasons[item.id] = gone[item.id]
            elif not self.table_of(item):
                reasons[item.id] = "the catalogue does not list it"
            elif item.condition is None:
                reasons[item.id] = "its condition is not written down"
            elif item.id in late:
                reasons[item.id] = f"its inspection was due on {late[item.id]}"
        return reasons

    def owned_gear(self, policy: Policy, today: date) -> tuple[tuple[OwnedGear, ...], tuple[str, ...]]:
        """What a kit may be planned with, as owned gear with its age, and notes on what is left out and why.

        Parameters
        ----------
        policy : Policy
            Says when textiles retire.
        today : date

        Returns
        -------
        tuple of OwnedGear
            Pieces alike are one row.
        tuple of str

        Raises
        ------
        ValueError
            If a piece was first used after ``today``.
        """
        reasons = self.left_out(policy, today)
        rows = (
            OwnedGear(
                item=one.item,
                count=one.count + sum(piece.count for piece in others),
                length=one.length,
                age=_age(one, today),
                condition=one.condition or "sound",
            )
            for one, *others in self.alike(policy, today)
        )
        notes = (
            f"{item.id} ({item.item}) is left out: {reasons[item.id]}."
            for item in self.items
            if item.id in reasons
        )
        return tuple(rows), tuple(notes)

    def alike(self, policy: Policy, today: date) -> tuple[tuple[RegisterItem, ...], ...]:
        """The pieces behind each row of :meth:`owned_gear`: of one kind, length, age and condition."""
        reasons = self.left_out(policy, today)
        groups: dict[tuple[str, float | None, float, str], list[RegisterItem]] = {}
        for item in self.items:
            if item.id not in reasons:
                key = (item.item, item.length, _age(item, today), item.condition or "")
                groups.setdefault(key, []).append(item)
        return tuple(tuple(pieces) for pieces in groups.values())


def _age(item: RegisterItem, today: date) -> float:
    """Age since first use. [s]"""
    if item.start > today:
        raise ValueError(f"first use of {item.id!r} must not be after {today}, not {item.start}")
    return (today - item.start) / timedelta(days=1) * SECONDS_PER_DAY
