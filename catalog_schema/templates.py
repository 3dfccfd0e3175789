"""Files to start a plan from: every table with one example row, in round numbers of the user's units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import floor, log10
from pathlib import Path

from pydantic import BaseModel

from catalog_schema.columns import columns_of
from catalog_schema.fields import example_of
from catalog_schema.units import UnitSystem, from_si, to_si, unit_of
from catalog_schema.writing import write_rows_csv, write_workbook

CURRENCIES: Mapping[UnitSystem, str] = {"metric": "EUR", "us": "USD"}
"""Of the examples in templates."""
EXAMPLE_NOTE = "example: replace or delete this row"
ROUND = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0)
"""First digits of numbers that people call round."""
EIGHTHS = 8


def example_row(model: type[BaseModel], system: UnitSystem = "metric", **own: object) -> BaseModel:
    """The row that a table's declared examples make, in round numbers of the system's units.

    ``own`` values (in SI) go before them.
    """
    values: dict[str, object] = {}
    for name, column in columns_of(model).items():
        field = model.model_fields[name]
        example, default = example_of(field), field.default
        if column.kind is None:
            values |= {name: example} if example else {}
        elif example:
            si = to_si(float(example), unit_of(column.kind, "metric"), column.kind)
            values[name] = round_in(si, column.kind, system)
        elif isinstance(default, float):
            values[name] = round_in(default, column.kind, system)
    return model.model_validate(values | own)


def round_in(value: float, kind: str, system: UnitSystem) -> float:
    """A quantity (in SI) that is round in metric units, or the nearest that is round in the system's.

    >>> round(round_in(3.0, "length", "us") / 0.3048, 6), round_in(3.0, "length", "metric")
    (10.0, 3.0)
    """
    unit = unit_of(kind, system)
    if unit == unit_of(kind, "metric"):
        return value
    return to_si(in_round_numbers(from_si(value, unit, kind), unit), unit, kind)


def in_round_numbers(value: float, unit: str) -> float:
    """A number near another one as people would write it down: a thin thing in eighths of an inch.

    >>> in_round_numbers(5.906, "in"), in_round_numbers(0.394, "in"), in_round_numbers(8767.5, "lbf")
    (6.0, 0.375, 9000.0)
    >>> in_round_numbers(147.6, "ft"), in_round_numbers(0.0, "ft")
    (150.0, 0.0)
    """
    if value <= 0:
        return value
    if unit == "in" and value < 1:
        return max(1, round(value * EIGHTHS)) / EIGHTHS
    scale = 10.0 ** floor(log10(value))
    return float(f"{scale * min(ROUND, key=lambda one: abs(one - value / scale)):.3g}")


def write_templates(
    folder: Path | str,
    models: Mapping[str, type[BaseModel]],
    *,
    texts: Mapping[str, str] | None = None,
    workbook: str = "",
    system: UnitSystem = "metric",
) -> list[Path]:
    """Files to start from: a CSV file a table, each with an example row that says so in its note.

    Parameters
    ----------
    folder : path
        Made if it is not there.
    models : mapping of str to type of row
        Name of the table (and of its file) to its declaration. Ids are ``A1``, ``B1``, ... in this order.
    texts : mapping of str to str, optional
        Other files by name, such as ``plan.toml``.
    workbook : str, optional
        Name of a workbook with the same sheets; empty for none.
    system : str
        Units of the headers.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    FileExistsError
        If any of them is there already; then nothing is written.
    """
    folder = Path(folder)
    names = [f"{name}.csv" for name in models] + list(texts or {}) + ([workbook] if workbook else [])
    there = [name for name in names if (folder / name).exists()]
    if there:
        raise FileExistsError(f"{folder} holds already: {', '.join(there)}")
    folder.mkdir(parents=True, exist_ok=True)
    rows = {
        name: [_marked_example(model, place, system)] for place, (name, model) in enumerate(models.items())
    }
    for name, examples in rows.items():
        write_rows_csv(examples, folder / f"{name}.csv", system)
    for name, text in (texts or {}).items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    if workbook:
        write_workbook(rows, folder / workbook, system, models)
    return [folder / name for name in names]


def _marked_example(model: type[BaseModel], place: int, system: UnitSystem) -> BaseModel:
    fields = model.model_fields
    own = {"note": EXAMPLE_NOTE, "currency": CURRENCIES[system]}
    if "id" in fields:  # no two tables of a catalogue have the same id
        own["id"] = re.sub("^A", chr(ord("A") + place), example_of(fields["id"]))
    return example_row(model, system, **{name: value for name, value in own.items() if name in fields})
