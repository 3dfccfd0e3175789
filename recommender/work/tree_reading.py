"""Reading the trees of a plan, and joining the job types that they give with the work mix."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from catalog_schema.grids import Grid, grid_of_records
from catalog_schema.problems import InputError, Problem, ProblemCode
from catalog_schema.rows import column_texts, read_rows
from catalog_schema.sources import find_file, read_one
from catalog_schema.units import UnitSystem, show
from recommender.wood import UnknownSpecies, find_species
from recommender.work.tables import JobType
from recommender.work.tree_jobs import jobs_of_tree
from recommender.work.tree_table import TreeRow

TABLE_SUFFIXES = (".csv", ".xlsx")
NAMES_SHOWN = 6


def trees_file(folder: Path) -> Path | None:
    """The table of trees in a plan's folder."""
    return find_file(folder, "trees", TABLE_SUFFIXES)


def read_trees(
    folder: Path, jobs: Sequence[JobType]
) -> tuple[tuple[TreeRow, ...], tuple[JobType, ...], list[Problem]]:
    """The trees of a plan and the job types that they give; none of both without a table of trees.

    Parameters
    ----------
    folder : Path
        Of the plan.
    jobs : sequence of JobType
        The work mix, whose names may not be used again.

    Returns
    -------
    tuple of TreeRow, tuple of JobType, list of Problem
    """
    path = trees_file(folder)
    if path is None:
        return (), (), []
    try:
        grid = read_one(path, "trees")
    except InputError as error:
        return (), (), list(error.problems)
    return _checked(grid, jobs)


def trees_from_rows(
    records: Sequence[Mapping[str, object]], jobs: Sequence[JobType]
) -> tuple[tuple[TreeRow, ...], tuple[JobType, ...], list[Problem]]:
    """The trees from edited rows (header text to cell), checked like a file; the first row is line 2."""
    grid = grid_of_records(records, "trees")
    return _checked(grid, jobs) if grid.rows else ((), (), [])


def _checked(
    grid: Grid, jobs: Sequence[JobType]
) -> tuple[tuple[TreeRow, ...], tuple[JobType, ...], list[Problem]]:
    read = read_rows(grid, TreeRow)
    problems = [*read.problems, *_repeated(grid), *_unknown_species(grid)]
    made: list[JobType] = []
    for line, row in zip(read.lines, read.rows, strict=True):
        try:
            made.extend(jobs_of_tree(row))
        except UnknownSpecies:
            continue  # said already
        except ValueError as error:
            message = f"the tree can't be cut so: {error}"
            hint = "Compare diameter, height, crown_base, piece_length and top_diameter"
            problems.append(grid.problem(ProblemCode.CONFLICT, message, hint, line=line, value=row.tree))
    problems += _taken(grid, jobs, made)
    return read.rows, tuple(made), problems


def joined(jobs: Sequence[JobType], from_trees: Sequence[JobType], pieces: float) -> tuple[JobType, ...]:
    """The work mix with the job types from trees, all with their own pieces a season and the shares that follow.

    ``pieces`` are those of the work mix in a season; the trees' pieces come on top of them.
    """
    if not from_trees:
        return tuple(jobs)
    counts = [
        pieces * job.share if job.pieces_per_season is None else job.pieces_per_season for job in (*jobs, *from_trees)
    ]  # fmt: skip
    total = sum(counts)
    return tuple(
        job.model_copy(update={"pieces_per_season": count, "share": count / total if total else 0.0})
        for job, count in zip((*jobs, *from_trees), counts, strict=True)
    )


def tree_notes(rows: Sequence[TreeRow], from_trees: Sequence[JobType], units: UnitSystem) -> Iterator[str]:
    """What was made of each kind of tree, and what of it is not rigged."""
    for row in rows:
        made = [job for job in from_trees if job.job.startswith(f"{row.tree}: ")]
        listed = ", ".join(
            f"{job.pieces_per_season or 0:g} {job.job.removeprefix(f'{row.tree}: ')}" for job in made
        )
        free = [
            name
            for name, how in (("limbs", row.limbs), ("top", row.top), ("stem", row.stem))
            if how == "free"
        ]
        rest = [f"not rigged: {', '.join(free)}"] if free else []
        if row.stem == "catch":
            rest.append(f"the stem below {show(row.fell_below, 'length', units)} is felled")
        yield f"Trees '{row.tree}', {row.count:g} a season: {'; '.join([listed or 'no rigged pieces', *rest])}."


def _repeated(grid: Grid) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for line, tree in column_texts(grid, TreeRow, "tree"):
        before = first.setdefault(tree.casefold(), line)
        if before != line:
            message, hint = f"row {before} has this name too", "Give every kind of tree a name of its own"
            yield grid.problem(ProblemCode.ID_TWICE, message, hint, line=line, column="tree", value=tree)


def _unknown_species(grid: Grid) -> Iterator[Problem]:
    for line, species in column_texts(grid, TreeRow, "species"):
        try:
            find_species(species)
        except UnknownSpecies as error:
            near = ", ".join(error.suggestions[:NAMES_SHOWN])
            hint = f"Did you mean {near}?" if near else "Write a common or Latin name"
            message, code = f"the species {error.reason}", ProblemCode.SPECIES_UNKNOWN
            yield grid.problem(code, message, hint, line=line, column="species", value=species)


def _taken(grid: Grid, jobs: Sequence[JobType], made: Sequence[JobType]) -> Iterator[Problem]:
    """Job types from trees that go by the name of one in the work mix."""
    known = {job.job.casefold() for job in jobs}
    for job in made:
        if job.job.casefold() in known:
            message, hint = f"the work mix has a job type '{job.job}' already", "Give the tree another name"
            yield grid.problem(ProblemCode.ID_TWICE, message, hint, column="tree", value=job.job)
