"""The plan that is being edited: where it came from, its rows with their history, and whether it is sound yet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.problems import InputError, Problem
from catalog_schema.units import UnitSystem
from recommender.dashboard.work_table import Record, records_of, rows_to_check
from recommender.ratings.policy import default_policy
from recommender.ratings.settings import Policy
from recommender.work.plan import Plan, jobs_from_rows, load_plan
from recommender.work.settings import PlanSettings
from recommender.work.tables import JobType, OwnedGear, SeasonRow, SeasonWork

DEMO_FOLDER = Path(__file__).resolve().parents[2] / "demo_catalog"
DEMO_GEAR = "the invented gear of the examples"
MOST_STEPS = 100
"""Edits that can be undone."""

Rows = tuple[Record, ...]


@dataclass(frozen=True)
class History:
    """Rows with the states before them and those that were undone."""

    now: Rows
    before: tuple[Rows, ...] = ()
    undone: tuple[Rows, ...] = ()

    def then(self, rows: Rows) -> History:
        """A new state; what was undone is forgotten. The same rows again are no new state."""
        return self if rows == self.now else History(rows, (*self.before, self.now)[-MOST_STEPS:])

    def back(self) -> History:
        """The state before this one, or this one if it is the first."""
        if not self.before:
            return self
        return History(self.before[-1], self.before[:-1], (self.now, *self.undone))

    def forward(self) -> History:
        """The state that was undone last, or this one if there is none."""
        if not self.undone:
            return self
        return History(self.undone[0], (*self.before, self.now), self.undone[1:])


@dataclass(frozen=True)
class Checked:
    """A draft that was checked: the plan, or what is missing or wrong."""

    plan: Plan | None
    problems: tuple[Problem, ...] = ()
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Draft:
    """A plan that may still be incomplete.

    ``catalogue`` is None until gear is brought in; ``gear_from`` says where it came from.
    """

    settings: PlanSettings
    work: History = field(default_factory=lambda: History(()))
    catalogue: Catalogue | None = None
    gear_from: str = ""
    owned: tuple[OwnedGear, ...] = ()
    policy: Policy = field(default_factory=default_policy)
    notes: tuple[str, ...] = ()
    seasons: tuple[SeasonRow, ...] = ()
    season_work: tuple[SeasonWork, ...] = ()

    def checked(self, system: UnitSystem) -> Checked:
        """The plan in the user's units if the work is sound and there is gear, else what stands against it."""
        rows = rows_to_check(self.work.now, system)
        begun = [row for row in rows if any(cell is not None for cell in row.values())]
        jobs, problems = jobs_from_rows(rows) if begun else ((), [])
        missing = [] if begun else ["The work table has no row yet"]
        if self.catalogue is None:
            missing.append("There is no gear to choose from yet")
        if problems or missing or self.catalogue is None:
            return Checked(None, tuple(problems), tuple(missing))
        settings = self.settings.model_copy(update={"units": system})
        owned, lost = _known_gear(self.owned, self.catalogue)
        work, gone = _known_work(self.season_work, jobs)
        notes = (*self.notes, *lost, *gone)
        return Checked(
            Plan(Path(), settings, jobs, self.catalogue, owned, self.policy, notes, self.seasons, work)
        )

    def with_rows(self, rows: Rows) -> Draft:
        """The draft after an edit of its rows."""
        return replace(self, work=self.work.then(rows))

    def undone(self) -> Draft:
        """The draft before its last edit."""
        return replace(self, work=self.work.back())

    def redone(self) -> Draft:
        """The draft after the edit that was undone last."""
        return replace(self, work=self.work.forward())

    def with_gear(self, catalogue: Catalogue, gear_from: str) -> Draft:
        """The draft with another catalogue."""
        return replace(self, catalogue=catalogue, gear_from=gear_from)


def _known_gear(owned: Iterable[OwnedGear], catalogue: Catalogue) -> tuple[tuple[OwnedGear, ...], list[str]]:
    """Owned gear that the catalogue lists, and a note on what it does not list: nothing is known of that."""
    known = frozenset(catalogue.ids)
    lost = sorted({one.item for one in owned} - known)
    note = f"Owned gear that the catalogue does not list is not counted on: {', '.join(lost)}."
    return tuple(one for one in owned if one.item in known), [note] if lost else []


def _known_work(
    rows: Iterable[SeasonWork], jobs: Iterable[JobType]
) -> tuple[tuple[SeasonWork, ...], list[str]]:
    """Pieces by season of job types that the work table has, and a note on those that it has no more."""
    rows, known = tuple(rows), {job.job for job in jobs}
    lost = sorted({row.job for row in rows} - known)
    note = f"Pieces by season are not counted for what the work table does not have: {', '.join(lost)}."
    return tuple(row for row in rows if row.job in known), [note] if lost else []


def opened(folder: Path) -> Draft:
    """A plan on disk as a draft.

    Raises
    ------
    InputError
        With every problem of its files.
    """
    plan = load_plan(folder)
    return Draft(
        settings=plan.settings,
        work=History(records_of(plan.jobs)),
        catalogue=plan.catalogue,
        gear_from=DEMO_GEAR,
        owned=plan.owned,
        policy=plan.policy,
        notes=plan.notes,
        seasons=plan.seasons,
        season_work=plan.season_work,
    )


def empty() -> Draft:
    """A plan without work and without gear."""
    return Draft(PlanSettings(name="My plan"), notes=(NOTHING_OWNED,))


NOTHING_OWNED = "Nothing is taken as owned already."


def demo_catalogue() -> Catalogue | None:
    """The invented gear of the examples, if it was installed beside the program."""
    try:
        return load_catalogue(DEMO_FOLDER)
    except InputError:
        return None


def demo_names(wanted: Iterable[str]) -> tuple[str, ...]:
    """Those of the example plans that were installed beside the program."""
    return tuple(name for name in wanted if (DEMO_FOLDER / name).is_dir())
