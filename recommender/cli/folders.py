"""The plan that a command is about: that of a folder, or the example."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from recommender.cli.endings import Refusal

if TYPE_CHECKING:
    from catalog_schema.units import UnitSystem
    from recommender.work.plan import Plan

DEMO_PLAN = Path(__file__).parents[2] / "demo_catalog" / "new_owner"


def holds_plan(folder: Path) -> bool:
    """Whether there are the settings of a plan in a folder."""
    return (folder / "plan.toml").is_file()


def loaded(folder: Path | None, catalog: Path | None, units: UnitSystem | None) -> Plan:
    """The plan that was named, else that of the folder one is in, else the example; in the units asked for."""
    from recommender.work.plan import load_plan

    if folder is None and holds_plan(Path()):
        folder = Path()
    if folder is None and not DEMO_PLAN.is_dir():
        raise Refusal("the example plan is not installed with the program; name the folder of a plan")
    chosen = load_plan(folder or DEMO_PLAN, catalog)
    if units is None or units == chosen.settings.units:
        return chosen
    return replace(chosen, settings=chosen.settings.model_copy(update={"units": units}))
