"""Load cases without planning a kit: what every job type asks of the gear, with which of the ropes on offer.

A rope carries a job type if the catalogue (or what is owned) has a whole setup around it that holds every part within
its rating. Among those ropes the cheapest is shown with the cheapest redirect that goes with it, and beside it the span
over all of them, since a rope's stretch and a redirect's friction change the load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recommender.kit.holding import held_by_one
from recommender.kit.planning import PreparedPlan, prepare
from recommender.kit.result import CAUTIONS, Holding, Typed
from recommender.kit.setups import STATES
from recommender.kit.way_builder import friction_name
from recommender.work.plan import Plan
from recommender.work.tables import Technique

FORCES = {
    "line_tension": "line",
    "redirect_reaction": "reaction",
    "brake_tension": "brake",
    "lifter_pull": "lifter",
}
"""Name of a force in the result, and in :class:`recommender.loads.Demands`."""


class ForceSpan(Typed):
    """One force on the design piece in one state, in N.

    ``with_reference`` is with the reference rope and redirect; ``least`` and ``most`` are over every rope that carries
    the job type, each with every redirect that goes with it. Where no rope carries it there is no reference, and the
    span is over every rope and kind of redirect that the formulas hold for.
    """

    with_reference_n: float | None
    least_n: float
    most_n: float


class JobLoads(Typed):
    """The load case of one job type; masses in kg, lengths in m.

    Without a rope that carries it ``rope`` and ``redirect`` are empty. ``jam`` is empty unless the technique is catch;
    ``lifter_pull`` is among the forces of a lift only. Both are empty where the formulas hold for no rope. ``holding``
    is for the reference and the brake on offer that takes the most wraps; none without a reference.
    """

    job: str
    technique: Technique
    piece_mass_typical_kg: float
    piece_mass_kg: float
    line_needed_m: float
    rope: str
    redirect: str
    ropes_that_carry: int
    ropes_on_offer: int
    working: dict[str, ForceSpan]
    jam: dict[str, ForceSpan]
    holding: Holding | None = None


class LoadsResult(Typed):
    """The loads of all job types of a plan."""

    plan: str
    notice: str
    jobs: tuple[JobLoads, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS


@dataclass(frozen=True)
class _Pairs:
    """What carries one load case: ropes and redirects by (line, friction), as positions in the stock."""

    ropes: dict[tuple[int, int], set[int]]
    redirects: dict[tuple[int, int], set[int]]

    @property
    def all_ropes(self) -> set[int]:
        """Every rope that carries it."""
        return set().union(*self.ropes.values())


def plan_loads(plan: Plan) -> LoadsResult:
    """The loads of every job type of a plan, without choosing a kit.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    LoadsResult
    """
    prepared = prepare(plan)
    return LoadsResult(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        jobs=tuple(_job_loads(prepared, case) for case in range(len(prepared.fits.cases))),
        notes=prepared.notes,
    )


def _job_loads(prepared: PreparedPlan, number: int) -> JobLoads:
    fits, case = prepared.fits, prepared.fits.cases[number]
    pairs = _carrying_pairs(prepared, number)
    rope, redirect, reference = _cheapest(prepared, pairs)
    spans = [_spans(prepared, number, state, pairs, reference) for state in range(len(STATES))]
    return JobLoads(
        job=case.job,
        technique=case.technique,
        piece_mass_typical_kg=float(case.mass.typical),
        piece_mass_kg=float(case.mass.design),
        line_needed_m=case.line_needed,
        rope=rope,
        redirect=redirect,
        ropes_that_carry=len(pairs.all_ropes),
        ropes_on_offer=len(fits.rope_positions),
        working=spans[0],
        jam=spans[1] if case.technique == "catch" else {},
        holding=None if reference is None else held_by_one(fits, number, *reference, _most_wraps(prepared)),
    )


def _most_wraps(prepared: PreparedPlan) -> float:
    """Wraps that fit on the brake that takes the most."""
    return max(brake.wraps_max for brake in prepared.plan.catalogue.brakes)


def _carrying_pairs(prepared: PreparedPlan, number: int) -> _Pairs:
    fits, problem = prepared.fits, prepared.problem
    line_of = dict(zip(fits.rope_positions.tolist(), fits.line_of.tolist(), strict=True))
    frictions = [kind.name for kind in fits.frictions]
    ways = problem.ways(np.array([number], dtype=np.int64))
    line, redirect = ways.parts.index("line"), ways.parts.index("redirect") if len(ways) else 0
    pairs = _Pairs({}, {})
    for needs in ways.needs:
        ropes, redirects = ways.members(needs[line]).tolist(), ways.members(needs[redirect]).tolist()
        friction = frictions.index(friction_name(fits.items[redirects[0]].gear))
        key = (line_of[ropes[0]], friction)
        pairs.ropes.setdefault(key, set()).update(ropes)
        pairs.redirects.setdefault(key, set()).update(redirects)
    return pairs


def _cheapest(prepared: PreparedPlan, pairs: _Pairs) -> tuple[str, str, tuple[int, int] | None]:
    """Ids of the cheapest rope that carries, and of the cheapest redirect that goes with it; lighter goes first."""
    items = prepared.fits.items

    def rank(position: int) -> tuple[int, int, str]:
        return items[position].price, items[position].mass, items[position].id

    if not pairs.ropes:
        return "", "", None
    rope = min(pairs.all_ropes, key=rank)
    keys = [key for key, ropes in pairs.ropes.items() if rope in ropes]
    redirect = min((position for key in keys for position in pairs.redirects[key]), key=rank)
    reference = next(key for key in keys if redirect in pairs.redirects[key])
    return items[rope].id, items[redirect].id, reference


def _spans(
    prepared: PreparedPlan, number: int, state: int, pairs: _Pairs, reference: tuple[int, int] | None
) -> dict[str, ForceSpan]:
    case, demands = prepared.fits.cases[number], prepared.fits.demands
    keys = list(pairs.ropes) or [(int(line), int(kind)) for line, kind in np.argwhere(demands.valid[number])]
    spans: dict[str, ForceSpan] = {}
    if not keys:
        return spans
    for name, attribute in FORCES.items():
        if name == "lifter_pull" and case.technique != "lift":
            continue
        values = getattr(demands, attribute)[state, number]
        over_all = [float(values[key]) for key in keys]
        here = None if reference is None else float(values[reference])
        spans[name] = ForceSpan(with_reference_n=here, least_n=min(over_all), most_n=max(over_all))
    return spans
