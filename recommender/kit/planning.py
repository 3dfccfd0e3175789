"""From a plan to its cheapest kit: the one function that command line, dashboard and Python callers use."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.kit.check import InternalFault, check_kit
from recommender.kit.diagnosis import explain_uncovered
from recommender.kit.fits import Fits
from recommender.kit.hold_notes import holding_notes
from recommender.kit.holding import holding
from recommender.kit.problem import Ints, KitProblem
from recommender.kit.result import Assignment, KitItem, KitResult, ResultStatus, Uncovered
from recommender.kit.setups import Setup, SetupRater
from recommender.kit.solve import KitSolution, SolverSettings, Status, solve
from recommender.kit.spools import Spool, cutting_list
from recommender.kit.stock import CENTS, GRAMS, StockItem, spools_of, standing_needs, stock, uncut_notes
from recommender.kit.wear import textile_lives
from recommender.work.cases import load_cases
from recommender.work.plan import Plan

STATUS: dict[Status, ResultStatus] = {
    Status.PROVEN_OPTIMAL: "planned",
    Status.FEASIBLE_ONLY: "planned, optimum not proven",
    Status.INFEASIBLE: "no kit",
}


@dataclass(frozen=True)
class PreparedPlan:
    """A plan turned into the kit problem, with all that is needed to read an answer back."""

    plan: Plan
    fits: Fits
    problem: KitProblem
    notes: tuple[str, ...]


def prepare(plan: Plan) -> PreparedPlan:
    """Load cases, stock, demands and ratings of a plan, and the kit problem over them.

    Among the items are the lines that may be cut from spools, in the lengths that the load cases need: where there are
    spools, the items depend on the job types. See :func:`whole_spools` for where they must not.
    """
    settings = plan.settings
    cases = load_cases(plan.jobs, settings.line, settings.pieces_per_season)
    lengths = {case.line_needed for case in cases}
    items, left_out = stock(plan.catalogue, plan.owned, plan.policy, lengths)
    fits = Fits(cases, items, plan.policy, settings.crew)
    crew = settings.crew
    extras = standing_needs(items, crew.climbers, crew.ground_workers, crew.crews) if settings.extras else []
    problem = KitProblem(
        item_ids=tuple(item.id for item in items),
        price=np.array([item.price for item in items], dtype=np.int64),
        mass=np.array([item.mass for item in items], dtype=np.int64),
        limit=np.array([item.limit for item in items], dtype=np.int64),
        case_names=tuple(case.job for case in cases),
        source=fits,
        standing=tuple((tuple(members), count) for members, count in extras),
        copies=np.array([crew.crews * job.systems for job in plan.jobs], dtype=np.int64),
        spools=spools_of(items),
    )
    return PreparedPlan(plan, fits, problem, (*plan.notes, *plan.policy.notes, *left_out))


def whole_spools(plan: Plan) -> Plan:
    """The plan with every spool taken for one line, uncut, and a note that says so.

    A kit of it can be had; it may cost more than one with lines that are cut. The items of such a plan are the same
    whatever its job types.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    Plan
        The same one where its catalogue has no spools.
    """
    notes = tuple(uncut_notes(plan.catalogue))
    if not notes:
        return plan
    ropes = tuple(
        row
        if row.spool_length is None
        else row.model_copy(update={"length": row.spool_length, "spool_length": None, "shortest_cut": None})
        for row in plan.catalogue.ropes
    )
    return replace(plan, catalogue=replace(plan.catalogue, ropes=ropes), notes=(*plan.notes, *notes))


def plan_kit(plan: Plan, settings: SolverSettings | None = None) -> KitResult:
    """The cheapest kit that carries every load case of a plan.

    Parameters
    ----------
    plan : Plan
    settings : SolverSettings, optional

    Returns
    -------
    KitResult
        Status ``no kit`` with ``uncovered`` filled where some load case can't be carried at all.

    Raises
    ------
    InternalFault
        If the kit fails its independent check; such a result must not be used.
    """
    prepared = prepare(plan)
    uncovered = prepared.problem.uncovered()
    if uncovered:
        return _result(prepared, None, explain_uncovered(prepared.plan, prepared.fits, uncovered))
    result = _result(prepared, solve(prepared.problem, settings), ())
    faults = check_kit(plan, result)
    if faults:
        raise InternalFault("Do not use this result. The check of the kit found: " + "; ".join(faults))
    return result


def _result(
    prepared: PreparedPlan, solution: KitSolution | None, uncovered: tuple[Uncovered, ...]
) -> KitResult:
    plan = prepared.plan
    found = solution is not None and solution.status in STATUS and solution.status is not Status.INFEASIBLE
    pieces = solution.pieces if solution is not None and found else np.zeros(0, dtype=np.int64)
    setups = best_setups(prepared, pieces) if found else ()
    rigged = assignments_of(prepared, setups)
    return KitResult(
        status="no kit" if solution is None else STATUS.get(solution.status, "stopped"),
        plan=plan.settings.name,
        notice=plan.settings.notice,
        purchase_cost=solution.cost / CENTS if solution is not None and found else 0.0,
        currency=plan.catalogue.currency,
        bound=solution.bound / CENTS if solution is not None and found else 0.0,
        gap=solution.gap if solution is not None and found else 0.0,
        solve_seconds=solution.seconds if solution is not None else 0.0,
        solver=solution.solver if solution is not None else "",
        items=_kit_items(prepared, pieces),
        assignments=rigged,
        uncovered=uncovered,
        notes=(*prepared.notes, *holding_notes(plan, rigged)),
        lives=textile_lives(prepared.fits, setups, plan.settings.crew.crews),
    )


def _kit_items(prepared: PreparedPlan, pieces: Ints) -> tuple[KitItem, ...]:
    """The list of items; lines that are cut stand with their spool."""
    items = prepared.fits.items
    cuts = {spool.item: _cuts(items, spool, pieces) for spool in prepared.problem.spools}
    return tuple(
        _kit_item(items[k], int(pieces[k]), cuts.get(k, ()))
        for k in np.flatnonzero(pieces).tolist()
        if not items[k].cut_from
    )


def _cuts(items: Sequence[StockItem], spool: Spool, pieces: Ints) -> tuple[float, ...]:
    """Lines in the order in which they are cut, spool by spool. [m]"""
    lists = cutting_list(spool.lengths(pieces), spool.length, int(pieces[spool.item]))
    if lists is None:
        raise InternalFault("Do not use this result. The lines of the kit don't fit on its spools")
    length_of = {length: items[item].length for item, length in spool.cuts}
    return tuple(length_of[length] for lines in lists for length in lines)


def _kit_item(item: StockItem, count: int, cuts: tuple[float, ...]) -> KitItem:
    return KitItem(
        id=item.id,
        table=item.table,
        name=item.gear.name,
        quantity=count,
        unit_price=item.price / CENTS,
        owned=item.owned,
        mass_kg=item.mass / GRAMS,
        length_m=(item.spool_length or item.length) if item.table == "ropes" else None,
        cuts_m=cuts,
    )


def best_setups(prepared: PreparedPlan, pieces: Ints) -> tuple[Setup, ...]:
    """How every load case is rigged with a kit, each so that its hardest-working part works least."""
    rater = SetupRater(prepared.fits)
    return tuple(rater.best(prepared.problem, pieces, case) for case in range(len(prepared.fits.cases)))


def assignments_of(prepared: PreparedPlan, setups: Iterable[Setup]) -> tuple[Assignment, ...]:
    """Setups with all their figures, as they are reported."""
    rater = SetupRater(prepared.fits)
    return tuple(_assignment(prepared.fits, rater, setup) for setup in setups)


def assignments(prepared: PreparedPlan, pieces: Ints) -> tuple[Assignment, ...]:
    """The reported setup of every load case with a kit: :func:`best_setups`."""
    return assignments_of(prepared, best_setups(prepared, pieces))


def _assignment(fits: Fits, rater: SetupRater, setup: Setup) -> Assignment:
    case = fits.cases[setup.case]
    pull = rater.force_on("lifter", setup.parts) if "lifter" in setup.parts else "lifter"
    forces = {
        name: rater.demand(name, setup.case, setup.line, setup.friction)
        for name in ("line", "reaction", "brake", pull)
    }
    drop = float(fits.demands.drop[setup.case, setup.line, setup.friction])
    return Assignment(
        job=case.job,
        technique=case.technique,
        piece_mass_kg=float(case.mass.design),
        piece_mass_typical_kg=float(case.mass.typical),
        parts={part: fits.items[item].id for part, item in setup.parts.items()},
        line_tension_n=forces["line"][0],
        redirect_reaction_n=forces["reaction"][0],
        brake_tension_n=forces["brake"][0],
        lifter_pull_n=forces[pull][0],
        line_tension_jam_n=forces["line"][1],
        redirect_reaction_jam_n=forces["reaction"][1],
        brake_tension_jam_n=forces["brake"][1],
        utilisation=setup.utilisation,
        governing=setup.state,  # type: ignore[arg-type]
        line_needed_m=case.line_needed,
        drop_below_cut_m=drop if case.technique == "catch" else None,
        clearance_m=case.clearance if np.isfinite(case.clearance) else None,
        holding=holding(fits, setup),
    )
