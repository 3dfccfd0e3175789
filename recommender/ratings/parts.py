"""What a part may carry in its place: its strength, the factors that lower it, and the rule that decides.

A fibre part rated by its minimum breaking strength carries ``MBS * min(local) * wet * condition / DF``, a rope no
more than ``MBS / DF_all_in``; a tag is taken as it is. In the jam of a catch the strength that is left is divided by
the survival factor alone. Local factors act at different spots, so the lowest counts and never their product.
Nothing is rounded here.
"""

from __future__ import annotations

from dataclasses import replace
from math import prod
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from catalog_schema.gear import Brake, Connector, Lifter, Redirect, Rope, Sling
from recommender.ratings.policy import source_of
from recommender.ratings.rating import (
    NOT_FOR_CATCHING,
    WORN,
    Factor,
    ItemCondition,
    Rating,
    State,
    assumed_break,
    average_to_minimum,
    by_strength,
    by_survival,
    everywhere,
)
from recommender.ratings.settings import Policy, Technique
from recommender.ratings.strength import bend_factor

__all__ = [
    "Factor",
    "ItemCondition",
    "Rating",
    "State",
    "line_capacity",
    "rate_brake",
    "rate_connector",
    "rate_lifter",
    "rate_line",
    "rate_redirect",
    "rate_sling",
    "retired",
]

TAG_NAME = "working load limit"


def rate_line(
    rope: Rope,
    technique: Technique,
    state: State,
    *,
    policy: Policy,
    wet: bool = True,
    condition: ItemCondition = "bought",
    bend_ratio: float | None = None,
) -> Rating:
    """What a rope may carry as the line, at its most loaded leg.

    Parameters
    ----------
    rope : Rope
        The rope.
    technique : {"lower", "lift", "catch"}
        What is done with the piece.
    state : {"working", "jam"}
        Full design factors, or survival of a locked catch.
    policy : Policy
        Design factors and factors of strength.
    wet : bool
        True if the rope may be wet.
    condition : {"bought", "new", "sound", "worn"}
        ``bought`` for what is not owned yet.
    bend_ratio : float, optional
        Smallest diameter that the loaded rope bends round, over the rope's diameter. [-]

    Returns
    -------
    Rating
        Capacity in newton; 0 for a worn rope and for a bend that is refused.

    Raises
    ------
    ValueError
        If ``bend_ratio`` is not finite or not above 0.
    """
    refusal = _refusal(condition, bend_ratio, policy)
    if condition == "worn" or refusal:
        return Rating(0.0, rope.min_break, "breaking strength", (), refusal or WORN)
    spots = [_line_end(rope, policy)] + ([] if bend_ratio is None else [_bend(bend_ratio, policy)])
    worst = min(spots, key=lambda spot: spot.value)
    minimum = average_to_minimum(rope.break_basis, policy)
    left = (*minimum, worst, *everywhere(rope.fibre, wet, condition, policy))
    name = "breaking strength"
    if state == "jam":
        ratings = [by_survival(rope.min_break, name, left, policy)]
    else:
        ratings = [
            by_strength(rope.min_break, name, left, "rope_explicit", technique, policy),
            by_strength(rope.min_break, name, minimum, "rope_all_in", technique, policy),
        ]
    lowest = min(ratings, key=lambda rating: rating.capacity)
    return replace(lowest, other_spots=tuple(spot for spot in spots if spot not in lowest.factors))


