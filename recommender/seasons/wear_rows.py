"""Rows that share out the work over lines and keep each line within its life (S7 to S9 of the seasons model)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
import pulp
from numpy.typing import NDArray

from recommender.kit.problem import Ints, Ways
from recommender.kit.reduce import LINE
from recommender.seasons.model import SeasonModel, Variable, add_row
from recommender.seasons.problem import SeasonProblem

Places: TypeAlias = dict[int, list[tuple[int, int]]]
"""Seasons and load cases that a line may work in, by item."""


def build_wear(problem: SeasonProblem, ways: Ways, bought: Ints, done: Ints) -> SeasonModel:
    """The programme that shares out the work of a finished plan over its lines (S7 to S9), free of cost.

    Parameters
    ----------
    problem : SeasonProblem
    ways : Ways
        Ways of the load cases of the plan with the items it has.
    bought : array of int, shape (seasons, items)
    done : array of int, shape (seasons, jobs)
        Load case of every job type, negative where it is given away.

    Returns
    -------
    SeasonModel
    """
    model = SeasonModel(pulp.LpProblem("wear", pulp.LpMinimize), ways)
    add, stock = model.programme.add_variable, problem.stock(bought)
    for season in range(problem.seasons):
        for item in np.flatnonzero(stock[season]).tolist():
            model.on_hand[season, item] = add(
                f"S_{season}_{item}", int(stock[season, item]), int(stock[season, item])
            )
        for item in np.flatnonzero(bought[season]).tolist():
            model.bought[season, item] = add(
                f"x_{season}_{item}", int(bought[season, item]), int(bought[season, item])
            )
        for way in range(len(ways)):
            model.chosen[season, way] = add(f"z_{season}_{way}", 0, 1)
        for case in np.unique(ways.case):
            terms = [(model.chosen[season, int(way)], 1) for way in np.flatnonzero(ways.case == case)]
            is_done = int(done[season, problem.case_job[case]] == case)
            add_row(model, terms, pulp.LpConstraintEQ, f"done_{season}_{case:04d}", is_done)
    for item, places in limit_wear(model, problem).items():
        limit_line(model, problem, item, places)
    model.programme.setObjective(pulp.LpAffineExpression())
    return model


def limit_wear(model: SeasonModel, problem: SeasonProblem) -> Places:
    """S7 and S8: the work shared out over lines; where each line may work."""
    ways, line = model.ways, model.ways.parts.index(LINE)
    may_use = ways.flags(ways.needs[:, line])
    by_line: Places = {}
    for case in np.unique(ways.case):
        rows = np.flatnonzero(ways.case == case)
        of_case = [int(item) for item in ways.universe[may_use[rows].any(axis=0)]]
        columns = np.searchsorted(ways.universe, of_case)
        for season in range(problem.seasons):
            if (season, int(rows[0])) not in model.chosen:
                continue
            shares = [(model.chosen[season, int(row)], -1) for row in rows]
            for item, place in zip(of_case, columns, strict=True):
                if (season, item) not in model.on_hand or not _may_be_on_hand(problem, season, item):
                    continue
                share = model.programme.add_variable(f"v_{season}_{case}_{item}", 0, 1)
                model.worked[season, int(case), item] = share
                shares.append((share, 1))
                allowed = [(model.chosen[season, int(row)], -1) for row in rows[may_use[rows, place]]]
                if len(allowed) < len(rows):
                    name = f"S8_{season}_{case:04d}_{item:04d}"
                    add_row(model, [(share, 1), *allowed], pulp.LpConstraintLE, name, 0)
                by_line.setdefault(item, []).append((season, int(case)))
            add_row(model, shares, pulp.LpConstraintEQ, f"S7_{season}_{case:04d}", 0)
    return by_line


def wear_by_other_work(
    model: SeasonModel,
    problem: SeasonProblem,
    wanted: NDArray[np.bool_],
    lines: NDArray[np.bool_],
    by_line: Places,
) -> None:
    """S7 for job types whose setups are left out: each is worked off by lines in some piece plan, or given away.

    Without setups this asks for less than the whole model, so it takes no plan away.
    """
    add = model.programme.add_variable
    for season, job in np.argwhere(~wanted).tolist():
        shares: list[tuple[Variable, float]] = []
        if np.isfinite(problem.hire_cost[season, job]):
            model.given[season, job] = add(f"y_{season}_{job}", 0, 1)
            shares.append((model.given[season, job], 1))
        for case in np.flatnonzero(problem.case_job == job).tolist():
            for item in np.flatnonzero(lines[case]).tolist():
                if (season, item) not in model.on_hand or not _may_be_on_hand(problem, season, item):
                    continue
                share = add(f"v_{season}_{case}_{item}", 0, 1)
                model.worked[season, case, item] = share
                shares.append((share, 1))
                by_line.setdefault(item, []).append((season, case))
        add_row(model, shares, pulp.LpConstraintEQ, f"S7_{season}_other_{job:04d}", 1)


def _may_be_on_hand(problem: SeasonProblem, season: int, item: int) -> bool:
    return bool(problem.buyable[item] or problem.owned[season, item])


def limit_line(
    model: SeasonModel, problem: SeasonProblem, item: int, places: Sequence[tuple[int, int]]
) -> None:
    """S9 for one line: for every run of seasons, wear in it <= life of the pieces that may be used in it.

    All bought pieces of a line may be used for the same number of seasons, so runs of seasons are enough (Hall): a gap
    between seasons that holds the whole use of a piece is too long for any piece to reach across.
    """
    life = int(problem.life[item])
    for last in range(problem.seasons):
        for first in range(last + 1):
            if 0 < first < life:
                continue  # no piece is retired before: the run from the first season on says more
            terms = [
                (model.worked[when, case, item], float(problem.use[when, case, item]))
                for when, case in places
                if first <= when <= last and problem.use[when, case, item] > 0
            ]
            if not terms:
                continue
            terms += [
                (model.bought[when, item], -1.0)
                for when in range(max(0, first - life + 1), last + 1)
                if (when, item) in model.bought
            ]
            name = f"S9_{first}_{last}_{item:04d}"
            add_row(model, terms, pulp.LpConstraintLE, name, float(problem.life_left[item]))
