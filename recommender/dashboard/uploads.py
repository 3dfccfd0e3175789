"""Files that were handed in on the screen: read as a catalogue, with every problem of every file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from catalog_schema.catalogue import REQUIRED, Catalogue, read_catalogue
from catalog_schema.gear import TABLES
from catalog_schema.problems import Problem, ProblemCode

Files = Sequence[tuple[str, bytes]]
MOST_FILES = 20


@dataclass(frozen=True)
class Upload:
    """What came of a set of files: the catalogue, or its problems."""

    name: str
    catalogue: Catalogue | None
    problems: tuple[Problem, ...]


def read_upload(files: Files) -> Upload:
    """The catalogue in one workbook or in several CSV files.

    Parameters
    ----------
    files : sequence of (name, content)

    Returns
    -------
    Upload
        Never raises for bad files.
    """
    named = [(_plain_name(name), content) for name, content in files]
    title = ", ".join(name for name, _ in named)
    fault = _unfit(named)
    if fault is not None:
        return Upload(title, None, (fault,))
    with TemporaryDirectory() as place:
        folder = Path(place)
        for name, content in named:
            (folder / name).write_bytes(content)
        is_workbook = named[0][0].lower().endswith(".xlsx")
        catalogue, problems = read_catalogue(folder / named[0][0] if is_workbook else folder)
        strangers = [] if is_workbook else _strangers([name for name, _ in named], problems)
    return Upload(
        title,
        None if strangers else catalogue,
        (*(_on_screen(problem, folder) for problem in problems), *strangers),
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


def _strangers(names: Sequence[str], problems: Sequence[Problem]) -> list[Problem]:
    """A problem for each file that is no table of a catalogue, where nothing else tells of it."""
    told = " ".join(problem.hint for problem in problems)
    hint = f"Name it after its table: {', '.join(f'{table}.csv' for table in TABLES)}"
    return [
        Problem(name, ProblemCode.FILE_MISSING, "this file is no table of a catalogue and was not read", hint)
        for name in names
        if Path(name).stem.lower() not in TABLES and f"'{name}'" not in told
    ]


def _on_screen(problem: Problem, folder: Path) -> Problem:
    """The problem without the place on the disk where the files lay for a moment."""
    if problem.code is ProblemCode.FILE_MISSING and str(folder) in problem.hint:
        needed = ", ".join(f"{name}.csv" for name in REQUIRED)
        return replace(problem, hint=f"Choose it together with the others; always needed: {needed}")
    return replace(problem, hint=problem.hint.replace(str(folder), "the upload"))
