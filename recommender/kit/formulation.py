r"""The integer programme of the cheapest kit.

Sets
    I : items (``KitProblem.item_ids``);  J : load cases;  W_j : ways to rig load case j (``Ways``)
    A_j : item sets that are needs of W_j, or unions of needs of one way that share items
    S : standing needs (``KitProblem.standing``)

Parameters
    c_i, m_i, l_i : price, mass, most pieces of use of item i (``most_of_use``)
    n_wA : how many needs of way w lie within set A, times the setups that are up at once (``KitProblem.copies``)

Variables
    x_i : pieces of item i in the kit, integer, 0 <= x_i <= l_i
    z_w : 1 if way w is the one that the kit is chosen for, binary
    u_i : 1 if item i is in the kit at all, binary (last tie only)

Constraints
    C1  sum(z_w for w in W_j) = 1                                      for each j       every load case has a way
    C2  sum(n_wA * z_w for w in W_j) <= sum(x_i for i in A)            for each j, A in A_j
    C3  sum(x_i for i in s) >= count_s                                 for each s in S  the crew's extras
    C4  sum(c_i * x_i) <= best cost                                    ties only
    C5  sum(m_i * x_i) <= best mass                                    last tie only
    C6  x_i <= l_i * u_i                                               last tie only

Objective
    first sum(c_i * x_i); at that cost sum(m_i * x_i); at that mass sum(u_i).

C2 says by Hall's theorem that distinct physical items fill all needs of the chosen way; unions over needs that share
no item would add nothing. Because all ways whose need lies within A stand in one row, nested needs (a sling for at
least 20 kN, for at least 30 kN ...) become threshold rows, and the relaxation is much tighter than one row a way. A row
whose set holds another row's set with the same coefficients is left out: the smaller set implies it.

Sources: covering with alternatives after Toregas et al., "The Location of Emergency Service Facilities", Operations
Research 19 (1971) 1363-1373; Hall, "On Representatives of Subsets", J. London Math. Soc. 10 (1935) 26-30.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pulp
from numpy.typing import NDArray

from recommender.kit.cover import unions_of_overlapping
from recommender.kit.problem import KitProblem, Ways, Words, as_number, as_words

ROWS_AT_ONCE = 2000


@dataclass(frozen=True)
class KitModel:
    """A built programme: the PuLP problem, the pieces variables by item position, the items of every C2 and C3 row."""

    programme: pulp.LpProblem
    pieces: Mapping[int, pulp.LpVariable]
    row_items: Mapping[str, NDArray[np.int64]]


def build(problem: KitProblem, ways: Ways, items: NDArray[np.bool_]) -> KitModel:
    """The programme for cheapest cost over the given ways and items.

    Parameters
    ----------
    problem : KitProblem
    ways : Ways
        Ways of the load cases that have to be covered.
    items : array of bool, shape (items,)
        Items that may be used.

    Returns
    -------
    KitModel
    """
    programme = pulp.LpProblem("kit", pulp.LpMinimize)
    pieces = add_pieces_variables(programme, most_of_use(problem, ways), items)
    choice = add_choice_variables(programme, ways)
    set_objective(programme, problem.price, pieces)
    require_every_case_covered(programme, ways, choice)
    row_items = require_items_for_ways(programme, problem, ways, choice, pieces)
    row_items |= require_standing_needs(programme, problem, pieces)
    return KitModel(programme, pieces, row_items)


def most_of_use(problem: KitProblem, ways: Ways) -> NDArray[np.int64]:
    """The most pieces of each item that any kit has a use for, at most its limit, shape (items,).

    One way is rigged at a time, so an item is of use as often as it stands in needs of one way, or as the standing
    needs ask.
    """
    most = np.zeros(problem.item_count, dtype=np.int64)
    for start in range(0, len(ways), ROWS_AT_ONCE):
        flags = ways.flags(ways.needs[start : start + ROWS_AT_ONCE])
        copies = problem.copies_of(ways.case[start : start + ROWS_AT_ONCE])
        times = (flags.sum(axis=1, dtype=np.int64) * copies[:, None]).max(axis=0, initial=0)
        most[ways.universe] = np.maximum(most[ways.universe], times)
    standing = np.zeros(problem.item_count, dtype=np.int64)
    for items, count in problem.standing:
        standing[list(items)] += count
    return np.minimum(problem.limit, np.maximum(most, standing))


def add_pieces_variables(
    programme: pulp.LpProblem, most: NDArray[np.int64], items: NDArray[np.bool_]
) -> dict[int, pulp.LpVariable]:
    """x_i for every item that may be used."""
    return {
        int(item): programme.add_variable(f"x_{item}", 0, int(most[item]), cat=pulp.LpInteger)
        for item in np.flatnonzero(items)
    }


def add_choice_variables(programme: pulp.LpProblem, ways: Ways) -> list[pulp.LpVariable]:
    """z_w for every way."""
    return [programme.add_variable(f"z_{row}", cat=pulp.LpBinary) for row in range(len(ways))]


def set_objective(
    programme: pulp.LpProblem, weights: NDArray[np.int64], pieces: Mapping[int, pulp.LpVariable]
) -> None:
    """Minimise ``sum(weight_i * x_i)``."""
    programme.setObjective(pulp.LpAffineExpression([(x, int(weights[i])) for i, x in pieces.items()]))


def require_every_case_covered(
    programme: pulp.LpProblem, ways: Ways, choice: Sequence[pulp.LpVariable]
) -> None:
    """C1: one way for each load case."""
    for case in np.unique(ways.case):
        rows = np.flatnonzero(ways.case == case)
        terms = pulp.LpAffineExpression([(choice[row], 1) for row in rows.tolist()])
        programme.addConstraint(pulp.LpConstraint(terms, pulp.LpConstraintEQ, f"C1_cover_{case:04d}", 1))


def require_items_for_ways(
    programme: pulp.LpProblem,
    problem: KitProblem,
    ways: Ways,
    choice: Sequence[pulp.LpVariable],
    pieces: Mapping[int, pulp.LpVariable],
) -> dict[str, NDArray[np.int64]]:
    """C2: distinct physical items for all needs of the chosen way; the item set of each row."""
    row_items = {}
    for case in np.unique(ways.case):
        rows = np.flatnonzero(ways.case == case)
        copies = problem.copies_of(ways.case[rows])
        for number, (items, alone) in enumerate(threshold_rows(ways, rows)):
            counts = alone * copies
            terms = [(choice[rows[k]], int(counts[k])) for k in np.flatnonzero(counts)]
            name = f"C2_items_{case:04d}_{number:04d}"
            row_items[name] = ways.members(items)
            terms += [(pieces[item], -1) for item in row_items[name].tolist() if item in pieces]
            programme.addConstraint(
                pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintLE, name, 0)
            )
    return row_items


def threshold_rows(ways: Ways, rows: NDArray[np.int64]) -> list[tuple[Words, NDArray[np.int64]]]:
    """The item sets of C2 for one load case, each with n_wA for its ways; implied rows left out."""
    needs, has = ways.needs[rows], ways.has_part[rows]
    numbers = [[as_number(need) for need in way] for way in needs]
    unions = set().union(*(unions_of_overlapping(way) for way in numbers))
    by_counts: dict[bytes, list[int]] = {}
    for union in sorted(unions, key=lambda number: (number.bit_count(), number)):
        outside = ~as_words(union, needs.shape[2])
        counts = (has & ~((needs & outside) != 0).any(axis=2)).sum(axis=1, dtype=np.int64)
        smaller = by_counts.setdefault(counts.tobytes(), [])
        if not any(other & ~union == 0 for other in smaller):
            smaller.append(union)
    return [
        (as_words(union, needs.shape[2]), np.frombuffer(key, dtype=np.int64))
        for key, chosen in by_counts.items()
        for union in chosen
    ]


def require_standing_needs(
    programme: pulp.LpProblem, problem: KitProblem, pieces: Mapping[int, pulp.LpVariable]
) -> dict[str, NDArray[np.int64]]:
    """C3: enough pieces for what the crew needs whatever the work; the item set of each row."""
    row_items = {}
    for number, (items, count) in enumerate(problem.standing):
        name = f"C3_standing_{number:04d}"
        row_items[name] = np.array(items, dtype=np.int64)
        terms = pulp.LpAffineExpression([(pieces[item], 1) for item in items if item in pieces])
        programme.addConstraint(pulp.LpConstraint(terms, pulp.LpConstraintGE, name, count))
    return row_items


def hold_total(model: KitModel, name: str, weights: NDArray[np.int64], total: int) -> None:
    """C4, C5: keep a total no higher than its best value."""
    terms = [(x, int(weights[i])) for i, x in model.pieces.items() if weights[i]]
    model.programme.addConstraint(
        pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintLE, name, total)
    )


def count_different_items(model: KitModel) -> None:
    """C6 and the last objective: as few different items as possible."""
    programme = model.programme
    used = {}
    for item, pieces in model.pieces.items():
        if pieces.upBound <= 1:
            used[item] = pieces
            continue
        used[item] = programme.add_variable(f"u_{item}", cat=pulp.LpBinary)
        terms = pulp.LpAffineExpression([(pieces, 1), (used[item], -pieces.upBound)])
        programme.addConstraint(pulp.LpConstraint(terms, pulp.LpConstraintLE, f"C6_used_{item:04d}", 0))
    programme.setObjective(pulp.LpAffineExpression([(u, 1) for u in used.values()]))
