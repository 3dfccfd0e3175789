"""Where tables lie: a folder of CSV files or one workbook; finding them by name, and telling near misses."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from catalog_schema.columns import near
from catalog_schema.grids import Grid, read_csv
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.workbooks import Sheets, read_workbook


def read_grids(
    path: Path, required: Sequence[str], optional: Sequence[str] = ()
) -> tuple[dict[str, Grid], list[Problem]]:
    """The tables of a folder of CSV files, or of a workbook with a sheet a table.

    Parameters
    ----------
    path : Path
        The folder or the workbook.
    required, optional : sequence of str
        Names of the tables in small letters; files and sheets may have capitals.

    Returns
    -------
    dict of str to Grid
        What could be read; a table that is not there is left out.
    list of Problem
        What could not be read, required tables that are missing, and files or sheets whose name comes close to
        that of a table which is not there.
    """
    if os.path.isdir(path):
        return _from_folder(path, required, optional)
    if path.suffix.lower() in (".csv", ".tsv", ".txt"):
        message, hint = "this is one table, not a whole catalogue", "Name the folder that holds the CSV files"
        return {}, [Problem(path.name, ProblemCode.FILE_UNREADABLE, message, hint)]
    try:
        sheets = read_workbook(path, (*required, *optional))
    except InputError as error:
        return {}, list(error.problems)
    return _from_sheets(sheets, required, optional)


def read_one(path: Path, name: str) -> Grid:
    """One table from a CSV file, or from the sheet of that name (or the only sheet) of a workbook.

    Raises
    ------
    InputError
        If it can't be read or is not there.
    """
    if path.suffix.lower() != ".xlsx":
        return read_csv(path)
    sheets = read_workbook(path)
    chosen = sheets.names[0].lower() if len(sheets.names) == 1 else name
    if chosen in sheets.grids:
        return sheets.grids[chosen]
    raise InputError(sheets.problems.get(chosen) or [_missing_sheet(sheets, name)])


def find_file(folder: Path, name: str, suffixes: Sequence[str] = (".csv",)) -> Path | None:
    """The file of a table in a folder, whatever its capitals; the first of the suffixes goes before the others."""
    if not os.path.isdir(folder):
        return None
    found = {entry.name.lower(): entry for entry in sorted(folder.iterdir(), reverse=True)}
    return next((found[name + suffix] for suffix in suffixes if name + suffix in found), None)


def _from_folder(
    folder: Path, required: Sequence[str], optional: Sequence[str]
) -> tuple[dict[str, Grid], list[Problem]]:
    grids: dict[str, Grid] = {}
    problems: list[Problem] = []
    wanted = (*required, *optional)
    others = [
        entry.name for entry in sorted(folder.iterdir()) if entry.suffix and entry.stem.lower() not in wanted
    ]
    for name in wanted:
        file = find_file(folder, name)
        if file is None:
            close = _misspelled(name, [one.rsplit(".", 1)[0] for one in others])
            there = next((one for one in others if one.rsplit(".", 1)[0] == close), "") if close else ""
            if name in required or there:
                problems.append(_missing_file(folder, name, there))
            continue
        try:
            grids[name] = read_csv(file)
        except InputError as error:
            problems.extend(error.problems)
    return grids, problems


def _from_sheets(
    sheets: Sheets, required: Sequence[str], optional: Sequence[str]
) -> tuple[dict[str, Grid], list[Problem]]:
    problems: list[Problem] = []
    known = {one.lower() for one in sheets.names}
    wanted = (*required, *optional)
    for name in wanted:
        if name in sheets.problems:
            problems.extend(sheets.problems[name])
        elif name not in known:
            others = [one for one in sheets.names if one.lower() not in wanted]
            if name in required or _misspelled(name, others):
                problems.append(_missing_sheet(sheets, name, others))
    return dict(sheets.grids), problems


def _misspelled(name: str, others: Sequence[str]) -> str:
    """The one of the others that was meant to be ``name``; empty if none comes close."""
    return near(name, others, cutoff=0.75)


def _missing_file(folder: Path, name: str, there: str) -> Problem:
    hint = f"Rename '{there}' to '{name}.csv'" if there else f"Write it; looked in {folder}"
    return Problem(f"{name}.csv", ProblemCode.FILE_MISSING, "there is no such file", hint)


def _missing_sheet(sheets: Sheets, name: str, others: Sequence[str] = ()) -> Problem:
    close = _misspelled(name, others)
    hint = f"Rename the sheet '{close}' to '{name}'" if close else f"There are: {', '.join(sheets.names)}"
    return Problem(
        sheets.file, ProblemCode.SHEET_MISSING, f"there is no sheet named '{name}'", hint, sheet=name
    )
