"""Tables that look odd but are sound: encodings, separators, blank rows, units in cells."""

from __future__ import annotations

from typing import Any

import pytest

from catalog_schema.problems import InputError
from recommender.work.plan import load_plan

ROPES = "ropes.csv"
POUND_FORCE = 4.4482216152605
"""Newton: international pound (yard and pound agreement of 1959) times standard gravity (CGPM 1901)."""


def line_of_the_fault(plan_folder) -> int:
    """The line at which a wrong fibre in the second rope is told."""
    plan_folder.replace(ROPES, "nylon_core", "wool")
    with pytest.raises(InputError) as caught:
        load_plan(plan_folder.path)
    (problem,) = caught.value.problems
    return problem.line


def first_rope(plan_folder) -> Any:
    return load_plan(plan_folder.path).catalogue.ropes[0]


def assert_as_written(rope: Any) -> None:
    assert (rope.id, rope.name) == ("R1", "rope 12.7 mm")
    assert rope.min_break == pytest.approx(39e3, rel=1e-12)
    assert rope.diameter == pytest.approx(0.0127, rel=1e-12)
    assert rope.price == 180.0


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_encodings_are_read_right(plan_folder, encoding):
    plan_folder.replace(ROPES, "R1,rope 12.7 mm", "R1,Seil für Äste ½")
    plan_folder.write(ROPES, plan_folder.text(ROPES).encode(encoding))
    assert first_rope(plan_folder).name == "Seil für Äste ½"


def test_semicolons_and_decimal_commas(plan_folder):
    plan_folder.write(ROPES, plan_folder.text(ROPES).replace(",", ";"))
    for old, new in ((";12.7;39;", ";12,7;39,0;"), (";4.5;", ";4,5;"), (";5.5;", ";5,5;")):
        plan_folder.replace(ROPES, old, new)
    assert_as_written(first_rope(plan_folder))


def test_a_semicolon_file_reads_a_triplet_as_decimal(plan_folder):
    plan_folder.write("connectors.csv", "id;name;kind;min_break [kN];price\nC1;shackle;shackle;1,234;9\n")
    assert load_plan(plan_folder.path).catalogue.connectors[0].min_break == pytest.approx(1234.0)


def test_thousands_are_settled_by_the_other_numbers(plan_folder):
    plan_folder.replace(ROPES, "min_break [kN]", "min_break [lbf]")
    plan_folder.replace(ROPES, ",12.7,39,", ',12.7,"12,500",')
    assert first_rope(plan_folder).min_break == pytest.approx(12_500 * POUND_FORCE, rel=1e-12)


def test_tabs(plan_folder):
    plan_folder.write(ROPES, plan_folder.text(ROPES).replace(",", "\t"))
    assert_as_written(first_rope(plan_folder))


def test_separator_line_of_a_spreadsheet(plan_folder):
    plan_folder.write(ROPES, "sep=;\r\n" + plan_folder.text(ROPES).replace(",", ";").replace("\n", "\r\n"))
    assert_as_written(first_rope(plan_folder))


@pytest.mark.parametrize("line_end", ["\r\n", "\r"])
def test_line_ends(plan_folder, line_end):
    plan_folder.write(ROPES, plan_folder.text(ROPES).replace("\n", line_end))
    assert_as_written(first_rope(plan_folder))


def test_blank_rows_and_columns_are_skipped_and_lines_still_counted(plan_folder):
    header, first, second = plan_folder.text(ROPES).splitlines()
    rows = ["", ",,,", f",{header},,", "", f",{first},,", " ,,  ,", f",{second},,", ",,,,,"]
    plan_folder.write(ROPES, "\n".join(rows))
    assert_as_written(first_rope(plan_folder))
    assert line_of_the_fault(plan_folder) == 7


def test_a_record_over_several_lines_is_named_by_its_first(plan_folder):
    plan_folder.replace(ROPES, "R1,rope 12.7 mm", 'R1,"rope\n12.7\nmm"')
    assert first_rope(plan_folder).name == "rope\n12.7\nmm"
    assert line_of_the_fault(plan_folder) == 5


def test_units_in_cells_go_before_the_header(plan_folder):
    plan_folder.replace(ROPES, ",12.7,39,", ',"1/2"" ",8768 lbf,')
    rope = first_rope(plan_folder)
    assert rope.diameter == pytest.approx(0.0127)
    assert rope.min_break == pytest.approx(8768 * POUND_FORCE)


def test_units_in_cells_alone_are_enough(plan_folder):
    plan_folder.replace("connectors.csv", "min_break [kN]", "min_break")
    plan_folder.replace("connectors.csv", ",85,", ",85 kN,")
    assert load_plan(plan_folder.path).catalogue.connectors[0].min_break == pytest.approx(85e3)


def test_files_and_headers_in_capitals_and_spaces(plan_folder):
    plan_folder.replace(ROPES, "min_break [kN]", "Min Break (KN)")
    (plan_folder.path / ROPES).rename(plan_folder.path / "Ropes.CSV")
    assert_as_written(first_rope(plan_folder))


def test_minus_sign_and_hard_space_of_the_wider_world(plan_folder):
    plan_folder.replace(ROPES, ",12.7,39,", ",12.7\u00a0mm,39\u202f000\u00a0N,")
    assert_as_written(first_rope(plan_folder))


def test_mass_and_mass_high_need_no_known_species(plan_folder):
    plan_folder.replace("work.csv", "red maple,20,2.5,12,25,45,,,,", "whatever,20,2.5,12,25,45,,,90,120")
    assert load_plan(plan_folder.path).jobs[0].mass_high == 120.0
