"""What a traced calculation is made of: values with their units, steps with their sources."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from catalog_schema.units import KINDS
from recommender.kit.check import InternalFault
from recommender.kit.result import CAUTIONS, State, Typed
from recommender.sourced import Sourced, cite
from recommender.work.tables import Technique

Topic = Literal["piece", "geometry", "rope", "force", "rating"]
TOPICS: tuple[Topic, ...] = ("piece", "geometry", "rope", "force", "rating")
SAME = 1e-12
"""Relative difference up to which a step is the figure that the kit model used."""


class Value(Typed):
    """A named quantity in SI; ``kind`` says how to show it in other units, empty for a plain number or a word."""

    name: str
    value: float
    unit: str = ""
    kind: str = ""


class Step(Typed):
    """One step of a calculation.

    ``part`` is the part of the setup that it is about, empty for steps that concern all of it; ``state`` likewise. The
    ``source`` is a citation, ``common practice``, ``from memory``, ``derived``, or ``plan`` for what the plan states.
    """

    topic: Topic
    what: str
    formula: str
    inputs: tuple[Value, ...]
    result: Value
    source: str
    part: str = ""
    state: Literal["", "working", "jam"] = ""


class LikelyPeak(Typed):
    """Peak line tension of a catch from a simulation of the log as a rigid rod, beside the rated one. [N]

    ``least`` and ``most`` are over the angles at which the hinge may part. A likely value, not used for ratings.
    """

    state: State
    rated_n: float
    least_n: float
    most_n: float
    run_m: float
    stop_distance_m: float


class Trace(Typed):
    """The chain from the inputs of a job type to the utilisation of every part of its setup.

    ``utilisation`` and ``governing`` are those of the kit model; the last step of a part and state is what they
    rest on.
    """

    job: str
    technique: Technique
    parts: dict[str, str]
    steps: tuple[Step, ...]
    utilisation: dict[str, float]
    governing: dict[str, State]
    likely: tuple[LikelyPeak, ...] = ()

    def of(self, topic: Topic, part: str = "", state: str = "") -> tuple[Step, ...]:
        """The steps of a topic; those of one part and state if these are given."""
        return tuple(
            step
            for step in self.steps
            if step.topic == topic and (not part or step.part == part) and (not state or step.state == state)
        )

    def end(self, part: str, state: State) -> Step:
        """The last step of a part in a state: its utilisation there."""
        return self.of("rating", part, state)[-1]


class ExplainResult(Typed):
    """Traces of some job types of a plan."""

    plan: str
    notice: str
    traces: tuple[Trace, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS


def value(name: str, number: float, kind: str = "") -> Value:
    """A quantity of a kind of :data:`catalog_schema.units.KINDS`, in SI.

    >>> value("weight", 1_000.0, "force").unit
    'N'
    """
    return Value(name=name, value=float(number), unit=KINDS[kind].si if kind else "", kind=kind)


def values(kind: str, numbers: Mapping[str, float]) -> tuple[Value, ...]:
    """Quantities of one kind."""
    return tuple(value(name, number, kind) for name, number in numbers.items())


def constant(name: str, sourced: Sourced, kind: str = "") -> Value:
    """A constant of the program as an input."""
    return value(name, float(sourced), kind)


def made(
    topic: Topic,
    what: str,
    formula: str,
    inputs: tuple[Value, ...],
    result: Value,
    source: str,
    *,
    part: str = "",
    state: State | Literal[""] = "",
) -> Step:
    """A step of a calculation."""
    return Step(
        topic=topic, what=what, formula=formula, inputs=inputs, result=result, source=source, part=part, state=state
    )  # fmt: skip


def source_text(source: str, place: str = "", note: str = "") -> str:
    """Citation of a source with the place in it and a note.

    >>> source_text("common practice", note="short is stiff")
    'common practice, no source (short is stiff)'
    """
    cited = f"{cite(source)}{f', {place}' if place else ''}"
    return f"{cited} ({note})" if note else cited


def source_of_constant(sourced: Sourced) -> str:
    """Where a constant of the program comes from."""
    return source_text(sourced.source, sourced.place, sourced.note)


def require_same(what: str, shown: float, used: float) -> float:
    """The shown value, if it is the one that the kit model used.

    Raises
    ------
    InternalFault
        If it is not: a trace that explains another number must not be shown.
    """
    if not (shown == used or math.isclose(shown, used, rel_tol=SAME)):
        raise InternalFault(f"The trace of {what} gives {shown!r}, the kit model used {used!r}.")
    return shown
