"""A limits sheet as text: for each manner the largest mass and the longest logs by height, and the gear for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from string import ascii_uppercase

from catalog_schema.units import UnitSystem, from_si, show, unit_of
from recommender.explain.limits import LimitRow, LimitsSheet
from recommender.report.figures import as_listed, words
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.limits_words import (
    PLANNED,
    PLANNED_READING,
    bands_together,
    crew_words,
    planned_lines,
)
from recommender.report.specification import catalogue_id

READING = (
    "Largest mass of a piece, branches, leaves and all, and longest log by its diameter at the big end over bark; both "
    "rounded down. Beside it: what one person holds at the brake. A row holds for every height in it. '-': nothing may "
    "be taken. Each row holds only with the gear of its letter, on stems that its slings go round."
)
NOTHING = "-"


def limits_text(sheet: LimitsSheet, system: UnitSystem, species: str | None = None) -> str:
    """The whole sheet, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    sheet : LimitsSheet
    system : {'metric', 'us'}
    species : str, optional
        Whose logs are shown; the heaviest of the plan if left out, which is safe for all of them.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If the sheet does not have the species.
    """
    wood = sheet.heaviest if species is None else species
    if species is not None and species not in sheet.species:
        raise ValueError(f"species must be one of {', '.join(sheet.species)}, not {species!r}")
    letters = gear_letters(sheet)
    lines = [
        *heading(sheet.plan, sheet.notice),
        "",
        *wrapped(f"Limits of {sheet.gear}. {_about_wood(sheet, wood)}"),
    ]
    lines += ["", *wrapped(crew_words(sheet, system)), "", *wrapped(READING)]
    for manner in sheet.manners:
        rows = bands_together(row for row in sheet.rows if row.manner == manner.name)
        text = wrapped(f"{manner.assumptions(system)}.")
        lines += section(manner.name, [*text, *_rows(rows, sheet, wood, system, letters)])
    lines += section("Gear", _gear(sheet, letters, system))
    lines += section(PLANNED, _planned(sheet, system))
    return "\n".join([*lines, *ending(sheet.notes, sheet.cautions)])


def gear_letters(sheet: LimitsSheet) -> dict[tuple[tuple[str, str], ...], str]:
    """A letter for each setup of the sheet, in the order of its rows: ``A`` to ``Z``, then ``AA`` and on."""
    setups = dict.fromkeys(_setup(row) for row in sheet.rows if row.parts)
    return {setup: _letter(k) for k, setup in enumerate(setups)}


def _letter(k: int) -> str:
    more, last = divmod(k, len(ascii_uppercase))
    return (_letter(more - 1) if more else "") + ascii_uppercase[last]


def _setup(row: LimitRow) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(row.parts.items()))


def _about_wood(sheet: LimitsSheet, wood: str) -> str:
    wet = "Gear counted as wet." if sheet.wet else "Gear counted as dry."
    if not wood:
        return wet
    others = [name for name in sheet.species if name != wood]
    heavy = f", the heaviest of the plan's species; safe for {', '.join(others)} too" if others else ""
    return f"Logs: {wood} at its upper density{heavy if wood == sheet.heaviest else ''}. {wet}"


def _rows(
    rows: Sequence[LimitRow],
    sheet: LimitsSheet,
    wood: str,
    system: UnitSystem,
    letters: dict[tuple[tuple[str, str], ...], str],
) -> list[str]:
    height, stem = unit_of("length", system), unit_of("stem", system)
    columns = [Column(f"height\n[{height}]"), Column(f"mass\n[{unit_of('mass', system)}]", True)]
    columns += [Column("by\none", True)]
    columns += (
        [Column(f"{from_si(d, stem, 'stem'):.0f}\n{stem}", True) for d in sheet.diameters_m] if wood else []
    )
    columns += [Column("gear")]
    cells, missing = [], []
    for row in rows:
        band = "-".join(
            f"{from_si(end, height, 'length'):.0f}" for end in (row.height_from_m, row.height_to_m)
        )
        lengths = row.lengths(wood) or (None,) * len(sheet.diameters_m) if wood else ()
        shown = [_bare(length, "length", 1, system) for length in lengths]
        letter = letters.get(_setup(row), "")
        cells.append([band, _bare(row.largest_mass_kg or None, "mass", 0, system)])
        cells[-1] += [_bare(row.one_person_kg, "mass", 0, system), *shown, letter]
        if row.why_not:
            missing += wrapped(f"{band} {height}: {row.why_not}")
    return [*table(columns, cells), *missing]


def _planned(sheet: LimitsSheet, system: UnitSystem) -> list[str]:
    lines = planned_lines(sheet, system)
    if not lines:
        return []
    columns = [Column(name.replace(" ", "\n", 1)) for name in lines[0]]
    return [*wrapped(PLANNED_READING), *table(columns, [list(line.values()) for line in lines])]


def _bare(value: float | None, kind: str, decimals: int, system: UnitSystem) -> str:
    """A figure rounded down, without its unit."""
    return (
        NOTHING
        if value is None
        else show(value, kind, system, decimals, "down").split(" ")[0].replace(",", "")
    )


def _gear(
    sheet: LimitsSheet, letters: dict[tuple[tuple[str, str], ...], str], system: UnitSystem
) -> Iterator[str]:
    for setup, letter in letters.items():
        row = next(row for row in sheet.rows if _setup(row) == setup)
        names = ", ".join(f"{words(part)} {catalogue_id(item)}" for part, item in _in_order(dict(setup)))
        stems = "; ".join(
            f"stem at the {where} {_stems(stem, system)}"
            for where, stem in (
                ("redirect", row.stem_at_redirect_m),
                ("brake or lifter", row.stem_at_brake_m),
            )
        )
        yield from wrapped(f"{names}; {stems}", first=f"{letter}: ", rest="   ")


def _in_order(parts: dict[str, str]) -> list[tuple[str, str]]:
    order = ("line", "redirect", "brake", "lifter")
    return sorted(parts.items(), key=lambda pair: (order.index(pair[0].split("_")[0]), pair[0]))


def _stems(stem: tuple[float, float | None], system: UnitSystem) -> str:
    low = as_listed(stem[0], "stem", system, "up")
    return f"from {low}" if stem[1] is None else f"{low} to {as_listed(stem[1], 'stem', system, 'down')}"
