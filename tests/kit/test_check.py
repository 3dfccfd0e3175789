"""The independent check: it passes what the planner returns, and names the fault in what was tampered with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from importlib import import_module
from math import radians
from pathlib import Path
from typing import Any

import pytest

from recommender.kit import fits
from recommender.kit.check import InternalFault, check_kit, on_hand
from recommender.kit.check_loads import Spring, balanced_tension, legs_together
from recommender.kit.planning import plan_kit
from recommender.kit.result import Assignment, KitItem, KitResult, Uncovered
from recommender.kit.stock import stock
from recommender.work import cases
from recommender.work.plan import Plan, load_plan
from recommender.work.tables import JobType, OwnedGear

TESTS = Path(__file__).parents[1]
FOLDERS = {name: TESTS.parent / "demo_catalog" / name for name in ("new_owner", "company", "training_ground")}
FOLDERS["tall_tree_plan"] = TESTS / "demo" / "tall_tree_plan"
YEAR = 365.25 * 24 * 3600.0


@cache
def _plan(name: str) -> Plan:
    return load_plan(FOLDERS[name])


@cache
def _result(name: str) -> KitResult:
    return plan_kit(_plan(name))


# --- what the planner returns passes ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", FOLDERS)
def test_the_demo_plans_pass(name: str) -> None:
    assert _result(name).status == "planned"
    assert check_kit(_plan(name), _result(name)) == []


def test_a_plan_without_a_kit_passes_as_long_as_it_holds_none() -> None:
    plan = _with_job(_plan("tall_tree_plan"), "butt logs", diameter=2.0)
    result = plan_kit(plan)
    assert result.status == "no kit" and check_kit(plan, result) == []
    stuffed = result.model_copy(update={"items": _result("tall_tree_plan").items})
    assert _one(check_kit(plan, stuffed), "still holds a kit")
    renamed = Uncovered(job="elm", technique="lower", part="line", shortfall="", remedy="")
    assert _one(check_kit(plan, result.model_copy(update={"uncovered": (renamed,)})), "no such job type")


def test_the_fault_is_an_error_of_its_own() -> None:
    with pytest.raises(RuntimeError, match="line"):
        raise InternalFault("line")


# --- its own arithmetic against the outside ---------------------------------------------------------------------


def test_energy_balance_gives_the_textbook_values() -> None:
    """A load put on without a drop: twice the weight (textbook); climbing rope test, EN 892: 80 kg 9 kN, 55 kg 8 kN."""
    assert balanced_tension(1000.0, 0.0, 0.0, 5.0, Spring(50e3, 1.0)) == pytest.approx(2000.0)
    for mass, modulus, force in ((80.0, 24080.9, 9000.0), (55.0, 28999.4, 8000.0)):
        peak = balanced_tension(mass * 9.80665, 1.77, 0.0, 1.0, Spring(modulus, 1.0))
        assert peak == pytest.approx(force, abs=5.0)


def test_a_run_lowers_the_peak_as_the_closed_form_of_a_linear_rope_says() -> None:
    """Closed form of the same balance, derived: T^2/2k + T (d - W/k) = W (h + d)."""
    weight, k, height, run = 200 * 9.80665, 320e3 / 4.88, 1.6, 1.0
    offset = run - weight / k
    closed = k * (-offset + (offset**2 + 2 * weight * (height + run) / k) ** 0.5)
    assert balanced_tension(weight, height, run, 4.88, Spring(320e3, 1.0)) == pytest.approx(closed)


@pytest.mark.parametrize(("angle", "force"), [(0.0, 2.0), (60.0, 1.73205), (120.0, 1.0), (180.0, 0.0)])
def test_legs_add_as_vectors(angle: float, force: float) -> None:
    """Textbook: twice the tension times the cosine of half the angle."""
    assert legs_together(1.0, 1.0, radians(angle)) == pytest.approx(force, abs=1e-5)


# --- what was tampered with is named ----------------------------------------------------------------------------

Case = tuple[Plan, KitResult]


def _one(faults: list[str], words: str) -> str:
    """The first fault that says so."""
    found = [fault for fault in faults if words in fault]
    assert found, f"no fault says {words!r}: {faults}"
    return found[0]


def _with_job(plan: Plan, name: str, **changes: Any) -> Plan:
    assert any(job.job == name for job in plan.jobs)
    jobs = (JobType(**(job.model_dump() | changes)) if job.job == name else job for job in plan.jobs)
    return replace(plan, jobs=tuple(jobs))


def _with_item(result: KitResult, which: str, /, **changes: Any) -> KitResult:
    assert any(item.id == which for item in result.items)
    items = [item.model_copy(update=changes) if item.id == which else item for item in result.items]
    return result.model_copy(update={"items": tuple(items)})


def _with_assignment(result: KitResult, which: str, /, **changes: Any) -> KitResult:
    assert any(one.job == which for one in result.assignments)
    all_of = (one.model_copy(update=changes) if one.job == which else one for one in result.assignments)
    return result.model_copy(update={"assignments": tuple(all_of)})


def _of(result: KitResult, job: str) -> Assignment:
    return next(one for one in result.assignments if one.job == job)


def _bought(plan: Plan, result: KitResult, id: str, quantity: int = 1) -> KitResult:
    """The result with a further item of the catalogue, paid for."""
    own = on_hand(plan)[0][id]
    item = KitItem(
        id=id, table=own.table, name=own.gear.name, quantity=quantity, unit_price=own.cents / 100, owned=False,
        mass_kg=own.mass, length_m=own.length,
    )  # fmt: skip
    cost = result.purchase_cost + item.price
    return result.model_copy(update={"items": (*result.items, item), "purchase_cost": cost, "bound": cost})


def _swapped(name: str, job: str, part: str, id: str, quantity: int = 1) -> Case:
    """A demo result in which one part of one job type is another item of the catalogue."""
    plan, result = _plan(name), _result(name)
    if id not in {item.id for item in result.items}:
        result = _bought(plan, result, id, quantity)
    return plan, _with_assignment(result, job, parts=_of(result, job).parts | {part: id})


def _first(name: str, technique: str) -> str:
    return next(job.job for job in _plan(name).jobs if job.technique == technique)


LOWER, LIFT, CATCH = (_first("new_owner", technique) for technique in ("lower", "lift", "catch"))
HEAVY = "heavy maple limbs"


def _kit(name: str = "new_owner", **changes: Any) -> Case:
    return _plan(name), _result(name).model_copy(update=changes)


def _dropped(item: str) -> Case:
    return _kit(items=tuple(other for other in _result("new_owner").items if other.id != item))


def _brake(**changes: Any) -> Case:
    """The list with another entry for the brake."""
    return _listed(_part(LOWER, "brake"), **changes)


def _listed(item: str, /, **changes: Any) -> Case:
    return _plan("new_owner"), _with_item(_result("new_owner"), item, **changes)


def _assigned(job: str, /, **changes: Any) -> Case:
    return _plan("new_owner"), _with_assignment(_result("new_owner"), job, **changes)


def _parts(job: str, add: dict[str, str] | None = None, drop: tuple[str, ...] = ()) -> Case:
    parts = {part: id for part, id in _of(_result("new_owner"), job).parts.items() if part not in drop}
    return _assigned(job, parts=parts | (add or {}))


def _job(name: str, **changes: Any) -> Case:
    """A demo result against a plan that says something else."""
    return _with_job(_plan("new_owner"), name, **changes), _result("new_owner")


def _one_sling_for_two_parts(pieces: int) -> Case:
    plan, result = _plan("new_owner"), _bought(_plan("new_owner"), _result("new_owner"), "RO40", pieces)
    both = {"redirect_sling": "RO40", "brake_sling": "RO40"}
    return plan, _with_assignment(result, CATCH, parts=_of(result, CATCH).parts | both)


def _part(job: str, part: str) -> str:
    return _of(_result("new_owner"), job).parts[part]


def _owned_in_the_kit(item: str, quantity: int = 1) -> Case:
    """The company's result with a further item that is said to be owned."""
    plan = _plan("company")
    result = _bought(plan, _result("company"), item)
    changes = {"id": f"owned:{item}", "owned": True, "unit_price": 0.0, "quantity": quantity}
    return plan, _with_item(result, item, **changes)


