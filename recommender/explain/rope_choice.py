"""Which ropes to set side by side first."""

from __future__ import annotations

from catalog_schema.catalogue import RopeLength, lengths_of
from recommender.explain.rope_match import RopeMatch, compare_ropes
from recommender.kit.result import KitResult
from recommender.work.cases import load_case
from recommender.work.plan import Plan

THICK_FIBRES = ("polyester",)
"""What thick lowering lines are usually made of."""
MIDDLE = (0.55, 0.8)
"""Thickness of a mid-size rope, as a share of the thick one's."""
LEAST_STRENGTH = 1 / 3
"""A mid-size rope has at least this share of the thick one's strength."""


def telling_ropes(plan: Plan, job: str, kit: KitResult) -> tuple[str, ...]:
    """The pair that tells most: the thickest rope of little stretch, and a mid-size one that stretches.

    Where the mid-size rope would not carry the job on gear that takes both, the line of the kit stands in its place.

    Parameters
    ----------
    plan : Plan
    job : str
        One that the kit carries.
    kit : KitResult

    Returns
    -------
    tuple of str
        Ids of two ropes, the thinner first; of one where there are no two.
    """
    chosen = next(one for one in plan.jobs if one.job == job)
    needed = load_case(chosen, plan.settings.line, plan.settings.pieces_per_season).line_needed
    every = [one for rope in plan.catalogue.ropes for one in lengths_of(rope)]
    ropes = [one for one in every if one.length >= needed] or every
    stiff = [one for one in ropes if one.rope.fibre in THICK_FIBRES] or ropes
    thick = max(stiff, key=lambda one: (one.rope.diameter, one.rope.min_break, -one.length)).rope
    thin = _middle(ropes, thick.diameter, thick.min_break)
    own = next(one.parts["line"] for one in kit.assignments if one.job == job)
    line = next((one.rope.id for one in every if one.id == own), "")
    found = list(dict.fromkeys(id for id in (thin, line) if id and id != thick.id))
    if not found:
        return (thick.id,)
    if len(found) > 1 and not _carries(compare_ropes(plan, [*found, thick.id], job), found[0]):
        return found[1], thick.id
    return found[0], thick.id


def _carries(match: RopeMatch, id: str) -> bool:
    return next(rope.carries for rope in match.ropes if rope.id == id)


def _middle(ropes: list[RopeLength], thickness: float, strength: float) -> str:
    """The softest rope of middle thickness, in the shortest length; empty where there is none."""
    low, high = (share * thickness for share in MIDDLE)
    middle = [
        one
        for one in ropes
        if low <= one.rope.diameter <= high and one.rope.min_break >= LEAST_STRENGTH * strength
    ]
    return max(middle, key=_softness).rope.id if middle else ""


def _softness(one: RopeLength) -> tuple[float, float]:
    """Stretch over the force that gives it, and, of several lengths, the shortest. [1/N]"""
    rope = one.rope
    return rope.elongation / (rope.elongation_at * rope.min_break), -one.length
