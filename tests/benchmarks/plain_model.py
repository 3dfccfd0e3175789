"""The kit problem written down straight, as a textbook would: kept only to measure the reduced model against it.

y[j, p, i] = 1 if item i serves part p of load case j; z[w] = 1 if way w rigs its load case; x[i] pieces.
"""

from __future__ import annotations

import numpy as np
import pulp

from recommender.kit.problem import KitProblem


def build_plain(problem: KitProblem) -> tuple[pulp.LpProblem, dict[int, pulp.LpVariable]]:
    """Every load case, way and item; one assignment variable for each item that may serve a part."""
    model = pulp.LpProblem("plain", pulp.LpMinimize)
    pieces = {
        i: model.add_variable(f"x_{i}", 0, int(problem.limit[i]), cat=pulp.LpInteger)
        for i in range(problem.item_count)
    }
    model.setObjective(pulp.LpAffineExpression([(x, int(problem.price[i])) for i, x in pieces.items()]))
    ways = problem.ways()
    for case in range(len(problem.case_names)):
        rows = np.flatnonzero(ways.case == case)
        _case(model, problem, ways, rows, case, pieces)
    for number, (words, count) in enumerate(problem.standing):
        terms = [(pieces[i], 1) for i in words]
        model.addConstraint(
            pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintGE, f"s_{number}", count)
        )
    return model, pieces


def _case(model, problem, ways, rows, case, pieces):  # type: ignore[no-untyped-def]
    choice = {int(w): model.add_variable(f"z_{w}", cat=pulp.LpBinary) for w in rows}
    add = model.addConstraint
    add(
        pulp.LpConstraint(
            pulp.LpAffineExpression([(z, 1) for z in choice.values()]), pulp.LpConstraintEQ, f"one_{case}", 1
        )
    )
    use: dict[int, list[pulp.LpVariable]] = {}
    for part in range(len(ways.parts)):
        serving: dict[int, list[int]] = {}
        for w in rows:
            for item in ways.members(ways.needs[w, part]).tolist():
                serving.setdefault(item, []).append(int(w))
        served = {i: model.add_variable(f"y_{case}_{part}_{i}", cat=pulp.LpBinary) for i in serving}
        with_part = [int(w) for w in rows if ways.has_part[w, part]]
        terms = [(y, 1) for y in served.values()] + [(choice[w], -1) for w in with_part]
        add(pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintEQ, f"fill_{case}_{part}", 0))
        for item, y in served.items():
            terms = [(y, 1)] + [(choice[w], -1) for w in serving[item]]
            add(
                pulp.LpConstraint(
                    pulp.LpAffineExpression(terms), pulp.LpConstraintLE, f"fit_{case}_{part}_{item}", 0
                )
            )
            use.setdefault(item, []).append(y)
    for item, served_parts in use.items():
        terms = [(y, 1) for y in served_parts] + [(pieces[item], -1)]
        add(pulp.LpConstraint(pulp.LpAffineExpression(terms), pulp.LpConstraintLE, f"have_{case}_{item}", 0))
