"""Broken tables and settings: each must end in one InputError that names the place and the remedy."""

from __future__ import annotations

import csv
import os
import random
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from catalog_schema.problems import InputError, Problem, ProblemCode
from recommender.work.plan import load_plan

Code = ProblemCode
Change = Callable[[Any], None]

ROPES = "ropes.csv"
BINARY = b"\x7fELF\x02\x01\x01\x00" + random.Random(5).randbytes(4000)
SHEET_OF_OLD = b"\xd0\xcf\x11\xe0" + bytes(99)
BARE_SLINGS = "id,name,kind,fibre,diameter [mm],stem_min [cm],stem_max [cm],needs_knot,price\n"
BELOW_FLOOR = "[design_factor.rope_explicit]\ncatch = 1.0\n"


@dataclass(frozen=True)
class Case:
    """One change to the sound plan, and the one problem that must come of it."""

    name: str
    file: str
    code: Code
    line: int
    column: str
    hint: str
    message: str
    change: Change


def text_cases() -> list[Case]:
    """The rows of ``bad_input.csv``: ``old`` in a file of the sound plan becomes ``new``."""
    with Path(__file__).with_name("bad_input.csv").open(encoding="utf-8", newline="") as handle:
        return [_text_case(row) for row in csv.DictReader(handle)]


def _text_case(row: dict[str, str]) -> Case:
    old, new = (row[name].replace("\\n", "\n").replace("\\0", "\0") for name in ("old", "new"))
    file = row["changed_file"] or row["file"]
    place = (row["file"], Code(row["code"]), int(row["line"] or 0), row["column"])
    return Case(row["name"], *place, row["hint"], row["message"], lambda plan: plan.replace(file, old, new))


def whole(name: str, file: str, content: str | bytes, code: Code, hint: str, **other: Any) -> Case:
    """A file with other content; the problem concerns the whole file, if ``other`` does not say where it is."""
    place = {"line": 0, "column": "", "message": ""} | other
    return Case(name, file, code, hint=hint, change=lambda plan: plan.write(file, content), **place)


def missing(name: str, file: str, hint: str, new_name: str = "") -> Case:
    """A file taken away or renamed."""

    def change(plan: Any) -> None:
        if new_name:
            (plan.path / file).rename(plan.path / new_name)
        else:
            plan.remove(file)

    return Case(name, file, Code.FILE_MISSING, 0, "", hint, "", change)


def folder_for_a_file(plan: Any) -> None:
    plan.remove("brakes.csv")
    (plan.path / "brakes.csv").mkdir()


def old_workbook(plan: Any) -> None:
    plan.remove("work.csv")
    plan.write("work.xlsx", SHEET_OF_OLD)


def header_of_work_only(plan: Any) -> None:
    plan.write("work.csv", plan.text("work.csv").splitlines()[0])


def comma_triplet_among_points_and_semicolons(plan: Any) -> None:
    plan.write(ROPES, plan.text(ROPES).replace(",", ";"))
    plan.replace(ROPES, ";39;", ";1,234;")


def too_many_rows(plan: Any) -> None:
    plan.write("connectors.csv", plan.text("connectors.csv") + "x\n" * 20_001)


