"""Rows and charts of work, prices, limits, ropes, costs, shares and seasons."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from catalog_schema.units import from_si
from recommender.charts import cash, cost_curve, limit_heights, mix, money_share, price_strength, tension_time
from recommender.explain.answers import CurveResult, CurveStep, FirstResult, Purchase
from recommender.explain.limits import LimitsSheet, limits_sheet
from recommender.explain.rope_match import RopeMatch, compare_ropes
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult
from recommender.report.figures import force
from recommender.seasons.result import SeasonPlan, SeasonsResult
from recommender.work.cases import LoadCase, load_cases
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def plan() -> Plan:
    return load_plan(DEMO / "new_owner")


@cache
def kit() -> KitResult:
    return plan_kit(plan())


@cache
def match() -> RopeMatch:
    return compare_ropes(plan(), ["DB127-60", "NL16", "NC16"], "pine butt logs", kit())


@cache
def cases() -> tuple[LoadCase, ...]:
    return load_cases(plan().jobs, plan().settings.line, plan().settings.pieces_per_season)


@cache
def page() -> LimitsSheet:
    stand = load_plan(DEMO / "training_ground")
    return limits_sheet(stand, plan_kit(stand))


def curve() -> CurveResult:
    steps = [
        CurveStep(
            from_scale=low, to_scale=high, next_from_scale=None, largest_length_m=3.0, largest_mass_kg=60 * high,
            purchase_cost=cost, changes=(),
        )
        for low, high, cost in ((0.5, 1.0, 900.0), (1.0, 2.0, 1500.0), (2.0, 3.0, None))
    ]  # fmt: skip
    return CurveResult.model_construct(jobs=("x",), purchase_cost=900.0, steps=tuple(steps))


def first() -> FirstResult:
    steps = [
        Purchase(
            step=k,
            what="gear",
            buy=(),
            cost=cost,
            cost_so_far=so_far,
            share=share,
            new_jobs=(),
            within_sum=k < 2,
        )
        for k, (cost, so_far, share) in enumerate(
            ((0.0, 0.0, 0.1), (800.0, 800.0, 0.6), (700.0, 1500.0, 1.0))
        )
    ]
    return FirstResult.model_construct(spend=1000.0, steps=tuple(steps))


def seasons() -> SeasonsResult:
    years = [
        SeasonPlan.model_construct(
            season=name, budget=budget, purchases=(), purchase_cost=cost, crew_cost=40.0, hire_cost=0.0, jobs=(),
            share_with_kit=1.0, wear_used={},
        )
        for name, budget, cost in (("2027", 1200.0, 1100.0), ("2028", None, 300.0))
    ]  # fmt: skip
    return SeasonsResult.model_construct(seasons=tuple(years), currency="EUR")


PICTURES: dict[str, tuple[Any, Any]] = {
    "working": (lambda s: tension_time.tension_rows(match(), s), tension_time.tension_chart),
    "jam": (lambda s: tension_time.tension_rows(match(), s, "jam"), tension_time.tension_chart),
    "limits": (
        lambda s: limit_heights.limit_rows(page(), s),
        limit_heights.limit_chart,
    ),
    "masses": (lambda s: mix.mass_class_rows(cases(), s), mix.mass_class_chart),
    "mix": (lambda s: mix.mix_rows(cases(), s), mix.mix_chart),
    "prices": (lambda s: price_strength.price_rows(plan().catalogue.ropes, s), price_strength.price_chart),
    "cost": (lambda s: cost_curve.cost_rows(curve(), "EUR", s), cost_curve.cost_chart),
    "cash": (lambda s: cash.cash_rows(seasons()), cash.cash_chart),
    "share": (lambda s: money_share.money_share_rows(first(), "EUR"), money_share.money_share_chart),
}


def fields_of(spec: object) -> set[str]:
    """Every field that some encoding, sort or condition of a chart names."""
    found: set[str] = set()
    if isinstance(spec, dict):
        found |= {spec["field"]} if isinstance(spec.get("field"), str) else set()
        for value in spec.values():
            found |= fields_of(value)
    elif isinstance(spec, list):
        for value in spec:
            found |= fields_of(value)
    return found


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", PICTURES)
def test_every_chart_becomes_json_and_names_only_fields_that_its_rows_have(name: str, system: str) -> None:
    rows_of, chart_of = PICTURES[name]
    rows = rows_of(system)
    assert rows
    spec = chart_of(rows).to_dict()
    assert json.loads(json.dumps(spec)) == spec
    assert fields_of(spec) <= set(rows[0].__dataclass_fields__)
    assert "http" not in json.dumps({key: value for key, value in spec.items() if key != "$schema"})


@pytest.mark.parametrize("name", PICTURES)
def test_no_rows_are_no_fault(name: str) -> None:
    assert PICTURES[name][1]([]).to_dict()


def test_each_rope_has_one_peak_which_the_legend_tells() -> None:
    rows = tension_time.tension_rows(match(), "metric", "jam")
    for rope in match().ropes:
        own = [row for row in rows if row.rope == rope.id]
        peaks = [row for row in own if row.is_peak]
        assert len(peaks) == 1 and peaks[0].tension == max(row.tension for row in own)
        assert {row.name for row in own} == {
            f"{rope.id}: peak {force(1000 * peaks[0].tension, 'metric')}, usual piece"
        }


@pytest.mark.parametrize("state", ["working", "jam"])
def test_ropes_differ_by_more_than_colour_and_nothing_is_written_over_the_lines(state: str) -> None:
    chart = tension_time.tension_chart(tension_time.tension_rows(match(), "metric", state))  # type: ignore[arg-type]
    lines, peaks = chart.to_dict()["layer"]
    dash, colour = (lines["encoding"][key] for key in ("strokeDash", "color"))
    assert dash["field"] == colour["field"] == "name"
    assert len({tuple(one) for one in dash["scale"]["range"]}) == len(match().ropes)
    assert dash["legend"] == colour["legend"] and dash["legend"]["labelLimit"] == 0
    assert peaks["mark"]["type"] == "point"


def test_a_lift_has_no_course() -> None:
    lifted = compare_ropes(plan(), ["DB127-60", "NL127"], "maple limbs lifted off a shed", kit())
    assert tension_time.tension_rows(lifted) == []


def test_classes_hold_every_piece_of_the_season() -> None:
    rows = mix.mass_class_rows(cases())
    assert sum(row.pieces for row in rows) == pytest.approx(sum(case.pieces for case in cases()))
    for row in rows:
        for job in row.jobs.split(", "):
            case = next(one for one in cases() if one.job == job)
            assert row.mass_from <= float(case.mass.design) < row.mass_to and row.technique == case.technique


def test_stairs_follow_each_other_and_end_without_a_kit() -> None:
    rows = cost_curve.cost_rows(curve(), "EUR")
    assert [(row.mass_from, row.mass_to, row.cost) for row in rows] == [
        (0, 60, 900),
        (60, 120, 1500),
        (120, 180, None),
    ]
    assert rows[-1].label == "no kit to 180 kg"


def test_limits_in_the_picture_are_rounded_down() -> None:
    for row, cell in zip(limit_heights.limit_rows(page()), page().rows, strict=True):
        if cell.largest_mass_kg:
            assert cell.largest_mass_kg - 1 < float(row.label.split(" ")[0]) <= cell.largest_mass_kg
        else:
            assert row.label == cell.why_not and row.mass == 0


def test_the_cheapest_length_gives_the_price() -> None:
    by_name = {row.name: row for row in price_strength.price_rows(plan().catalogue.ropes)}
    thin = [one for one in plan().catalogue.rope_lengths if one.rope.id.startswith("DB10-")]
    assert min(one.price / one.length for one in thin) == pytest.approx(
        next(row.price for name, row in by_name.items() if name.startswith("double braid 10 mm")), abs=1e-4
    )
    us = price_strength.price_rows(plan().catalogue.ropes, "us")
    metric = price_strength.price_rows(plan().catalogue.ropes)
    assert us[0].price * from_si(1.0, "ft", "length") == pytest.approx(metric[0].price, abs=1e-3)


def test_money_and_share() -> None:
    rows = money_share.money_share_rows(first(), "EUR")
    assert [(row.spent, row.share, row.within_sum) for row in rows] == [
        (0, 10, True),
        (800, 60, True),
        (1500, 100, False),
    ]
    spec = money_share.money_share_chart(rows, 1000.0).to_dict()
    assert len(spec["layer"]) == 3


def test_cash_has_all_kinds_and_the_budget() -> None:
    rows = cash.cash_rows(seasons())
    assert [row.amount for row in rows] == [1100, 40, 0, 300, 40, 0]
    assert [row.budget for row in rows][::3] == [1200.0, None]


def test_nothing_lies_on_the_edge_of_the_pictures_of_the_mix() -> None:
    rows = mix.mix_rows(cases())
    marks = mix.mix_chart(rows).to_dict()["layer"][1]["encoding"]
    assert marks["x"]["scale"]["domain"][1] > max(row.mass_high for row in rows)
    assert marks["y"]["scale"]["domain"][1] > max(row.height for row in rows)
    classes = mix.mass_class_rows(cases())
    bars = mix.mass_class_chart(classes).to_dict()["encoding"]
    assert bars["x"]["scale"]["domain"][1] > max(row.mass_to for row in classes)


def test_gear_stands_at_the_bottom_of_the_money_so_that_its_budget_can_be_compared() -> None:
    bars = cash.cash_chart([]).to_dict()["layer"][0]["encoding"]
    assert bars["order"]["field"] == "kind_place" and cash.KINDS[0] == "gear"
