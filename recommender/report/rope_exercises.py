"""Exercises for a lesson, made of the figures of a comparison of ropes."""

from __future__ import annotations

from collections.abc import Iterator

from catalog_schema.units import UnitSystem, show
from recommender.explain.rope_match import RopeMatch
from recommender.kit.result import Typed
from recommender.physics import STANDARD_GRAVITY
from recommender.report.figures import force, mass, percent, words
from recommender.report.rope_words import TIE, in_words, listed


class Exercise(Typed):
    """A question from the figures of a comparison; ``answer`` is empty on the sheet for learners."""

    question: str
    answer: str = ""


def exercises(match: RopeMatch, system: UnitSystem, *, answers: bool) -> tuple[Exercise, ...]:
    """Questions from the figures of a comparison, for a lesson.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}
    answers : bool
        Whether the answers are filled in.

    Returns
    -------
    tuple of Exercise
    """
    pairs = [
        *_about_the_piece(match, system),
        *_about_the_line(match, system),
        *_about_the_rope(match, system),
    ]
    return tuple(Exercise(question=question, answer=answer if answers else "") for question, answer in pairs)


def _weight(match: RopeMatch) -> float:
    return match.piece_mass_kg * float(STANDARD_GRAVITY)


def _about_the_piece(match: RopeMatch, system: UnitSystem) -> Iterator[tuple[str, str]]:
    usual, most = (mass(value, system) for value in (match.piece_mass_typical_kg, match.piece_mass_kg))
    yield (
        f"The pieces of '{match.job}' usually weigh {usual}, the heaviest to plan for {most}. By which is the gear "
        "chosen, and what is its weight as a force?",
        f"By the heaviest, {most}: {force(_weight(match), system)}.",
    )


def _about_the_line(match: RopeMatch, system: UnitSystem) -> Iterator[tuple[str, str]]:
    first = match.ropes[0]
    yield (
        f"On {first.id} the line reaches {force(first.line_n, system)} in the planned state. How many times the weight "
        "of the heaviest piece is that?",
        f"{first.line_n / _weight(match):.1f} times.",
    )
    if match.technique == "catch":
        factors = [f"{rope.id}: {(rope.line_jam_n or 0.0) / rope.line_n:.1f} times" for rope in match.ropes]
        given = [
            f"{rope.id} {force(rope.line_n, system)} running and {force(rope.line_jam_n or 0.0, system)} locked"
            for rope in match.ropes
        ]
        yield (
            f"The line jams at the brake instead of running {show(match.run_m, 'length', system)}. The tensions are: "
            f"{'; '.join(given)}. By what factor does each rise, and what does that say about the brake hand?",
            f"{'; '.join(factors)}. {_run_or_rope(match)}",
        )
    if match.leg_angle_rad == 0.0 and match.technique != "lift":
        lead = first.line_n if first.line_jam_n is None else first.line_jam_n
        high = match.friction_high
        yield (
            f"The legs of the line lie side by side. The piece pulls with {force(lead, system)} on {first.id}; the "
            f"other leg has at most {high:g} of it. How much comes on the redirect and its sling at most?",
            f"At most {force(lead, system)} x (1 + {high:g}) = {force(lead * (1 + high), system)}; the planner, which "
            f"takes the tension that goes with each end of the friction, has {force(first.hardest_n, system)}.",
        )


def _run_or_rope(match: RopeMatch) -> str:
    """Whether the run or the choice of rope takes more load off the gear."""
    jams = [rope.line_jam_n or 0.0 for rope in match.ropes]
    by_run, by_rope = (
        min(jam / rope.line_n for jam, rope in zip(jams, match.ropes, strict=True)),
        max(jams) / min(jams),
    )
    more = "more" if by_run > by_rope else "no more"
    return (
        f"A steady run divides the load by {by_run:.1f} at least, the choice between these ropes by {by_rope:.1f}: the "
        f"brake hand takes {more} off the gear than the choice of rope."
    )


def _about_the_rope(match: RopeMatch, system: UnitSystem) -> Iterator[tuple[str, str]]:
    sling = "redirect_sling" if "redirect_sling" in match.ropes[0].utilisation else "redirect"
    shares = [f"{rope.id} {percent(rope.utilisation[sling])}" for rope in match.ropes]
    over = [rope.id for rope in match.ropes if rope.utilisation[sling] > 1]
    least = min(rope.utilisation[sling] for rope in match.ropes)
    gentle = [rope.id for rope in match.ropes if rope.utilisation[sling] <= least * (1 + float(TIE))]
    verb = "overloads" if len(over) == 1 else "overload"
    yield (
        f"The {words(sling)} works at {', '.join(shares)} of its rating. Which ropes overload it, and with which would "
        "you plan if the sling had to be kept?",
        f"{f'{listed(over)} {verb}' if over else 'None overloads'} it; the least load "
        f"comes from {listed(gentle)}.",
    )
    rope = max(match.ropes, key=lambda one: one.mass_wet_kg / one.mass_dry_kg)
    taken = rope.mass_wet_kg / rope.mass_dry_kg - 1
    yield (
        f"{rope.id} is {show(rope.length_m, 'length', system)} long and weighs {mass(rope.mass_dry_kg, system)} dry. "
        f"Soaked it takes up {100 * taken:.0f} % of its mass in water. How much is there to carry to the tree "
        "when it is soaked?",
        f"{mass(rope.mass_wet_kg, system)}.",
    )
    yield "Which of these ropes would you take for this job, and why?", in_words(match, system)
