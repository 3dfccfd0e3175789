"""Whether a plan that is being edited is sound: the plan to solve, or every problem of every table."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, TypeVar, cast

from catalog_schema.catalogue import REQUIRED, Catalogue, catalogue_of
from catalog_schema.grids import grid_of_records
from catalog_schema.problems import Problem, ProblemCode
from catalog_schema.units import UnitSystem
from recommender.dashboard.records import FIRST_ROW, rows_to_check
from recommender.dashboard.sheets import GEAR_SHEETS, SHEETS, Sheet
from recommender.ratings.policy import changed_policy
from recommender.ratings.settings import Policy
from recommender.store import PlanParts
from recommender.work.inspections import Register
from recommender.work.origins import Origins, counted_gear
from recommender.work.plan import Plan, jobs_from_rows, owned_from_rows, taken_for_granted
from recommender.work.register import Inspection, RegisterItem, register_from_rows
from recommender.work.season_tables import seasons_from_rows
from recommender.work.tables import JobType, OwnedGear, SeasonRow, SeasonWork
from recommender.work.tree_reading import joined, tree_notes, trees_from_rows
from recommender.work.tree_table import TreeRow

T = TypeVar("T")
Found = list[Problem]


class Remembered:
    """What was worked out last, by name; worked out again only when one of its inputs is another object."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[object, ...], object]] = {}

    def of(self, name: str, work: Callable[..., T], *inputs: object) -> T:
        """``work(*inputs)``, or what it gave before for the very same objects."""
        kept = self._kept.get(name)
        if kept is None or any(old is not new for old, new in zip(kept[0], inputs, strict=True)):
            kept = inputs, work(*inputs)
            self._kept[name] = kept
        return cast(T, kept[1])


@dataclass(frozen=True)
class Checked:
    """A plan that was checked: the whole of it if it is sound, and what its tables hold either way.

    Attributes
    ----------
    plan : Plan or None
        None if anything is missing or wrong.
    problems : tuple of Problem
        What has to be put right; the name of the file is that of the table.
    remarks : tuple of Problem
        Rows that are left out until they are put right, and that keep nothing else from being planned.
    missing : tuple of str
        What a plan can't be without.
    jobs, from_trees : tuple of JobType
        Sound rows of the work, and the job types that the trees give.
    catalogue : Catalogue or None
    register : Register or None
        None if it has a problem, or there is no catalogue.
    owned : tuple of OwnedGear
        Sound rows of the plain list, whether or not it counts.
    """

    plan: Plan | None
    problems: tuple[Problem, ...] = ()
    remarks: tuple[Problem, ...] = ()
    missing: tuple[str, ...] = ()
    jobs: tuple[JobType, ...] = ()
    from_trees: tuple[JobType, ...] = ()
    trees: tuple[TreeRow, ...] = ()
    catalogue: Catalogue | None = None
    policy: Policy | None = None
    register: Register | None = None
    owned: tuple[OwnedGear, ...] = ()

    def of(self, *sheets: Sheet) -> tuple[Problem, ...]:
        """Problems and remarks of some tables."""
        names = {sheet.file for sheet in sheets}
        return tuple(one for one in (*self.problems, *self.remarks) if one.file in names)


def check(parts: PlanParts, system: UnitSystem, today: date, remembered: Remembered | None = None) -> Checked:
    """Check a plan as it is typed.

    Parameters
    ----------
    parts : PlanParts
    system : {'metric', 'us'}
        The user's units, for the words of problems.
    today : date
        For the ages and inspections of registered gear.
    remembered : Remembered, optional
        Of an earlier check: what did not change is not worked out again.

    Returns
    -------
    Checked
    """
    know = remembered or Remembered()
    rows, to_check = parts.rows, _Filled(parts, system)
    gear = tuple(rows(sheet.name) for sheet in GEAR_SHEETS.values())
    catalogue, of_gear = know.of("gear", to_check.gear, *gear, system)
    jobs, of_work = know.of("work", to_check.work, rows("work"), system)
    trees, made, of_trees = know.of("trees", to_check.trees, rows("trees"), jobs, system)
    policy, of_policy = know.of("policy", _policy, parts.policy)
    listed, of_owned = know.of("owned", to_check.owned, rows("owned"), catalogue, system)
    register, of_register = know.of(
        "register", to_check.register, rows("register"), rows("inspections"), catalogue, system, today
    )
    every = know.of("joined", joined, jobs, made, parts.settings.pieces_per_season)
    seasons, season_work, of_seasons = know.of(
        "seasons", to_check.seasons, rows("seasons"), rows("season_work"), every, system
    )
    missing = []
    if not rows("work") and not rows("trees"):
        missing.append("The work table has no row yet")
    if not any(gear):
        missing.append("There is no gear to choose from yet")
    found = [*of_work, *of_trees, *of_gear, *of_owned, *of_register, *of_seasons, *of_policy]
    problems = tuple(one for one in found if not _is_remark(one))
    remarks = tuple(one for one in found if _is_remark(one))
    if not problems and not missing and not every:
        missing.append("The trees give no piece that is rigged")
    plan = None
    if not problems and not missing and catalogue is not None:
        pieces = (register.items, register.inspections) if register is not None else ((), ())
        told = tuple(tree_notes(trees, made, system))
        origins = Origins(jobs if trees else (), trees, *pieces, told)
        counted = () if origins.register else _known(listed, catalogue)
        owned, origins = counted_gear(counted, origins, catalogue, policy, today)
        settings = parts.settings.model_copy(update={"units": system})
        granted = taken_for_granted(
            is_owned_told=bool(rows("owned") or rows("register")),
            is_policy_told=bool(parts.policy),
            currency=catalogue.currency,
        )
        notes = (*granted, *parts.notes, *_left_out(remarks), *origins.notes)
        known_work = _with_known_names(season_work, seasons, every)
        plan = Plan(Path(), settings, every, catalogue, owned, policy, notes, seasons, known_work, origins)
    return Checked(
        plan, problems, remarks, tuple(missing), jobs, made, trees, catalogue, policy, register, listed
    )


