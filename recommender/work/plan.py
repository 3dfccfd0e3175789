"""A plan on disk: its settings, work mix, owned gear, policy and catalogue, read together and checked together."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from catalog_schema.catalogue import Catalogue, RopeLength, read_catalogue, unknown_id
from catalog_schema.gear import Rope
from catalog_schema.grids import Grid, grid_of_records
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.rows import TableRead, column_texts, read_rows
from catalog_schema.sources import find_file, read_one
from catalog_schema.toml_files import read_toml
from recommender.ratings.policy import changed_policy, default_policy
from recommender.ratings.settings import Policy
from recommender.wood import UnknownSpecies, find_species
from recommender.work.origins import AS_WRITTEN, Origins, counted_gear
from recommender.work.register import has_register, is_unlisted, read_register
from recommender.work.season_tables import read_seasons
from recommender.work.settings import PlanSettings, read_settings
from recommender.work.tables import JobType, OwnedGear, SeasonRow, SeasonWork
from recommender.work.tree_reading import joined, read_trees, tree_notes, trees_file

SHARE_TOLERANCE = 0.005
"""How far the shares of the work mix may be from 100 % together: shares rounded to whole percents."""

TABLE_SUFFIXES = (".csv", ".xlsx")


@dataclass(frozen=True)
class Plan:
    """Everything that is needed to plan a kit; ``notes`` say what was taken for granted."""

    folder: Path
    settings: PlanSettings
    jobs: tuple[JobType, ...]
    catalogue: Catalogue
    owned: tuple[OwnedGear, ...]
    policy: Policy
    notes: tuple[str, ...] = ()
    seasons: tuple[SeasonRow, ...] = ()
    season_work: tuple[SeasonWork, ...] = ()
    origins: Origins = AS_WRITTEN


def load_plan(folder: Path | str, catalog: Path | str | None = None, today: date | None = None) -> Plan:
    """The plan in a folder.

    Parameters
    ----------
    folder : path
        Holds ``plan.toml`` and ``work.csv`` (or ``work.xlsx``), or ``trees.csv`` instead of it or beside it, and may
        hold ``owned.csv``, or ``register.csv`` and ``inspections.csv`` that count instead of it, ``policy.toml``,
        ``seasons.csv`` and ``season_work.csv``.
    catalog : path, optional
        Folder or workbook of the catalogue, instead of what ``plan.toml`` says.
    today : date, optional
        For the ages and inspections of registered gear; the day it is, if left out.

    Raises
    ------
    InputError
        With every problem of all its files.
    """
    folder = Path(folder)
    if not os.path.isdir(folder):
        message = "this is no folder" if folder.exists() else "there is no such folder"
        hint = "Name the folder that holds plan.toml and work.csv, or a plan that was saved as .json"
        raise InputError([Problem(str(folder), ProblemCode.FILE_MISSING, message, hint)])
    settings, problems = read_settings(find_file(folder, "plan", (".toml",)) or folder / "plan.toml")
    catalogue, found = _catalogue(folder, settings, catalog)
    problems += found
    jobs, found = _jobs(folder)
    problems += found
    trees, from_trees, found = read_trees(folder, jobs)
    problems += found
    own_jobs, jobs = jobs, joined(jobs, from_trees, settings.pieces_per_season)
    if not jobs and not problems:
        problems.append(_no_rows("trees.csv", "tree with rigged pieces"))
    owned, found = _owned(folder, catalogue)
    problems += found
    today = today or date.today()
    register, inspections, found = (
        read_register(folder, catalogue, today) if has_register(folder) else ((), (), [])
    )
    problems += [one for one in found if not is_unlisted(one)]
    policy, found = _policy(folder)
    problems += found
    seasons, season_work, found = read_seasons(folder, jobs)
    problems += found
    if problems or catalogue is None:
        raise InputError(problems)
    told = tuple(tree_notes(trees, from_trees, settings.units))
    origins = Origins(own_jobs if trees else (), trees, register, inspections, told)
    owned, origins = counted_gear(owned, origins, catalogue, policy, today)
    notes = (*_notes(folder, catalogue), *origins.notes)
    return Plan(folder, settings, jobs, catalogue, owned, policy, notes, seasons, season_work, origins)


def jobs_from_rows(records: Sequence[Mapping[str, object]]) -> tuple[tuple[JobType, ...], list[Problem]]:
    """The work mix from edited rows, checked like a file.

    Parameters
    ----------
    records : sequence of mapping
        Header text (``diameter [cm]``) to cell; blank rows are left out, the first row is line 2.

    Returns
    -------
    tuple of JobType
        The sound rows.
    list of Problem
        Every fault; with any, the work mix is not whole.
    """
    if not records:
        return (), [_no_rows("work", "job type")]
    return _checked_jobs(grid_of_records(records, "work"))


def owned_from_rows(
    records: Sequence[Mapping[str, object]], catalogue: Catalogue
) -> tuple[tuple[OwnedGear, ...], list[Problem]]:
    """Owned gear from edited rows, checked like a file; no rows are no owned gear."""
    grid = grid_of_records(records, "owned")
    return _checked_owned(grid, catalogue) if grid.rows else ((), [])


def default_catalogue_path(folder: Path) -> Path | None:
    """Where a catalogue lies that the plan does not name: in the plan's folder or in the one above."""
    for place in (folder, folder.resolve().parent):
        if find_file(place, "ropes"):
            return place
    return None


