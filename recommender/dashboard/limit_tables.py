"""A limits sheet as rows of tables for the screen; what is allowed is rounded down."""

from __future__ import annotations

from catalog_schema.units import UnitSystem, show, unit_of
from recommender.charts.words import headline, part_place
from recommender.dashboard.kit_tables import TableRow
from recommender.explain.limits import LimitRow, LimitsSheet
from recommender.report.figures import as_listed, mark_if_locked, mass_allowed, words
from recommender.report.limits_text import gear_letters
from recommender.report.limits_words import bands_together, planned_lines
from recommender.report.specification import catalogue_id

NOTHING = "-"


def mass_rows(sheet: LimitsSheet, species: str, system: UnitSystem) -> dict[str, list[TableRow]]:
    """For each manner a row for each band of heights in which there is a limit: mass, logs by diameter, and the letter
    of the setup.
    """
    letters = gear_letters(sheet)
    rows: dict[str, list[TableRow]] = {manner.name: [] for manner in sheet.manners}
    for row in sheet.rows:
        if row.largest_mass_kg:
            rows[row.manner].append(_row(row, sheet, species, system, letters))
    return rows


def nothing_lines(sheet: LimitsSheet, system: UnitSystem) -> dict[str, list[str]]:
    """For each manner the heights at which nothing may be taken, and why."""
    said: dict[str, list[str]] = {manner.name: [] for manner in sheet.manners}
    for row in bands_together(sheet.rows):
        if not row.largest_mass_kg:
            heights = f"{_heights(row, system)} {unit_of('length', system)}"
            said[row.manner].append(f"{heights}: nothing may be taken: {row.why_not}.")
    return said


def _heights(row: LimitRow, system: UnitSystem) -> str:
    ends = (row.height_from_m, row.height_to_m)
    return " to ".join(show(end, "length", system, 0).split(" ")[0] for end in ends)


def _row(
    row: LimitRow,
    sheet: LimitsSheet,
    species: str,
    system: UnitSystem,
    letters: dict[tuple[tuple[str, str], ...], str],
) -> TableRow:
    unit = unit_of("length", system)
    logs = row.lengths(species) or (None,) * len(sheet.diameters_m)
    return {
        f"Height [{unit}]": _heights(row, system),
        "Largest piece": mass_allowed(row.largest_mass_kg, system),
        "One person holds": NOTHING if row.one_person_kg is None else mass_allowed(row.one_person_kg, system),
        "Limit set by": words(row.held_by) + mark_if_locked(row.state, ","),
        "Setup": letters.get(tuple(sorted(row.parts.items())), NOTHING),
        **{
            as_listed(thick, "stem", system): NOTHING
            if length is None
            else show(length, "length", system, 1, "down").split(" ")[0]
            for thick, length in zip(sheet.diameters_m, logs, strict=True)
            if species
        },
    }


def planned_rows(sheet: LimitsSheet, system: UnitSystem) -> list[TableRow]:
    """The plan's own pieces against what may be taken, job by job."""
    return [{headline(name): text for name, text in line.items()} for line in planned_lines(sheet, system)]


def setup_rows(sheet: LimitsSheet, system: UnitSystem) -> list[TableRow]:
    """The setups by letter: which item is which part, and the stems that its slings go round."""
    found: list[TableRow] = []
    for setup, letter in gear_letters(sheet).items():
        own = dict(setup)
        row = next(one for one in sheet.rows if one.parts == own)
        parts = [f"{words(part)} {catalogue_id(own[part])}" for part in sorted(own, key=part_place)]
        found.append(
            {
                "Setup": letter,
                "Parts": ", ".join(parts),
                "Wraps that fit": NOTHING if row.wraps is None else f"{row.wraps:g}",
                "Stem at the redirect": _stems(row.stem_at_redirect_m, system),
                "Stem at brake or lifter": _stems(row.stem_at_brake_m, system),
            }
        )
    return found


def _stems(stem: tuple[float, float | None], system: UnitSystem) -> str:
    low = as_listed(stem[0], "stem", system, "up")
    return f"from {low}" if stem[1] is None else f"{low} to {as_listed(stem[1], 'stem', system, 'down')}"
