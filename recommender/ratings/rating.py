"""The record of a rating, and the steps that every kind of part shares."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import Literal

from catalog_schema.gear import Fibre
from recommender.ratings.policy import source_of
from recommender.ratings.settings import ByTechnique, Policy, Technique

State = Literal["working", "jam"]
WorkingCondition = Literal["bought", "new", "sound"]
ItemCondition = Literal["bought", "new", "sound", "worn"]
Part = Literal["rope_explicit", "rope_all_in", "sling", "redirect", "connector", "brake"]
WORN = "worn: not used for loads"
NOT_FOR_CATCHING = "not for catching"


@dataclass(frozen=True)
class Factor:
    """One step of a rating: a number that multiplies or, if ``divides``, divides, and where it comes from."""

    name: str
    value: float
    source: str
    divides: bool = False


@dataclass(frozen=True)
class Rating:
    """What a part may carry, and how that was worked out.

    Attributes
    ----------
    capacity : float
        Largest load allowed; ``basis`` times and over ``factors``, 0 if the use is refused. [N]
    basis : float
        The figure of the catalogue that it starts from. [N]
    basis_name : str
        Name of that figure.
    factors : tuple of Factor
        The steps from ``basis`` to ``capacity``.
    rule : str
        The rule that decided, such as ``explicit 6:1``, ``all-in 12:1``, ``tag`` or ``survival 1.5``.
    other_spots : tuple of Factor
        Local factors that were looked at and are not the lowest.
    """

    capacity: float
    basis: float
    basis_name: str
    factors: tuple[Factor, ...]
    rule: str
    other_spots: tuple[Factor, ...] = ()


def by_strength(
    basis: float, name: str, left: tuple[Factor, ...], part: Part, technique: Technique, policy: Policy
) -> Rating:
    """Working state: the strength that is left, over the part's design factor.

    Parameters
    ----------
    basis : float
        Breaking strength. [N]
    name : str
        Name of ``basis``.
    left : tuple of Factor
        What is left of it.
    part : str
        Name of the design factor in the policy.
    technique, policy
        Which of its values holds.

    Returns
    -------
    Rating
        Capacity in newton.
    """
    factors: ByTechnique = getattr(policy.design_factor, part)
    value = factors.at(technique)
    source = source_of(policy, "design_factor", part, technique)
    rule = f"{'all-in' if part == 'rope_all_in' else 'explicit'} {value:g}:1"
    return _over(basis, name, left, Factor("design factor", value, source, divides=True), rule)


def by_survival(basis: float, name: str, left: tuple[Factor, ...], policy: Policy) -> Rating:
    """Jam state: the strength that is left, over the survival factor.

    Parameters
    ----------
    basis : float
        Breaking strength, or a tag that ``left`` turns into one. [N]
    name : str
        Name of ``basis``.
    left : tuple of Factor
        What is left of it.
    policy : Policy
        Gives the survival factor.

    Returns
    -------
    Rating
        Capacity in newton.
    """
    value = policy.survival.factor
    divisor = Factor("survival factor", value, source_of(policy, "survival", "factor"), divides=True)
    return _over(basis, name, left, divisor, f"survival {value:g}")


def average_to_minimum(break_basis: str, policy: Policy) -> tuple[Factor, ...]:
    """The step from an average strength to the minimum; none if the sheet gives the minimum."""
    if break_basis == "minimum":
        return ()
    source = source_of(policy, "average_strength", "factor")
    return (Factor("average to minimum", policy.average_strength.factor, source),)


def everywhere(fibre: Fibre, wet: bool, condition: WorkingCondition, policy: Policy) -> tuple[Factor, ...]:
    """What is left everywhere in a textile part: when wet, and by its condition."""
    worn = {"bought": policy.condition.bought, "new": policy.condition.new, "sound": policy.condition.sound}
    wear = Factor(f"condition {condition}", worn[condition], source_of(policy, "condition", condition))
    water = Factor("wet", policy.wet.of(fibre), source_of(policy, "wet", policy.wet.key(fibre)))
    return (water, wear) if wet else (wear,)


def assumed_break(part: Literal["redirect", "brake", "sling", "connector"], policy: Policy) -> Factor:
    """The step from a tag to a breaking strength, where no other is known."""
    value = float(getattr(policy.tag_break, part))
    return Factor("breaking strength over tag", value, source_of(policy, "tag_break", part))


def _over(basis: float, name: str, left: tuple[Factor, ...], divisor: Factor, rule: str) -> Rating:
    times = prod(step.value for step in left)
    return Rating(basis * times / divisor.value, basis, name, (*left, divisor), rule)
