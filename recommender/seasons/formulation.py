r"""The integer programme of buying over several seasons.

Sets
    I : items;  J : job types;  T : seasons;  C_j : piece plans of job type j (load cases);  W_c : ways to rig c
    A : item sets that are needs, or unions of needs that share items and may be called on at the same time
    L_c : lines that may be used in load case c

Parameters
    p_i, f_t, d_t, b_t : price of item i, price factor, discount and budget of season t
    o_it : owned pieces that may still be used;  g_i : seasons of use of a bought piece
    k_ct, h_jt : cost of a piece plan's extra cuts, cost of giving a job type away, for a season
    n_wA : how many needs of way w lie within set A;  s_j, m_j, M : systems of a crew, crews at once at j, crews
    u_cit : share of a life of line i that a season of load case c uses up;  r_i : life left in owned line

Variables
    x_it : pieces bought, integer;  S_it : pieces on hand
    z_wt : 1 if way w is how its job type is done, binary;  y_jt : 1 if job type j is given away, binary
    v_cit : share of the season's work of load case c that line i does
    a_At, b_jAt : pieces of set A that any crew, and that a crew at job type j beyond that, may call on (sharing only)

Constraints
    S1  S_it = o_it + sum(x_is for s <= t, t - s < g_i)               on hand: bought so far, owned, not retired
    S2  sum(z_wt for c in C_j, w in W_c) + y_jt = 1                   every job type done or given away
    S3  sum(m_j s_j n_wA z_wt) <= sum(S_it for i in A)                pieces for all crews that are at it at once
    S4  a_At + b_jAt >= sum(s_j n_wA z_wt);  M a_At + sum(m_j b_jAt) <= sum(S_it)  any mix, if some m_j < M
    S5  sum(S_it for i in s) >= count_s                               the crew's extras
    S6  sum(p_i f_t x_it) <= b_t                                      budget
    S7  sum(v_cit for i in L_c) = sum(z_wt for w in W_c)              the work is shared out over lines
    S8  v_cit <= sum(z_wt for w in W_c with i in its line need)       only lines that the way allows
    S9  sum(u_cis v_cis for a <= s <= t) <= r_i + sum(x_is for a - g_i < s <= t)   wear used up <= life bought
    S10 sum(y_jt for j in K) >= 1           job types K that the budgets up to t can't pay for together (``covers``)

Objective
    sum(d_t (sum(p_i f_t x_it) + sum(k_ct z_wt) + sum(h_jt y_jt)))

A job type is done in one way in a season, by all crews: a rule that people can follow, and one that makes S3 enough
for any mix of job types that all crews may do at once (m_j = M). With q crews at j and the others at k, a set A is
asked for q n_wA + (M - q) n_vA pieces, never more than M times the larger of the two; so by Hall's theorem there are
different pieces for all. Where some job types are done by fewer crews at once, the most that any mix asks of A is the
maximum of sum(q_j s_j n_jA) over q_j <= m_j, sum(q_j) <= M; S4 is the dual of that small programme, so it is exact.
Purchases are paid when bought; what is left of their use after the last season is not credited, so short plans buy
cautiously.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pulp
from numpy.typing import NDArray

from recommender.kit.cover import unions_of_overlapping
from recommender.kit.formulation import threshold_rows
from recommender.kit.problem import Ints, Ways, Words, as_number, as_words
from recommender.seasons.model import SeasonModel, Variable, add_row
from recommender.seasons.problem import SeasonProblem
from recommender.seasons.wear_rows import limit_line, limit_wear, wear_by_other_work


def build(
    problem: SeasonProblem,
    ways: Ways,
    items: NDArray[np.bool_],
    wanted: NDArray[np.bool_],
    wear: bool = True,
    lines: NDArray[np.bool_] | None = None,
    covers: Sequence[tuple[int, tuple[int, ...]]] = (),
) -> SeasonModel:
    """The programme over the given ways and items.

    Parameters
    ----------
    problem : SeasonProblem
    ways : Ways
        Ways of every load case that may be chosen.
    items : array of bool, shape (items,)
        Items that may be used.
    wanted : array of bool, shape (seasons, jobs)
        Job types that have to be done, season by season.
    wear : bool
        Whether S7 to S9 are put in; without them a plan may wear its lines through.
    lines : array of bool, shape (cases, items), optional
        Lines that may be used in each load case; given, the work of the job types that are not wanted wears lines too.
    covers : sequence of (season, job types)
        Sets of job types of which one has to be given away in a season.

    Returns
    -------
    SeasonModel
    """
    model = SeasonModel(pulp.LpProblem("seasons", pulp.LpMinimize), ways)
    used = [int(item) for item in np.flatnonzero(items)]
    whole = problem.kit.standing or lines is not None
    seasons = problem.seasons if whole else 1 + int(np.flatnonzero(wanted.any(axis=1)).max(initial=0))
    add_purchases(model, problem, used, seasons)
    count_on_hand(model, problem, used, seasons)
    add_choices(model, problem, wanted)
    require_every_job_done(model, problem, wanted)
    require_setups(model, problem, wanted)
    require_standing_needs(model, problem)
    limit_budgets(model, problem)
    give_away_what_is_too_dear(model, covers)
    if problem.has_wear and wear:
        by_line = limit_wear(model, problem)
        if lines is not None:
            wear_by_other_work(model, problem, wanted, lines, by_line)
        for item, places in by_line.items():
            limit_line(model, problem, item, places)
    set_cost_objective(model, problem)
    return model


def add_purchases(model: SeasonModel, problem: SeasonProblem, items: Sequence[int], seasons: int) -> None:
    """x_it for every item that can be bought, in the first seasons."""
    for item in items:
        if problem.buyable[item]:
            for season in range(seasons):
                name = f"x_{season}_{item}"
                model.bought[season, item] = model.programme.add_variable(name, 0, cat=pulp.LpInteger)


def count_on_hand(model: SeasonModel, problem: SeasonProblem, items: Sequence[int], seasons: int) -> None:
    """S1: what is on hand in the first seasons."""
    for item in items:
        for season in range(seasons):
            here = model.programme.add_variable(f"S_{season}_{item}", 0)
            model.on_hand[season, item] = here
            terms = [(here, 1)]
            for earlier in range(season + 1):
                if (earlier, item) in model.bought and season - earlier < problem.life[item]:
                    terms.append((model.bought[earlier, item], -1))
            add_row(
                model, terms, pulp.LpConstraintEQ, f"S1_{season}_{item}", int(problem.owned[season, item])
            )


def add_choices(model: SeasonModel, problem: SeasonProblem, wanted: NDArray[np.bool_]) -> None:
    """z_wt for every way, y_jt where a job type may be given away."""
    add, job_of_way = model.programme.add_variable, problem.case_job[model.ways.case]
    for season in range(problem.seasons):
        for way in np.flatnonzero(wanted[season, job_of_way]).tolist():
            model.chosen[season, way] = add(f"z_{season}_{way}", cat=pulp.LpBinary)
        for job in np.flatnonzero(np.isfinite(problem.hire_cost[season]) & wanted[season]).tolist():
            model.given[season, job] = add(f"y_{season}_{job}", cat=pulp.LpBinary)


def require_every_job_done(model: SeasonModel, problem: SeasonProblem, wanted: NDArray[np.bool_]) -> None:
    """S2: one way in a season, or given away."""
    job_of_way = problem.case_job[model.ways.case]
    for season, job in np.argwhere(wanted).tolist():
        terms = [(model.chosen[season, way], 1) for way in np.flatnonzero(job_of_way == job).tolist()]
        if (season, job) in model.given:
            terms.append((model.given[season, job], 1))
        add_row(model, terms, pulp.LpConstraintEQ, f"S2_{season}_{job:04d}", 1)


def require_setups(model: SeasonModel, problem: SeasonProblem, wanted: NDArray[np.bool_]) -> None:
    """S3: pieces for all crews that are at one job type; S4: for any mix of job types."""
    job_of_way = problem.case_job[model.ways.case]
    for job in np.unique(job_of_way).tolist():
        rows = np.flatnonzero(job_of_way == job)
        copies = int(problem.at_once[job] * problem.systems[job])
        for number, (items, counts) in enumerate(threshold_rows(model.ways, rows)):
            members = model.ways.members(items)
            for season in np.flatnonzero(wanted[:, job]).tolist():
                terms = _called_on(model, season, rows, copies * counts) + _minus_on_hand(
                    model, season, members
                )
                name = f"S3_{season}_{job:04d}_{number:04d}"
                model.row_items[name] = (season, members)
                add_row(model, terms, pulp.LpConstraintLE, name, 0)
    if np.any(problem.at_once < problem.crews):
        _require_mixes(model, problem, job_of_way)


def _require_mixes(model: SeasonModel, problem: SeasonProblem, job_of_way: Ints) -> None:
    """S4, for every set that needs of different job types make together."""
    ways, add = model.ways, model.programme.add_variable
    shared = np.flatnonzero(problem.at_once < problem.crews)
    for number, items in enumerate(_sets_of_mixes(problem, ways, job_of_way)):
        within = ways.has_part & ~((ways.needs & ~items) != 0).any(axis=2)
        counts = within.sum(axis=1, dtype=np.int64) * problem.systems[job_of_way]
        for season in range(problem.seasons):
            name = f"S4_{season}_{number:05d}"
            every = add(f"a_{name}", 0)
            extra = {int(job): add(f"b_{name}_{job}", 0) for job in shared}
            for job in np.unique(job_of_way[counts > 0]):
                rows = np.flatnonzero(job_of_way == job)
                terms = [*_called_on(model, season, rows, counts[rows]), (every, -1)]
                terms += [(extra[job], -1)] if job in extra else []
                add_row(model, terms, pulp.LpConstraintLE, f"{name}_{job}", 0)
            terms = [(every, problem.crews), *((b, int(problem.at_once[job])) for job, b in extra.items())]
            terms += _minus_on_hand(model, season, ways.members(items))
            add_row(model, terms, pulp.LpConstraintLE, name, 0)


def _sets_of_mixes(problem: SeasonProblem, ways: Ways, job_of_way: Ints) -> list[Words]:
    """Unions of overlapping needs of up to as many ways as there are crews, with a job type that few crews do in it."""
    of_job: dict[int, set[int]] = {}
    for way, job in enumerate(job_of_way):
        of_job.setdefault(int(job), set()).update(
            unions_of_overlapping(as_number(n) for n in ways.needs[way])
        )
    alone = set().union(*of_job.values())
    shared = set().union(*(sets for job, sets in of_job.items() if problem.at_once[job] < problem.crews))
    found = {items for items in alone if any(need & ~items == 0 for need in shared)}
    frontier = set(shared)
    for _ in range(problem.crews - 1):
        frontier = {a | b for a in frontier for b in alone if a & b} - found
        found |= frontier
    return [as_words(number, ways.needs.shape[2]) for number in sorted(found)]


def _called_on(
    model: SeasonModel, season: int, rows: Ints, pieces: NDArray[np.int64]
) -> list[tuple[Variable, float]]:
    return [(model.chosen[season, int(rows[k])], int(pieces[k])) for k in np.flatnonzero(pieces)]


def _minus_on_hand(model: SeasonModel, season: int, items: Ints) -> list[tuple[Variable, float]]:
    return [(model.on_hand[season, i], -1) for i in items.tolist() if (season, i) in model.on_hand]


def require_standing_needs(model: SeasonModel, problem: SeasonProblem) -> None:
    """S5: the crew's extras, in every season."""
    for season in range(problem.seasons):
        for number, (items, count) in enumerate(problem.kit.standing):
            terms = [(model.on_hand[season, item], 1) for item in items if (season, item) in model.on_hand]
            name = f"S5_{season}_{number:04d}"
            model.row_items[name] = (season, np.array(items, dtype=np.int64))
            add_row(model, terms, pulp.LpConstraintGE, name, count)


