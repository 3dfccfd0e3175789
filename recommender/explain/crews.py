"""How several crews, or several setups of one crew, are rigged at the same time with one kit.

The kit holds gear for all of them at once; a result tells one setup for each job type, the best one. Here every crew
has its own, each from what the ones before leave over.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np

from recommender.kit.check import OWNED
from recommender.kit.hold_notes import holding_notes
from recommender.kit.planning import PreparedPlan, assignments_of, prepare
from recommender.kit.problem import Ints
from recommender.kit.result import Assignment, KitResult
from recommender.kit.setups import Setup, SetupRater
from recommender.work.plan import Plan

MOST_TRIES = 200
"""Mixes that are looked through; the first one nearly always does."""
CREW = ", crew "
"""Between the name of a job type and the number of its crew."""
_WHOSE = re.compile(rf"{CREW}\d+( setup \d+)?$")


def by_crew(plan: Plan, result: KitResult) -> KitResult:
    """A result with the setups of every crew, each under the name of its job type and crew.

    Parameters
    ----------
    plan : Plan
    result : KitResult
        Of that plan.

    Returns
    -------
    KitResult
        The same one where a single setup is up at a time. A job type that can't be told crew by crew keeps its first.
        The notes on holding at the brake are those of all crews.
    """
    crews = plan.settings.crew.crews
    if not result.assignments or crews * max(job.systems for job in plan.jobs) == 1:
        return result
    prepared = prepare(plan)
    counts = np.array([result.pieces.get(id, 0) for id in prepared.problem.item_ids], dtype=np.int64)
    told: list[Assignment] = []
    for case, job in enumerate(plan.jobs):
        setups = setups_at_once(prepared, counts, case, crews * job.systems)
        for number, one in enumerate(assignments_of(prepared, setups)):
            told.append(one.model_copy(update={"job": one.job + _whose(number, crews, job.systems)}))
    of_first = holding_notes(plan, result.assignments)
    others = (note for note in result.notes if note not in of_first)
    notes = (*others, *holding_notes(plan, told_apart(told)))
    return result.model_copy(update={"assignments": tuple(told), "notes": notes})


def told_apart(rigged: Iterable[Assignment]) -> tuple[Assignment, ...]:
    """Setups crew by crew; one for all of a job type, under its name, where they have the same items.

    Parameters
    ----------
    rigged : iterable of Assignment
        As :func:`by_crew` names them.
    """
    by_job: dict[str, list[Assignment]] = {}
    for one in rigged:
        by_job.setdefault(job_of(one.job), []).append(one)
    told: list[Assignment] = []
    for job, setups in by_job.items():
        items = {tuple((part, _plain(id)) for part, id in sorted(one.parts.items())) for one in setups}
        told += setups if len(items) > 1 else [setups[0].model_copy(update={"job": job})]
    return tuple(told)


def _plain(item: str) -> str:
    """An item's id without the mark of what is owned."""
    return item.removeprefix(OWNED).partition("#")[0]


def job_of(name: str) -> str:
    """The job type of a setup's name.

    >>> job_of("oak limbs, crew 2"), job_of("oak limbs, crew 1 setup 2"), job_of("limbs, crew aloft")
    ('oak limbs', 'oak limbs', 'limbs, crew aloft')
    """
    return _WHOSE.sub("", name)


def setups_at_once(prepared: PreparedPlan, counts: Ints, case: int, number: int) -> tuple[Setup, ...]:
    """So many setups of one load case that a kit rigs at the same time, the least loaded first.

    Only the first one, as it is reported, where no such mix is found among those that spare each other's gear.
    """
    rater = SetupRater(prepared.fits)
    tries = MOST_TRIES

    def rest(counts: Ints, left: int) -> tuple[Setup, ...] | None:
        nonlocal tries
        if not left:
            return ()
        tries -= 1
        if tries < 0:
            return None
        for taken in (counts, -(-counts // left)):  # from all that is there, then from a fair share of it
            for setup in rater.choices(prepared.problem, taken, case):
                after = counts - np.bincount(list(setup.parts.values()), minlength=len(counts))
                others = rest(after, left - 1)
                if others is not None:
                    return (setup, *others)
        return None

    return rest(counts, number) or (rater.best(prepared.problem, counts, case),)


def _whose(number: int, crews: int, systems: int) -> str:
    crew, system = divmod(number, systems)
    mark = f"{CREW}{crew + 1}" if crews > 1 else f"{CREW}1"
    return f"{mark} setup {system + 1}" if systems > 1 else mark
