"""Cost against the size of the largest piece, as a step curve: where the cost jumps, and which items change there.

The pieces of a job type, or of all job types that are lowered, are made shorter and longer together. The cheapest kit
is found on a grid of sizes; where its cost differs from one size to the next, the place of the step is halved until it
is known to ``resolution``. A size that asks no less of any item than a smaller one, and is still covered by the smaller
one's kit, costs the same and is not solved again. Steps that cancel each other between two sizes of the grid would not
be seen; where loads rise with size, as they do, there are none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from recommender.explain.answers import Change, CurveResult, CurveStep
from recommender.explain.hardness import Hardness, hardness
from recommender.explain.kits import changes
from recommender.explain.progress import Progress, silent
from recommender.explain.questions import Flags, KitQuestions, questions_about
from recommender.kit.diagnosis import shortened
from recommender.kit.planning import PreparedPlan
from recommender.kit.problem import Ints
from recommender.kit.solve import SolverSettings
from recommender.kit.stock import CENTS
from recommender.work.cases import piece_mass
from recommender.work.plan import Plan

LOW, HIGH, GRID = 0.5, 1.5, 0.1
"""Sizes from half to half as much again, as shares of the planned length, and how far they lie apart."""

RESOLUTION = 0.005
"""How closely the place of a step is known."""


@dataclass(frozen=True)
class _Size:
    """A size and the cheapest kit for it; cost None where no kit covers the work. [cent]"""

    scale: float
    cost: int | None
    pieces: Ints
    asks: tuple[Hardness, ...]
    proven: bool

    def no_easier(self, other: _Size) -> bool:
        """Whether each of its load cases asks at least as much as that of the other size."""
        return all(own.no_easier(theirs) for own, theirs in zip(self.asks, other.asks, strict=True))


def _by_scale(size: _Size) -> float:
    return size.scale


class CostCurve:
    """Finds the cheapest kit for many sizes of some job types.

    Parameters
    ----------
    plan : Plan
    jobs : sequence of int
        Positions of the job types whose pieces change.
    settings : SolverSettings, optional
    progress : callable, optional
    """

    def __init__(
        self,
        plan: Plan,
        jobs: Sequence[int],
        settings: SolverSettings | None = None,
        progress: Progress = silent,
    ) -> None:
        self.plan, self.jobs, self.settings, self.progress = plan, tuple(jobs), settings, progress
        self.sizes: list[_Size] = []
        self.prepared: PreparedPlan | None = None
        self.extras_cost = 0

    def look(self, scales: Sequence[float]) -> None:
        """Find the cheapest kit for some sizes, smallest first, between those that are known."""
        jobs = [shortened(self.plan.jobs[job], scale) for scale in scales for job in self.jobs]
        self.prepared, questions, cases = questions_about(self.plan, jobs, self.settings)
        self.extras_cost = questions.extras_cost
        fixed = cases.copy()
        fixed[list(self.jobs)] = False
        for number, scale in enumerate(scales):
            first = len(self.plan.jobs) + number * len(self.jobs)
            own = range(first, first + len(self.jobs))
            asked = fixed.copy()
            asked[list(own)] = True
            asks = tuple(hardness(self.prepared.fits, case) for case in own)
            self.sizes.append(self._size(questions, asked, scale, asks))
            self.sizes.sort(key=lambda size: size.scale)
            self.progress(number + 1, len(scales), f"pieces at {100 * scale:.0f} % of their length")

    def _size(self, questions: KitQuestions, cases: Flags, scale: float, asks: tuple[Hardness, ...]) -> _Size:
        below = max((size for size in self.sizes if size.scale < scale), key=_by_scale, default=None)
        above = min((size for size in self.sizes if size.scale > scale), key=_by_scale, default=None)
        unknown = _Size(scale, None, np.zeros(questions.problem.item_count, dtype=np.int64), asks, True)
        if below is not None and unknown.no_easier(below):
            if below.cost is None:
                return unknown
            if questions.covered(below.pieces, cases)[cases].all():
                return _Size(scale, below.cost, below.pieces, asks, below.proven)
        near, bounding = (
            None if size is None or size.cost is None else size.pieces for size in (below, above)
        )
        questions.at_hand = near if bounding is None else bounding
        found = questions.cheapest(cases, near=near)
        return unknown if found is None else _Size(scale, found.cost, found.pieces, asks, found.proven)

    def refine(self, resolution: float) -> None:
        """Halve every interval between two sizes with different costs until it is no wider than ``resolution``."""
        while True:
            wide = [
                (one.scale + other.scale) / 2
                for one, other in pairwise(self.sizes)
                if one.cost != other.cost and other.scale - one.scale > resolution
            ]
            if not wide:
                return
            self.look(wide)

    def steps(self) -> tuple[CurveStep, ...]:
        """The curve from the smallest size on, one step for each stretch of equal cost."""
        groups: list[list[_Size]] = []
        for size in self.sizes:
            if groups and groups[-1][-1].cost == size.cost:
                groups[-1].append(size)
            else:
                groups.append([size])
        firsts = [group[0] for group in groups[1:]]
        return tuple(
            self._step(group, following, before)
            for group, following, before in zip(groups, [*firsts, None], [None, *groups[:-1]], strict=True)
        )

    def _step(self, group: list[_Size], following: _Size | None, before: list[_Size] | None) -> CurveStep:
        first, last = group[0], group[-1]
        largest = [shortened(self.plan.jobs[job], last.scale) for job in self.jobs]
        return CurveStep(
            from_scale=first.scale,
            to_scale=last.scale,
            next_from_scale=None if following is None else following.scale,
            largest_length_m=max(job.length_high or job.length for job in largest),
            largest_mass_kg=max(float(piece_mass(job).design) for job in largest),
            purchase_cost=None if last.cost is None else (last.cost + self.extras_cost) / CENTS,
            changes=() if before is None else self._changes(before[-1], first),
        )

    def _changes(self, before: _Size, after: _Size) -> tuple[Change, ...]:
        if self.prepared is None or before.cost is None or after.cost is None:
            return ()
        return changes(self.prepared.fits.items, before.pieces, after.pieces)


def cost_curve(
    plan: Plan,
    jobs: Sequence[int] | None = None,
    *,
    resolution: float = RESOLUTION,
    settings: SolverSettings | None = None,
    progress: Progress = silent,
) -> CurveResult:
    """Cost against the size of the largest piece.

    Parameters
    ----------
    plan : Plan
    jobs : sequence of int, optional
        Positions of the job types whose pieces change together; left out, all that are lowered, or all if none is.
    resolution : float, optional
        How closely the places of the steps are wanted, as a share of the planned length, > 0. [-]
    settings : SolverSettings, optional
    progress : callable, optional

    Returns
    -------
    CurveResult
        ``complete`` is false where it was interrupted: the sizes looked at until then.

    Raises
    ------
    ValueError
        If ``resolution`` is not above 0.
    """
    if not (np.isfinite(resolution) and resolution > 0):
        raise ValueError(f"resolution must be above 0, not {resolution}")
    chosen = list(jobs) if jobs is not None else _lowered(plan)
    curve = CostCurve(plan, chosen, settings, progress)
    complete = True
    try:
        curve.look([1.0])
        curve.look([scale for scale in _grid() if scale != 1.0])
        curve.refine(resolution)
    except KeyboardInterrupt:
        complete = False
    planned = [size.cost for size in curve.sizes if size.scale == 1.0]
    return CurveResult(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        currency=plan.catalogue.currency,
        complete=complete,
        proven=all(size.proven for size in curve.sizes),
        notes=() if curve.prepared is None else curve.prepared.notes,
        jobs=tuple(plan.jobs[job].job for job in chosen),
        purchase_cost=(planned[0] + curve.extras_cost) / CENTS
        if planned and planned[0] is not None
        else None,
        steps=curve.steps(),
    )


def _lowered(plan: Plan) -> list[int]:
    lowered = [number for number, job in enumerate(plan.jobs) if job.technique == "lower"]
    return lowered or list(range(len(plan.jobs)))


def _grid() -> list[float]:
    grid: list[float] = np.round(np.arange(LOW, HIGH + GRID / 2, GRID), 6).tolist()
    return grid