FILE_CASES = [
    missing("file missing", "brakes.csv", "looked in"),
    missing("file misspelled", "brakes.csv", "Rename 'breaks.csv'", "breaks.csv"),
    missing("optional file misspelled", "connectors.csv", "Rename 'conectors.csv'", "conectors.csv"),
    missing("work mix missing", "work.csv", "work.csv"),
    missing("no settings", "plan.toml", "Looked for"),
    whole("empty file", "brakes.csv", "", Code.FILE_EMPTY, "template"),
    whole("blank lines only", "brakes.csv", "\n,,,\n\n", Code.FILE_EMPTY, "template"),
    whole("header only", "slings.csv", BARE_SLINGS, Code.FILE_EMPTY, "at least one row"),
    whole(
        "no header",
        "connectors.csv",
        "C1,shackle,shackle,85,9\n",
        Code.COLUMN_MISSING,
        "id, name, price",
        line=1,
    ),
    whole("10 MB of rubbish", "brakes.csv", b"rubbish," * 1_250_000, Code.FILE_TOO_LARGE, "5 MB"),
    whole("program renamed", "brakes.csv", BINARY, Code.FILE_UNREADABLE, "Save the table as CSV"),
    whole(
        "picture renamed",
        "brakes.csv",
        b"\x89PNG\r\n" + bytes(50),
        Code.FILE_UNREADABLE,
        "CSV",
        message="picture",
    ),
    whole(
        "workbook renamed",
        "brakes.csv",
        b"PK\x03\x04" + bytes(50),
        Code.FILE_UNREADABLE,
        ".xlsx",
        message="Excel",
    ),
    whole("settings are binary", "plan.toml", BINARY, Code.FILE_UNREADABLE, "Save"),
    whole(
        "settings nested without end",
        "plan.toml",
        "a = " + "[" * 3000,
        Code.FILE_UNREADABLE,
        "text in",
        line=1,
    ),
    whole(
        "policy nested without end",
        "policy.toml",
        "a = " + "[" * 3000,
        Code.FILE_UNREADABLE,
        "text in",
        line=1,
    ),
    whole("keys without end", "policy.toml", "a." * 2000 + "a = 1", Code.FILE_UNREADABLE, "text in", line=1),
    whole("crew is no table", "plan.toml", "crew = 3", Code.CONFLICT, "[crew]", line=1, column="crew"),
    whole(
        "factor below its floor",
        "policy.toml",
        BELOW_FLOOR,
        Code.BELOW_FLOOR,
        "",
        line=2,
        column="design_factor.rope_explicit.catch",
    ),
    Case(
        "folder for a file",
        "brakes.csv",
        Code.FILE_UNREADABLE,
        0,
        "",
        "file in it",
        "folder",
        folder_for_a_file,
    ),
    Case(
        "old workbook", "work.xlsx", Code.FILE_UNREADABLE, 0, "", "save each sheet as CSV", "", old_workbook
    ),
    Case(
        "work mix without rows",
        "work.csv",
        Code.FILE_EMPTY,
        0,
        "",
        "one job type",
        "no row",
        header_of_work_only,
    ),
    Case(
        "too many rows", "connectors.csv", Code.FILE_TOO_LARGE, 20_002, "", "belong", "20,000", too_many_rows
    ),
    Case(
        "triplet between two habits",
        ROPES,
        Code.AMBIGUOUS_NUMBER,
        2,
        "min_break",
        "1.2340",
        "1.234",
        comma_triplet_among_points_and_semicolons,
    ),
]
CASES = [*text_cases(), *FILE_CASES]


def problems_of(path: Path) -> Sequence[Problem]:
    with pytest.raises(InputError) as caught:
        load_plan(path)
    return caught.value.problems


def test_the_plan_that_is_broken_here_is_sound(plan_folder):
    plan = load_plan(plan_folder.path)
    assert len(plan.jobs) == 2
    assert plan.catalogue.currency == "EUR"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_one_fault_is_named_with_its_place_and_its_remedy(plan_folder, case):
    case.change(plan_folder)
    problems = problems_of(plan_folder.path)
    assert len(problems) == 1, "\n".join(map(str, problems))
    problem = problems[0]
    assert (problem.file, problem.code) == (case.file, case.code), str(problem)
    assert (problem.line, problem.column) == (case.line, case.column), str(problem)
    assert case.hint in problem.hint, str(problem)
    assert case.message in problem.message, str(problem)


def test_the_cases_have_names_of_their_own_and_are_many():
    assert len({case.name for case in CASES}) == len(CASES) >= 45


def test_every_code_is_met():
    only_in_workbooks = {Code.SHEET_MISSING}
    assert {case.code for case in CASES} | only_in_workbooks == set(ProblemCode)


