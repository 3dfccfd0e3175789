"""Reading the answer of the seasons model back into the user's words, and having it checked."""

from __future__ import annotations

import numpy as np

from recommender.kit.check import InternalFault
from recommender.kit.diagnosis import explain_uncovered
from recommender.kit.planning import STATUS, PreparedPlan, assignments_of, prepare
from recommender.kit.problem import Ints
from recommender.kit.result import Assignment, Uncovered
from recommender.kit.setups import SetupRater
from recommender.kit.solver import USABLE, SolverSettings, Status
from recommender.kit.stock import CENTS
from recommender.seasons.check import check_seasons
from recommender.seasons.planning import PreparedSeasons, prepare_seasons
from recommender.seasons.result import JobInSeason, Purchase, SeasonPlan, SeasonsResult
from recommender.seasons.shortage import find_shortage, in_words
from recommender.seasons.solve import GIVEN_AWAY, SeasonSolution, Watch, solve_seasons
from recommender.work.plan import Plan

LEAST_SHARE = 1e-6
NOT_CREDITED = (
    "Purchases are paid when they are bought; what is left of their use after the last season is not credited, so a "
    "plan for few seasons buys cautiously."
)


UNEXPLAINED = "No plan keeps within the budgets. The search for why, and for what would help, was stopped."


def plan_seasons(
    plan: Plan, settings: SolverSettings | None = None, watch: Watch | None = None
) -> SeasonsResult:
    """What to buy in which season, what to cut smaller and what to give away, at the least cost in all.

    Parameters
    ----------
    plan : Plan
        With ``seasons``; without, one season and no budget.
    settings : SolverSettings, optional
    watch : Watch, optional
        Hears how far the search is, and may stop it: the answer is then the best plan so far, with its gap.

    Returns
    -------
    SeasonsResult
        Status ``no kit`` where some job type can be done in no way, or budgets, wear and age leave no plan.

    Raises
    ------
    InternalFault
        If the answer fails its independent check; such a result must not be used.
    """
    prepared = prepare_seasons(plan)
    hopeless = _hopeless_jobs(prepared)
    if hopeless:
        return _result(prepared, None, hopeless)
    solution = solve_seasons(prepared.problem, settings, watch)
    if solution.status not in USABLE:
        if solution.status is not Status.INFEASIBLE:
            return _result(prepared, solution, ())
        shortage = find_shortage(prepared, settings, watch)
        if shortage is None:
            unexplained = _result(prepared, solution, ())
            return unexplained.model_copy(update={"notes": (*unexplained.notes, UNEXPLAINED)})
        return _result(prepared, solution, (in_words(prepared.plan, shortage),)).model_copy(
            update={"shortage": shortage}
        )
    result = _result(prepared, solution, ())
    faults = check_seasons(plan, result)
    if faults:
        raise InternalFault("Do not use this result. The check of the seasons found: " + "; ".join(faults))
    return result


def _hopeless_jobs(prepared: PreparedSeasons) -> tuple[Uncovered, ...]:
    """Job types that no piece plan can carry and that may not be given away."""
    problem = prepared.problem
    rigged = set(problem.kit.ways().case.tolist())
    needed = ((prepared.pieces > 0) & ~np.isfinite(problem.hire_cost)).any(axis=0)
    hopeless = [
        int(job)
        for job in np.flatnonzero(needed)
        if not rigged & set(np.flatnonzero(problem.case_job == job).tolist())
    ]
    return explain_uncovered(prepared.plan, prepare(prepared.plan).fits, hopeless) if hopeless else ()