def limit_budgets(model: SeasonModel, problem: SeasonProblem) -> None:
    """S6: purchases of a season within its budget."""
    for season in np.flatnonzero(np.isfinite(problem.budget)):
        terms = [
            (variable, float(problem.kit.price[item] * problem.price_factor[when]))
            for (when, item), variable in model.bought.items()
            if when == season and problem.kit.price[item]
        ]
        add_row(model, terms, pulp.LpConstraintLE, f"S6_{season}", float(problem.budget[season]))


def give_away_what_is_too_dear(model: SeasonModel, covers: Sequence[tuple[int, tuple[int, ...]]]) -> None:
    """S10, for sets whose job types are all wanted."""
    for number, (season, jobs) in enumerate(covers):
        if all((season, job) in model.given for job in jobs):
            terms: list[tuple[Variable, float]] = [(model.given[season, job], 1) for job in jobs]
            add_row(model, terms, pulp.LpConstraintGE, f"S10_{season}_{number:04d}", 1)


def set_cost_objective(model: SeasonModel, problem: SeasonProblem) -> None:
    """Discounted purchases, crew time of extra cuts, and hire."""
    factor = problem.discount * problem.price_factor
    terms = [
        (variable, float(problem.kit.price[item] * factor[season]))
        for (season, item), variable in model.bought.items()
    ]
    cuts = (problem.discount[:, None] * problem.case_cost)[:, model.ways.case]
    terms += [(variable, float(cuts[place])) for place, variable in model.chosen.items() if cuts[place]]
    terms += [
        (variable, float(problem.discount[season] * problem.hire_cost[season, job]))
        for (season, job), variable in model.given.items()
    ]
    model.programme.setObjective(pulp.LpAffineExpression(terms))
