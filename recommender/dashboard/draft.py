"""Where a plan that is edited can come from: the examples, a file, nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.problems import InputError
from recommender.dashboard.sheets import GEAR_SHEETS
from recommender.store import PlanParts, records_of
from recommender.work.plan import Plan, load_plan, taken_for_granted
from recommender.work.plan_json import policy_changes
from recommender.work.settings import PlanSettings

FIRST_PLAN = "new_owner"
DEMO_PLANS = (FIRST_PLAN, "company", "training_ground")
DEMO_FOLDER = Path(__file__).resolve().parents[2] / "demo_catalog"
DEMO_GEAR = "the invented gear of the examples"


def opened(folder: Path) -> PlanParts:
    """A plan on disk, to be edited.

    Raises
    ------
    InputError
        With every problem of its files.
    """
    return parts_of_plan(load_plan(folder), DEMO_GEAR)


def parts_of_plan(plan: Plan, gear_from: str) -> PlanParts:
    """A plan in the parts that are edited; what its notes take for granted is told anew as it is edited.

    A register takes the place of the plain list that was made of it.
    """
    origins = plan.origins
    granted = {*taken_for_granted(is_owned_told=False, is_policy_told=False, currency=""), *origins.notes}
    rows = {
        "work": origins.work if origins.trees else plan.jobs,
        "trees": origins.trees,
        "owned": () if origins.register else plan.owned,
        "register": origins.register,
        "inspections": origins.inspections,
        "seasons": plan.seasons,
        "season_work": plan.season_work,
    }
    parts = PlanParts(
        settings=plan.settings,
        policy=policy_changes(plan.policy),
        notes=tuple(note for note in plan.notes if note not in granted),
    ).with_rows(**{name: records_of(held) for name, held in rows.items()})
    return with_gear(parts, plan.catalogue, gear_from)


def with_gear(parts: PlanParts, catalogue: Catalogue, gear_from: str) -> PlanParts:
    """The plan with another catalogue."""
    tables = catalogue.tables()
    changed = {sheet.name: records_of(tables[name]) for name, sheet in GEAR_SHEETS.items()}
    return replace(parts, gear_from=gear_from).with_rows(**changed)


def made_own(parts: PlanParts) -> PlanParts:
    """The plan without the notice of an example, once neither its gear nor any row of its work or owned gear is one's.

    A row is the example's until one of its cells is changed.
    """
    notice = parts.settings.notice
    if not notice or not parts.gear_from or DEMO_GEAR in parts.gear_from:
        return parts
    if notice not in {one.settings.notice for one in examples()}:
        return parts
    for table, rows in (("work", "jobs"), ("owned", "owned")):
        invented = {str(row) for one in examples() for row in records_of(getattr(one, rows))}
        if any(str(row) in invented for row in parts.rows(table)):
            return parts
    return replace(parts, settings=parts.settings.model_copy(update={"notice": ""}))


def needs_a_name(parts: PlanParts) -> bool:
    """Whether a plan that is all somebody's own still has the name of an example."""
    if parts.settings.notice or not parts.gear_from or DEMO_GEAR in parts.gear_from:
        return False
    return re.sub(r" \d{1,2}$", "", parts.settings.name) in {one.settings.name for one in examples()}


@cache
def examples() -> tuple[Plan, ...]:
    """The example plans that were installed beside the program."""
    return tuple(load_plan(DEMO_FOLDER / name) for name in demo_names(DEMO_PLANS))


def empty() -> PlanParts:
    """A plan without work and without gear."""
    return PlanParts(PlanSettings(name="My plan"))


def demo_catalogue() -> Catalogue | None:
    """The invented gear of the examples, if it was installed beside the program."""
    try:
        return load_catalogue(DEMO_FOLDER)
    except InputError:
        return None


def demo_names(wanted: Iterable[str]) -> tuple[str, ...]:
    """Those of the example plans that were installed beside the program."""
    return tuple(name for name in wanted if (DEMO_FOLDER / name).is_dir())
