"""Job by job: the largest piece of a plan against the largest that its own setup and the crew take there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from recommender.explain.gear_at_hand import GearAtHand
from recommender.explain.limit_hold import CREWS_HOLD, CrewHold
from recommender.explain.limit_search import LEAST_MASS, largest_with, masses_of, one_setup, weighing
from recommender.kit.result import Assignment, Typed
from recommender.work.cases import LoadCase, load_cases
from recommender.work.plan import Plan
from recommender.work.tables import Technique


class PlannedPiece(Typed):
    """The largest piece of a job type, and what may be taken at its height, length and slack. [kg], [m]

    ``allowed_kg`` is what both the gear and the crew take, ``gear_kg`` what the gear carries, ``one_person_kg`` what
    one person holds at the brake (None without one), ``people`` how many the planned piece needs on the tail (0 without
    a brake). ``held_by`` and ``state`` say what ends the limit.
    """

    job: str
    technique: Technique
    height_m: float
    length_m: float
    mass_kg: float
    allowed_kg: float
    gear_kg: float
    one_person_kg: float | None = None
    people: int = 0
    wraps: float | None = None
    held_by: str = ""
    state: str = ""

    @property
    def margin(self) -> float:
        """How much heavier than planned the piece may be, as a share; below 0 where the planned one is too heavy."""
        return self.allowed_kg / self.mass_kg - 1


def people_of(plan: Plan) -> int:
    """Who may be on the tail: all of a crew's people on the ground, one at least."""
    return max(1, plan.settings.crew.ground_workers)


def planned_pieces(
    plan: Plan, gear: GearAtHand, assignments: Iterable[Assignment]
) -> tuple[PlannedPiece, ...]:
    """A line for each job type.

    Parameters
    ----------
    plan : Plan
    gear : GearAtHand
    assignments : iterable of Assignment
        How the job types are rigged; the best setup of the gear where a job type is not among them.

    Returns
    -------
    tuple of PlannedPiece
    """
    cases = load_cases(plan.jobs, plan.settings.line, plan.settings.pieces_per_season)
    masses = masses_of(gear, [[case] for case in cases]).tolist()
    positions = {item.id: k for k, item in enumerate(gear.items)}
    rigged = {
        one.job: {part: positions[id] for part, id in one.parts.items()}
        for one in assignments
        if all(id in positions for id in one.parts.values())
    }
    people = people_of(plan)
    return tuple(
        _planned(gear, case, job.rigging_height, mass, rigged, people)
        for case, job, mass in zip(cases, plan.jobs, masses, strict=True)
    )


def _planned(
    gear: GearAtHand,
    case: LoadCase,
    height: float,
    most: float,
    rigged: Mapping[str, dict[str, int]],
    people: int,
) -> PlannedPiece:
    told = PlannedPiece(
        job=case.job, technique=case.technique, height_m=height, length_m=case.piece_length,
        mass_kg=float(case.mass.design), allowed_kg=0.0, gear_kg=0.0, held_by="nothing here carries it",
    )  # fmt: skip
    carried, parts = _setup(gear, [case], most, rigged.get(case.job)) if most else (0.0, {})
    if carried == 0.0:
        return told
    hold = CrewHold(gear, parts)
    allowed = hold.largest([case], people, carried, weighing)
    _, held_by, state = gear.hardest([weighing(case, carried)], parts)
    if allowed < carried:
        held_by, state = CREWS_HOLD, ""
    update = {
        "allowed_kg": allowed if allowed >= float(LEAST_MASS) else 0.0,
        "gear_kg": carried,
        "one_person_kg": None if hold.wraps is None else hold.largest([case], 1, carried, weighing),
        "people": hold.people([case]),
        "wraps": hold.wraps,
        "held_by": held_by,
        "state": state,
    }
    return told.model_copy(update=update)


def _setup(
    gear: GearAtHand, cases: Sequence[LoadCase], most: float, parts: dict[str, int] | None
) -> tuple[float, dict[str, int]]:
    """The largest mass with the setup of the plan, or with the best one where there is none."""
    if parts is None:
        return one_setup(gear, cases, most)
    return largest_with(gear, cases, parts, most), parts
