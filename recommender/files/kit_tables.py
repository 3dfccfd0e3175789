"""A planned kit as tables to be drawn: what is in it, the loads of every job type, and how hard each part works."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from math import ceil, floor

from catalog_schema.units import UnitSystem
from recommender.charts.words import part_place
from recommender.explain.crews import job_of
from recommender.files.order_list import OrderGroup
from recommender.files.tables import (
    NOTHING,
    Cell,
    Heading,
    Table,
    count,
    figure,
    figure_or_nothing,
    price,
    share,
    texts,
    with_currency,
    with_unit,
    without_empty_columns,
)
from recommender.kit.result import Assignment, KitResult
from recommender.report.figures import (
    as_listed,
    force,
    length_needed,
    mark_if_locked,
    mass,
    mass_of_gear,
    percent,
    state_words,
    words,
)
from recommender.report.hold_words import held_words
from recommender.report.kit_text import WEAR
from recommender.report.specification import OWNED_MARK, catalogue_id

LOADS_READING = (
    "Forces are those of the largest piece to plan for, rounded up. 'Locked' is a catch with the line locked at the "
    "brake. Drop: how far below the cut the lowest wood may come; free: the height that is free there."
)
UTILISATION_READING = (
    "Load over rating of every part, rounded up to whole percents; over 100 % is refused. 'Locked' where a catch with "
    "the line locked governs; elsewhere the working state does."
)
RIGGED_READING = "Which item is which part of the setup. A kit is planned with these items in these places."
HOLDING_READING = (
    "Wraps that leave no more to one ground worker's hand than the policy says, on slippery line, against those that "
    "fit; and how many people it takes on the tail with all that fit, in a catch for the hold that its run needs."
)
NOISE = 1e-7
"""Of a tenth of a wrap: the last bits of a number are not rounded up."""
_FORCES: tuple[tuple[str, Callable[[Assignment], float]], ...] = (
    ("line", lambda one: one.line_tension_n),
    ("redirect", lambda one: one.redirect_reaction_n),
    ("brake", lambda one: one.brake_tension_n),
    ("pull on lifter", lambda one: one.lifter_pull_n),
    ("line, locked", lambda one: one.line_tension_jam_n),
    ("redirect, locked", lambda one: one.redirect_reaction_jam_n),
    ("brake, locked", lambda one: one.brake_tension_jam_n),
)


def group_table(group: OrderGroup, currency: str, system: UnitSystem) -> Table:
    """A group of an order list with its prices, or without where nothing is bought."""
    asked = "what to ask for" if group.is_bought else "which one"
    headings = [Heading("pcs", 5, True), Heading("item", 24), Heading(asked, 46), Heading("id", 13)]
    if group.is_bought:
        headings += [Heading(with_currency(name, currency), 12, True) for name in ("each", "together")]
    headings.append(Heading(with_unit("mass", "mass", system), 9, True))
    rows = []
    for line in group.lines:
        row = [count(line.pieces), *texts(line.name, line.asked_for, line.id)]
        if group.is_bought:
            row += [price(line.unit_price), price(line.pieces * line.unit_price)]
        rows.append((*row, figure(line.mass) if line.mass else NOTHING))
    return Table(group.title, tuple(headings), tuple(rows))


def items_table(result: KitResult, system: UnitSystem) -> Table:
    """Every item of the kit, bought or owned, with the parts that it is used as."""
    used = _uses(result.assignments)
    headings = (
        Heading("id", 14), Heading("item", 34), Heading("kind", 12), Heading("pieces", 8, True), Heading("from", 9),
        Heading(with_currency("each", result.currency), 12, True),
        Heading(with_currency("together", result.currency), 13, True),
        Heading(with_unit("mass", "mass", system), 11, True), Heading("used as", 34),
        Heading("job types", 10, True),
    )  # fmt: skip
    rows = tuple(
        (
            *texts(catalogue_id(item.id), item.name, item.table), count(item.quantity),
            Cell("owned" if item.owned else "to buy"), price(item.unit_price), price(item.price),
            figure(mass_of_gear(item.quantity * item.mass_kg, item.quantity, system)) if item.mass_kg else NOTHING,
            Cell(", ".join(used[item.id][0])), count(len(used[item.id][1])),
        )
        for item in result.items
    )  # fmt: skip
    return Table(
        "Kit", headings, rows, "Every item of the kit, what it is used as, and in how many job types."
    )


def loads_table(result: KitResult, system: UnitSystem, technique: str = "") -> Table:
    """Pieces and forces of every job type (of one technique) with the kit; columns without any force are left out."""
    chosen = [one for one in result.assignments if technique in ("", one.technique)]
    headings = (
        Heading("job type", 26), Heading("technique", 10),
        Heading(with_unit("usual piece", "mass", system), 9, True),
        Heading(with_unit("largest piece", "mass", system), 9, True),
        *(Heading(with_unit(name, "force", system), 10, True) for name, _ in _FORCES),
        Heading(with_unit("drop", "length", system), 8, True), Heading(with_unit("free", "length", system), 8, True),
        Heading(with_unit("line needed", "length", system), 9, True),
        Heading("hardest part", 15), Heading("used", 7, True), Heading("state", 9),
    )  # fmt: skip
    rows = tuple(_loads_row(one, system) for one in chosen)
    return without_empty_columns(Table("Loads", headings, rows, LOADS_READING))


def _loads_row(one: Assignment, system: UnitSystem) -> tuple[Cell, ...]:
    part, used = one.highest
    drop = NOTHING if one.drop_below_cut_m is None else figure(length_needed(one.drop_below_cut_m, system))
    return (
        *texts(one.job, one.technique),
        figure(mass(one.piece_mass_typical_kg, system)),
        figure(mass(one.piece_mass_kg, system)),
        *(figure_or_nothing(of(one), force(of(one), system)) for _, of in _FORCES),
        drop,
        NOTHING if one.clearance_m is None else figure(as_listed(one.clearance_m, "length", system, "down")),
        figure(length_needed(one.line_needed_m, system)),
        Cell(words(part)),
        share(percent(used)),
        Cell(state_words(one.governing[part])),
    )


def rigged_table(result: KitResult) -> Table:
    """Which item is which part of every job type's setup."""
    parts = parts_in_order(result.assignments)
    headings = (
        Heading("job type", 26),
        Heading("technique", 10),
        *(Heading(words(part), 14) for part in parts),
    )
    rows = tuple(
        (*texts(one.job, one.technique), *texts(*(catalogue_id(one.parts.get(part, "")) for part in parts)))
        for one in result.assignments
    )
    return Table("Rigged with", headings, rows, RIGGED_READING)


