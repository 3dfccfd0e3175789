"""The drawn setup: sound markup whatever the texts hold, its forces and cautions in it, nothing outside the picture."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.diagrams.callouts import GAP, Callout, placed
from recommender.diagrams.setup import draw_setup
from recommender.diagrams.svg import element
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS, Assignment
from recommender.report.figures import force, mass
from recommender.work.cases import LoadCase, load_cases
from recommender.work.plan import load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
SVG = "{http://www.w3.org/2000/svg}"


@cache
def rigged(name: str) -> list[tuple[Assignment, LoadCase]]:
    plan = load_plan(DEMO / name)
    cases = {
        one.job: one for one in load_cases(plan.jobs, plan.settings.line, plan.settings.pieces_per_season)
    }
    return [(one, cases[one.job]) for one in plan_kit(plan).assignments]


EVERY = [(name, k) for name in ("new_owner", "company", "training_ground") for k in range(len(rigged(name)))]


def first_of(technique: str) -> tuple[Assignment, LoadCase]:
    return next(pair for pair in rigged("new_owner") if pair[0].technique == technique)


def texts(svg: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(svg).iter(f"{SVG}text"))


@pytest.mark.parametrize(("name", "k"), EVERY)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_job_of_the_demo_plans_is_drawn_inside_its_picture(name: str, k: int, system: str) -> None:
    assignment, case = rigged(name)[k]
    root = ElementTree.fromstring(draw_setup(assignment, case, system))  # type: ignore[arg-type]
    _, _, width, height = (float(one) for one in root.attrib["viewBox"].split())
    for one in root.iter(f"{SVG}text"):
        size, x, y = (float(one.attrib[key]) for key in ("font-size", "x", "y"))
        assert 0 <= x < width and 0 < y <= height and size >= 12
        if "transform" not in one.attrib:
            assert x + 0.57 * size * len(one.text or "") <= width * 1.04
    for circle in root.iter(f"{SVG}circle"):
        assert 0 <= float(circle.attrib["cx"]) <= width and 0 <= float(circle.attrib["cy"]) <= height


@pytest.mark.parametrize(("name", "k"), EVERY)
def test_forces_are_written_rounded_up(name: str, k: int) -> None:
    a, case = rigged(name)[k]
    said = " ".join(one.text or "" for one in texts(draw_setup(a, case)))
    forces = [a.line_tension_n, a.redirect_reaction_n]
    forces += [a.brake_tension_n] if "brake" in a.parts else []
    forces += (
        [a.line_tension_jam_n, a.redirect_reaction_jam_n, a.brake_tension_jam_n]
        if a.technique == "catch"
        else []
    )
    forces += [a.lifter_pull_n] if a.technique == "lift" else []
    for value in forces:
        assert force(value, "metric") in said
    assert mass(a.piece_mass_kg, "metric") in said
    assert ("line locked" in said) == (a.technique == "catch")


def test_it_has_a_name_a_description_and_the_cautions_for_those_who_do_not_see_it() -> None:
    assignment, case = first_of("catch")
    root = ElementTree.fromstring(draw_setup(assignment, case))
    assert root.attrib["role"] == "img"
    assert root.findtext(f"{SVG}title") == f"{assignment.job}: caught"
    described = root.findtext(f"{SVG}desc") or ""
    assert force(assignment.line_tension_jam_n, "metric") in described and CAUTIONS[0] in described
    drawn = " ".join(one.text or "" for one in root.iter(f"{SVG}text"))
    assert CAUTIONS[0] in drawn and CAUTIONS[2] in drawn


HOSTILE = "</svg><script>alert('x')</script>\"' & ]]> \x1b[31m\x00 <b onload=1>"


def test_texts_of_a_table_never_become_markup() -> None:
    assignment, case = first_of("lift")
    from dataclasses import replace

    parts = {part: HOSTILE for part in assignment.parts}
    svg = draw_setup(
        assignment.model_copy(update={"job": HOSTILE, "parts": parts}), replace(case, job=HOSTILE)
    )
    root = ElementTree.fromstring(svg)
    assert {one.tag.removeprefix(SVG) for one in root.iter()} <= {
        "svg", "title", "desc", "style", "g", "text", "path", "rect", "circle", "ellipse",
    }  # fmt: skip
    assert all(not key.startswith("on") for one in root.iter() for key in one.attrib)
    assert "alert" in (root.findtext(f"{SVG}title") or "") and "<script" not in svg


@given(st.text())
def test_any_text_is_escaped(text: str) -> None:
    root = ElementTree.fromstring(element("text", text, title=text).text)
    assert len(root) == 0 and "\x00" not in (root.text or "")


def test_each_technique_has_its_own_picture() -> None:
    dashed = re.compile(r'stroke-dasharray="4 3"')
    drawn = {technique: draw_setup(*first_of(technique)) for technique in ("lower", "lift", "catch")}
    assert len(set(drawn.values())) == 3
    assert (
        not dashed.search(drawn["lower"]) and dashed.search(drawn["lift"]) and dashed.search(drawn["catch"])
    )
    swung = next(pair for pair in rigged("new_owner") if pair[1].swing_angle)
    assert "swings in from 45 deg" in draw_setup(*swung)
    apart = next(pair for pair in rigged("company") if pair[1].leg_angle)
    assert "legs 40 deg apart" in draw_setup(*apart)


def test_it_changes_with_the_inputs() -> None:
    from dataclasses import replace

    assignment, case = first_of("lower")
    higher = draw_setup(assignment, replace(case, fall=case.fall + 6))
    heavier = draw_setup(assignment.model_copy(update={"piece_mass_kg": 400.0}), case)
    assert len({draw_setup(assignment, case), higher, heavier}) == 3


def test_a_ring_is_drawn_where_the_catalogue_says_so() -> None:
    plan = load_plan(DEMO / "new_owner")
    pair = next(one for one in rigged("new_owner") if one[0].parts["redirect"] == "RI-M")
    assert draw_setup(*pair, "metric", plan.catalogue) != draw_setup(*pair, "metric")


def test_the_load_case_of_another_job_is_refused() -> None:
    with pytest.raises(ValueError, match="case must be of job type"):
        draw_setup(first_of("lower")[0], first_of("catch")[1])


@given(st.lists(st.tuples(st.floats(40, 480), st.integers(1, 5)), max_size=5))
def test_labels_never_lie_over_each_other(found: list[tuple[float, int]]) -> None:
    callouts = [Callout((0, y), ("x",) * lines) for y, lines in sorted(found)]
    edges = placed(callouts, 50.0, 478.0)
    for k in range(1, len(edges)):
        assert edges[k] >= edges[k - 1] + callouts[k - 1].height + GAP - 1e-6 or edges[k - 1] == 50.0


@pytest.mark.parametrize(("name", "k"), EVERY)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_no_figure_beside_a_drawing_is_cut_off(name: str, k: int, system: str) -> None:
    assignment, case = rigged(name)[k]
    locked = assignment.model_copy(update={"governing": dict.fromkeys(assignment.governing, "jam")})
    for one in (assignment, locked):
        svg = draw_setup(one, case, system)  # type: ignore[arg-type]
        cut = [text.text for text in texts(svg)[1:] if "…" in (text.text or "")]
        assert not cut, cut


@pytest.mark.parametrize(("name", "k"), EVERY)
def test_people_that_a_brake_takes_are_in_its_picture(name: str, k: int) -> None:
    assignment, case = rigged(name)[k]
    hold, text = assignment.holding, " ".join(one.text or "" for one in texts(draw_setup(assignment, case)))
    assert (f"{hold.people} people on the tail with {hold.wraps_max:g} wraps" in text if hold else False) == (
        hold is not None and hold.people > 1
    )
    assert ("there: cut smaller" in text) == (hold is not None and hold.people > hold.there)
    assert "tie off" not in text  # a line that is tied off in a catch is a locked one
    assert "Each force at its own worst friction: not all at once." in text
