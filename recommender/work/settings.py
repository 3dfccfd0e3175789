"""The settings of a plan (``plan.toml``): what it is called, who works, how much line is used up by knots."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from catalog_schema.columns import near
from catalog_schema.fields import CURRENCY, column, kind_of, quantity
from catalog_schema.numbers import CellError
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.quantities import read_quantity
from catalog_schema.templates import round_in
from catalog_schema.toml_files import line_of, read_toml, toml_value
from catalog_schema.units import KINDS, UnitSystem, from_si, unit_of

LARGEST_COUNT = 1_000


class Settings(BaseModel):
    """A table of settings: frozen, unknown keys refused, quantities in SI."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Crew(Settings):
    """Who works, so that shared extras and gear for several crews are counted."""

    climbers: int = column("People who work in the tree, in each crew", default=1, ge=1, le=LARGEST_COUNT)
    ground_workers: int = column("People on the ground, in each crew", default=2, ge=0, le=LARGEST_COUNT)
    crews: int = column("Crews that work at the same time", default=1, ge=1, le=LARGEST_COUNT)
    holds_every_piece: bool = column(
        "Whether to choose only gear with which the people on the ground hold every piece at the brake",
        default=False,
    )


class LineAllowances(Settings):
    """Line that is needed beyond the way from the piece over the redirect to the brake."""

    tail: float = quantity(
        "length", "Line left behind the brake, in hand", title="Line in hand", default=3.0, ge=0, le=50
    )
    tie: float = quantity(
        "length", "Line used by the knot on the piece", title="Line for the knot", default=2.0, ge=0, le=50
    )
    wraps: float = column(
        "Wraps on the brake that the length of the line allows for",
        title="Wraps of line",
        default=3,
        ge=0,
        le=20,
    )


class Money(Settings):
    """What time and money are worth, for plans over several seasons and for cutting smaller."""

    crew_rate: float = column(
        "Price of one hour of a crew", title="Crew's hour", unit=CURRENCY, default=0.0, ge=0, le=100_000
    )
    discount_percent: float = column(
        "A sum a season later counts as that sum divided by 1 + this rate",
        title="Discount rate",
        unit="%",
        default=0.0,
        ge=0,
        le=50,
    )
    price_rise_percent: float = column(
        "Rise of prices from season to season", title="Rise of prices", unit="%", default=0.0, ge=-20, le=50
    )


class PlanSettings(Settings):
    """Everything that a plan says besides its tables."""

    name: str = column("What the plan is called", default="Rigging kit", min_length=1, max_length=200)
    notice: str = column("Anything that must be shown with the results", default="", max_length=2000)
    units: Literal["metric", "us"] = column("Units of the results: metric or us", default="metric")
    catalog: str = column(
        "Folder or workbook of the catalogue, seen from the plan's folder; empty = beside or above the plan",
        default="",
    )
    pieces_per_season: float = column("Pieces taken down in a season", default=500.0, gt=0, le=1_000_000)
    extras: bool = column("Whether the list holds helmets, bags and training too", default=True)
    crew: Crew = Crew()
    line: LineAllowances = LineAllowances()
    money: Money = Money()


def read_settings(path: Path) -> tuple[PlanSettings, list[Problem]]:
    """The settings of a plan; the defaults and every problem if anything is wrong with them."""
    try:
        tables, text = read_toml(path)
    except InputError as error:
        return PlanSettings(), list(error.problems)
    given, problems = _lengths_in_si(tables, path.name, text)
    try:
        settings = PlanSettings.model_validate(given)
    except ValidationError as error:
        problems += [_problem(path.name, text, dict(fault)) for fault in error.errors(include_url=False)]
        settings = PlanSettings()
    return (PlanSettings() if problems else settings), problems


def settings_to_start_from(system: UnitSystem) -> PlanSettings:
    """The settings of a first plan, with allowances in round numbers of the system's units."""
    line = {
        name: round_in(field.default, kind, system)
        for name, field in LineAllowances.model_fields.items()
        if (kind := kind_of(field)) is not None
    }
    return PlanSettings(name="My first plan", units=system, line=LineAllowances(**line))