def line_capacity(
    rope: Rope,
    technique: Technique,
    state: State,
    *,
    policy: Policy,
    wet: bool,
    condition: ItemCondition,
    bend_ratio: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The capacity of ``rate_line`` for many bends at once.

    Parameters
    ----------
    rope, technique, state, policy, wet, condition
        As in ``rate_line``.
    bend_ratio : array
        Diameter of the bend over the rope's diameter, any shape. [-]

    Returns
    -------
    array
        Largest load allowed, 0 where the bend is refused; shape of ``bend_ratio``. [N]

    Raises
    ------
    ValueError
        If a ratio is not finite or not above 0.
    """
    ratio = np.asarray(bend_ratio, dtype=float)
    _require_ratio(ratio)
    if condition == "worn":
        return np.zeros_like(ratio)
    allowed = ratio >= policy.bend.ratio[0]
    bent = bend_factor(np.where(allowed, ratio, policy.bend.ratio[-1]), policy.bend.ratio, policy.bend.factor)
    minimum = prod(step.value for step in average_to_minimum(rope.break_basis, policy))
    left = minimum * np.minimum(bent, _line_end(rope, policy).value)
    for step in everywhere(rope.fibre, wet, condition, policy):
        left = left * step.value
    if state == "jam":
        capacity = rope.min_break * left / policy.survival.factor
    else:
        factors = policy.design_factor
        explicit = rope.min_break * left / factors.rope_explicit.at(technique)
        capacity = np.minimum(explicit, rope.min_break * minimum / factors.rope_all_in.at(technique))
    return np.where(allowed, capacity, 0.0)


def rate_sling(
    sling: Sling,
    technique: Technique,
    state: State,
    *,
    policy: Policy,
    wet: bool = True,
    condition: ItemCondition = "bought",
) -> Rating:
    """What a sling may carry on the stem, in its hitch.

    The strength in the hitch counts if the sheet gives it, else the straight strength times the hitch factor of the
    fibre. A tag is for the straight pull: it is multiplied by the choker factor and never divided. If a sling has
    both, the lower one rules; in a jam the tag counts only where no strength is known.

    Parameters
    ----------
    sling : Sling
        The sling.
    technique, state, policy, wet, condition
        As in ``rate_line``.

    Returns
    -------
    Rating
        Capacity in newton; 0 for a worn sling.
    """
    basis, name, left = _sling_strength(sling, policy)
    if condition == "worn":
        return Rating(0.0, basis, name, (), WORN)
    weather = everywhere(sling.fibre, wet, condition, policy)
    tag_only = sling.min_break is None and sling.hitch_break is None
    if state == "jam":
        return by_survival(basis, name, (*left, *weather), policy)
    ratings = []
    if not tag_only:
        ratings.append(by_strength(basis, name, (*left, *weather), "sling", technique, policy))
    if sling.wll is not None:
        choker = _choker(policy)
        ratings.append(Rating(sling.wll * choker.value, sling.wll, TAG_NAME, (choker,), "tag"))
    return min(ratings, key=lambda rating: rating.capacity)


def rate_redirect(redirect: Redirect, technique: Technique, state: State, *, policy: Policy) -> Rating:
    """What a redirect may carry as the force of both legs together.

    Parameters
    ----------
    redirect : Redirect
        The block, pulley or ring.
    technique, state, policy
        As in ``rate_line``.

    Returns
    -------
    Rating
        Capacity in newton; 0 for a catch if the maker does not allow catching.
    """
    return _rate_metal(redirect, "redirect", technique, state, policy)


def rate_brake(brake: Brake, technique: Technique, state: State, *, policy: Policy) -> Rating:
    """What a friction brake may carry as the tension of the line that comes to it.

    Parameters
    ----------
    brake : Brake
        The bollard.
    technique, state, policy
        As in ``rate_line``.

    Returns
    -------
    Rating
        Capacity in newton; 0 for a catch if the maker does not allow catching.
    """
    return _rate_metal(brake, "brake", technique, state, policy)


def rate_connector(connector: Connector, technique: Technique, state: State, *, policy: Policy) -> Rating:
    """What a connector may carry in line with its long axis.

    Parameters
    ----------
    connector : Connector
        The shackle or carabiner.
    technique, state, policy
        As in ``rate_line``.

    Returns
    -------
    Rating
        Capacity in newton.
    """
    return _rate_metal(connector, "connector", technique, state, policy)


def rate_lifter(lifter: Lifter, technique: Technique, state: State = "working", *, policy: Policy) -> Rating:
    """What a lifter may pull or hold: its working load limit, and nothing in a catch.

    Parameters
    ----------
    lifter : Lifter
        The tackle set, hoist, puller or winch.
    technique, state, policy
        As in ``rate_line``; a lifter is not made for shock, so it has no survival state of its own.

    Returns
    -------
    Rating
        Capacity in newton; 0 for a catch.
    """
    if technique == "catch" or state == "jam":
        return Rating(0.0, lifter.wll, TAG_NAME, (), NOT_FOR_CATCHING)
    return Rating(lifter.wll, lifter.wll, TAG_NAME, (), "tag")


def retired(textile: bool, age_years: float, condition: str, policy: Policy) -> str | None:
    """Why an owned item is not used any more, or None if it is.

    Parameters
    ----------
    textile : bool
        True for ropes and slings; metal parts have no limit of age here.
    age_years : float
        Years since first use, >= 0. [yr]
    condition : str
        ``new``, ``sound`` or ``worn``.
    policy : Policy
        Gives the years of use of a textile.

    Returns
    -------
    str or None
        The reason in plain words.

    Raises
    ------
    ValueError
        If ``age_years`` is negative or not finite.

    Examples
    --------
    >>> from recommender.ratings.policy import default_policy
    >>> retired(True, 6, "sound", default_policy())
    'in use for 6 years: textiles are retired after 5'
    >>> retired(False, 6, "sound", default_policy()) is None
    True
    """
    if not (np.isfinite(age_years) and age_years >= 0):
        raise ValueError(f"age_years must be finite and 0 or more, not {age_years!r}")
    if condition == "worn":
        return WORN
    limit = policy.retirement.textile_years
    if textile and age_years >= limit:
        return f"in use for {age_years:g} years: textiles are retired after {limit:g}"
    return None


def _rate_metal(
    item: Redirect | Brake | Connector,
    part: Literal["redirect", "brake", "connector"],
    technique: Technique,
    state: State,
    policy: Policy,
) -> Rating:
    """A metal part: strength over design factor and tag, the lower one; in a jam its strength alone."""
    left: tuple[Factor, ...] = () if item.min_break is not None else (assumed_break(part, policy),)
    basis = item.min_break if item.min_break is not None else item.wll or 0.0
    name = TAG_NAME if left else "breaking strength"
    if technique == "catch" and not getattr(item, "takes_catch", True):
        return Rating(0.0, basis, name, (), NOT_FOR_CATCHING)
    if state == "jam":
        return by_survival(basis, name, left, policy)
    ratings = []
    if item.min_break is not None:
        ratings.append(by_strength(basis, name, (), part, technique, policy))
    if item.wll is not None:
        ratings.append(Rating(item.wll, item.wll, TAG_NAME, (), "tag"))
    return min(ratings, key=lambda rating: rating.capacity)


def _line_end(rope: Rope, policy: Policy) -> Factor:
    """The knot at the piece, or the eye where the plan says that an eye holds it and the rope has one."""
    if policy.line_tie == "eye" and rope.termination != "cut_end":
        return Factor("eye", policy.eye_splice.factor, source_of(policy, "eye_splice", "factor"))
    return Factor("knot", policy.knot.of(rope.fibre), source_of(policy, "knot", policy.knot.key(rope.fibre)))


def _bend(bend_ratio: float, policy: Policy) -> Factor:
    value = float(bend_factor(bend_ratio, policy.bend.ratio, policy.bend.factor))
    return Factor(f"bend at {bend_ratio:.3g} diameters", value, source_of(policy, "bend", "factor"))


def _sling_strength(sling: Sling, policy: Policy) -> tuple[float, str, tuple[Factor, ...]]:
    """The figure to start from, its name, and the steps to the strength in the hitch."""
    minimum = average_to_minimum(sling.break_basis, policy)
    if sling.hitch_break is not None:
        return sling.hitch_break, "breaking strength in the hitch", minimum
    if sling.min_break is not None:
        source = source_of(policy, "hitch", policy.hitch.key(sling.fibre))
        hitch = Factor("hitch on the stem", policy.hitch.of(sling.fibre), source)
        return sling.min_break, "breaking strength", (*minimum, hitch)
    return sling.wll or 0.0, TAG_NAME, (assumed_break("sling", policy), _choker(policy))


def _choker(policy: Policy) -> Factor:
    return Factor("choked", policy.choker.factor, source_of(policy, "choker", "factor"))


def _refusal(condition: str, bend_ratio: float | None, policy: Policy) -> str | None:
    if condition == "worn" or bend_ratio is None:
        return WORN if condition == "worn" else None
    _require_ratio(np.asarray(bend_ratio))
    least = policy.bend.ratio[0]
    return f"bend below {least:g} rope diameters: refused" if bend_ratio < least else None


def _require_ratio(ratio: NDArray[np.float64]) -> None:
    bad = ~(np.isfinite(ratio) & (ratio > 0))
    if np.any(bad):
        raise ValueError(f"bend_ratio must be finite and above 0, not {float(ratio[bad].flat[0])!r}")
