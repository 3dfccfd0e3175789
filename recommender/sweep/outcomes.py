"""What comes of a drawn season: the job types that a kit fails, and the cheapest kit for it."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from hashlib import sha256

import numpy as np
from pydantic import Field

from recommender.kit.cover import covered_cases
from recommender.kit.planning import STATUS, prepare, whole_spools
from recommender.kit.problem import Ints, KitProblem, Ways
from recommender.kit.reduce import tidy_ways
from recommender.kit.result import ResultStatus, Typed
from recommender.kit.solve import KitSolution, SolverSettings, solve
from recommender.kit.solver import USABLE
from recommender.kit.stock import CENTS
from recommender.sweep.draws import Season, draw_season
from recommender.sweep.kits import JudgedKit
from recommender.sweep.settings import SweepSettings
from recommender.work.cases import load_cases
from recommender.work.plan import Plan

KNOWN_AT_ONCE = 1000
"""Solutions that are remembered, for draws that ask the same."""

SOLVER = SolverSettings(threads=1)
"""Seasons are worked out side by side, so that each has one thread."""


class DrawOutcome(Typed):
    """What came of one draw. ``cost`` is in units of the currency.

    ``pieces`` holds the job types of the season with their pieces; ``failed`` those of them that the judged kit does
    not carry; ``beyond`` those that nothing in the catalogue carries. ``status``, ``cost`` and ``items`` (id to pieces)
    are those of the draw's own cheapest kit, empty where it was not looked for.
    """

    number: int
    pieces: dict[str, float]
    failed: tuple[str, ...]
    beyond: tuple[str, ...] = ()
    status: ResultStatus | None = None
    cost: float | None = None
    items: dict[str, int] = Field(default_factory=dict)

    @property
    def covered(self) -> bool:
        """Whether the judged kit carries every piece of the season."""
        return not self.failed


class SeasonJudge:
    """Works out draws of one plan; stock, ratings and lines are worked out once.

    Parameters
    ----------
    plan : Plan
    settings : SweepSettings
    kit : JudgedKit

    Raises
    ------
    UnfitKit
        If the plan's stock lacks an item of the kit.
    """

    def __init__(self, plan: Plan, settings: SweepSettings, kit: JudgedKit) -> None:
        self.plan, self.settings, self.judged_kit = plan, settings, kit
        self.prepared = prepare(whole_spools(plan))
        self.prepared.fits.rate_all()
        self.kit = kit.counts(self.prepared.fits.items)
        self._known: dict[bytes, KitSolution] = {}

    def season(self, number: int) -> Season:
        """The season of a number."""
        return draw_season(self.plan, self.prepared.fits.items, self.settings, number)

    def problem(self, season: Season) -> KitProblem:
        """The kit problem of a season."""
        plan = self.plan.settings
        cases = load_cases(season.jobs, plan.line, plan.pieces_per_season)
        return replace(
            self.prepared.problem,
            price=season.price,
            case_names=tuple(case.job for case in cases),
            source=self.prepared.fits.with_cases(cases),
            copies=np.array([plan.crew.crews * job.systems for job in season.jobs], dtype=np.int64),
        )

    def outcome(self, number: int) -> DrawOutcome:
        """What comes of the draw of a number."""
        season = self.season(number)
        problem = self.problem(season)
        if not self.settings.cheapest_kits:
            return self.judged(season, problem, self.kit)
        ways = tidy_ways(problem.ways())
        problem = replace(problem, source=ways)
        judged = self.judged(season, problem, self.kit)
        rigged = set(ways.case.tolist())
        beyond = tuple(job.job for case, job in enumerate(season.jobs) if case not in rigged)
        if beyond:
            return judged.model_copy(update={"beyond": beyond, "status": "no kit"})
        return judged.model_copy(update=self._cheapest(problem, ways))

    def judged(self, season: Season, problem: KitProblem, kit: Ints) -> DrawOutcome:
        """What a kit, pieces by item of shape (items,), does not carry of a season whose problem is given."""
        covered = covered_cases(problem, kit)
        return DrawOutcome(
            number=season.number,
            pieces={job.job: float(job.pieces_per_season or 0.0) for job in season.jobs},
            failed=tuple(job.job for job, fits in zip(season.jobs, covered, strict=True) if not fits),
        )

    def _cheapest(self, problem: KitProblem, ways: Ways) -> dict[str, object]:
        """Status, cost and items of the cheapest kit of a problem whose source is ``ways``."""
        solution = self._solved(problem, ways)
        if solution.status not in USABLE:
            return {"status": STATUS.get(solution.status, "stopped")}
        chosen = np.flatnonzero(solution.pieces)
        return {
            "status": STATUS[solution.status],
            "cost": solution.cost / CENTS,
            "items": {problem.item_ids[item]: int(solution.pieces[item]) for item in chosen.tolist()},
        }

    def _solved(self, problem: KitProblem, ways: Ways) -> KitSolution:
        """The solution of a problem; remembered, since draws with equal sizes and prices ask the same."""
        asked = sha256(repr((ways.parts, problem.copies)).encode())
        for array in (ways.case, ways.needs, problem.price):
            asked.update(np.ascontiguousarray(array).tobytes())
        key = asked.digest()
        found = self._known.get(key)
        if found is None:
            found = solve(problem, SOLVER)
            if len(self._known) >= KNOWN_AT_ONCE:
                self._known.clear()
            self._known[key] = found
        return found


def packed(plan: Plan, settings: SweepSettings, kit: JudgedKit) -> bytes:
    """All that a process needs to work out draws, to be sent along with every task."""
    return pickle.dumps((plan, settings, kit))


def outcomes(content: bytes, numbers: Sequence[int]) -> list[DrawOutcome]:
    """What comes of some draws; a task for any executor. ``content`` is from :func:`packed`."""
    judge = _judge(content)
    return [judge.outcome(number) for number in numbers]


@lru_cache(maxsize=1)
def _judge(content: bytes) -> SeasonJudge:
    """The judge of a sweep, made once in each process."""
    return SeasonJudge(*pickle.loads(content))
