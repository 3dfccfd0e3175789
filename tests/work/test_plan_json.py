"""A plan as one JSON document: back to the identical plan, and everything that is wrong with a document told."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_schema.problems import InputError, ProblemCode
from recommender.ratings.policy import changed_policy, default_policy
from recommender.work.origins import Origins
from recommender.work.plan import Plan, load_plan
from recommender.work.plan_json import (
    VERSION,
    PlanDocument,
    plan_from_json,
    plan_to_json,
    policy_changes,
    read_plan_file,
)
from recommender.work.register import Inspection, RegisterItem
from recommender.work.tables import OwnedGear, SeasonRow, SeasonWork

DEMO = Path(__file__).parents[2] / "demo_catalog"
NAMES = ("new_owner", "company", "training_ground")
TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30).map(str.strip)


@cache
def demo(name: str) -> Plan:
    """A plan with two seasons, the second with other work."""
    plan = load_plan(DEMO / name)
    seasons = (SeasonRow(season="2027", budget=5000.0), SeasonRow(season="2028", work=1.1))
    work = (SeasonWork(season="2028", job=plan.jobs[0].job, pieces=12.5),)
    return replace(plan, folder=Path(), seasons=seasons, season_work=work)


@cache
def saved(name: str = "company") -> str:
    return plan_to_json(demo(name))


def problems_of(text: str) -> list[Any]:
    with pytest.raises(InputError) as caught:
        plan_from_json(text)
    assert caught.value.problems
    return list(caught.value.problems)


def changed(change: Callable[[Any], object], name: str = "company") -> str:
    document = json.loads(saved(name))
    change(document)
    return json.dumps(document)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_plan_comes_back_identical(name: str, units: Any) -> None:
    plan = demo(name)
    plan = replace(plan, settings=plan.settings.model_copy(update={"units": units}))
    back = plan_from_json(plan_to_json(plan))
    assert back == plan
    assert plan_to_json(back) == plan_to_json(plan)


def test_nothing_of_a_plan_is_left_out() -> None:
    """A new field of a plan or a catalogue must get a place in the document, or this fails."""
    told = {"folder": None, "settings": "settings", "jobs": "work", "catalogue": "catalogue", "owned": "owned",
            "policy": "policy", "notes": "notes", "seasons": "seasons", "season_work": "season_work",
            "origins": "registered"}  # fmt: skip
    assert {one.name for one in fields(Plan)} == set(told)
    beside = {"format", "version", "inspections", "trees"}
    assert {one for one in told.values() if one} | beside == set(PlanDocument.model_fields)
    catalogue = {one.name for one in fields(demo("company").catalogue)}
    gear: Any = PlanDocument.model_fields["catalogue"].annotation
    assert catalogue == set(gear.model_fields)


def register() -> tuple[tuple[RegisterItem, ...], tuple[Inspection, ...]]:
    """Two invented pieces, one of them retired, and an inspection."""
    pieces = (
        RegisterItem(id="R-1", item="RO20", first_use=date(2024, 5, 1), condition="sound"),
        RegisterItem(
            id="R-2", item="SH-13", count=3, purchased=date(2023, 1, 2), retired_on=date(2025, 2, 3)
        ),
    )
    return pieces, (Inspection(piece="R-1", day=date(2026, 1, 5), result="passed"),)


def test_a_register_comes_back_beside_its_plan() -> None:
    plan = demo("new_owner")
    text = plan_to_json(replace(plan, origins=Origins((), (), *register())))
    back = plan_from_json(text, today=date(2026, 12, 1))
    assert (back.origins.register, back.origins.inspections) == register()
    assert [one.item for one in back.owned] == ["RO20"] and back.notes[: len(plan.notes)] == plan.notes
    assert plan_to_json(back) == plan_to_json(replace(plan, owned=back.owned, origins=back.origins))
    later = plan_from_json(text, today=date(2027, 1, 6))
    assert (
        later.owned == () and "R-1 (RO20) is left out: its inspection was due on 2027-01-05." in later.notes
    )
    assert plan_from_json(plan_to_json(later), today=date(2026, 12, 1)) == back


def test_faults_between_the_rows_of_a_register_are_told_with_their_place() -> None:
    pieces, (passed,) = register()
    strange = pieces[0].model_copy(update={"length": 2.0})
    origins = Origins((), (), (strange, pieces[1]), (passed.model_copy(update={"piece": "R-9"}),))
    text = plan_to_json(replace(demo("new_owner"), origins=origins))
    with pytest.raises(InputError) as caught:
        plan_from_json(text, "mine.json")
    told = {(one.file, one.sheet, one.line, one.column, one.value) for one in caught.value.problems}
    assert told == {
        ("mine.json", "registered", 1, "length", ""),
        ("mine.json", "inspections", 1, "piece", "R-9"),
    }


def test_a_tree_that_cannot_be_cut_is_told_with_its_place() -> None:
    plan = load_plan(Path(__file__).with_name("trees_plan"))
    document = json.loads(plan_to_json(plan))
    assert document["work"] == []
    document["trees"][0]["top_diameter"] = 2.5
    (problem,) = problems_of(json.dumps(document))
    assert (problem.sheet, problem.line) == ("trees", 1) and "can't be cut so" in problem.message


def test_the_folder_of_a_machine_is_not_written() -> None:
    plan = load_plan(DEMO.resolve() / "company")
    assert str(plan.folder) not in plan_to_json(plan)


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_edits_come_back(data: st.DataObject) -> None:
    plan = demo("company")
    number = data.draw(st.integers(0, len(plan.jobs) - 1))
    job = plan.jobs[number].model_copy(
        update={
            "rigging_height": data.draw(st.floats(plan.jobs[number].lowering_distance or 20, 100)),
            "swing_angle": data.draw(st.floats(0, 1.5708)),
            "slack": data.draw(st.floats(0, 10)),
            "branches": data.draw(st.floats(0, 3)),
            "note": data.draw(TEXTS),
        }
    )
    if job.highest_redirect is not None:
        job = job.model_copy(update={"highest_redirect": 100.0})
    owned = OwnedGear(
        item=data.draw(st.sampled_from([one.id for one in plan.catalogue.rope_lengths])),
        count=data.draw(st.integers(1, 1000)),
        length=data.draw(st.none() | st.floats(0.1, 300)) or 30.0,
        age=data.draw(st.floats(0, 1e9)),
        note=data.draw(TEXTS),
    )
    rope = plan.catalogue.ropes[0].model_copy(
        update={"min_break": data.draw(st.floats(1, 1e7)), "note": data.draw(TEXTS)}
    )
    edited = replace(
        plan,
        jobs=(*plan.jobs[:number], job, *plan.jobs[number + 1 :]),
        owned=(*plan.owned, owned),
        catalogue=replace(plan.catalogue, ropes=(rope, *plan.catalogue.ropes[1:])),
        settings=plan.settings.model_copy(
            update={
                "name": data.draw(TEXTS.filter(bool)),
                "pieces_per_season": data.draw(st.floats(1e-3, 1e6)),
                "line": plan.settings.line.model_copy(update={"tail": data.draw(st.floats(0, 50))}),
            }
        ),
        notes=tuple(data.draw(st.lists(TEXTS, max_size=3))),
    )
    assert plan_from_json(plan_to_json(edited)) == edited


FACTORS = {
    "catch": lambda value, reason: {
        "design_factor": {"rope_explicit": {"catch": 5 + value, "reason": reason}}
    },
    "knot": lambda value, reason: {"knot": {"hmpe": value / 10 + 0.01, "reason": reason}},
    "bend": lambda value, reason: {
        "bend": {"ratio": [1.0, 2.0 + value], "factor": [0.5, 0.9], "reason": reason}
    },
    "hand": lambda value, reason: {"hand": {"hold": f"{10 + value:.6f} N", "reason": reason}},
    "tie": lambda value, reason: {"line_tie": "eye", "reason": reason},
    "reason alone": lambda value, reason: {"retirement": {"reason": reason}},
}


@settings(max_examples=18, deadline=None)
@given(name=st.sampled_from(list(FACTORS)), value=st.floats(0.0, 9.0), reason=TEXTS)
def test_policies_come_back_with_their_reasons_and_notes(name: str, value: float, reason: str) -> None:
    policy, faults = changed_policy(FACTORS[name](value, reason))
    assert faults == []
    assert changed_policy(policy_changes(policy)) == (policy, [])


@pytest.mark.parametrize("name", FACTORS)
def test_a_plan_with_a_policy_comes_back(name: str) -> None:
    policy, _ = changed_policy(FACTORS[name](3.0, "own tests"))
    plan = replace(demo("new_owner"), policy=policy)
    assert plan_from_json(plan_to_json(plan)) == plan


def test_an_unchanged_policy_writes_nothing() -> None:
    assert policy_changes(default_policy()) == {}


def test_a_reason_for_everything_is_kept() -> None:
    policy, _ = changed_policy(
        {"reason": "own tests; reason: none", "line_tie": "eye", "knot": {"hmpe": 0.2}}
    )
    assert len(policy.notes) == 2
    assert changed_policy(policy_changes(policy))[0] == policy


def test_a_file_cannot_lower_a_factor_below_its_floor() -> None:
    def lower(document: Any) -> None:
        document["policy"] = {"design_factor": {"rope_explicit": {"catch": 2.0}}}

    (problem,) = problems_of(changed(lower))
    assert problem.code is ProblemCode.BELOW_FLOOR and "catch" in problem.column


@pytest.mark.parametrize("hidden", [{"floor": 1.0}, {"source": "mine"}])
def test_a_file_cannot_change_a_floor_or_a_source(hidden: dict[str, Any]) -> None:
    def change(document: Any) -> None:
        document["policy"] = {"survival": hidden}

    assert problems_of(changed(change))[0].code is ProblemCode.SETTING_UNKNOWN


def test_a_lowered_factor_is_noted_again_whatever_the_notes_say() -> None:
    def change(document: Any) -> None:
        document["policy"] = {"design_factor": {"rope_explicit": {"catch": 5.0}}}
        document["notes"] = []

    plan = plan_from_json(changed(change))
    assert any("lowered from 6 to 5" in note for note in plan.policy.notes)


def test_a_newer_version_is_refused() -> None:
    def change(document: Any) -> None:
        document["version"] = VERSION + 1
        document["something new"] = {}

    (problem,) = problems_of(changed(change))
    assert "newer" in problem.message and problem.column == "version"


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "null", "nonsense", '{"format": "rigging kit plan"', "[" * 100_000, '{"format": 1, "version": 1}',
     '{"format": "rigging kit plan", "version": NaN}', '{"format": "rigging kit plan", "version": "1"}',
     '{"format": "rigging kit plan", "version": 0}', '{"format": "rigging kit plan", "version": true}', "\ufeff{}",
     '{"format": "rigging kit plan", "version": 1e999}'],
)  # fmt: skip
def test_what_is_no_plan_is_refused(text: str) -> None:
    assert all(problem.hint for problem in problems_of(text))


@settings(max_examples=40, deadline=None)
@given(cut=st.integers(0, len(saved()) - 3))
def test_a_cut_file_is_refused(cut: int) -> None:
    assert problems_of(saved()[:cut])[0].code is ProblemCode.FILE_UNREADABLE


def _set(*place: Any, to: Any) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        for name in place[:-1]:
            document = document[name]
        document[place[-1]] = to

    return change


BROKEN: dict[str, tuple[Callable[[Any], None], ProblemCode, tuple[str, int, str]]] = {
    "negative": (_set("work", 1, "diameter", to=-0.2), ProblemCode.OUT_OF_RANGE, ("work", 2, "diameter")),
    "text for a number": (_set("work", 0, "length", to="2 m"), ProblemCode.NOT_A_NUMBER, ("work", 1, "length")),
    "yes for a number": (_set("work", 0, "length", to=True), ProblemCode.NOT_A_NUMBER, ("work", 1, "length")),
    "technique": (_set("work", 0, "technique", to="throw"), ProblemCode.NOT_A_CHOICE, ("work", 1, "technique")),
    "unknown column": (_set("work", 0, "colour", to="red"), ProblemCode.SETTING_UNKNOWN, ("work", 1, "colour")),
    "rows that disagree": (_set("work", 0, "diameter_high", to=0.01), ProblemCode.CONFLICT, ("work", 1, "")),
    "shares": (_set("work", 0, "share", to=0.9), ProblemCode.CONFLICT, ("work", 0, "share")),
    "species": (_set("work", 2, "species", to="glass tree"), ProblemCode.SPECIES_UNKNOWN, ("work", 3, "species")),
    "no work": (_set("work", to=[]), ProblemCode.FILE_EMPTY, ("work", 0, "")),
    "owned item": (_set("owned", 1, "item", to="NONE"), ProblemCode.ID_UNKNOWN, ("owned", 2, "item")),
    "length of a sling": (_set("owned", 5, "length", to=3.0), ProblemCode.CONFLICT, ("owned", 6, "length")),
    "currencies": (_set("catalogue", "brakes", 1, "currency", to="X"), ProblemCode.CONFLICT, ("brakes", 2, "currency")),
    "season twice": (_set("seasons", 1, "season", to="2027"), ProblemCode.ID_TWICE, ("seasons", 2, "season")),
    "job of a season": (_set("season_work", 0, "job", to="none"), ProblemCode.ID_UNKNOWN, ("season_work", 1, "job")),
    "no rope": (_set("catalogue", "ropes", to=[]), ProblemCode.FILE_EMPTY, ("ropes", 0, "")),
    "strength": (_set("catalogue", "ropes", 3, "min_break", to=0), ProblemCode.OUT_OF_RANGE, ("ropes", 4, "min_break")),
    "infinite": (_set("catalogue", "ropes", 3, "min_break", to=1e999), ProblemCode.FILE_UNREADABLE, ("", 0, "")),
    "id twice": (_set("catalogue", "slings", 0, "id", to="DB127-45"), ProblemCode.ID_TWICE, ("slings", 1, "id")),
    "currency": (_set("catalogue", "currency", to="USD"), ProblemCode.CONFLICT, ("catalogue", 0, "currency")),
    "setting": (_set("settings", "crew", "crews", to=0), ProblemCode.OUT_OF_RANGE, ("", 0, "settings.crew.crews")),
    "new setting": (_set("settings", "mood", to=1), ProblemCode.SETTING_UNKNOWN, ("", 0, "settings.mood")),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_faults_are_told_with_their_place(name: str) -> None:
    change, code, place = BROKEN[name]
    found = problems_of(changed(change))
    assert (code, place) in [(one.code, (one.sheet, one.line, one.column)) for one in found], found


def test_every_fault_is_told_at_once() -> None:
    def change(document: Any) -> None:
        for name in ("negative", "technique", "strength", "setting"):
            BROKEN[name][0](document)

    assert len(problems_of(changed(change))) == 4


def test_a_name_taken_twice_is_told() -> None:
    first = json.loads(saved())["work"][0]["job"]
    found = problems_of(changed(_set("work", 1, "job", to=first.upper())))
    assert [(one.code, one.line) for one in found] == [(ProblemCode.ID_TWICE, 2)]


def test_files_are_read_with_a_byte_order_mark_and_faults_name_them(tmp_path: Path) -> None:
    path = tmp_path / "oaks.json"
    path.write_bytes(b"\xef\xbb\xbf" + saved().encode())
    assert read_plan_file(path) == demo("company")
    path.write_text(saved()[:100], encoding="utf-8")
    with pytest.raises(InputError, match=r"oaks\.json"):
        read_plan_file(path)
    with pytest.raises(InputError, match="no such file"):
        read_plan_file(tmp_path / "none.json")


def test_formulas_and_markup_stay_as_they_are() -> None:
    job = demo("new_owner").jobs[0].model_copy(update={"note": "=1+1 <b> \u2028 🪵 \\n"})
    plan = replace(demo("new_owner"), jobs=(job, *demo("new_owner").jobs[1:]))
    assert plan_from_json(plan_to_json(plan)) == plan
