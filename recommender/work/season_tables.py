"""Reading the seasons of a plan: ``seasons.csv`` and, where the work differs, ``season_work.csv``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from catalog_schema.columns import near
from catalog_schema.grids import Grid, grid_of_records
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.rows import TableRead, read_rows
from catalog_schema.sources import find_file, read_one
from recommender.work.tables import JobType, SeasonRow, SeasonWork

TABLE_SUFFIXES = (".csv", ".xlsx")
MOST_SEASONS = 8


def read_seasons(
    folder: Path, jobs: Sequence[JobType]
) -> tuple[tuple[SeasonRow, ...], tuple[SeasonWork, ...], list[Problem]]:
    """The seasons of a plan and the work that differs in them; none of both is one season without a budget.

    Parameters
    ----------
    folder : Path
        Of the plan.
    jobs : sequence of JobType
        The work mix, whose names season_work may use.

    Returns
    -------
    tuple of SeasonRow, tuple of SeasonWork, list of Problem
    """
    problems: list[Problem] = []
    of_seasons, of_work = (_grid(folder, name, problems) for name in ("seasons", "season_work"))
    seasons, work, found = _checked(of_seasons, of_work, jobs)
    return seasons, work, problems + found


def seasons_from_rows(
    seasons: Sequence[Mapping[str, object]],
    season_work: Sequence[Mapping[str, object]],
    jobs: Sequence[JobType],
) -> tuple[tuple[SeasonRow, ...], tuple[SeasonWork, ...], list[Problem]]:
    """The seasons from edited rows (header text to cell), checked like files; the first row is line 2."""
    grids = [
        grid_of_records(rows, name) for rows, name in ((seasons, "seasons"), (season_work, "season_work"))
    ]
    of_seasons, of_work = (grid if grid.rows else None for grid in grids)
    return _checked(of_seasons, of_work, jobs)


def _checked(
    of_seasons: Grid | None, of_work: Grid | None, jobs: Sequence[JobType]
) -> tuple[tuple[SeasonRow, ...], tuple[SeasonWork, ...], list[Problem]]:
    problems: list[Problem] = []
    seasons: tuple[SeasonRow, ...] = ()
    work: tuple[SeasonWork, ...] = ()
    if of_seasons is not None:
        read = read_rows(of_seasons, SeasonRow)
        seasons = read.rows
        problems += [*read.problems, *_repeated(of_seasons, read), *_too_many(of_seasons, read)]
    if of_work is not None:
        grid = of_work
        changed = read_rows(grid, SeasonWork)
        work = changed.rows
        known = {"season": [row.season for row in seasons], "job": [job.job for job in jobs]}
        problems += [*changed.problems, *_unknown(grid, changed, known)]
    return seasons, work, problems


def _grid(folder: Path, name: str, problems: list[Problem]) -> Grid | None:
    path = find_file(folder, name, TABLE_SUFFIXES)
    if path is None:
        return None
    try:
        return read_one(path, name)
    except InputError as error:
        problems.extend(error.problems)
        return None


def _repeated(grid: Grid, read: TableRead[SeasonRow]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for line, row in zip(read.lines, read.rows, strict=True):
        before = first.setdefault(row.season, line)
        if before != line:
            message, hint = f"row {before} has this name too", "Give every season a name of its own"
            yield grid.problem(
                ProblemCode.ID_TWICE, message, hint, line=line, column="season", value=row.season
            )


def _too_many(grid: Grid, read: TableRead[SeasonRow]) -> Iterator[Problem]:
    if len(read.rows) > MOST_SEASONS:
        message = f"there are {len(read.rows)} seasons"
        yield grid.problem(ProblemCode.OUT_OF_RANGE, message, f"Plan at most {MOST_SEASONS} seasons")


def _unknown(grid: Grid, read: TableRead[SeasonWork], known: dict[str, list[str]]) -> Iterator[Problem]:
    for line, row in zip(read.lines, read.rows, strict=True):
        for column, names in known.items():
            value = str(getattr(row, column))
            if value in names:
                continue
            close = near(value, names)
            hint = f"Did you mean '{close}'?" if close else f"There are: {', '.join(names) or 'none'}"
            yield grid.problem(
                ProblemCode.ID_UNKNOWN,
                f"the plan has no such {column}",
                hint,
                line=line,
                column=column,
                value=value,
            )