@dataclass(frozen=True)
class _Filled:
    """Checks of single tables; each is given the objects that it depends on, and reads them from the plan."""

    parts: PlanParts
    system: UnitSystem

    def _rows(self, name: str) -> list[dict[str, Any]]:
        return rows_to_check(SHEETS[name], self.parts.rows(name), self.system)

    def gear(self, *_: object) -> tuple[Catalogue | None, Found]:
        grids = {
            name: grid_of_records(self._rows(sheet.name), name)
            for name, sheet in GEAR_SHEETS.items()
            if name in REQUIRED or self.parts.rows(sheet.name)
        }
        return catalogue_of(grids) if any(grid.rows for grid in grids.values()) else (None, [])

    def work(self, *_: object) -> tuple[tuple[JobType, ...], Found]:
        rows = self._rows("work")
        is_begun = any(cell is not None for row in rows for cell in row.values())
        return jobs_from_rows(rows) if is_begun else ((), [])

    def trees(
        self, _: object, jobs: Sequence[JobType], *__: object
    ) -> tuple[tuple[TreeRow, ...], tuple[JobType, ...], Found]:
        return trees_from_rows(self._rows("trees"), jobs)

    def owned(
        self, _: object, catalogue: Catalogue | None, *__: object
    ) -> tuple[tuple[OwnedGear, ...], Found]:
        return owned_from_rows(self._rows("owned"), catalogue) if catalogue else ((), [])

    def register(
        self, _: object, __: object, catalogue: Catalogue | None, ___: object, today: date
    ) -> tuple[Register | None, Found]:
        rows = self._rows("register")
        items, inspections, found = register_from_rows(rows, self._rows("inspections"), catalogue, today)
        unsound = {_id_at(rows, one.line) for one in found if _is_unfilled(one)}
        return _register(
            (one for one in items if one.id not in unsound), inspections, catalogue, found
        ), found

    def seasons(
        self, _: object, __: object, jobs: Sequence[JobType], ___: object
    ) -> tuple[tuple[SeasonRow, ...], tuple[SeasonWork, ...], Found]:
        return seasons_from_rows(self._rows("seasons"), self._rows("season_work"), jobs)


def _register(
    items: Iterable[RegisterItem],
    inspections: Iterable[Inspection],
    catalogue: Catalogue | None,
    found: Found,
) -> Register | None:
    if catalogue is None or any(not _is_remark(one) for one in found):
        return None
    return Register(tuple(items), tuple(inspections), catalogue)


def _policy(changes: Mapping[str, Any]) -> tuple[Policy, Found]:
    return changed_policy(changes, file="policy")


def _id_at(rows: Sequence[Mapping[str, Any]], line: int) -> str:
    """The id in a row as it is written, by its number in a file; empty for none."""
    return str(rows[line - FIRST_ROW].get("id") or "") if 0 <= line - FIRST_ROW < len(rows) else ""


def _is_remark(problem: Problem) -> bool:
    """Owned gear that the catalogue does not list, a piece of which not all is known, and work of a season that is
    gone hold nothing else up.
    """
    is_unlisted = problem.code is ProblemCode.ID_UNKNOWN and problem.file in (
        "owned",
        "register",
        "season_work",
    )
    return is_unlisted or _is_unfilled(problem)


def _is_unfilled(problem: Problem) -> bool:
    """A row of the register in which something is missing or does not fit: it alone is left out."""
    return problem.file == "register" and problem.code in (ProblemCode.VALUE_MISSING, ProblemCode.CONFLICT)


def _known(owned: Iterable[OwnedGear], catalogue: Catalogue) -> tuple[OwnedGear, ...]:
    known = frozenset(catalogue.ids)
    return tuple(one for one in owned if one.item in known)


def _with_known_names(
    rows: Iterable[SeasonWork], seasons: Iterable[SeasonRow], jobs: Iterable[JobType]
) -> tuple[SeasonWork, ...]:
    names, known = {one.season for one in seasons}, {job.job for job in jobs}
    return tuple(row for row in rows if row.job in known and row.season in names)


def _left_out(remarks: Iterable[Problem]) -> Iterable[str]:
    """Notes on what is not counted on because nothing is known of it."""
    lost: dict[str, dict[str, None]] = {}
    for one in remarks:
        if one.file != "register":  # the register tells of it by itself
            lost.setdefault(one.file, {})[one.value] = None
        elif _is_unfilled(one):
            lost.setdefault("register", {})[f"row {one.line}"] = None
    said = {
        "register": "Pieces of the register that are not filled in are not counted on",
        "owned": "Owned gear that the catalogue does not list is not counted on",
        "season_work": "Pieces by season are not counted for what the plan does not have",
    }
    return [f"{said[file]}: {', '.join(sorted(names))}." for file, names in lost.items()]
