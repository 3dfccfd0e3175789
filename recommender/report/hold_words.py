"""Who holds the line behind a brake, in the same words wherever it is told."""

from __future__ import annotations

from collections.abc import Iterable

from recommender.kit.hold_notes import HEAVY_REMEDY
from recommender.kit.result import Assignment, Holding
from recommender.report.figures import counted

TOO_HEAVY_TO_HOLD = "Too heavy for the crew's hands at the brake"


def on_the_tail(people: int, there: int) -> str:
    """How many people a piece takes behind the brake, and that they are not there where it is so.

    >>> on_the_tail(1, 2), on_the_tail(2, 2), on_the_tail(3, 2)
    ('1 person', '2 people', '3 people; 2 there: more wraps, or cut smaller')
    """
    if people <= there:
        return counted(people, "person", "people")
    return f"{people} people; {there} there: more wraps, or cut smaller"


def held_words(hold: Holding) -> str:
    """The people on the tail of a setup; where one alone would hold it, whether the line may run on at the peak."""
    slips = "; may run on at the peak" if hold.verdict == "slips at the peak" else ""
    return on_the_tail(hold.people, hold.there) + slips


def too_heavy(rigged: Iterable[Assignment]) -> str:
    """The job types whose largest piece the crew does not hold at the brake, and what to do; empty without any."""
    jobs = [
        f"{one.job} ({counted(one.holding.people, 'person', 'people')}; {one.holding.there} there)"
        for one in rigged
        if one.holding is not None and one.holding.verdict == "too heavy for the crew"
    ]
    return f"{TOO_HEAVY_TO_HOLD}: {', '.join(jobs)}. {HEAVY_REMEDY}" if jobs else ""