def _catalogue(
    folder: Path, settings: PlanSettings, catalog: Path | str | None
) -> tuple[Catalogue | None, list[Problem]]:
    named = folder / settings.catalog if settings.catalog else default_catalogue_path(folder)
    place = Path(catalog) if catalog is not None else named
    if place is not None and os.path.exists(place):
        return read_catalogue(place)
    message = (
        f"there is no catalogue at {place}"
        if place
        else "there is no catalogue in or above the plan's folder"
    )
    hint = 'Write catalog = "..." in plan.toml: a folder that holds ropes.csv, or a workbook'
    return None, [Problem("plan.toml", ProblemCode.FILE_MISSING, message, hint, column="catalog")]


def _jobs(folder: Path) -> tuple[tuple[JobType, ...], list[Problem]]:
    path = find_file(folder, "work", TABLE_SUFFIXES) or folder / "work.csv"
    if not path.exists() and trees_file(folder):
        return (), []
    try:
        grid = read_one(path, "work")
    except InputError as error:
        return (), list(error.problems)
    return _checked_jobs(grid)


def _checked_jobs(grid: Grid) -> tuple[tuple[JobType, ...], list[Problem]]:
    read = read_rows(grid, JobType)
    problems = [*read.problems, *_repeated_jobs(grid), *_unknown_species(grid)]
    if not grid.rows:
        problems.append(_no_rows(grid.file, "job type"))
    elif len(read.rows) == len(grid.rows):
        problems.extend(_wrong_sum(grid, read.rows))
    return read.rows, problems


def _owned(folder: Path, catalogue: Catalogue | None) -> tuple[tuple[OwnedGear, ...], list[Problem]]:
    path = find_file(folder, "owned", TABLE_SUFFIXES)
    if path is None:
        return (), []
    try:
        return _checked_owned(read_one(path, "owned"), catalogue)
    except InputError as error:
        return (), list(error.problems)


def _checked_owned(grid: Grid, catalogue: Catalogue | None) -> tuple[tuple[OwnedGear, ...], list[Problem]]:
    read = read_rows(grid, OwnedGear)
    if catalogue is None:
        return read.rows, list(read.problems)
    checks = (*_unknown_items(grid, catalogue), *_unfit_lengths(grid, read, catalogue))
    return read.rows, [*read.problems, *checks]


def _policy(folder: Path) -> tuple[Policy, list[Problem]]:
    path = find_file(folder, "policy", (".toml",))
    if path is None:
        return default_policy(), []
    try:
        tables, text = read_toml(path)
    except InputError as error:
        return default_policy(), list(error.problems)
    return changed_policy(tables, file=path.name, text=text)


