"""JSON Schema of the declared tables, for other programs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(name: str, model: type[BaseModel]) -> dict[str, Any]:
    """The JSON Schema of one row: every property with its description and, for a quantity, kind and SI unit.

    >>> from catalog_schema.gear import Rope
    >>> schema_of("ropes", Rope)["properties"]["mass_per_length"]["si_unit"]
    'kg/m'
    """
    schema = model.model_json_schema()
    about = (schema.get("description") or name).split("\n\n")[0]
    return {
        "$schema": DIALECT,
        **schema,
        "title": name,
        "description": f"{about} One row as the planner holds it: quantities are in their si_unit.",
    }


def write_schemas(models: Mapping[str, type[BaseModel]], folder: Path | str) -> list[Path]:
    """One ``<name>.schema.json`` a table, replaced if it is there.

    Parameters
    ----------
    models : mapping of str to type of row
        Name of the table to its declaration.
    folder : path
        Made if it is not there.

    Returns
    -------
    list of Path
        The files written.
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, model in models.items():
        path = folder / f"{name}.schema.json"
        text = json.dumps(schema_of(name, model), indent=2, ensure_ascii=False) + "\n"
        path.write_text(text, encoding="utf-8", newline="\n")
        paths.append(path)
    return paths