def test_all_problems_of_all_files_come_together(plan_folder):
    plan_folder.replace(ROPES, ",39,", ",thirty-nine,")
    plan_folder.replace(ROPES, "nylon_core", "wool")
    plan_folder.replace(ROPES, ",190,", ",-190,")
    plan_folder.replace("slings.csv", "min_break [kN]", "min_break [kg]")
    plan_folder.replace("owned.csv", "sound\nB1", "rotten\nB9")
    plan_folder.replace("work.csv", "eastern white pine", "plastic pine")
    plan_folder.replace("plan.toml", "climbers", "climers")
    plan_folder.remove("brakes.csv")
    found = [(one.file, one.line, one.column, one.code) for one in problems_of(plan_folder.path)]
    assert sorted(found) == sorted([
        ("plan.toml", 6, "crew.climers", Code.SETTING_UNKNOWN),
        ("brakes.csv", 0, "", Code.FILE_MISSING),
        (ROPES, 2, "min_break", Code.NOT_A_NUMBER),
        (ROPES, 3, "fibre", Code.NOT_A_CHOICE),
        (ROPES, 3, "mass_per_length", Code.OUT_OF_RANGE),
        ("slings.csv", 1, "min_break [kg]", Code.UNIT_WRONG),
        ("work.csv", 3, "species", Code.SPECIES_UNKNOWN),
        ("owned.csv", 2, "condition", Code.NOT_A_CHOICE),
    ])  # fmt: skip


def test_two_faults_in_one_row_and_a_repeated_id_beside_them(plan_folder):
    plan_folder.replace(
        ROPES, "R2,rope 16 mm,nylon_core,double braid,16", "R1,rope 16 mm,cotton,double braid,x"
    )
    found = {(one.line, one.column, one.code) for one in problems_of(plan_folder.path)}
    assert found == {
        (3, "fibre", Code.NOT_A_CHOICE),
        (3, "diameter", Code.NOT_A_NUMBER),
        (3, "id", Code.ID_TWICE),
    }


def test_a_row_is_judged_as_a_whole_only_when_its_cells_are_right(plan_folder):
    plan_folder.replace("redirects.csv", ",10,16,", ",x,16,")
    plan_folder.replace("redirects.csv", "block,block", "ring,ring")
    assert [one.column for one in problems_of(plan_folder.path)] == ["rope_min"]


def test_a_missing_unit_of_many_rows_is_told_once(plan_folder):
    plan_folder.replace(ROPES, "diameter [mm]", "diameter")
    (problem,) = problems_of(plan_folder.path)
    assert (problem.line, problem.column, problem.code) == (1, "diameter", Code.UNIT_MISSING)


def test_the_text_of_the_error_has_a_line_a_problem(plan_folder):
    plan_folder.replace(ROPES, ",39,", ",strong,")
    plan_folder.replace("slings.csv", ",no,", ",maybe,")
    with pytest.raises(InputError) as caught:
        load_plan(plan_folder.path)
    lines = str(caught.value).splitlines()
    assert lines[0].startswith("ropes.csv, row 2, column 'min_break': this is not a number (found 'strong')")
    assert lines[1].startswith(
        "slings.csv, row 2, column 'needs_knot': this is neither yes nor no (found 'maybe')"
    )


def test_no_such_plan_folder(tmp_path):
    (problem,) = problems_of(tmp_path / "nowhere")
    assert problem.code is Code.FILE_MISSING
    assert "plan.toml" in problem.hint


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="root and Windows may read anything")
def test_file_without_the_right_to_read(plan_folder):
    (plan_folder.path / "brakes.csv").chmod(0)
    (problem,) = problems_of(plan_folder.path)
    assert problem.code is Code.FILE_UNREADABLE
    assert "rights" in problem.hint


# --- rubbish


def test_random_bytes_end_in_input_errors_only(plan_folder):
    rng = random.Random(11)
    files = [ROPES, "work.csv", "owned.csv", "plan.toml", "policy.toml"]
    for trial in range(80):
        file = files[trial % len(files)]
        sound = (plan_folder.path / file).read_bytes() if (plan_folder.path / file).exists() else b""
        plan_folder.write(file, rng.randbytes(rng.randrange(1, 400)))
        try:
            load_plan(plan_folder.path)
        except InputError as error:
            assert error.problems
        plan_folder.write(file, sound)


def test_random_changes_of_a_sound_table_end_in_input_errors_only(plan_folder):
    rng = random.Random(13)
    signs = ",;\"'\n\t=/-+.[]()% aekNµ½0123456789\u2028é"
    for _ in range(80):
        file = rng.choice([ROPES, "work.csv", "owned.csv", "plan.toml"])
        sound = plan_folder.text(file)
        text = list(sound)
        for _ in range(rng.randrange(1, 12)):
            text[rng.randrange(len(text))] = rng.choice(signs)
        plan_folder.write(file, "".join(text))
        try:
            load_plan(plan_folder.path)
        except InputError as error:
            assert error.problems
        plan_folder.write(file, sound)
