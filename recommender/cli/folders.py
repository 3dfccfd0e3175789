"""The plan that a command is about: that of a folder, one saved as a file, or the example."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from recommender.cli.endings import Refusal

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem
    from recommender.work.plan import Plan

DEMO_PLAN = Path(__file__).parents[2] / "demo_catalog" / "new_owner"
SAVED = ".json"


def holds_plan(folder: Path) -> bool:
    """Whether there are the settings of a plan in a folder."""
    return (folder / "plan.toml").is_file()


def is_saved_plan(path: Path) -> bool:
    """Whether a path is meant as a plan saved as a file."""
    return path.suffix.lower() == SAVED


def loaded(path: Path | None, catalog: Path | None, units: UnitSystem | None = None) -> Plan:
    """The plan that was named, else that of the folder one is in, else the example; in the units asked for."""
    from recommender.work.plan import load_plan

    if path is None and holds_plan(Path()):
        path = Path()
    if path is None and not DEMO_PLAN.is_dir():
        raise Refusal("the example plan is not installed with the program; name the folder of a plan")
    path = path or DEMO_PLAN
    chosen = _saved(path, catalog) if is_saved_plan(path) else load_plan(path, catalog)
    if units is None or units == chosen.settings.units:
        return chosen
    return replace(chosen, settings=chosen.settings.model_copy(update={"units": units}))


def refuse_file(folder: Path) -> None:
    """End where a file is named as the folder to write into."""
    if folder.is_file() or is_saved_plan(folder):
        raise Refusal(f"{folder} is the name of a file, and nothing was written: name a folder to write into")


def _saved(path: Path, catalog: Path | None) -> Plan:
    from recommender.work.plan_json import read_plan_file

    if catalog is not None:
        raise Refusal("a saved plan brings its own catalogue: leave --catalog out")
    return read_plan_file(path)
