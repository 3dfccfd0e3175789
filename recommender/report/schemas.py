"""Everything that is read or written in files, by name: the tables of a catalogue and a plan, settings and results."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from catalog_schema.gear import TABLES
from catalog_schema.schema import DIALECT, write_schemas
from recommender.explain.answers import AlternativesResult, CurveResult, FirstResult, WhyResult
from recommender.explain.limits import LimitsSheet
from recommender.explain.rope_match import RopeMatch
from recommender.explain.sensitivity import SensitivityResult
from recommender.explain.steps import ExplainResult
from recommender.kit.result import KitResult
from recommender.report.loads import LoadsResult
from recommender.seasons.result import SeasonsResult
from recommender.sweep.larger import LargerResult
from recommender.sweep.outcomes import DrawOutcome
from recommender.sweep.result import SweepResult
from recommender.work import register
from recommender.work.plan_json import PlanDocument
from recommender.work.settings import PlanSettings
from recommender.work.tables import JobType, OwnedGear, SeasonRow, SeasonWork
from recommender.work.tree_table import TreeRow

PLAN_TABLES: Mapping[str, type[BaseModel]] = {"work": JobType, "trees": TreeRow, "owned": OwnedGear}
"""Those that a first plan starts with."""
FURTHER_TABLES: Mapping[str, type[BaseModel]] = {
    "seasons": SeasonRow, "season_work": SeasonWork, **register.TABLES
}  # fmt: skip
DOCUMENTS: Mapping[str, type[BaseModel]] = {
    "plan": PlanSettings,
    "plan_file": PlanDocument,
    "kit_result": KitResult,
    "loads_result": LoadsResult,
    "why_result": WhyResult,
    "alternatives_result": AlternativesResult,
    "first_result": FirstResult,
    "curve_result": CurveResult,
    "explain_result": ExplainResult,
    "limits_sheet": LimitsSheet,
    "rope_match": RopeMatch,
    "sensitivity_result": SensitivityResult,
    "seasons_result": SeasonsResult,
    "sweep_result": SweepResult,
    "sweep_draw": DrawOutcome,
    "larger_result": LargerResult,
}


def document_schema(name: str, model: type[BaseModel]) -> dict[str, Any]:
    """The JSON Schema of a document that is a whole, not a row: settings of a plan, or a result.

    >>> document_schema("kit_result", KitResult)["properties"]["gap"]["type"]
    'number'
    """
    schema = model.model_json_schema(mode="serialization")
    about = (schema.get("description") or name).replace("``", "")
    return {"$schema": DIALECT, **schema, "title": name, "description": about}


def write_all_schemas(folder: Path | str) -> list[Path]:
    """One ``<name>.schema.json`` for every table and document, replaced if it is there.

    Parameters
    ----------
    folder : path
        Made if it is not there.

    Returns
    -------
    list of Path
        The files written.
    """
    paths = write_schemas({**TABLES, **PLAN_TABLES, **FURTHER_TABLES}, folder)
    for name, model in DOCUMENTS.items():
        path = Path(folder) / f"{name}.schema.json"
        text = json.dumps(document_schema(name, model), indent=2, ensure_ascii=False) + "\n"
        path.write_text(text, encoding="utf-8", newline="\n")
        paths.append(path)
    return paths
