"""The whole catalogue of gear: its tables, checks across them, and ropes in the lengths that are sold."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from catalog_schema.columns import near
from catalog_schema.gear import TABLES, Brake, Connector, Extra, Gear, Lifter, Redirect, Rope, Sling
from catalog_schema.grids import Grid
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.rows import TableRead, column_texts, read_rows
from catalog_schema.sources import read_grids

REQUIRED = ("ropes", "redirects", "slings", "brakes")
OPTIONAL = tuple(name for name in TABLES if name not in REQUIRED)
CUT = "/cut "
"""What stands between the id of a spool and the length of a line that is cut from it."""
_CUT_LENGTH = re.compile(r"\d+(\.\d+)?m")


@dataclass(frozen=True)
class RopeLength:
    """A rope in one of the lengths it is sold in: what is bought, or a line cut from a spool."""

    id: str
    rope: Rope
    length: float
    price: float

    @property
    def mass(self) -> float:
        """Mass of the dry rope. [kg]"""
        return self.length * self.rope.mass_per_length


@dataclass(frozen=True)
class Catalogue:
    """Every item that may be bought, in the order of its tables."""

    ropes: tuple[Rope, ...]
    redirects: tuple[Redirect, ...]
    slings: tuple[Sling, ...]
    brakes: tuple[Brake, ...]
    lifters: tuple[Lifter, ...] = ()
    connectors: tuple[Connector, ...] = ()
    extras: tuple[Extra, ...] = ()
    currency: str = ""

    @cached_property
    def rope_lengths(self) -> tuple[RopeLength, ...]:
        """Every rope in every length it is sold in; a spool whole."""
        return tuple(one for rope in self.ropes for one in lengths_of(rope))

    def tables(self) -> dict[str, tuple[Gear, ...]]:
        """The rows of every table by its name."""
        return {name: getattr(self, name) for name in TABLES}

    def item(self, id: str) -> Gear | RopeLength:
        """The row of this id, the rope length of an id such as ``R1/45m``, or the line of one such as ``R1/cut 29m``.

        Raises
        ------
        KeyError
            If the catalogue has no such id.
        """
        return self._by_id[id] if id in self._by_id else self._cut(id)

    def _cut(self, id: str) -> RopeLength:
        """The line cut from a spool that an id names."""
        row, _, length = id.partition(CUT)
        spool = self._by_id.get(row)
        if not isinstance(spool, Rope) or spool.spool_length is None or not _CUT_LENGTH.fullmatch(length):
            raise KeyError(id)
        return cut_from(spool, min(float(length.removesuffix("m")), spool.spool_length))

    @cached_property
    def _by_id(self) -> dict[str, Gear | RopeLength]:
        by_id: dict[str, Gear | RopeLength] = {length.id: length for length in self.rope_lengths}
        return by_id | {row.id: row for rows in self.tables().values() for row in rows}

    @property
    def ids(self) -> tuple[str, ...]:
        """Every id that :meth:`item` knows."""
        return tuple(self._by_id)


def lengths_of(rope: Rope) -> tuple[RopeLength, ...]:
    """A rope in the lengths that it is sold in.

    A row with its own length, or a spool, keeps its id; a row that offers lengths gives one id each: ``R1/45m``.
    """
    whole = rope.spool_length if rope.length is None else rope.length
    if whole is not None and rope.price is not None:
        return (RopeLength(rope.id, rope, whole, rope.price),)
    per_length = rope.price_per_length or 0.0
    return tuple(
        RopeLength(f"{rope.id}/{_metres(length)}m", rope, length, length * per_length)
        for length in rope.lengths_on_offer
    )


def cut_from(spool: Rope, length: float) -> RopeLength:
    """A line cut from a spool, with an id such as ``R1/cut 29m`` and its share of the spool's price.

    Raises
    ------
    ValueError
        If the rope is not sold by the spool, or there is less on it.
    """
    if spool.spool_length is None or spool.price is None:
        raise ValueError(f"spool must be a rope sold by the spool, not {spool.id!r}")
    if not 0 < length <= spool.spool_length:
        raise ValueError(f"length must be above 0 and at most {spool.spool_length:g} m, not {length:g} m")
    share = spool.price * length / spool.spool_length
    return RopeLength(cut_id(spool.id, length), spool, length, share)


def cut_id(spool: str, length: float) -> str:
    """Id of a line that is cut from a spool.

    >>> cut_id("R1", 29.0)
    'R1/cut 29m'
    """
    return f"{spool}{CUT}{_metres(length)}m"


def _metres(length: float) -> str:
    return f"{length:.2f}".rstrip("0").rstrip(".")


def load_catalogue(path: Path | str) -> Catalogue:
    """The catalogue in a folder of CSV files or in one workbook.

    Raises
    ------
    InputError
        With every problem of every table.
    """
    catalogue, problems = read_catalogue(path)
    if catalogue is None:
        raise InputError(problems)
    return catalogue


def read_catalogue(path: Path | str) -> tuple[Catalogue | None, list[Problem]]:
    """The catalogue, or None and every problem of every table."""
    found, problems = read_grids(Path(path), REQUIRED, OPTIONAL)
    catalogue, faults = catalogue_of(found)
    problems += faults
    return (None if problems else catalogue), problems


def catalogue_of(found: Mapping[str, Grid]) -> tuple[Catalogue | None, list[Problem]]:
    """The catalogue in tables as they are written, or None and every problem of every table.

    Parameters
    ----------
    found : mapping of str to Grid
        By the name of the table; one that every catalogue has and that is not here is blamed by nobody.
    """
    problems: list[Problem] = []
    grids = {name: found[name] for name in TABLES if name in found}
    reads = {name: read_rows(grid, TABLES[name]) for name, grid in grids.items() if grid.header}
    for name, grid in grids.items():
        problems.extend(reads[name].problems if name in reads else ())
        if name in REQUIRED and not grid.rows:
            problems.append(_empty(grid, name))
    grids = {name: grids[name] for name in reads}
    problems.extend(_repeated_ids(grids, reads))
    currency, conflicts = _currency(grids)
    problems.extend(conflicts)
    if problems:
        return None, problems
    rows = {name: reads[name].rows if name in reads else () for name in TABLES}
    return Catalogue(**rows, currency=currency), []  # type: ignore[arg-type]


def unknown_id(id: str, catalogue: Catalogue) -> str:
    """What to write instead of an id that the catalogue does not have."""
    close = near(id, catalogue.ids)
    return f"Did you mean '{close}'?" if close else "Write the id of a row in the catalogue"


def _empty(grid: Grid, name: str) -> Problem:
    message, hint = (
        "the table has no row",
        f"Write at least one row: no kit works without {name}",
    )
    return grid.problem(ProblemCode.FILE_EMPTY, message, hint)


def _repeated_ids(grids: Mapping[str, Grid], reads: Mapping[str, TableRead[Gear]]) -> Iterator[Problem]:
    """A problem for every id, of a row or of a rope length, that was taken before."""
    taken: dict[str, str] = {}
    for name, grid in grids.items():
        offered = {
            line: [one.id for one in lengths_of(row)]
            for line, row in zip(reads[name].lines, reads[name].rows, strict=True)
            if isinstance(row, Rope)
        }
        for line, own in column_texts(grid, TABLES[name], "id"):
            for id in (own, *(one for one in offered.get(line, ()) if one != own)):
                if id in taken:
                    message = f"the id is taken already by {taken[id]}"
                    hint = "Give every row an id of its own, and offer each length once"
                    yield grid.problem(ProblemCode.ID_TWICE, message, hint, line=line, column="id", value=id)
                taken.setdefault(id, _place(grid, line))


def _currency(grids: Mapping[str, Grid]) -> tuple[str, list[Problem]]:
    """The one currency of the catalogue; a problem for every row that has another than the first."""
    first, place, problems = "", "", []
    for name, grid in grids.items():
        for line, own in column_texts(grid, TABLES[name], "currency"):
            if not first:
                first, place = own.upper(), _place(grid, line)
            elif own.upper() != first:
                message = f"prices are in {first} in {place} and in another currency here"
                hint = f"Write every price in {first}, or leave the cell empty"
                problems.append(
                    grid.problem(ProblemCode.CONFLICT, message, hint, line=line, column="currency", value=own)
                )
    return first, problems


def _place(grid: Grid, line: int) -> str:
    return f"{grid.file}{f' [{grid.sheet}]' if grid.sheet else ''}, row {line}"
