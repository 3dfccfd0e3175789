"""Tables of gear and kits: figures, units and rounding."""

from fractions import Fraction

import pytest

from catalog_schema.catalogue import load_catalogue
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.kit_tables import crews_together, force_rows, gear_rows, rig_rows, utilisation_rows
from recommender.dashboard.listing import Filled
from recommender.explain.crews import by_crew
from recommender.kit.planning import plan_kit
from recommender.work.plan import load_plan

CATALOGUE = load_catalogue(DEMO_FOLDER)
POUND_FORCE = 4.4482216152605  # N, by definition
INCH = 0.0254  # m, by definition


def test_strengths_are_never_shown_above_the_sheet():
    for row, rope in zip(gear_rows(CATALOGUE.ropes, "us"), CATALOGUE.ropes, strict=True):
        assert 0 <= rope.min_break / POUND_FORCE - row["Min break [lbf]"] < 1


def test_sizes_are_shown_on_the_narrow_side():
    for row, brake in zip(gear_rows(CATALOGUE.brakes, "us"), CATALOGUE.brakes, strict=True):
        low, high = (float(sum(map(Fraction, row[f"Rope {end} [in]"].split()))) for end in ("min", "max"))
        assert low * INCH >= brake.rope_min - 1e-9 and high * INCH <= brake.rope_max + 1e-9


@pytest.mark.parametrize("name", CATALOGUE.tables())
@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_row_of_every_table_is_shown(name, system):
    gear = CATALOGUE.tables()[name]
    rows = gear_rows(gear, system)
    assert [row["Id"] for row in rows] == [one.id for one in gear]
    assert len({tuple(row) for row in rows}) == 1
    assert not any(isinstance(cell, str) and "_" in cell for row in rows for cell in [row.get("Kind")])
    assert list(rows[0])[-1] == "Note"


def test_no_rows_are_no_table():
    assert gear_rows((), "metric") == []


@pytest.mark.parametrize("system", ["metric", "us"])
def test_forces_and_lengths_are_rounded_up(system):
    result = plan_kit(load_plan(DEMO_FOLDER / "new_owner"))
    force, length = {"metric": ("kN", "m"), "us": ("lbf", "ft")}[system]
    newton = {"kN": 1000.0, "lbf": POUND_FORCE}[force]
    metre = {"m": 1.0, "ft": 12 * INCH}[length]
    for row, one in zip(force_rows(result, system), result.assignments, strict=True):
        assert row[f"Line [{force}]"] * newton >= one.line_tension_n * (1 - 1e-9)
        assert (row[f"Line, locked [{force}]"] or 0.0) * newton >= one.line_tension_jam_n * (1 - 1e-9)
        assert (row[f"Line, locked [{force}]"] is None) == (one.technique != "catch")
    for row, one in zip(rig_rows(result, system), result.assignments, strict=True):
        assert row[f"Line needed [{length}]"] * metre >= one.line_needed_m * (1 - 1e-9)
        assert row["Line"] == one.parts["line"]


def test_crews_share_a_row_only_where_it_reads_the_same_for_all_of_them():
    rows = [
        {"Job type": "limbs, crew 1", "Line": Filled("50 %", 0.491), "Lifter": Filled("16 %", 0.155)},
        {"Job type": "limbs, crew 2", "Line": Filled("50 %", 0.499), "Lifter": Filled("52 %", 0.519)},
        {"Job type": "limbs, crew 3", "Line": Filled("50 %", 0.495), "Lifter": Filled("16 %", 0.159)},
        {"Job type": "tops, crew aloft", "Line": Filled("50 %", 0.5), "Lifter": None},
    ]
    first, second, third = crews_together(rows)
    assert first == {
        "Job type": "limbs, crew 1 and crew 3", "Line": Filled("50 %", 0.495), "Lifter": Filled("16 %", 0.159),
    }  # fmt: skip
    assert (second, third) == (rows[1], rows[3])


def test_every_crew_of_the_company_is_named_once_and_no_share_is_lost():
    plan = load_plan(DEMO_FOLDER / "company")
    every = by_crew(plan, plan_kit(plan))
    together = crews_together(utilisation_rows(every))
    named = sum(row["Job type"].count("crew ") for row in together)
    assert named == len(every.assignments) > len(together)
    most = max(one.highest[1] for one in every.assignments)
    assert most == max(cell.share for row in together for cell in row.values() if isinstance(cell, Filled))
