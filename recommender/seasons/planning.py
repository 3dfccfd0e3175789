"""From a plan to its purchases season by season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog_schema.units import from_si
from recommender.kit.fits import Fits
from recommender.kit.problem import UNLIMITED, Ints, KitProblem
from recommender.kit.stock import CENTS, TEXTILE_TABLES, StockItem, standing_needs, stock
from recommender.ratings import Policy, line_capacity
from recommender.ratings.wear import wear_per_load
from recommender.seasons.problem import Floats, SeasonProblem
from recommender.work.cases import LoadCase, load_case
from recommender.work.plan import Plan
from recommender.work.tables import JobType, OwnedGear, SeasonRow

MINUTES = 60.0
FOREVER = 1000
"""Seasons of use of gear that no age retires."""


@dataclass(frozen=True)
class PreparedSeasons:
    """A plan turned into the seasons problem, with all that is needed to read an answer back.

    ``pieces`` has shape (seasons, jobs); ``pieces_of_each`` shape (cases,).
    """

    plan: Plan
    seasons: tuple[SeasonRow, ...]
    fits: Fits
    problem: SeasonProblem
    pieces: Floats
    pieces_of_each: Ints
    notes: tuple[str, ...]


def prepare_seasons(plan: Plan) -> PreparedSeasons:
    """Load cases of all piece plans, stock, demands, wear, money: the seasons problem of a plan."""
    settings, crew = plan.settings, plan.settings.crew
    seasons = plan.seasons or (SeasonRow(season="now"),)
    cases, case_job, number = _piece_plans(plan)
    items, left_out = stock(plan.catalogue, plan.owned, plan.policy)
    fits = Fits(cases, items, plan.policy, crew)
    extras = standing_needs(items, crew.climbers, crew.ground_workers, crew.crews) if settings.extras else []
    kit = KitProblem(
        item_ids=tuple(item.id for item in items),
        price=np.array([item.price for item in items], dtype=np.int64),
        mass=np.array([item.mass for item in items], dtype=np.int64),
        limit=np.array([item.limit for item in items], dtype=np.int64),
        case_names=tuple(f"{case.job} in {n}" for case, n in zip(cases, number, strict=True)),
        source=fits,
        standing=tuple((tuple(members), count) for members, count in extras),
    )
    pieces = pieces_by_season(plan, seasons)
    years = [from_si(row.age, "yr", "age") for row in _kept_rows(plan, items)]
    rate = settings.money.crew_rate * CENTS / MINUTES
    minutes = np.array([plan.jobs[j].cut_minutes * (n - 1) for j, n in zip(case_job, number, strict=True)])
    hire = np.array([np.inf if job.hire_price is None else job.hire_price for job in plan.jobs]) * CENTS
    periods = np.arange(len(seasons), dtype=float)
    problem = SeasonProblem(
        kit=kit,
        job_names=tuple(job.job for job in plan.jobs),
        case_job=case_job,
        case_cost=pieces[:, case_job] * minutes * rate,
        hire_cost=np.where(pieces > 0, np.where(pieces > 0, pieces, 1.0) * hire, 0.0),
        owned=_owned_by_season(items, years, plan.policy, len(seasons)),
        life=_life(items, plan.policy),
        price_factor=(1 + settings.money.price_rise_percent / 100) ** periods,
        discount=(1 + settings.money.discount_percent / 100) ** -periods,
        budget=np.array([np.inf if row.budget is None else row.budget * CENTS for row in seasons]),
        systems=np.array([job.systems for job in plan.jobs]),
        at_once=np.array([min(job.crews_at_once or crew.crews, crew.crews) for job in plan.jobs]),
        crews=crew.crews,
        use=_use(fits, pieces[:, case_job] * number),
        life_left=_life_left(items, years, plan.policy),
    )
    return PreparedSeasons(
        plan, seasons, fits, problem, pieces, number, (*plan.notes, *plan.policy.notes, *left_out)
    )


def _piece_plans(plan: Plan) -> tuple[list[LoadCase], Ints, Ints]:
    """Load cases of every job type taken whole, in 2, 3, ... pieces; their job types and numbers of pieces."""
    rows = [
        (j, n, in_pieces(job, n)) for j, job in enumerate(plan.jobs) for n in range(1, job.most_pieces + 1)
    ]
    cases = [load_case(job, plan.settings.line, plan.settings.pieces_per_season) for _, _, job in rows]
    return (
        cases,
        np.array([j for j, _, _ in rows], dtype=np.int64),
        np.array([n for _, n, _ in rows], dtype=np.int64),
    )


def in_pieces(job: JobType, number: int) -> JobType:
    """The job type with its pieces cut into ``number`` pieces of equal length, each as thick as the thick end.

    The safe side: the piece from the big end is the heaviest, and stands for all.
    """
    if number == 1:
        return job
    shorter = {
        name: value / number
        for name in ("length", "length_high", "mass", "mass_high")
        if (value := getattr(job, name)) is not None
    }
    if job.small_diameter is not None:
        taper = (job.diameter - job.small_diameter) / number
        shorter["small_diameter"] = job.diameter - taper
    if job.tie_above_cut is not None:
        shorter["tie_above_cut"] = min(job.tie_above_cut, shorter["length"])
    return job.model_copy(update=shorter)


def pieces_by_season(plan: Plan, seasons: Sequence[SeasonRow]) -> Floats:
    """Pieces of every job type in every season, shape (seasons, jobs)."""
    usual = np.array(
        [
            job.pieces_per_season
            if job.pieces_per_season is not None
            else plan.settings.pieces_per_season * job.share
            for job in plan.jobs
        ]
    )
    pieces = np.array([usual * season.work for season in seasons])
    jobs = {job.job: number for number, job in enumerate(plan.jobs)}
    names = {season.season: number for number, season in enumerate(seasons)}
    for row in plan.season_work:
        pieces[names[row.season], jobs[row.job]] = row.pieces
    return pieces


def _kept_rows(plan: Plan, items: Sequence[StockItem]) -> list[OwnedGear]:
    """The rows of owned gear behind the owned items, in the order of the stock; rows left out are passed over."""
    waiting = list(plan.owned)
    rows = []
    for item in items:
        if item.owned:
            row = next(
                row for row in waiting if row.item == item.gear_id and row.condition == item.condition
                and row.count == item.limit and (row.length is None or row.length == item.length)
            )  # fmt: skip
            waiting.remove(row)
            rows.append(row)
    return rows


def _life(items: Sequence[StockItem], policy: Policy) -> Ints:
    seasons = max(1, int(policy.retirement.textile_years * policy.wear.seasons_per_year))
    return np.array([seasons if item.table in TEXTILE_TABLES else FOREVER for item in items], dtype=np.int64)


def _owned_by_season(
    items: Sequence[StockItem], years: Sequence[float], policy: Policy, seasons: int
) -> Ints:
    """Owned pieces that are not too old at the end of each season."""
    owned = np.zeros((seasons, len(items)), dtype=np.int64)
    ages = iter(years)
    for number, item in enumerate(items):
        if not item.owned:
            continue
        age = next(ages)
        for season in range(seasons):
            end = age + season / policy.wear.seasons_per_year
            if item.table not in TEXTILE_TABLES or end <= policy.retirement.textile_years:
                owned[season, number] = item.limit
    return owned


def _life_left(items: Sequence[StockItem], years: Sequence[float], policy: Policy) -> Floats:
    """Life left in owned line: the share of its years that is left (common practice: past wear is not known)."""
    left = np.zeros(len(items))
    ages = iter(years)
    for number, item in enumerate(items):
        if item.owned:
            age = next(ages)
            if item.limit < UNLIMITED and item.table == "ropes":
                left[number] = item.limit * max(0.0, 1 - age / policy.retirement.textile_years)
    return left


def _use(fits: Fits, pieces: Floats) -> Floats:
    """Share of a line's life that a season of each load case uses up, shape (seasons, cases, items)."""
    tension = np.where(fits.demands.valid, fits.demands.line[0], 0.0).max(axis=2)
    strength = np.array([_strength_left(fits, k) for k in range(len(fits.lines.types))]).T
    wet = np.array([int(case.wet) for case in fits.cases])
    wear = np.asarray(wear_per_load(tension / strength[wet], fits.policy))
    use = np.zeros((*pieces.shape, len(fits.items)))
    use[:, :, fits.rope_positions] = pieces[:, :, None] * wear[None, :, fits.line_of]
    return use


def _strength_left(fits: Fits, line: int) -> list[float]:
    """Strength of a line after its local factors, dry and wet. [N]"""
    kind = fits.lines.types[line]
    return [
        float(
            line_capacity(
                kind.rope, "catch", "jam", policy=fits.policy, wet=wet,
                condition=kind.condition, bend_ratio=np.array([1e3]),  # type: ignore[arg-type]
            )[0] * fits.policy.survival.factor
        )
        for wet in (False, True)
    ]  # fmt: skip
