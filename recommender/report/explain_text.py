"""A traced calculation and a table of sensitivities as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil, floor, isfinite, log10

from catalog_schema.units import Rounding, UnitSystem, from_si, unit_label, unit_of
from recommender.explain.rigged import MEANING
from recommender.explain.sensitivity import Effect, JobSensitivity, SensitivityResult
from recommender.explain.steps import TOPICS, ExplainResult, LikelyPeak, Step, Topic, Trace, Value
from recommender.report.figures import force, length_needed, percent, state_words, words
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.specification import OWNED_MARK, catalogue_id

DIGITS = 4
"""Significant digits of a step; forces are rounded up, ratings down."""

TITLES: dict[Topic, str] = {
    "piece": "Piece", "geometry": "Line and fall", "rope": "Line as a spring", "force": "Forces", "rating": "Ratings",
}  # fmt: skip
READING = (
    "Each step: what, its result, formula and inputs, and the number of its source in the list below. Figures are "
    "those of the largest piece to plan for; 'low r' and 'high r' are the ends of the friction at the redirect."
)
LIKELY = (
    "Likely peak of the line, from a simulation of the piece as a rigid log that tips, turns and is caught at its "
    "knot; for hinges that part early and late. In the working state the brake is held as hard as the planned run goes "
    "with: what it then runs is shown. Not used for ratings: these take the upper bound."
)
VARIED = (
    "Change of the highest line tension, and of the utilisation of the part that works hardest, with the gear kept as "
    "it is, when one input changes. '*': the formulas do not hold for the changed input."
)


def explain_text(result: ExplainResult, system: UnitSystem) -> str:
    """Every step of the traces, in lines of at most 80 columns; it ends with the sources and the cautions.

    Parameters
    ----------
    result : ExplainResult
    system : {'metric', 'us'}

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    sources = list(dict.fromkeys(step.source for one in result.traces for step in one.steps))
    lines = [*heading(result.plan, result.notice), "", *wrapped(READING)]
    for one in result.traces:
        lines += _trace(one, system, sources)
    listed = [
        line for k, text in enumerate(sources, 1) for line in wrapped(text, first=f"[{k}] ", rest="    ")
    ]
    lines += section("Sources", listed)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _trace(one: Trace, system: UnitSystem, sources: list[str]) -> Iterator[str]:
    rigged = ", ".join(f"{words(part)} {_named(item)}" for part, item in one.parts.items())
    yield from ["", *wrapped(f"{one.job} ({one.technique}): {rigged}", rest="  ")]
    for topic in TOPICS[:-1]:
        yield from section(TITLES[topic], _steps(one.of(topic), system, sources, states=topic == "force"))
    for part, item in one.parts.items():
        used = f"{percent(one.utilisation[part])} ({state_words(one.governing[part])})"
        title = f"{words(part).capitalize()} {_named(item)}: {used}"
        yield from section(title, _steps(one.of("rating", part), system, sources, states=True))
    if one.likely:
        yield from ["", *wrapped(LIKELY), *table(*_likely(one.likely, system))]


def _named(item: str) -> str:
    return catalogue_id(item) + (" (owned)" if item.startswith(OWNED_MARK) else "")


def _steps(steps: Iterable[Step], system: UnitSystem, sources: list[str], *, states: bool) -> Iterator[str]:
    for step in steps:
        state = f" [{state_words(step.state)}]" if states and step.state else ""
        result = figure(step.result, system, _rounding(step))
        yield from wrapped(f"{step.what}{state}: {result}", first="  ", rest="    ")
        inputs = ", ".join(
            f"{one.name} {figure(one, system, _rounding_of(one, step))}" for one in step.inputs
        )
        how = f"{step.formula}: {inputs}" if inputs else step.formula
        yield from wrapped(f"{how} [{sources.index(step.source) + 1}]", first="    ", rest="      ")


def _rounding(step: Step) -> Rounding:
    """Loads and utilisations up, ratings down."""
    if step.topic == "rating" and step.result.kind == "force":
        return "down"
    return "up" if step.topic in ("force", "rating") else "nearest"


def _rounding_of(one: Value, step: Step) -> Rounding:
    """As the value was rounded where it came about."""
    if one.kind not in ("force", "share") or step.topic not in ("force", "rating"):
        return "nearest"
    loads = step.topic == "force" or one.kind == "share" or one.name in MEANING.values()
    return "up" if loads else "down"


def figure(one: Value, system: UnitSystem, rounding: Rounding = "nearest") -> str:
    """A value with its unit in four significant digits.

    >>> figure(Value(name="T", value=3_141.59, unit="N", kind="force"), "metric", "up")
    '3.142 kN'
    >>> figure(Value(name="n", value=1.5), "metric")
    '1.5'
    """
    if not isfinite(one.value):
        return "without limit"
    unit = unit_of(one.kind, system) if one.kind else ""
    shown = from_si(one.value, unit, one.kind) if one.kind else one.value
    places = DIGITS - 1 - floor(log10(abs(shown))) if shown else 0
    scaled = shown * 10.0**places
    whole = {"up": ceil(scaled - 1e-6), "down": floor(scaled + 1e-6), "nearest": round(scaled)}[rounding]
    number = f"{whole / 10.0**places:,.{max(places, 0)}f}"
    plain = number.rstrip("0").rstrip(".") if "." in number else number
    return f"{plain} {unit_label(unit)}".strip()


def _likely(likely: Iterable[LikelyPeak], system: UnitSystem) -> tuple[list[Column], list[list[str]]]:
    columns = [
        Column("state"),
        Column("rated", True),
        Column("likely", True),
        Column("runs", True),
        Column("stops in", True),
    ]
    rows = []
    for one in likely:
        low, high = force(one.least_n, system), force(one.most_n, system)
        span = high if low == high else f"{low.split(' ')[0]} to {high}"
        distances = [length_needed(one.run_m, system), length_needed(one.stop_distance_m, system)]
        rows.append([state_words(one.state), force(one.rated_n, system), span, *distances])
    return columns, rows


def sensitivity_text(result: SensitivityResult, system: UnitSystem) -> str:
    """The effects of changed inputs on the job types that decide about a kit, in lines of at most 80 columns."""
    lines = [*heading(result.plan, result.notice), "", *wrapped(VARIED)]
    for one in result.jobs:
        lines += _varied(one, system)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _varied(one: JobSensitivity, system: UnitSystem) -> list[str]:
    used = f"{words(one.part)} {percent(one.utilisation)} ({state_words(one.state)})"
    title = f"{one.job}: line {force(one.peak_n, system)}, {used}"
    by_input: dict[str, list[Effect]] = {}
    for effect in one.effects:
        by_input.setdefault(effect.input, []).append(effect)
    steps = sorted({effect.change for effect in one.effects}, reverse=True)
    columns = [Column("input")]
    for name in ("tension", "used"):
        columns += [Column(f"{name} {100 * step:+.0f} %", True) for step in steps]
    rows = [
        [name, *(_change(e, e.peak) for e in effects), *(_change(e, e.utilisation) for e in effects)]
        for name, effects in by_input.items()
    ]
    return ["", *wrapped(title, rest="  "), *table(columns, rows)]


def _change(effect: Effect, share: float) -> str:
    rounded = round(100 * share, 1) + 0.0  # no minus in front of nothing
    return f"{rounded:+.1f} %{'' if effect.is_valid else ' *'}"