def settings_to_toml(settings: PlanSettings, *, comments: bool = False) -> str:
    """The text of a ``plan.toml`` that reads back as these settings.

    >>> print(settings_to_toml(PlanSettings(name="Oaks")).split("notice")[0])
    name = "Oaks"
    """
    return "\n".join(_lines(settings, settings, comments)) + "\n"


def _lines(table: BaseModel, settings: PlanSettings, comments: bool) -> Iterator[str]:
    for name, field in type(table).model_fields.items():
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            yield f"\n[{name}]"
            yield from _lines(value, settings, comments)
            continue
        if comments:
            yield f"# {field.description}"
        kind = kind_of(field)
        if kind is not None:
            unit = unit_of(kind, settings.units)
            value = f"{from_si(value, unit, kind):.12g} {unit}"
        yield f"{name} = {toml_value(value)}"


def _lengths_in_si(tables: Mapping[str, Any], file: str, text: str) -> tuple[dict[str, Any], list[Problem]]:
    """The tables with the texts of quantities, such as ``3 m``, in SI."""
    line = tables.get("line")
    if not isinstance(line, Mapping):
        return dict(tables), []
    read, problems = dict(line), []
    for name, field in LineAllowances.model_fields.items():
        kind = kind_of(field)
        if kind is None or name not in read:
            continue
        value = read.pop(name)
        try:
            read[name] = read_quantity(value if isinstance(value, str) else toml_value(value), kind)
        except CellError as error:
            hint = error.hint
            if error.code is ProblemCode.UNIT_MISSING:
                hint = f'Write it in quotes with its unit: {name} = "{value} {KINDS[kind].metric}"'
            keys = ("line", name)
            problems.append(
                Problem(
                    file, error.code, error.message, hint, line_of(text, keys), ".".join(keys), str(value)
                )
            )
    return {**tables, "line": read}, problems


def _problem(file: str, text: str, fault: Mapping[str, Any]) -> Problem:
    keys = tuple(str(part) for part in fault["loc"])
    code, message, hint = _in_words(keys, fault)
    value = "" if isinstance(fault["input"], Mapping) else str(fault["input"])
    return Problem(file, code, message, hint, line_of(text, keys), ".".join(keys), value)


_LIMITS = {
    "greater_than": "above",
    "greater_than_equal": "at least",
    "less_than": "below",
    "less_than_equal": "at most",
}


def _in_words(keys: tuple[str, ...], fault: Mapping[str, Any]) -> tuple[ProblemCode, str, str]:
    kind, context = str(fault["type"]), fault.get("ctx", {})
    if kind == "extra_forbidden":
        known = _names(keys[:-1])
        close = near(keys[-1], known)
        hint = f"Did you mean '{close}'?" if close else f"There are: {', '.join(known)}"
        return ProblemCode.SETTING_UNKNOWN, "there is no such setting", hint
    if kind in _LIMITS:
        limit = f"{next(iter(context.values())):g}"
        return ProblemCode.OUT_OF_RANGE, f"the value must be {_LIMITS[kind]} {limit}", "Check the number"
    if kind == "literal_error":
        return ProblemCode.NOT_A_CHOICE, "this is none of the choices", f"Write {context['expected']}"
    if kind.startswith(("int_", "float_", "finite_")):
        return (
            ProblemCode.NOT_A_NUMBER,
            "this is not a number, or not a whole one",
            "Write a number without quotes",
        )
    if kind.startswith("bool_"):
        return (
            ProblemCode.NOT_A_CHOICE,
            "this is neither true nor false",
            "Write true or false without quotes",
        )
    if kind == "string_too_short":
        return ProblemCode.VALUE_MISSING, "the text is empty", "Write a text in quotes"
    if kind == "string_too_long":
        return (
            ProblemCode.OUT_OF_RANGE,
            "the text is too long",
            f"Write at most {context['max_length']} characters",
        )
    if kind.startswith("string_"):
        return ProblemCode.NOT_A_CHOICE, "this is not a text", "Write a text in quotes"
    return ProblemCode.CONFLICT, "this is not what belongs here", f"Write it as a table: [{keys[0]}]"


def _names(keys: tuple[str, ...]) -> list[str]:
    models: dict[tuple[str, ...], type[BaseModel]] = {
        ("crew",): Crew,
        ("line",): LineAllowances,
        ("money",): Money,
    }
    return list(models.get(keys, PlanSettings).model_fields)