def _crew(**changes: Any) -> Case:
    plan, result = _plan("new_owner"), _result("new_owner")
    crew = plan.settings.crew.model_copy(update=changes)
    return replace(plan, settings=plan.settings.model_copy(update={"crew": crew})), result


def _stricter() -> Case:
    plan, result = _plan("new_owner"), _result("new_owner")
    survival = plan.policy.survival.model_copy(update={"factor": 5.0})
    return replace(plan, policy=plan.policy.model_copy(update={"survival": survival})), result


def _utilisation(job: str, part: str, share: float) -> Case:
    told = _of(_result("new_owner"), job).utilisation
    return _assigned(job, utilisation=told | {part: told[part] * share})


def _turned_state(job: str, part: str) -> Case:
    told = _of(_result("new_owner"), job).governing
    return _assigned(job, governing=told | {part: "working" if told[part] == "jam" else "jam"})


def _assignments(*jobs: str) -> Case:
    result = _result("new_owner")
    return _kit(assignments=(*result.assignments, *(_of(result, job) for job in jobs)))


def _cost(share: float, more: float = 0.0) -> float:
    return share * _result("new_owner").purchase_cost + more


TAMPERED: dict[str, tuple[Callable[[], Case], str]] = {
    "thinner rope": (lambda: _swapped("new_owner", HEAVY, "line", "DB10-60"), "line 'DB10-60' is loaded to"),
    "shorter rope": (lambda: _swapped("new_owner", "high pine pieces", "line", "DB127-30"), "is 30 m long"),
    "rope too thick": (lambda: _swapped("new_owner", LOWER, "line", "DB22-60"), "takes rope of"),
    "item removed": (lambda: _dropped(_part(LOWER, "redirect")), "not in the kit"),
    "item of no catalogue": (lambda: _brake(id="PB-?"), "neither in the catalogue nor owned"),
    "item listed twice": (lambda: _kit(items=_result("new_owner").items * 2), "is listed twice"),
    "quantity of nothing": (lambda: _brake(quantity=0), "has a quantity of 0"),
    "one sling for two parts": (lambda: _one_sling_for_two_parts(1), "at once, and the kit has 1"),
    "utilisation eased": (lambda: _utilisation(HEAVY, "line", 0.999), "is reported at"),
    "utilisation left out": (lambda: _assigned(HEAVY, utilisation={}), "utilisation is given for other parts"),
    "governing state turned": (lambda: _turned_state(CATCH, "line"), "is said to be governed by"),
    "line tension eased": (lambda: _assigned(HEAVY, line_tension_n=1000.0), "line tension is reported as 1000 N"),
    "reaction eased": (lambda: _assigned(HEAVY, redirect_reaction_n=1.0), "force on the redirect is reported"),
    "jam left out": (lambda: _assigned(CATCH, line_tension_jam_n=0.0), "line tension in the jam is reported as 0 N"),
    "drop left out": (lambda: _assigned(CATCH, drop_below_cut_m=None), "drop below the cut is reported as None"),
    "price lowered": (lambda: _brake(unit_price=1.0), "is priced at 1.00"),
    "cost lowered": (lambda: _kit(purchase_cost=_cost(1, -0.01), bound=_cost(1, -0.01)), "is said to cost"),
    "bound above the cost": (lambda: _kit(bound=_cost(1, 1)), "is above the cost"),
    "bound below the cost": (lambda: _kit(bound=_cost(1, -1)), "is called the cheapest, but"),
    "gap hidden": (lambda: _kit(bound=_cost(0.5), status="planned, optimum not proven"), "The gap is said to be 0 %"),
    "ring for a lift": (lambda: _swapped("new_owner", LIFT, "redirect", "RI-S"), "has no sheave"),
    "redirect not for catching": (lambda: _swapped("new_owner", CATCH, "redirect", "PU-L"), "not made for catching"),
    "brake not for catching": (lambda: _swapped("new_owner", CATCH, "brake", "PB-XS"), "not made for catching"),
    "not set from the ground": (
        lambda: _swapped("training_ground", _first("training_ground", "lower"), "redirect", "RS-S"),
        "can't be set from the ground",
    ),
    "puller on braided rope": (lambda: _swapped("new_owner", LIFT, "lifter", "RP-7"), "grips laid rope only"),
    "travel too short": (lambda: _job(LIFT, lift_height=9.0), "m are needed"),
    "nobody pulls": (lambda: _crew(ground_workers=0), "is loaded to inf %"),
    "too old": (lambda: _owned_in_the_kit("DB16-60"), "in use for 6 years"),
    "worn": (lambda: _owned_in_the_kit("DB127-60"), "worn: not used for loads"),
    "never owned": (lambda: _owned_in_the_kit("BS-XL"), "neither in the catalogue nor owned"),
    "more than are owned": (lambda: _owned_in_the_kit("BS-M", 3), "is taken 3 times, 2 are owned"),
    "bought and called owned": (lambda: _brake(owned=True), "not owned, the result says otherwise"),
    "renamed": (lambda: _brake(name="bollard of gold"), "is called bollard of gold"),
    "lighter": (lambda: _brake(mass_kg=1.0), "is said to weigh 1 kg"),
    "longer": (lambda: _listed(_part(HEAVY, "line"), length_m=500.0), "is said to be 500.0 m long"),
    "extras missing": (lambda: _dropped("X-THROW"), "Extras: 1 of throw line"),
    "too few extras": (lambda: _listed("X-GLOVE", quantity=5), "Extras: 6 of gloves"),
    "another crew": (lambda: _crew(crews=2), "Extras: 12 of gloves"),
    "heavier piece": (lambda: _job(LOWER, mass=90.0, mass_high=95.0), "design mass of the piece is reported as"),
    "higher redirect": (lambda: _job(LOWER, rigging_height=40.0), "m are needed"),
    "thick stem": (lambda: _job(LOWER, stem_at_brake=1.5), "is for stems of"),
    "less room": (lambda: _job(CATCH, clearance=2.0), "m are free"),
    "tied too short": (lambda: _job(CATCH, cut_to_redirect=0.1, tie_above_cut=0.1), "below 0.5 m"),
    "fall too high": (lambda: _job(CATCH, rigging_height=1.5), "fall over effective length"),
    "rope near its strength": (lambda: _job(CATCH, mass=900.0, mass_high=900.0), "breaking strength, above 75 %"),
    "locked instead of run": (lambda: _job(CATCH, run=0.0), "line tension is reported"),
    "stricter policy": (_stricter, "(jam)"),
    "job left out": (lambda: _kit(assignments=_result("new_owner").assignments[1:]), "is rigged 0 times"),
    "job rigged twice": (lambda: _assignments(LOWER), "is rigged 2 times"),
    "job of another plan": (lambda: _assigned(LOWER, job="elm"), "the plan has no such job type"),
    "other technique": (lambda: _assigned(LOWER, technique="lift"), "it is rigged to lift, the plan says lower"),
    "no sling": (lambda: _parts(LOWER, drop=("brake_sling",)), "it has no brake sling"),
    "no redirect": (lambda: _parts(LOWER, drop=("redirect",)), "it has no redirect"),
    "lifter in a lower": (lambda: _parts(LOWER, {"lifter": _part(LIFT, "lifter")}), "has no place in this setup"),
    "brake beside a braked winch": (lambda: _swapped("new_owner", LIFT, "lifter", "SW-10B"), "has no place"),
    "sling for a brake": (lambda: _parts(LOWER, {"brake": _part(LOWER, "brake_sling")}), "not from brakes"),
    "part of no setup": (lambda: _parts(LOWER, {"anchor": "RO20"}), "there is no part 'anchor'"),
    "a kit that covers nothing": (
        lambda: _kit(uncovered=(Uncovered(job=LOWER, technique="lower", part="line", shortfall="", remedy=""),)),
        "still says that nothing carries",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TAMPERED)
def test_names_what_was_tampered_with(name: str) -> None:
    tamper, words = TAMPERED[name]
    fault = _one(check_kit(*tamper()), words)
    assert fault.endswith(".") and any(mark in fault for mark in "'0123456789")


def test_enough_slings_for_both_parts_are_no_fault_of_number() -> None:
    assert not any("at once" in fault for fault in check_kit(*_one_sling_for_two_parts(2)))


def test_extras_are_not_asked_for_where_the_plan_wants_none() -> None:
    plan, result = _dropped("X-THROW")
    bare = replace(plan, settings=plan.settings.model_copy(update={"extras": False}))
    assert not any("Extras" in fault for fault in check_kit(bare, result))


@pytest.mark.parametrize("name", FOLDERS)
def test_its_list_of_gear_is_the_one_that_kits_are_made_from(name: str) -> None:
    plan = _plan(name)
    items, notes = stock(plan.catalogue, plan.owned, plan.policy)
    usable, left_out = on_hand(plan)
    assert {item.id: item.price for item in items} == {id: item.cents for id, item in usable.items()}
    assert {item.id for item in items if item.owned} == {
        id for id, item in usable.items() if item.limit is not None
    }
    assert [item.id for item in items if abs(item.mass / 1000 - usable[item.id].mass) > 0.0006] == []
    assert bool(notes) == bool(left_out)


def test_owned_gear_of_several_rows_is_told_apart_by_its_row() -> None:
    """The first row that may be used has the plain name, whatever stands above it."""
    rows = [
        OwnedGear(item="RO20", age=age * YEAR, condition=condition)  # type: ignore[arg-type]
        for age, condition in ((9, "sound"), (1, "new"), (1, "worn"), (2, "sound"))
    ]
    plan = replace(_plan("new_owner"), owned=tuple(rows))
    usable, left_out = on_hand(plan)
    owned = {id: item.condition for id, item in usable.items() if item.limit is not None}
    assert owned == {"owned:RO20": "new", "owned:RO20#4": "sound"}
    assert left_out.keys() == {"owned:RO20#1", "owned:RO20#3"}
    assert owned.keys() == {
        item.id for item in stock(plan.catalogue, plan.owned, plan.policy)[0] if item.owned
    }


# the package exports a function of that name, which hides the module
demands = import_module("recommender.loads.demands")
SLIPS: dict[str, tuple[object, str, object]] = {
    "wraps": (demands, "HOLDING_WRAPS", 3.0),
    "friction on the drum": (demands, "LOW_BOLLARD_FRICTION", 0.15),
    "manner of the lift": (demands, "LIFT_MANNER", {"smooth": 1.0, "jerky": 1.0, "snatched": 1.0}),
    "steady lower": (demands, "STEADY_LOWERING_FLOOR", 1.0),
    "soft lower": (demands, "soft_lowering_peak", lambda weight, *_: 2.0 * weight),
    "locked catch": (demands, "peak_tension_locked", lambda weight, *_: 5.0 * weight),
    "legs": (demands, "redirect_reaction", lambda lead, fall, angle: 2 * fall),
    "length of the rope": (demands, "effective_length", lambda lead, fall, *_: lead + fall),
    "height of the brake": (cases, "BRAKE_HEIGHT", 2.0),
    "fall counted once": (cases, "fall_height", lambda to_redirect, centre, *_: to_redirect + centre),
    "centre of mass": (cases, "frustum_centroid", lambda *_: 2.0),
    "hand on the tackle": (fits, "WHOLE_BODY_PULL", 450.0),
}


@pytest.mark.parametrize("name", SLIPS)
def test_a_slip_in_the_model_shows(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check shares no formula and no constant with the model, so it does not follow it."""
    module, attribute, wrong = SLIPS[name]
    monkeypatch.setattr(module, attribute, wrong)
    plan = _plan("new_owner")
    few = replace(plan, jobs=tuple(job for job in plan.jobs if job.job in (LOWER, LIFT, CATCH)))
    try:
        faults = check_kit(few, plan_kit(few))
    except InternalFault as error:
        faults = [str(error)]
    assert faults
