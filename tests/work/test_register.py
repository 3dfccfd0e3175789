"""The register of owned gear: read and written, inspections due, retirement, and what may be planned with."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.problems import InputError, ProblemCode
from catalog_schema.units import from_si
from catalog_schema.writing import write_workbook
from recommender.ratings.policy import changed_policy, default_policy
from recommender.sourced import cite
from recommender.work.inspections import DAILY, MADE_LIMIT, Interval, Register, default_intervals
from recommender.work.plan import load_plan, owned_from_rows
from recommender.work.register import (
    Inspection,
    RegisterItem,
    months_after,
    read_register,
    read_register_files,
    register_files,
    register_from_rows,
)

TODAY = date(2026, 6, 15)
DEMO = Path(__file__).parents[2] / "demo_catalog"
ROPE, SLING, SHACKLE, BRAKE = "DB14-60", "DE16", "SH-13", "PB-M"
POLICY = default_policy()


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue(DEMO)


def piece(id: str, item: str = SLING, **values: Any) -> RegisterItem:
    return RegisterItem(id=id, item=item, **{"first_use": date(2025, 1, 10), "condition": "sound", **values})


def seen(id: str, day: date, result: Any = "passed", **values: Any) -> Inspection:
    return Inspection(piece=id, day=day, result=result, **values)


def due_dates(register: Register) -> dict[str, date]:
    return {item.id: register.next_due(item).due for item in register.items}


def test_intervals_are_the_published_ones(catalogue: Catalogue) -> None:
    """Slings yearly, in severe service quarterly: WAC 296-155-55820, Table 25.

    Links, rings and swivels at most one year, monthly to quarterly in severe service: ASME B30.26-2004, 26-4.8.3;
    shackles alike: ASME B30.26-2010, 26-1.8.3. For brakes and lifters no clause was found: common practice.
    Accessories 6, other lifting equipment 12 months: LOLER 1998, reg. 9.
    """
    items = (
        *(piece(f"{item}-{service}", item, service=service)
          for item in (SLING, SHACKLE, BRAKE) for service in ("normal", "severe", "loler")),
    )  # fmt: skip
    found = due_dates(Register(items, (), catalogue))
    assert found == {
        f"{SLING}-normal": date(2026, 1, 10), f"{SLING}-severe": date(2025, 4, 10), f"{SLING}-loler": date(2025, 7, 10),
        f"{SHACKLE}-normal": date(2026, 1, 10), f"{SHACKLE}-severe": date(2025, 2, 10),
        f"{SHACKLE}-loler": date(2025, 7, 10),
        f"{BRAKE}-normal": date(2026, 1, 10), f"{BRAKE}-severe": date(2025, 2, 10), f"{BRAKE}-loler": date(2026, 1, 10),
    }  # fmt: skip


def test_every_kind_of_gear_has_intervals_with_a_source(catalogue: Catalogue) -> None:
    intervals = default_intervals()
    assert {table for table, _ in intervals} == set(catalogue.tables())
    assert all(str(one) and 1 <= one.months <= 12 for one in intervals.values())
    for table in catalogue.tables():
        normal = intervals[table, "normal"].months
        assert intervals[table, "severe"].months < normal >= intervals[table, "loler"].months
    assert all(cite(one.source) for one in (*DAILY, MADE_LIMIT))


def test_a_source_is_named_once_and_only_for_what_it_is_about() -> None:
    for (table, _), one in default_intervals().items():
        assert not one.place or str(one).count(one.place) == 1
        assert not (table in ("brakes", "lifters") and "ASME" in str(one))
    assert "26-1.8.3 (shackles) of ASME B30.26-2010" in str(default_intervals()["connectors", "normal"])
    assert "26-4.8.3 (links, rings, swivels)" in str(default_intervals()["redirects", "normal"])


def test_an_inspection_moves_the_next_one(catalogue: Catalogue) -> None:
    items = (piece("a"), piece("b"), piece("c", months_between=24), piece("d"))
    inspections = (
        seen("a", date(2026, 5, 31)), seen("a", date(2025, 5, 31)),
        seen("b", date(2026, 5, 31), next_due=date(2026, 8, 1)),
    )  # fmt: skip
    register = Register(items, inspections, catalogue)
    assert due_dates(register) == {
        "a": date(2027, 5, 31), "b": date(2026, 8, 1), "c": date(2027, 1, 10), "d": date(2026, 1, 10),
    }  # fmt: skip
    assert "Table 25" in register.next_due(items[0]).rule
    assert "longer than usual: every 12 months" in register.next_due(items[2]).rule


def test_overdue_and_due_soon(catalogue: Catalogue) -> None:
    days = {"late": -40, "yesterday": -1, "today": 0, "in a month": 30, "later": 31}
    items = tuple(piece(name) for name in days)
    inspections = tuple(
        seen(name, date(2026, 1, 1), next_due=TODAY + timedelta(days)) for name, days in days.items()
    )
    register = Register(items, inspections, catalogue)
    assert [due.item.id for due in register.overdue(POLICY, TODAY)] == ["late", "yesterday"]
    assert [due.item.id for due in register.due_within(POLICY, TODAY, 30)] == ["today", "in a month"]
    assert [due.item.id for due in register.due_within(POLICY, TODAY, 0)] == ["today"]
    with pytest.raises(ValueError, match="days must be 0 or more"):
        register.due_within(POLICY, TODAY, -1)


@given(st.integers(0, 800), st.integers(0, 800), st.integers(0, 400))
def test_no_inspection_falls_between(ago: int, last: int, days: int) -> None:
    """Every piece is overdue, due within the days asked for, or due later; never two of them."""
    catalogue = Catalogue((), (), (), ())
    item = piece("a", first_use=TODAY - timedelta(ago))
    register = Register((item,), (seen("a", TODAY - timedelta(last)),), catalogue)
    told = [*register.overdue(POLICY, TODAY), *register.due_within(POLICY, TODAY, days)]
    assert len(told) == (register.next_due(item).due <= TODAY + timedelta(days))


def test_own_intervals_lie_over_the_usual_ones(catalogue: Catalogue) -> None:
    own = {**default_intervals(), ("slings", "normal"): Interval(1, "common practice")}
    register = Register((piece("a"),), (), catalogue, own)
    assert register.next_due(register.items[0]).due == date(2025, 2, 10)


def test_textiles_retire_on_the_day(catalogue: Catalogue) -> None:
    """Life-safety rope: 5 years from first use, 10 from its making (source: life_safety_life)."""
    used = piece("used", first_use=months_after(TODAY, -60))
    younger = piece("younger", first_use=months_after(TODAY, -60) + timedelta(1))
    made = piece("made", made=months_after(TODAY, -120), first_use=date(2026, 1, 1))
    metal = piece("metal", SHACKLE, first_use=date(1990, 1, 1))
    register = Register((used, younger, made, metal), (), catalogue)
    policy = default_policy()
    assert [one.item.id for one in register.retired(policy, TODAY)] == ["used", "made"]
    assert [one.item.id for one in register.retired(policy, TODAY - timedelta(1))] == []
    assert register.retires_on(metal, policy) is None
    assert register.retires_on(younger, policy) == TODAY + timedelta(1)


def test_the_policy_decides_on_the_age(catalogue: Catalogue) -> None:
    policy, _ = changed_policy({"retirement": {"textile_years": 2.5}})
    item = piece("a", first_use=months_after(TODAY, -30))
    assert Register((item,), (), catalogue).retires_on(item, policy) == TODAY


def test_gear_that_people_took_out_is_retired(catalogue: Catalogue) -> None:
    items = (
        piece("taken out", SHACKLE, retired_on=TODAY),
        piece("to be taken out", SHACKLE, retired_on=TODAY + timedelta(1)),
        piece("failed", SHACKLE), piece("repaired", SHACKLE), piece("worn", SHACKLE, condition="worn"),
        piece("both on one day", SHACKLE),
    )  # fmt: skip
    day = date(2026, 6, 1)
    inspections = (
        seen("failed", day, "failed"), seen("failed", date(2026, 1, 1)),
        seen("repaired", date(2026, 1, 1), "failed"), seen("repaired", day),
        seen("both on one day", day, "failed"), seen("both on one day", day),
    )  # fmt: skip
    register = Register(items, inspections, catalogue)
    gone = {one.item.id: one.reason for one in register.retired(default_policy(), TODAY)}
    assert list(gone) == ["taken out", "failed", "worn", "both on one day"]
    told = {
        due.item.id for due in (*register.overdue(POLICY, TODAY), *register.due_within(POLICY, TODAY, 999))
    }
    assert told == {"to be taken out", "repaired"}
    assert [one.item.id for one in register.retired(POLICY, TODAY) if one.may_pass] == [
        "failed",
        "both on one day",
    ]


def test_what_may_be_planned_with(catalogue: Catalogue) -> None:
    recent = date(2026, 6, 1)
    items = (
        piece("rope", ROPE, length=51.8, first_use=date(2024, 6, 15), count=1),
        piece("shackle 1", SHACKLE, count=2), piece("shackle 2", SHACKLE),
        piece("old sling", first_use=date(2019, 1, 1)),
        piece("late", BRAKE), piece("unknown", "no such item"),
    )  # fmt: skip
    inspections = tuple(
        seen(name, recent) for name in ("rope", "shackle 1", "shackle 2", "old sling", "unknown")
    )
    register = Register(items, inspections, catalogue)
    owned, notes = register.owned_gear(default_policy(), TODAY)
    assert [(one.item, one.count, one.length) for one in owned] == [(ROPE, 1, 51.8), (SHACKLE, 3, None)]
    assert from_si(owned[0].age, "yr", "age") == pytest.approx(
        730 / 365.25, abs=1e-9
    )  # days over days of a year
    assert [note.split(" (")[0] for note in notes] == ["old sling", "late", "unknown"]


def test_what_retired_by_its_age_is_never_due_and_no_inspection_brings_it_back(catalogue: Catalogue) -> None:
    old = piece("old", first_use=date(2019, 1, 1))
    for result in ("passed", "failed"):
        register = Register((old,), (seen("old", date(2026, 6, 1), result),), catalogue)
        assert register.overdue(POLICY, TODAY) == register.due_within(POLICY, TODAY, 999) == ()
        (gone,) = register.retired(POLICY, TODAY)
        assert "5 years after first use" in gone.reason and not gone.may_pass


def test_every_piece_that_is_not_planned_with_has_its_reason(catalogue: Catalogue) -> None:
    items = (
        piece("unknown", "no such item"), piece("late", BRAKE), piece("not looked at", SHACKLE, condition=None),
        piece("old", first_use=date(2019, 1, 1)), piece("fine", SHACKLE),
    )  # fmt: skip
    inspections = [seen(one.id, date(2026, 6, 1)) for one in items if one.id != "late"]
    register = Register(items, tuple(inspections), catalogue)
    reasons = register.left_out(POLICY, TODAY)
    assert list(reasons) == ["unknown", "late", "not looked at", "old"]
    assert "does not list it" in reasons["unknown"] and "was due on 2026-01-10" in reasons["late"]
    assert "condition is not written down" in reasons["not looked at"]
    assert [one.item for one in register.owned_gear(POLICY, TODAY)[0]] == [SHACKLE]


def test_planned_gear_passes_the_checks_of_a_plan(catalogue: Catalogue) -> None:
    register = Register((piece("s", SHACKLE, first_use=TODAY),), (), catalogue)
    owned, _ = register.owned_gear(default_policy(), TODAY)
    rows = [
        {"item": one.item, "count": one.count, "age [yr]": from_si(one.age, "yr", "age")} for one in owned
    ]
    assert owned_from_rows(rows, catalogue) == (owned, [])


def test_gear_of_the_future_is_refused(catalogue: Catalogue) -> None:
    register = Register((piece("a", first_use=TODAY + timedelta(1)),), (), catalogue)
    with pytest.raises(ValueError, match="first use of 'a' must not be after"):
        register.owned_gear(default_policy(), TODAY)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_export_reads_back_the_same(system: Any, catalogue: Catalogue, tmp_path: Path) -> None:
    items = (
        piece("=1+1", ROPE, length=51.816, serial="-7", note='tag; red, "left"', made=date(2023, 2, 28)),
        piece(
            "b",
            SHACKLE,
            count=3,
            service="loler",
            months_between=3,
            purchased=date(2024, 1, 1),
            retired_on=TODAY,
        ),
    )
    inspections = (
        seen("b", date(2026, 1, 31), "failed", next_due=date(2026, 3, 1), inspector="@me", note="bent"),
    )
    files = register_files(items, inspections, system)
    assert read_register_files(files, catalogue, TODAY) == (items, inspections, [])
    cells = [
        cell for text in files.values() for row in csv.reader(text.decode().splitlines()) for cell in row
    ]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "@", "-"))]
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    assert read_register(tmp_path, catalogue, TODAY) == (items, inspections, [])


def test_a_workbook_with_real_dates_is_read(catalogue: Catalogue, tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.active.title = "register"
    book.active.append(["id", "item", "first use", "made"])
    book.active.append(["R-1", SHACKLE, date(2025, 3, 31), "28.02.2024"])
    book.save(tmp_path / "register.xlsx")
    items, _, problems = read_register_files(
        {"Register.xlsx": (tmp_path / "register.xlsx").read_bytes(), "../other.csv": b"x"}, catalogue, TODAY
    )
    assert problems == []
    assert (items[0].first_use, items[0].made) == (date(2025, 3, 31), date(2024, 2, 28))


FAULTS = {
    "03/04/2026": (ProblemCode.CONFLICT, "one way only"),
    "2026-02-30": (ProblemCode.CONFLICT, "no such day"),
    "last spring": (ProblemCode.CONFLICT, "one way only"),
    "2026-06-16": (ProblemCode.OUT_OF_RANGE, "still to come"),
}


@pytest.mark.parametrize("day", FAULTS)
def test_a_wrong_day_is_told_at_its_cell(day: str, catalogue: Catalogue) -> None:
    rows = [
        {"id": "a", "item": SHACKLE, "first_use": "2026-06-15"},
        {"id": "b", "item": SHACKLE, "first_use": day},
    ]
    _, _, problems = register_from_rows(rows, [], catalogue, TODAY)
    code, said = FAULTS[day]
    assert [(one.code, one.line, one.column, one.value) for one in problems] == [(code, 3, "first_use", day)]
    assert said in problems[0].message


ROWS: dict[str, tuple[dict[str, object], ProblemCode, str]] = {
    "no day": ({"first_use": None}, ProblemCode.CONFLICT, "give first_use, purchased or made"),
    "made late": ({"made": "2026-05-01", "first_use": "2026-04-01"}, ProblemCode.CONFLICT, "made is after"),
    "retired early": ({"retired_on": "2020-01-01"}, ProblemCode.CONFLICT, "retired_on is before"),
    "unknown item": ({"item": "SH-31"}, ProblemCode.ID_UNKNOWN, "no such item"),
    "same id": ({"id": "A"}, ProblemCode.ID_TWICE, "row 2 has this id"),
    "no length": ({"item": "NC16"}, ProblemCode.VALUE_MISSING, "several lengths"),
    "length of a shackle": ({"length [m]": 3}, ProblemCode.CONFLICT, "no rope"),
    "months": ({"months_between": 0}, ProblemCode.OUT_OF_RANGE, "at least 1"),
}


@pytest.mark.parametrize("case", ROWS)
def test_a_wrong_row_is_told(case: str, catalogue: Catalogue) -> None:
    change, code, said = ROWS[case]
    sound = {"id": "a", "item": SHACKLE, "first_use": "2026-01-15"}
    _, _, problems = register_from_rows([sound, {**sound, "id": "b", **change}], [], catalogue, TODAY)
    assert [(one.code, one.line) for one in problems] == [(code, 3)]
    assert said in problems[0].message


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"piece": "x"}, "no such piece"),
        ({"day": "2026-07-01"}, "still to come"),
        ({"next_due": "2206-06-01"}, "next_due is not within"),
        ({"next_due": "2026-06-01"}, "next_due is not within"),
        ({"result": "good"}, "none of the choices"),
    ],
)
def test_a_wrong_inspection_is_told(change: dict[str, str], said: str, catalogue: Catalogue) -> None:
    row = {"piece": "a", "day": "2026-06-01", "result": "passed", **change}
    _, _, problems = register_from_rows(
        [{"id": "a", "item": SHACKLE, "made": "2026-01-15"}], [row], catalogue, TODAY
    )
    assert len(problems) == 1 and said in problems[0].message


def test_an_empty_register_is_sound(catalogue: Catalogue, tmp_path: Path) -> None:
    assert register_from_rows([], [], catalogue, TODAY) == ((), (), [])
    assert Register((), (), catalogue).owned_gear(default_policy(), TODAY) == ((), ())
    assert read_register(tmp_path, catalogue, TODAY)[2][0].code is ProblemCode.FILE_MISSING
    assert read_register_files(register_files((), ()), catalogue, TODAY) == ((), (), [])


def test_a_plan_counts_on_the_sound_pieces_of_its_register_alone(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    """The plain list beside it does not count; a piece that the catalogue does not list holds nothing up."""
    pieces = [piece("R-1"), piece("R-2"), piece("R-3", "NONE-SUCH"), piece("R-4", SHACKLE, count=2)]
    seen_now = [seen("R-1", TODAY), seen("R-2", TODAY, "failed"), seen("R-4", date(2026, 1, 1))]
    for file in (DEMO / "new_owner").iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    for name, content in register_files(pieces, seen_now).items():
        (tmp_path / name).write_bytes(content)
    (tmp_path / "owned.csv").write_text("item,count\nDE16,40\n")
    plan = load_plan(tmp_path, DEMO, TODAY)
    assert [(one.item, one.count) for one in plan.owned] == [(SLING, 1), (SHACKLE, 2)]
    told = " ".join(plan.notes)
    assert "R-2 (DE16) is left out: failed" in told and "R-3 (NONE-SUCH) is left out" in told
    assert "plain list of owned gear is not counted" in told and "no owned gear" not in told
    later = load_plan(tmp_path, DEMO, date(2027, 1, 2))
    assert [(one.item, one.count) for one in later.owned] == [(SLING, 1)]
    (tmp_path / "register.csv").unlink()
    with pytest.raises(InputError) as caught:
        load_plan(tmp_path, DEMO, TODAY)
    assert [one.file for one in caught.value.problems] == ["register.csv"]


def test_one_workbook_may_hold_the_register_and_its_inspections(catalogue: Catalogue, tmp_path: Path) -> None:
    rows = {"register": [piece("R-1")], "inspections": [seen("R-1", TODAY)]}
    write_workbook(rows, tmp_path / "register.xlsx")
    assert read_register(tmp_path, catalogue, TODAY) == ((*rows["register"],), (*rows["inspections"],), [])