def _repeated_jobs(grid: Grid) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for line, job in column_texts(grid, JobType, "job"):
        before = first.setdefault(job.casefold(), line)
        if before != line:
            message, hint = f"row {before} has this name too", "Give every job type a name of its own"
            yield grid.problem(ProblemCode.ID_TWICE, message, hint, line=line, column="job", value=job)


def _unknown_species(grid: Grid) -> Iterator[Problem]:
    """Species that the wood table does not have; where mass and mass_high are given, it is not asked."""
    weighed = (
        dict(column_texts(grid, JobType, "mass")).keys()
        & dict(column_texts(grid, JobType, "mass_high")).keys()
    )
    for line, species in column_texts(grid, JobType, "species"):
        if line in weighed:
            continue
        try:
            find_species(species)
        except UnknownSpecies as error:
            near = ", ".join(error.suggestions[:6])
            hint = (
                f"Did you mean {near}?"
                if near
                else "Write a common or Latin name, or give mass and mass_high"
            )
            message, code = f"the species {error.reason}", ProblemCode.SPECIES_UNKNOWN
            yield grid.problem(code, message, hint, line=line, column="species", value=species)


def _wrong_sum(grid: Grid, jobs: Sequence[JobType]) -> Iterator[Problem]:
    total = sum(job.share for job in jobs)
    if abs(total - 1.0) <= SHARE_TOLERANCE:
        return
    message = f"the shares add up to {100 * total:.4g} %, not 100 %"
    shares = " ".join(f"{round(100 * job.share / total, 1):g}" for job in jobs[:12]) if total else ""
    hint = (
        f"Multiply each by {1 / total:.3g}: {shares}{' ...' if len(jobs) > 12 else ''}"
        if total
        else "Write the share of each job type, 100 % together"
    )
    yield grid.problem(ProblemCode.CONFLICT, message, hint, column="share")


def _unknown_items(grid: Grid, catalogue: Catalogue) -> Iterator[Problem]:
    known = frozenset(catalogue.ids)
    for line, item in column_texts(grid, OwnedGear, "item"):
        if item not in known:
            message, hint = "the catalogue has no such item", unknown_id(item, catalogue)
            yield grid.problem(ProblemCode.ID_UNKNOWN, message, hint, line=line, column="item", value=item)


def _unfit_lengths(grid: Grid, read: TableRead[OwnedGear], catalogue: Catalogue) -> Iterator[Problem]:
    """Lengths that are missing at a rope sold in several, or stand at what is no rope."""
    known = frozenset(catalogue.ids)
    for line, owned in zip(read.lines, read.rows, strict=True):
        item = catalogue.item(owned.item) if owned.item in known else None
        if isinstance(item, Rope) and item.length is None and owned.length is None:
            message, hint = "this rope is sold in several lengths", "Write the length that it has today"
            yield grid.problem(ProblemCode.VALUE_MISSING, message, hint, line=line, column="length")
        elif owned.length is not None and item is not None and not isinstance(item, Rope | RopeLength):
            message, hint = "the item is no rope", "Leave its length empty"
            yield grid.problem(ProblemCode.CONFLICT, message, hint, line=line, column="length")


def _no_rows(file: str, what: str) -> Problem:
    return Problem(file, ProblemCode.FILE_EMPTY, "the table has no row", f"Write at least one {what}")


def _notes(folder: Path, catalogue: Catalogue) -> Iterator[str]:
    return taken_for_granted(
        is_owned_told=find_file(folder, "owned", TABLE_SUFFIXES) is not None or has_register(folder),
        is_policy_told=find_file(folder, "policy", (".toml",)) is not None,
        currency=catalogue.currency,
    )


def taken_for_granted(*, is_owned_told: bool, is_policy_told: bool, currency: str) -> Iterator[str]:
    """Notes on what a plan does not say."""
    if not is_owned_told:
        yield "The plan tells of no owned gear: nothing is taken as owned already."
    if not is_policy_told:
        yield "The plan brings no policy: the design factors are the ones that the planner brings."
    if not currency:
        yield "The catalogue names no currency: prices are shown as bare numbers."