def utilisation_table(result: KitResult) -> Table:
    """Load over rating: a row for each job type, a column for each part."""
    parts = parts_in_order(result.assignments)
    headings = (Heading("job type", 26), *(Heading(words(part), 11, True) for part in parts))
    rows = tuple(
        (Cell(one.job), *(_utilisation(one, part) for part in parts)) for one in result.assignments
    )  # fmt: skip
    return Table("Utilisation", headings, rows, UTILISATION_READING)


def _utilisation(one: Assignment, part: str) -> Cell:
    if part not in one.utilisation:
        return NOTHING
    return share(percent(one.utilisation[part]), mark_if_locked(one.governing[part]))


def setups_table(result: KitResult) -> Table:
    """Each setup once, with the job types that it is rigged for."""
    names = {item.id: item.name for item in result.items}
    jobs: dict[tuple[tuple[str, str], ...], list[str]] = defaultdict(list)
    for one in result.assignments:
        jobs[tuple((part, one.parts[part]) for part in sorted(one.parts, key=part_place))].append(one.job)
    headings = (Heading("setup", 6), Heading("parts", 62), Heading("for the job types", 34))
    rows = tuple(
        texts(
            str(number),
            "; ".join(
                f"{words(part)}: {catalogue_id(item)} {names.get(item, '')}".rstrip() for part, item in parts
            ),
            ", ".join(served),
        )
        for number, (parts, served) in enumerate(jobs.items(), start=1)
    )
    return Table("How it is rigged", headings, rows)


def holding_table(result: KitResult) -> Table:
    """Wraps on the brake that one ground worker needs, and that fit, and who is needed with them."""
    headings = (
        Heading("job type", 30), Heading("brake", 14), Heading("piece hangs still", 11, True),
        Heading("at the peak", 11, True), Heading("fit on it", 9, True), Heading("on the tail", 26),
    )  # fmt: skip
    rows = tuple(
        (
            *texts(one.job, catalogue_id(one.parts["brake"])),
            _wraps(one.holding.wraps_hanging), _wraps(one.holding.wraps_peak), _wraps(one.holding.wraps_max, down=True),
            Cell(held_words(one.holding)),
        )
        for one in result.assignments if one.holding is not None
    )  # fmt: skip
    return Table("Wraps on the brake", headings, rows, HOLDING_READING)


def _wraps(count: float, down: bool = False) -> Cell:
    tenths = floor(10 * count + NOISE) if down else ceil(10 * count - NOISE)
    return figure(f"{tenths / 10:.1f}")


def lives_table(result: KitResult) -> Table:
    """How long the ropes and slings of the kit last."""
    headings = (
        Heading("item", 30), Heading("loads a season", 12, True), Heading("highest load of strength", 14, True),
        Heading("seasons", 10, True), Heading("ends by", 12),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(catalogue_id(one.item) + (" (owned)" if one.item.startswith(OWNED_MARK) else "")),
            figure(f"{ceil(one.loads_per_season):,d}"), share(percent(one.highest_share)),
            figure(f"{floor(10 * one.seasons) / 10:.1f}"), Cell(one.ends_by),
        )
        for one in result.lives
    )  # fmt: skip
    return Table("How long ropes and slings last", headings, rows, WEAR)


def uncovered_table(result: KitResult) -> Table:
    """The job types that nothing in the catalogue can carry, and what would help."""
    headings = (
        Heading("job type", 22), Heading("technique", 10), Heading("part that falls short", 16),
        Heading("shortfall", 46), Heading("what would help", 46), Heading("or", 40),
    )  # fmt: skip
    rows = tuple(
        texts(
            one.job, one.technique, words(one.part), one.shortfall, one.remedy, "; ".join(one.other_remedies)
        )
        for one in result.uncovered
    )
    about = "No kit: nothing in the catalogue carries these job types with their design factors."
    return without_empty_columns(Table("Not covered", headings, rows, about))


def parts_in_order(assignments: Sequence[Assignment]) -> list[str]:
    """Every part that is used, along the line: itself, then what is at the redirect, the brake, the lifter."""
    return sorted({part for one in assignments for part in one.utilisation}, key=part_place)


def _uses(assignments: Sequence[Assignment]) -> dict[str, tuple[list[str], set[str]]]:
    """For each item the parts that it serves as, in order, and its job types."""
    uses: dict[str, tuple[list[str], set[str]]] = defaultdict(lambda: ([], set()))
    for part in parts_in_order(assignments):
        for one in assignments:
            if part in one.parts:
                names, jobs = uses[one.parts[part]]
                if words(part) not in names:
                    names.append(words(part))
                jobs.add(job_of(one.job))
    return uses
