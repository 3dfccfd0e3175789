"""Kits at little more cost that differ most from the cheapest one: what else could be bought.

Each next kit holds the fewest of the bought items of the cheapest kit and of the alternatives before it (an item counts
once for each of these kits), leaves out at least one of each, and is the cheapest at that. What the crew needs whatever
the work, and owned gear, do not count: they are no choice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from recommender.explain.answers import AlternativeKit, AlternativesResult
from recommender.explain.kits import changes, checked_kit
from recommender.explain.programmes import most_different
from recommender.explain.progress import Progress, silent
from recommender.explain.questions import Flags, KitQuestions, questions_about
from recommender.kit.problem import UNLIMITED, Ints
from recommender.kit.reduce import tidy_ways
from recommender.kit.solve import KitSolution, SolverSettings
from recommender.kit.solver import Status
from recommender.kit.stock import CENTS, GRAMS
from recommender.work.plan import Plan

MOST = 3
"""Kits that are looked for."""


def different_kits(
    questions: KitQuestions, cases: Flags, best: Ints, within: float, most: int = MOST
) -> Iterator[KitSolution]:
    """The kits that differ most, one after the other.

    Parameters
    ----------
    questions : KitQuestions
    cases : array of bool, shape (cases,)
        Load cases that every kit has to cover.
    best : array of int, shape (items,)
        The cheapest kit for them.
    within : float
        How much more a kit may cost, as a share of the cheapest, >= 0. [-]
    most : int

    Raises
    ------
    ValueError
        If ``within`` is negative or not a number.
    """
    if not (np.isfinite(within) and within >= 0):
        raise ValueError(f"within must be at least 0, not {within}")
    problem = questions.problem
    highest = int(np.floor(int(problem.price @ best) * (1 + within) + 1e-6))
    bought = problem.limit >= UNLIMITED
    kits = [(best > 0) & bought]
    while kits[0].any() and len(kits) <= most:
        found = _next_kit(questions, cases, highest, kits)
        if found is None:
            return
        yield found
        kits.append((found.pieces > 0) & bought)


def _next_kit(questions: KitQuestions, cases: Flags, highest: int, kits: list[Flags]) -> KitSolution | None:
    """Grown by the load cases that a kit fails: leaving some out can only make it differ more."""
    active = questions.deciding & cases
    while True:
        worth = questions.worth(active, highest)
        ways = tidy_ways(questions.ways.restricted(np.flatnonzero(active), worth))
        items = worth & _serving(questions, ways.serving(len(worth)))
        found = most_different(questions.problem, ways, items, highest, kits, questions.settings)
        if found is None:
            return None
        missing = cases & ~questions.covered(found.pieces, cases)
        if not missing.any():
            return replace(found, pieces=questions.thinned(found.pieces, cases))  # owned gear costs nothing
        active = active | questions.hardest(missing)


def _serving(questions: KitQuestions, serving: Flags) -> Flags:
    for items, _ in questions.problem.standing:
        serving[list(items)] = True
    return serving


def alternatives(
    plan: Plan,
    best: KitSolution,
    within: float,
    *,
    settings: SolverSettings | None = None,
    progress: Progress = silent,
) -> AlternativesResult:
    """Kits whose rigging gear costs at most a share more than the cheapest, and that differ most.

    Parameters
    ----------
    plan : Plan
    best : KitSolution
        The cheapest kit, of ``prepare(whole_spools(plan)).problem``.
    within : float
        [-]
    settings : SolverSettings, optional
    progress : callable, optional

    Returns
    -------
    AlternativesResult
        ``complete`` is false where it was interrupted: it holds the kits found until then.

    Raises
    ------
    InternalFault
        If a kit fails its independent check.
    """
    prepared, questions, cases = questions_about(plan, settings=settings)
    gear = best.pieces - questions.extras
    questions.at_hand = gear
    kits: list[AlternativeKit] = []
    complete, proven = True, best.gap == 0.0
    bought = (gear > 0) & (questions.problem.limit >= UNLIMITED)
    try:
        progress(0, MOST + 1, "the load cases that decide")
        questions.cheapest(cases)
        questions.raise_floor(questions.deciding & cases)
        for found in different_kits(questions, cases, gear, within):
            pieces = found.pieces + questions.extras
            checked = checked_kit(plan, pieces)
            proven &= found.status is Status.PROVEN_OPTIMAL
            kits.append(
                AlternativeKit(
                    purchase_cost=checked.purchase_cost,
                    gear_cost=found.cost / CENTS,
                    mass_kg=checked.mass_kg,
                    different=int((bought & (found.pieces == 0)).sum()),
                    out_of=int(bought.sum()),
                    changes=changes(prepared.fits.items, best.pieces, pieces),
                    items=checked.items,
                    assignments=checked.assignments,
                )
            )
            progress(len(kits) + 1, MOST + 1, "kits that differ")
    except KeyboardInterrupt:
        complete = False
    return AlternativesResult(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        currency=plan.catalogue.currency,
        complete=complete,
        proven=proven,
        notes=prepared.notes,
        within=within,
        purchase_cost=best.cost / CENTS,
        gear_cost=int(questions.problem.price @ gear) / CENTS,
        mass_kg=int(questions.problem.mass @ best.pieces) / GRAMS,
        kits=tuple(kits),
    )
