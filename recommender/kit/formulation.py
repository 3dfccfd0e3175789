r"""The integer programme of the cheapest kit.

Sets
    I : items (``KitProblem.item_ids``);  J : load cases;  W_j : ways to rig load case j (``Ways``)
    A_j : item sets that are needs of W_j, or unions of needs of one way that share items
    S : standing needs (``KitProblem.standing``)
    K : spools (``KitProblem.spools``), each an item of I;  D_k : items that are lines cut from spool k
    R_k = {1, 2 ...} : spools k that there may be a use for (``spools_of_use``)

Parameters
    c_i, m_i, l_i : price, mass, most pieces of use of item i (``most_of_use``)
    n_wA : how many needs of way w lie within set A, times the setups that are up at once (``KitProblem.copies``)
    L_k, a_d : rope on spool k, length of line d;  q_k : most lines from spools k of use (``spools_of_use``)

Variables
    x_i : pieces of item i in the kit, integer, 0 <= x_i <= l_i
    z_w : 1 if way w is the one that the kit is chosen for, binary
    u_i : 1 if item i, no line from a spool, is in the kit at all, binary (ties only)
    o_kr : 1 if the r-th spool k is cut, binary;  y_krd : lines d that are cut from it, integer

Constraints
    C1  sum(z_w for w in W_j) = 1                                      for each j       every load case has a way
    C2  sum(n_wA * z_w for w in W_j) <= sum(x_i for i in A)            for each j, A in A_j
    C3  sum(x_i for i in s) >= count_s                                 for each s in S  the crew's extras
    C4  sum(c_i * x_i) <= best cost                                    ties only
    C5  sum(m_i * x_i) <= best mass                                    ties only
    C6  x_i <= l_i * u_i                                               ties only
    C7  sum(y_krd for r in R_k) = x_d                                  for each k, d in D_k   where lines come from
    C8  sum(a_d * y_krd for d in D_k) <= L_k * o_kr                    for each k, r     lines fit on their spool
    C9  sum(y_krd for d with a_d > L_k / (n + 1)) <= n * o_kr          for each k, r, n < q_k  C8 rounded down, tighter
        sum(y_krd for d in D_k) <= q_k * o_kr                          for each k, r     no more lines than are of use
    C10 sum(o_kr for r in R_k) <= x_k                                  for each k        spools are bought whole
    C11 sum(a_d * y_krd) >= sum(a_d * y_k(r+1)d),  o_kr >= o_k(r+1)    for each k, r     none of the orders alike
    C12 sum(u_i) <= least number                                       last tie only, with spools

Objective
    first sum(c_i * x_i); at that cost sum(m_i * x_i); at that mass sum(u_i); then the least length of line cut from
    spools, sum(a_d * x_d), so that no line is cut longer or oftener than is needed.

C2 says by Hall's theorem that distinct physical items fill all needs of the chosen way; unions over needs that share
no item would add nothing. Because all ways whose need lies within A stand in one row, nested needs (a sling for at
least 20 kN, for at least 30 kN ...) become threshold rows, and the relaxation is much tighter than one row a way. A row
whose set holds another row's set with the same coefficients is left out: the smaller set implies it.

Lines from a spool have no price (c_d = m_d = 0): C10 makes the spool be bought, and C8 lets no cut-off be used twice.
Spools alike can be numbered at will, so C11 takes nothing away: they are numbered by the length that is cut, longest
first. C9 is C8 for lines of which no more than n fit, rounded down; with q_k it makes a spool that is needed for few
lines count in full in the relaxation.

Sources: covering with alternatives after Toregas et al., "The Location of Emergency Service Facilities", Operations
Research 19 (1971) 1363-1373; Hall, "On Representatives of Subsets", J. London Math. Soc. 10 (1935) 26-30; spools cut
one by one after Kantorovich, "Mathematical Methods of Organizing and Planning Production", Management Science 6 (1960)
366-422.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pulp
from numpy.typing import NDArray

from recommender.kit.cover import unions_of_overlapping
from recommender.kit.problem import KitProblem, Ways, Words, as_number, as_words
from recommender.kit.spools import Spool, first_fit, usable

ROWS_AT_ONCE = 2000


@dataclass(frozen=True)
class KitModel:
    """A built programme with what is read from it or added to it.

    ``pieces`` are the variables x by item position, ``row_items`` the items of every C2, C3 and C10 row,
    ``line_length`` the lengths of the lines that may be cut from spools. [mm]
    """

    programme: pulp.LpProblem
    pieces: Mapping[int, pulp.LpVariable]
    row_items: Mapping[str, NDArray[np.int64]]
    line_length: Mapping[int, int] = field(default_factory=dict)


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
    items = usable(problem.spools, items)
    most = most_of_use(problem, ways)
    spools = spools_of_use(problem, ways, items, most)
    for number, use in spools.items():
        item = problem.spools[number].item
        most[item] = min(max(most[item], use.spools), problem.limit[item])
    pieces = add_pieces_variables(programme, most, items)
    choice = add_choice_variables(programme, ways)
    set_objective(programme, problem.price, pieces)
    require_every_case_covered(programme, ways, choice)
    row_items = require_items_for_ways(programme, problem, ways, choice, pieces)
    row_items |= require_standing_needs(programme, problem, pieces)
    line_length: dict[int, int] = {}
    for number, use in spools.items():
        spool = problem.spools[number]
        row_items |= cut_lines_from_spools(programme, spool, number, use, pieces)
        line_length |= {item: length for item, length in spool.cuts if item in pieces}
    return KitModel(programme, pieces, row_items, line_length)


@dataclass(frozen=True)
class SpoolUse:
    """How many spools of a kind, and lines from them, are enough for some best kit."""

    spools: int
    lines: int


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


def spools_of_use(
    problem: KitProblem, ways: Ways, items: NDArray[np.bool_], most: NDArray[np.int64]
) -> dict[int, SpoolUse]:
    """R_k and q_k: spools and lines that are enough for some best kit, by the spool's number.

    The fewest spools never become more when lines are left out or shortened. No kit has a use for more lines than
    ``most`` says, so as many spools as first fit needs for all of them are enough. Mostly lines are nested: wherever a
    line would do, the longer ones of its spool do as well. Then, if one way asks for at most q lines, or standing needs
    do, the q longest lines of a kit are enough, and so are the spools for q lines of the longest kind.
    """
    found = {}
    for number, spool in enumerate(problem.spools):
        cuts = sorted((length, item) for item, length in spool.cuts if items[item] and most[item])
        if not cuts:
            continue
        all_lines = [length for length, item in cuts for _ in range(int(most[item]))]
        spools = len(first_fit(all_lines, spool.length))
        lines = lines_at_once(problem, ways, [item for _, item in cuts])
        if lines is None:
            found[number] = SpoolUse(spools, len(all_lines))
            continue
        on_a_spool = spool.length // cuts[-1][0]
        found[number] = SpoolUse(min(spools, -(-lines // on_a_spool)), lines)
    return found


def lines_at_once(problem: KitProblem, ways: Ways, cuts: Sequence[int]) -> int | None:
    """The most needs of one way, or pieces of one standing need, that ask for lines of a spool; None if not nested.

    ``cuts`` are the lines, shortest first.
    """
    there = [item for item in cuts if item in set(ways.universe.tolist())]
    columns = np.searchsorted(ways.universe, there)
    most = 0
    for start in range(0, len(ways), ROWS_AT_ONCE):
        flags = ways.flags(ways.needs[start : start + ROWS_AT_ONCE])[..., columns]
        if np.any(flags[..., :-1] & ~flags[..., 1:]):
            return None
        copies = problem.copies_of(ways.case[start : start + ROWS_AT_ONCE])
        most = max(most, int((flags.any(axis=2).sum(axis=1) * copies).max(initial=0)))
    for members, count in problem.standing:
        inside = np.isin(cuts, members)
        if np.any(inside[:-1] & ~inside[1:]):
            return None
        most = max(most, count if inside.any() else 0)
    return most


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


def cut_lines_from_spools(
    programme: pulp.LpProblem, spool: Spool, number: int, use: SpoolUse, pieces: Mapping[int, pulp.LpVariable]
) -> dict[str, NDArray[np.int64]]:
    """C7 to C11 for one spool; the item of row C10."""
    cuts = [(item, length) for item, length in spool.cuts if item in pieces]
    opened, load = [], []
    lines: dict[int, list[tuple[pulp.LpVariable, int]]] = {item: [] for item, _ in cuts}

    def add(terms: list[tuple[pulp.LpVariable, int]], sense: int, name: str) -> None:
        programme.addConstraint(pulp.LpConstraint(pulp.LpAffineExpression(terms), sense, name, 0))

    for place in range(use.spools):
        name = f"{number}_{place:03d}"
        is_cut = programme.add_variable(f"o_{name}", cat=pulp.LpBinary)
        own = {
            item: programme.add_variable(f"y_{name}_{item}", 0, spool.length // length, cat=pulp.LpInteger)
            for item, length in cuts
        }
        opened.append(is_cut)
        load.append([(own[item], length) for item, length in cuts])
        for item, variable in own.items():
            lines[item].append((variable, 1))
        add([*load[-1], (is_cut, -spool.length)], pulp.LpConstraintLE, f"C8_fit_{name}")
        for most in sorted({min(spool.length // length, use.lines) for _, length in cuts}):
            few = [
                (own[item], 1) for item, length in cuts if spool.length // length <= most or most == use.lines
            ]
            add([*few, (is_cut, -most)], pulp.LpConstraintLE, f"C9_few_{name}_{most}")
    for item, _ in cuts:
        add([*lines[item], (pieces[item], -1)], pulp.LpConstraintEQ, f"C7_lines_{item:04d}")
    for place in range(use.spools - 1):
        fuller = [*load[place], *((variable, -length) for variable, length in load[place + 1])]
        add(fuller, pulp.LpConstraintGE, f"C11_load_{number}_{place:03d}")
        add(
            [(opened[place], 1), (opened[place + 1], -1)],
            pulp.LpConstraintGE,
            f"C11_open_{number}_{place:03d}",
        )
    bought = f"C10_spools_{number:04d}"
    add([*((is_cut, 1) for is_cut in opened), (pieces[spool.item], -1)], pulp.LpConstraintLE, bought)
    return {bought: np.array([spool.item], dtype=np.int64)}


def hold_total(model: KitModel, name: str, weights: NDArray[np.int64], total: int) -> None:
    """C4, C5: keep a total no higher than its best value."""
    terms = [(x, int(weights[i])) for i, x in model.pieces.items() if weights[i]]
    model.programme.addConstraint(
        pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintLE, name, total)
    )


def count_different_items(model: KitModel) -> None:
    """C6 and the third objective: as few different items as possible, lines from spools not counted."""
    programme = model.programme
    used = {}
    for item, pieces in model.pieces.items():
        if item in model.line_length:
            continue
        if pieces.upBound <= 1:
            used[item] = pieces
            continue
        used[item] = programme.add_variable(f"u_{item}", cat=pulp.LpBinary)
        terms = pulp.LpAffineExpression([(pieces, 1), (used[item], -pieces.upBound)])
        programme.addConstraint(pulp.LpConstraint(terms, pulp.LpConstraintLE, f"C6_used_{item:04d}", 0))
    programme.setObjective(pulp.LpAffineExpression([(u, 1) for u in used.values()]))


def cut_least(model: KitModel) -> None:
    """C12 and the last objective: at the least number of different items, the least length of line cut from spools."""
    fewest = round(pulp.value(model.programme.objective))
    terms = pulp.LpAffineExpression(model.programme.objective)
    model.programme.addConstraint(pulp.LpConstraint(terms, pulp.LpConstraintLE, "C12_items", fewest))
    lengths = [(model.pieces[item], length) for item, length in model.line_length.items()]
    model.programme.setObjective(pulp.LpAffineExpression(lengths))
