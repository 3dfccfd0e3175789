"""What pydantic finds wrong with a row, in plain words and in the units of the header."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from catalog_schema.columns import Column
from catalog_schema.grids import Grid
from catalog_schema.problems import Problem, ProblemCode
from catalog_schema.quantities import unit_scale
from catalog_schema.units import KINDS, unit_label

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_LIMITS = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "at most"),
}


def problem_of_error(
    grid: Grid, line: int, column: Column | None, unit: str, value: str, error: ErrorDetails
) -> Problem:
    """One pydantic error of a row as a problem at its cell; without a column it concerns the whole row.

    Parameters
    ----------
    unit : str
        The header's unit: a limit is told in it.
    value : str
        The cell as written.
    """
    if column is None:
        code, message, hint = ProblemCode.CONFLICT, *_sentence(error)
    else:
        code, message, hint = _of_cell(column, unit, error)
    return grid.problem(code, message, hint, line=line, column=column.name if column else "", value=value)


def _sentence(error: ErrorDetails) -> tuple[str, str]:
    """A validator's text ``what is wrong: what to do`` as message and hint."""
    message, _, hint = error["msg"].removeprefix("Value error, ").partition(": ")
    return message, (hint[:1].upper() + hint[1:]) or "Correct one of these cells"


def _of_cell(column: Column, unit: str, error: ErrorDetails) -> tuple[ProblemCode, str, str]:
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing" or kind == "string_too_short":
        hint = f"{column.name} is needed in every row"
        if column.choices:
            hint += f": write {listed(column.choices)}. {column.about}"
        return ProblemCode.VALUE_MISSING, "the cell is empty", hint
    if column.choices:
        return ProblemCode.NOT_A_CHOICE, "this is none of the choices", f"Write {listed(column.choices)}"
    if column.sort == "yes_no":
        return ProblemCode.NOT_A_CHOICE, "this is neither yes nor no", "Write yes or no"
    if column.sort == "whole" and kind.startswith("int_"):
        return ProblemCode.NOT_A_NUMBER, "this is not a whole number", "Write a whole number such as 2"
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        message = f"the value must be {words} {_in_unit(context[name], column, unit)}"
        return ProblemCode.OUT_OF_RANGE, message, "Check the number and its unit"
    if kind == "string_too_long":
        message = f"the text is longer than {context['max_length']} characters"
        return ProblemCode.OUT_OF_RANGE, message, "Write a shorter one"
    return ProblemCode.CONFLICT, *_sentence(error)


def listed(choices: tuple[str, ...]) -> str:
    """The words of a choice, one of which has to be written."""
    return choices[0] if len(choices) == 1 else f"{', '.join(choices[:-1])} or {choices[-1]}"


def _in_unit(limit: Any, column: Column, unit: str) -> str:
    """A limit, declared in SI, in the header's unit; without one in the kind's metric unit."""
    if column.kind is None:
        return f"{limit:g}"
    shown = unit or KINDS[column.kind].metric
    return f"{float(limit) / unit_scale(shown, column.kind):.4g} {unit_label(shown)}"
