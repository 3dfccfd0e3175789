"""From the stretch on a rope's sheet to the spring that the load calculation takes it for."""

from __future__ import annotations

from collections.abc import Iterator

from recommender.explain.rigged import Rigged
from recommender.explain.steps import (
    Step,
    Value,
    made,
    require_same,
    source_of_constant,
    value,
    values,
)
from recommender.physics import DEFAULT_EXPONENT
from recommender.ratings.policy import source_of

SHEET = "derived from the catalogue's sheet"


def spring_steps(found: Rigged) -> Iterator[Step]:
    """Exponent and constant of the rope, and the constants that count for peaks and for drops."""
    lines, policy = found.fits.lines, found.fits.policy
    line = lines.types[found.line]
    rope, exponent = line.rope, value("n", line.exponent)
    share, strain = rope.elongation_at, rope.elongation
    if rope.elongation_2 is None or rope.elongation_2_at is None:
        source = source_of_constant(DEFAULT_EXPONENT)
        yield _step("stiffening of the rope", "one stretch point only", (), exponent, source)
    else:
        points = values(
            "share", {"e1": strain, "f1": share, "e2": rope.elongation_2, "f2": rope.elongation_2_at}
        )
        formula = "n = ln(f2 / f1) / ln(e2 / e1), stretch e at share f of the strength"
        yield _step("stiffening of the rope", formula, points, exponent, SHEET)
        share, strain = rope.elongation_2_at, rope.elongation_2
    inputs = (
        value("breaking strength", rope.min_break, "force"),
        *values("share", {"f": share, "e": strain}),
        exponent,
    )
    plain = value("C", line.constant, "force")
    formula = "C = f * breaking strength / e^n, of T = C * strain^n"
    yield _step("rope constant from the sheet", formula, inputs, plain, SHEET)
    for name, side, used in (("for peaks", "high", lines.stiff), ("for drops", "low", lines.soft)):
        times = value("factor", getattr(policy.stiffness, side))
        constant = require_same("the rope constant", line.constant * times.value, float(used[found.line]))
        result = value(f"C {name}", constant, "force")
        yield _step(
            f"rope constant {name}",
            "C * factor",
            (plain, times),
            result,
            source_of(policy, "stiffness", side),
        )


def _step(what: str, formula: str, inputs: tuple[Value, ...], result: Value, source: str) -> Step:
    return made("rope", what, formula, inputs, result, source, part="line")
