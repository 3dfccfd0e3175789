"""The default policy through computed capacities, changes with their notes, and refused changes with their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from catalog_schema.gear import Rope
from catalog_schema.problems import ProblemCode
from recommender import physics
from recommender.ratings import changed_policy, default_policy, rate_line, read_policy, source_of
from recommender.ratings.policy_words import leaves, value_at
from recommender.ratings.settings import Setting
from recommender.sourced import cite

FLOORS = {
    "rope_explicit": 5,
    "rope_all_in": 10,
    "sling": 5,
    "redirect": 4,
    "connector": 5,
    "brake": 5,
}
"""Standards as in the basis of each factor: CI 1401, A10.48, ASME B30.9 and B30.26."""


def write(folder: Path, text: str) -> Path:
    path = folder / "policy.toml"
    path.write_text(text, encoding="utf-8")
    return path


def groups() -> list[tuple[str, ...]]:
    return sorted({path[:-1] for path, _ in leaves(default_policy().model_dump()) if path[-1] == "basis"})


@pytest.mark.parametrize("path", groups(), ids=".".join)
def test_every_group_names_a_known_source_and_its_basis(path: tuple[str, ...]) -> None:
    group = value_at(default_policy(), path)
    assert isinstance(group, Setting)
    assert cite(group.source)
    assert len(group.basis) > 10


def test_hand_forces_agree_with_the_physical_constants() -> None:
    hand = default_policy().hand
    assert (hand.hold, hand.pull) == (physics.SUSTAINED_HOLD.value, physics.SHORT_PULL.value)
    assert hand.crank == physics.CRANK_EFFORT.value


def test_a_policy_survives_a_round_trip() -> None:
    policy, _ = changed_policy({"survival": {"factor": 1.4, "reason": "short falls only"}})
    assert type(policy).model_validate_json(policy.model_dump_json()) == policy


# --- changes -------------------------------------------------------------------------------------------------------


def test_a_change_is_read_and_noted_with_its_reason(tmp_path: Path) -> None:
    text = '[design_factor.rope_explicit]\ncatch = 5.5\nreason = "short falls only"\n'
    policy, problems = read_policy(write(tmp_path, text))
    assert not problems
    assert policy.design_factor.rope_explicit.at("catch") == 5.5
    assert policy.design_factor.rope_explicit.at("lift") == default_policy().design_factor.rope_explicit.lift
    assert policy.notes == (
        "rope design factor for catch lowered from 6 to 5.5 (floor 5; less careful than the default); "
        "reason: short falls only",
    )


@pytest.mark.parametrize(
    ("given", "note"),
    [
        ({"line_tie": "eye"}, "how the line holds the piece changed from knot to eye; no reason given"),
        (
            {"survival": {"factor": 2}, "reason": "house rule"},
            "survival factor of a jammed catch raised from 1.5 to 2 (floor 1.25); reason: house rule",
        ),
        (
            {"knot": {"polyester": 0.6}},
            "strength left in a knot: polyester raised from 0.5 to 0.6 (less careful than the default); "
            "no reason given",
        ),
        ({"knot": {"polyester": 0.5}}, "strength left in a knot: polyester set from 0.5 to 0.5; no reason given"),
        (
            {"retirement": {"textile_years": 3.0}},
            "retirement: textile years lowered from 5 to 3; no reason given",
        ),
        (
            {"stiffness": {"high": 1.1}},
            "stiffness factor of the rope: high lowered from 1.2 to 1.1 (less careful than the default); "
            "no reason given",
        ),
        (
            {"hand": {"hold": "20 lbf"}},
            "hand force in newton: hold lowered from 100 to 88.9644; no reason given",
        ),
    ],
)  # fmt: skip
def test_every_changed_value_gives_one_note(given: dict[str, object], note: str) -> None:
    policy, problems = changed_policy(given)
    assert not problems
    assert policy.notes == (note,)


def test_a_value_written_as_it_is_gives_no_note() -> None:
    policy, problems = changed_policy({"survival": {"factor": 1.5}, "line_tie": "knot"})
    assert (policy.notes, problems) == ((), [])


def test_the_trace_names_the_reason_of_a_change_and_keeps_the_basis_of_the_rest() -> None:
    policy, _ = changed_policy({"knot": {"hmpe": 0.25, "reason": "own tests"}})
    assert source_of(policy, "knot", "hmpe") == "changed in the plan's policy (own tests)"
    assert source_of(policy, "knot", "others") == source_of(default_policy(), "knot", "others")


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "policy.toml"
    path.write_text('line_tie = "eye"\n', encoding="utf-8-sig")
    policy, problems = read_policy(path)
    assert (policy.line_tie, problems) == ("eye", [])


# --- refused -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("technique", ["lower", "lift", "catch"])
@pytest.mark.parametrize(("part", "floor"), FLOORS.items())
def test_a_design_factor_below_its_floor_is_refused(part: str, floor: float, technique: str) -> None:
    policy, problems = changed_policy({"design_factor": {part: {technique: floor - 0.01}}})
    assert policy == default_policy()
    assert [problem.code for problem in problems] == [ProblemCode.BELOW_FLOOR]
    _, at_floor = changed_policy({"design_factor": {part: {technique: floor}}})
    assert not at_floor


@pytest.mark.parametrize(("group", "floor"), [("survival", 1.25), ("catch_peak", 0.5)])
def test_other_floors_hold_too(group: str, floor: float) -> None:
    _, problems = changed_policy({group: {"factor": floor - 0.01}})
    assert [problem.code for problem in problems] == [ProblemCode.BELOW_FLOOR]
    assert not changed_policy({group: {"factor": floor}})[1]


def test_a_floor_cannot_be_lowered_to_get_under_it() -> None:
    policy, problems = changed_policy({"design_factor": {"sling": {"floor": 1.0, "lift": 2.0}}})
    assert policy == default_policy()
    assert {(problem.column, problem.code) for problem in problems} == {
        ("design_factor.sling.floor", ProblemCode.SETTING_UNKNOWN),
        ("design_factor.sling.lift", ProblemCode.BELOW_FLOOR),
    }


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("[knott]\nothers = 0.5", ProblemCode.SETTING_UNKNOWN, 1, "knott"),
        ("[knot]\n\nhmppe = 0.2", ProblemCode.SETTING_UNKNOWN, 3, "knot.hmppe"),
        ('[survival]\nfactor = "1,5"', ProblemCode.NOT_A_NUMBER, 2, "survival.factor"),
        ("[survival]\nfactor = true", ProblemCode.NOT_A_NUMBER, 2, "survival.factor"),
        ("[survival]\nfactor = nan", ProblemCode.NOT_A_NUMBER, 2, "survival.factor"),
        ("[survival]\nfactor = inf", ProblemCode.NOT_A_NUMBER, 2, "survival.factor"),
        ("[survival]\nfactor = 1979-05-27", ProblemCode.NOT_A_NUMBER, 2, "survival.factor"),
        ("[knot]\nothers = 1.2", ProblemCode.OUT_OF_RANGE, 2, "knot.others"),
        ("[knot]\nothers = 0", ProblemCode.OUT_OF_RANGE, 2, "knot.others"),
        ('line_tie = "splice"', ProblemCode.NOT_A_CHOICE, 1, "line_tie"),
        ("[hand]\nhold = 100", ProblemCode.UNIT_MISSING, 2, "hand.hold"),
        ('[hand]\nhold = "10 kg"', ProblemCode.UNIT_WRONG, 2, "hand.hold"),
        ('[hand]\nhold = "400 N"', ProblemCode.OUT_OF_RANGE, 2, "hand.hold"),
        ("[bend]\nratio = [1.0, 2.0]", ProblemCode.CONFLICT, 1, "bend"),
        ('[bend]\nratio = [1.0, "2"]', ProblemCode.NOT_A_NUMBER, 2, "bend.ratio"),
        ("knot = 0.5", ProblemCode.CONFLICT, 1, "knot"),
        ("[knot]\nreason = 3", ProblemCode.CONFLICT, 2, "knot.reason"),
        ("design_factor.sling.lift = 1.0", ProblemCode.BELOW_FLOOR, 1, "design_factor.sling.lift"),
        ('notes = ["none"]', ProblemCode.SETTING_UNKNOWN, 1, "notes"),
        ("[knot]\nothers = 0,5", ProblemCode.FILE_UNREADABLE, 2, ""),
        ("[knot", ProblemCode.FILE_UNREADABLE, 1, ""),
    ],
)
def test_a_fault_is_reported_with_its_place(
    tmp_path: Path, text: str, code: ProblemCode, line: int, column: str
) -> None:
    policy, problems = read_policy(write(tmp_path, text))
    assert [(problem.code, problem.line, problem.column) for problem in problems] == [(code, line, column)]
    assert problems[0].hint
    assert policy == default_policy()


def test_every_fault_is_reported_at_once(tmp_path: Path) -> None:
    text = '[survival]\nfactor = 1\n[hand]\nhold = 3\npull = "900 N"\n[knot]\nhmppe = 0.1\n'
    _, problems = read_policy(write(tmp_path, text))
    assert [problem.line for problem in problems] == [2, 4, 5, 7]


def test_a_near_miss_is_named() -> None:
    _, problems = changed_policy({"design_factor": {"rope_explict": {"catch": 6.0}}})
    assert problems[0].hint == "Did you mean 'rope_explicit'?"


def test_a_missing_file_and_a_file_of_other_bytes(tmp_path: Path) -> None:
    _, missing = read_policy(tmp_path / "policy.toml")
    assert [problem.code for problem in missing] == [ProblemCode.FILE_MISSING]
    (tmp_path / "policy.toml").write_bytes(b"\xff\xfe\x00k")
    _, unreadable = read_policy(tmp_path / "policy.toml")
    assert [problem.code for problem in unreadable] == [ProblemCode.FILE_UNREADABLE]


# --- the default values, through what they do to a rope of 60 kN -----------------------------------------------------


@pytest.mark.parametrize(
    ("fibre", "technique", "wet", "capacity"),
    [
        ("polyester", "lower", True, 60e3 * 0.5 * 0.9 / 5),
        ("polyester", "lift", True, 60e3 * 0.5 * 0.9 / 5),
        ("polyester", "catch", True, 60e3 * 0.5 * 0.9 / 6),
        ("nylon", "lower", True, 60e3 * 0.5 * 0.9 * 0.85 / 5),
        ("nylon_core", "lower", True, 60e3 * 0.5 * 0.9 * 0.85 / 5),
        ("nylon", "lower", False, 60e3 * 0.5 * 0.9 / 5),
        ("hmpe", "lower", True, 60e3 * 0.3 * 0.9 / 5),
        ("polypropylene", "catch", True, 60e3 * 0.5 * 0.9 / 6),
    ],
)
def test_default_values_in_a_capacity(fibre: str, technique: str, wet: bool, capacity: float) -> None:
    """Rule: min(MBS * min(local) * wet * wear / 5, MBS / 10); a catch 6 and 12. By hand."""
    rope = Rope.model_validate(
        {
            "id": "r", "name": "rope", "fibre": fibre, "construction": "double_braid", "diameter": 0.016,
            "min_break": 60e3, "break_basis": "minimum", "elongation": 0.05, "elongation_at": 0.3,
            "mass_per_length": 0.2, "length": 50, "price": 1,
        }
    )  # fmt: skip
    rating = rate_line(rope, technique, "working", policy=default_policy(), wet=wet)  # type: ignore[arg-type]
    assert rating.capacity == pytest.approx(capacity, rel=1e-12)
