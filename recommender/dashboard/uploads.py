"""Files that were handed in on the screen: tables of a plan, taken as they are written, to be put right there.

What concerns a file or a header is settled first, since no unit and no column is guessed; a cell that can't be read
goes along as it was written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from catalog_schema.catalogue import REQUIRED
from catalog_schema.columns import heading_faults, read_header, split_heading
from catalog_schema.grids import Grid
from catalog_schema.numbers import settle_marks
from catalog_schema.problems import Problem, ProblemCode
from catalog_schema.rows import number_texts, read_rows
from catalog_schema.sources import read_grids
from catalog_schema.writing import header_of
from recommender.dashboard.records import read_cell
from recommender.dashboard.sheets import GEAR_SHEETS, SHEETS, Sheet
from recommender.store import Rows

Files = Sequence[tuple[str, bytes]]
MOST_FILES = 20
LEFT_OUT = ""
"""What a heading is settled as if its column is not wanted."""

Settled = Mapping[tuple[str, int], str]
"""Table and place of a heading -> the heading to read it as, or :data:`LEFT_OUT`."""


@dataclass(frozen=True)
class Tables:
    """Tables that belong together and may be handed in: by the name of their file or sheet.

    ``required`` are those that are missed where they don't come.
    """

    name: str
    sheets: Mapping[str, Sheet]
    required: tuple[str, ...] = ()

    @property
    def optional(self) -> tuple[str, ...]:
        """Those that are not missed."""
        return tuple(name for name in self.sheets if name not in self.required)


def _tables(name: str, *sheets: str) -> Tables:
    return Tables(name, {one: SHEETS[one] for one in sheets})


GEAR = Tables("gear", GEAR_SHEETS, REQUIRED)
WORK = _tables("work", "work", "trees")
OWNED = _tables("owned", "register", "inspections", "owned")
SEASONS = _tables("seasons", "seasons", "season_work")


@dataclass(frozen=True)
class Unclear:
    """A heading that has to be settled: where it stands, what is wrong with it, and what it may be read as."""

    table: str
    place: int
    problem: Problem
    options: tuple[str, ...]


@dataclass(frozen=True)
class Upload:
    """A set of files: the tables that could be read, and what is wrong with the files as such."""

    name: str
    grids: Mapping[str, Grid]
    problems: tuple[Problem, ...]
    tables: Tables = GEAR

    def unclear(self) -> tuple[Unclear, ...]:
        """The headings that have to be settled before the rows can be taken."""
        return tuple(
            one for table, grid in self.grids.items() for one in _unclear(self.tables.sheets[table], grid)
        )

    def rows(self, settled: Settled | None = None) -> dict[str, Rows]:
        """The rows of every table by the name of its document; what could not be read is the text that was written.

        Raises
        ------
        ValueError
            If a heading is still unclear.
        """
        left = [one for one in self.unclear() if (one.table, one.place) not in (settled or {})]
        if left:
            raise ValueError(f"settled must say what {left[0].problem.column!r} is")
        return {
            self.tables.sheets[table].name: _rows_of(
                self.tables.sheets[table], _with_headings(table, grid, settled or {})
            )
            for table, grid in self.grids.items()
        }


def read_upload(files: Files, tables: Tables = GEAR, *, may_lack: bool = False) -> Upload:
    """The tables in one workbook or in several CSV files.

    Parameters
    ----------
    files : sequence of (name, content)
    tables : Tables, optional
        Those that may come.
    may_lack : bool
        Whether tables that are else always needed may be missing.

    Returns
    -------
    Upload
        Never raises for bad files.
    """
    named = [(_plain_name(name), content) for name, content in files]
    title = ", ".join(name for name, _ in named)
    fault = _unfit(named)
    if fault is not None:
        return Upload(title, {}, (fault,), tables)
    with TemporaryDirectory() as made:
        folder = Path(made)
        for name, content in named:
            (folder / name).write_bytes(content)
        is_workbook = named[0][0].lower().endswith(".xlsx")
        place = folder / named[0][0] if is_workbook else folder
        required = () if may_lack else tables.required
        grids, problems = read_grids(
            place, required, tuple(one for one in tables.sheets if one not in required)
        )
        strangers = [] if is_workbook else _strangers([name for name, _ in named], problems, tables)
        if is_workbook and not grids and not problems:
            problems.append(_no_sheet(title, tables))
    told = tuple(_on_screen(problem, folder, tables) for problem in problems)
    return Upload(title, {name: _widened(grid) for name, grid in grids.items()}, (*told, *strangers), tables)


def _widened(grid: Grid) -> Grid:
    """The table with a nameless heading for every cell beyond its header, so that none is passed over."""
    widest = max((len(row.cells) for row in grid.rows), default=0)
    return replace(grid, header=(*grid.header, *[""] * (widest - len(grid.header))))


def _unclear(sheet: Sheet, grid: Grid) -> Iterator[Unclear]:
    model = sheet.model
    headings = read_header(grid, model)[0]
    places = {heading.column.name: heading.index for heading in headings}
    faults = heading_faults(grid, model)
    for problem in read_rows(grid, model).problems:
        if problem.code is ProblemCode.UNIT_MISSING and problem.column in places:
            faults.setdefault(places[problem.column], problem)
    known = {name for name, place in places.items() if place not in faults}
    for place, problem in sorted(faults.items()):
        own = split_heading(grid.header[place])[0]
        is_unit = problem.code in (ProblemCode.UNIT_MISSING, ProblemCode.UNIT_WRONG)
        options = dict.fromkeys((*header_of(model), *header_of(model, "us")))
        names = [(one, split_heading(one)[0]) for one in options]
        fitting = [one for one, name in names if (name == own if is_unit else name not in known)]
        yield Unclear(sheet.file, place, problem, (*fitting, LEFT_OUT))


def _with_headings(table: str, grid: Grid, settled: Settled) -> Grid:
    """The table with its headings as they were settled, without the columns that were left out."""
    header = [settled.get((table, place), text) for place, text in enumerate(grid.header)]
    kept = [place for place, text in enumerate(header) if text != LEFT_OUT]
    rows = tuple(
        replace(row, cells=tuple(row.cells[place] if place < len(row.cells) else "" for place in kept))
        for row in grid.rows
    )
    return replace(grid, header=tuple(header[place] for place in kept), rows=rows)


def _rows_of(sheet: Sheet, grid: Grid) -> Rows:
    headings, _ = read_header(grid, sheet.model)
    marks = settle_marks(number_texts(grid, headings), grid.delimiter or ",")
    blank = dict.fromkeys(sheet.columns)
    return tuple(
        blank
        | {one.column.name: read_cell(row.cells[one.index], one.column, one.unit, marks) for one in headings}
        for row in grid.rows
    )


def _plain_name(name: str) -> str:
    """The last part of a file's name, so that nothing is written outside its folder."""
    last = PurePosixPath(name.replace("\\", "/")).name
    kept = "".join(sign for sign in last if sign.isprintable() and sign not in ':*?"<>|').strip(". ")
    return kept[-100:] or "unnamed"


