"""Exercises for a lesson, made of the figures of a comparison of ropes.

Answers are worked out from the figures as they are printed, so that learners come to the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from catalog_schema.units import UnitSystem, show
from recommender.explain.rope_match import RopeMatch
from recommender.kit.result import Typed
from recommender.physics import STANDARD_GRAVITY
from recommender.report.figures import Printed, percent, printed, words
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


@dataclass(frozen=True)
class _Line:
    """Tensions of a rope as the sheet prints them, working and locked."""

    id: str
    working: Printed
    jam: Printed | None

    @property
    def rise(self) -> float:
        """How many times the tension when locked is that when it works."""
        return self.jam.value / self.working.value if self.jam else 1.0


def _lines(match: RopeMatch, system: UnitSystem) -> list[_Line]:
    return [
        _Line(
            rope.id,
            printed(rope.line_n, "force", system),
            None if rope.line_jam_n is None else printed(rope.line_jam_n, "force", system),
        )
        for rope in match.ropes
    ]


def _weight(match: RopeMatch, system: UnitSystem) -> Printed:
    """The weight that follows from the printed mass."""
    return printed(_heaviest(match, system).value * float(STANDARD_GRAVITY), "force", system)


def _heaviest(match: RopeMatch, system: UnitSystem) -> Printed:
    return printed(match.piece_mass_kg, "mass", system)


def _about_the_piece(match: RopeMatch, system: UnitSystem) -> Iterator[tuple[str, str]]:
    usual, most = printed(match.piece_mass_typical_kg, "mass", system), _heaviest(match, system)
    yield (
        f"The pieces of '{match.job}' usually weigh {usual}, the heaviest to plan for {most}. By which is the gear "
        "chosen, and what is its weight as a force?",
        f"By the heaviest, {most}: {_weight(match, system)}.",
    )


def _about_the_line(match: RopeMatch, system: UnitSystem) -> Iterator[tuple[str, str]]:
    lines, weight = _lines(match, system), _weight(match, system)
    first = lines[0]
    yield (
        f"On {first.id} the line reaches {first.working} in the planned state. How many times the weight of the "
        "heaviest piece is that?",
        f"{first.working} / {weight} = about {first.working.value / weight.value:.1f} times.",
    )
    if match.technique == "catch":
        given = "; ".join(f"{line.id} {line.working} running and {line.jam} locked" for line in lines)
        factors = "; ".join(f"{line.id}: about {line.rise:.1f} times" for line in lines)
        yield (
            f"The line jams at the brake instead of running {show(match.run_m, 'length', system)}. The tensions are: "
            f"{given}. By what factor does each rise, and what does that say about the brake hand?",
            f"{factors}. {_run_or_rope(lines)}",
        )
    if match.leg_angle_rad == 0.0 and match.technique != "lift":
        lead = first.jam or first.working
        high = match.friction_high
        both = printed(lead.value * (1 + high), "force", system)
        planned = printed(match.ropes[0].hardest_n, "force", system)
        yield (
            f"The legs of the line lie side by side. The piece pulls with {lead} on {first.id}; the other leg has at "
            f"most {high:g} of it. How much comes on the redirect and its sling at most?",
            f"At most {lead} x (1 + {high:g}) = {both}; the planner, which takes the tension that goes with each end "
            f"of the friction, has {planned}.",
        )


def _run_or_rope(lines: Sequence[_Line]) -> str:
    """Whether the run or the choice of rope takes more load off the gear."""
    jams = [line.jam.value for line in lines if line.jam]
    by_run, by_rope = min(line.rise for line in lines), max(jams) / min(jams)
    more = "more" if by_run > by_rope else "no more"
    return (
        f"A steady run divides the load by about {by_run:.1f}, the choice between these ropes by about {by_rope:.1f}: "
        f"the brake hand takes {more} off the gear than the choice of rope."
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
    dry = printed(rope.mass_dry_kg, "mass", system)
    taken = ceil(100 * (rope.mass_wet_kg / rope.mass_dry_kg - 1) - 1e-9)
    yield (
        f"{rope.id} is {show(rope.length_m, 'length', system)} long and weighs {dry} dry. Soaked it takes up {taken} % "
        "of its mass in water. How much is there to carry to the tree when it is soaked?",
        f"{dry} x {1 + taken / 100:.2f} = {printed(dry.value * (1 + taken / 100), 'mass', system)}.",
    )
    yield "Which of these ropes would you take for this job, and why?", in_words(match, system)