def _result(
    prepared: PreparedSeasons, solution: SeasonSolution | None, uncovered: tuple[Uncovered, ...]
) -> SeasonsResult:
    plan = prepared.plan
    found = solution is not None and solution.status in USABLE
    seasons = _season_plans(prepared, solution) if solution is not None and found else ()
    return SeasonsResult(
        status="no kit" if solution is None else STATUS.get(solution.status, "stopped"),
        plan=plan.settings.name,
        notice=plan.settings.notice,
        currency=plan.catalogue.currency,
        cost=solution.cost / CENTS if solution is not None else 0.0,
        bound=solution.bound / CENTS if solution is not None else 0.0,
        gap=solution.gap if solution is not None else 0.0,
        solve_seconds=solution.seconds if solution is not None else 0.0,
        solver=solution.solver if solution is not None else "",
        purchase_cost=sum(season.purchase_cost for season in seasons),
        crew_cost=sum(season.crew_cost for season in seasons),
        hire_cost=sum(season.hire_cost for season in seasons),
        seasons=seasons,
        uncovered=uncovered,
        notes=(*prepared.notes, NOT_CREDITED),
    )


def _season_plans(prepared: PreparedSeasons, solution: SeasonSolution) -> tuple[SeasonPlan, ...]:
    problem, items = prepared.problem, prepared.fits.items
    stock = problem.stock(solution.bought)
    spent = problem.purchase_cost(solution.bought) / CENTS
    used = np.zeros(problem.kit.item_count)
    plans = []
    for season, row in enumerate(prepared.seasons):
        jobs = _jobs_in_season(prepared, solution, season, stock[season])
        if problem.has_wear:
            used = used + (problem.use[season] * solution.worked[season]).sum(axis=0)
        pieces = sum(job.pieces for job in jobs)
        kept = sum(job.pieces for job in jobs if job.how == "with the kit")
        plans.append(
            SeasonPlan(
                season=row.season,
                budget=row.budget,
                purchases=tuple(
                    Purchase(
                        id=items[k].id,
                        table=items[k].table,
                        name=items[k].gear.name,
                        quantity=int(solution.bought[season, k]),
                        unit_price=items[k].price * float(problem.price_factor[season]) / CENTS,
                    )
                    for k in np.flatnonzero(solution.bought[season])
                ),
                purchase_cost=float(spent[season]),
                crew_cost=sum(job.crew_cost for job in jobs),
                hire_cost=sum(job.hire_cost for job in jobs),
                jobs=jobs,
                share_with_kit=kept / pieces if pieces else 1.0,
                wear_used={items[k].id: float(used[k]) for k in np.flatnonzero(used > LEAST_SHARE)},
            )
        )
    return tuple(plans)


def _jobs_in_season(
    prepared: PreparedSeasons, solution: SeasonSolution, season: int, stock: Ints
) -> tuple[JobInSeason, ...]:
    problem = prepared.problem
    setups = _setups(prepared, solution.done[season], stock)
    answers = []
    for job, case in enumerate(solution.done[season].tolist()):
        pieces = float(prepared.pieces[season, job])
        given = case == GIVEN_AWAY
        number = 1 if given else int(prepared.pieces_of_each[case])
        lines = {}
        if not given and problem.has_wear:
            shares = solution.worked[season, case]
            lines = {
                prepared.fits.items[k].id: float(shares[k]) for k in np.flatnonzero(shares > LEAST_SHARE)
            }
        answers.append(
            JobInSeason(
                job=problem.job_names[job],
                how="no work" if not pieces else "given away" if given else "with the kit",
                pieces=pieces,
                pieces_of_each=number,
                longest_piece_m=None if given else prepared.fits.cases[case].piece_length,
                crew_cost=0.0 if given else float(problem.case_cost[season, case]) / CENTS,
                hire_cost=float(problem.hire_cost[season, job]) / CENTS if given else 0.0,
                lines=lines,
                setup=None if given else setups[case],
            )
        )
    return tuple(answers)


def _setups(prepared: PreparedSeasons, done: Ints, stock: Ints) -> dict[int, Assignment]:
    """The setup of each chosen load case with what is on hand, by load case."""
    view = PreparedPlan(prepared.plan, prepared.fits, prepared.problem.kit, prepared.notes)
    rater = SetupRater(prepared.fits)
    cases = sorted({case for case in done.tolist() if case >= 0})
    rigged = assignments_of(view, [rater.best(prepared.problem.kit, stock, case) for case in cases])
    return dict(zip(cases, rigged, strict=True))