def _unfit(named: Files) -> Problem | None:
    names = [name.lower() for name, _ in named]
    workbooks = [name for name in names if name.endswith(".xlsx")]
    if not names or len(names) > MOST_FILES:
        message, hint = (
            f"{len(names)} files were handed in",
            "Choose one workbook, or one CSV file for each table",
        )
    elif len(set(names)) < len(names):
        message, hint = "two files have the same name", "Choose each table once"
    elif workbooks and len(names) > 1:
        message, hint = "there is a workbook among several files", "Choose one workbook, or CSV files only"
    else:
        return None
    return Problem(named[0][0] if named else "upload", ProblemCode.FILE_UNREADABLE, message, hint)


def _strangers(names: Sequence[str], problems: Sequence[Problem], tables: Tables) -> list[Problem]:
    """A problem for each file that is none of the tables, where nothing else tells of it."""
    told = " ".join(problem.hint for problem in problems)
    hint = f"Name it after its table: {', '.join(f'{table}.csv' for table in tables.sheets)}"
    return [
        Problem(name, ProblemCode.FILE_MISSING, "this file is none of the tables and was not read", hint)
        for name in names
        if Path(name).stem.lower() not in tables.sheets and f"'{name}'" not in told
    ]


def _on_screen(problem: Problem, folder: Path, tables: Tables) -> Problem:
    """The problem without the place on the disk where the files lay for a moment."""
    if problem.code is ProblemCode.FILE_MISSING and str(folder) in problem.hint:
        needed = ", ".join(f"{name}.csv" for name in tables.required)
        return replace(problem, hint=f"Its table will be empty here; always needed: {needed}")
    return replace(problem, hint=problem.hint.replace(str(folder), "the upload"))


def _no_sheet(file: str, tables: Tables) -> Problem:
    hint = f"Name a sheet after its table: {', '.join(tables.sheets)}"
    return Problem(file, ProblemCode.SHEET_MISSING, "there is none of the tables in this workbook", hint)
