"""Every row of the two tables of force checks, computed by product functions.

``force_checks.csv``: published and derived cases, tolerance in percent. ``force_checks_sim.csv``: cases computed by an
independent time stepping (there mu and phi = pi: r = exp(-mu * pi)), tolerance absolute.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from math import exp, inf, pi, radians
from pathlib import Path

import pytest

from recommender import physics
from recommender.physics import simulation

HERE = Path(__file__).parent
GRAVITY = physics.STANDARD_GRAVITY.value
Inputs = dict[str, float]

NOT_COMPUTED = {
    "info": "a measured band or a statement; nothing in the product computes it",
    "thumb_rule": "a rule of thumb quoted in a forum; the product does not use it",
}


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def inputs_of(text: str) -> Inputs:
    """``m=80; h=4.6`` as numbers; words stay out."""
    pairs = (item.split("=", 1) for item in text.split(";") if "=" in item)
    found = {}
    for name, value in pairs:
        try:
            found[name.strip()] = float(value)
        except ValueError:
            continue
    return found


# --- force_checks.csv -------------------------------------------------------------------------------------------


def weight_of(given: Inputs) -> float:
    return given["W"] if "W" in given else given["m"] * given.get("g", GRAVITY)


def length_of(given: Inputs) -> float:
    """With the exponent where a row gives a power law; the design form takes ``r`` itself, the safe side."""
    n = given["n"] if "mbs" in given else 1.0
    return physics.effective_length(given["L_lead"], given.get("L_fall", 0.0), given.get("r", 1.0), n)


def law_of(given: Inputs) -> tuple[float, float]:
    """Constant and exponent of the rope."""
    if "EA" in given:
        return given["EA"], 1.0
    n = given["n"]
    return physics.rope_constant(given["mbs"], given["frac_ref"], given["eps_ref"], n), n


def locked(given: Inputs) -> float:
    if "k" in given:
        return physics.peak_tension_locked(weight_of(given), given["h"], 1.0, given["k"], 1.0)
    return physics.peak_tension_locked(weight_of(given), given["h"], length_of(given), *law_of(given))


def design(given: Inputs) -> float:
    return physics.peak_tension_secant(
        weight_of(given), given["h"], length_of(given), given["EA_s"], given["n"]
    )


def from_impact(given: Inputs) -> float:
    return physics.rope_constant_from_impact(weight_of(given), given["f"], 1.0, given["F"])


def capstan(given: Inputs) -> float:
    mu = given["mu"]
    if "groove" in given:
        mu = physics.groove_friction(mu, radians(given["groove"]))
    return physics.capstan_load_force(1.0, mu, 2 * pi * given["turns"])


def raise_lower(given: Inputs) -> float:
    return physics.friction_from_raise_and_lower(given["T_raise"], given["T_lower"], radians(given["deg"]))


def rigid_swing(given: Inputs) -> float:
    return physics.swing_tension(
        weight_of(given), radians(given["theta0"]), radians(given["theta"]), given.get("v0sq_over_gL", 0.0)
    )


def elastic_swing(given: Inputs) -> float:
    return physics.swing_peak(weight_of(given), radians(given["theta0"]), given["slack"], given["k"])


def stiffness_ratio(given: Inputs) -> float:
    """The product's stiffness of this rope over its break strength, from the printed stiffness of the same row."""
    computed = physics.NYLON_DOUBLE_BRAID_STIFFNESS.value * given["MBS"]
    assert computed == pytest.approx(given["AE"], rel=0.005)
    return computed / given["MBS"]


def locked_and_run(given: Inputs) -> tuple[float, float]:
    case = (weight_of(given), given["h"], length_of(given), *law_of(given))
    force = physics.running_force(physics.peak_tension_locked(*case), given["F_slip"], given["r"])
    return force, physics.run_at_slip(*case, given["F_slip"], given["r"])


def drop_of_running(given: Inputs) -> float:
    force, run = locked_and_run(given)
    return physics.lowest_point_drop(given["h"], force, length_of(given), *law_of(given), run=run, creep=0.0)


def emergency_stop(given: Inputs) -> float:
    """Deceleration of a stop: the force over the weight, less the weight itself."""
    return (physics.stop_force(1.0, given["v"], given["d"]) - 1) * GRAVITY


def hoist_block(given: Inputs) -> float:
    return physics.hoist_redirect_reaction(weight_of(given), given["eta"])


def tip_lift(given: Inputs) -> float:
    return physics.tip_lift_tension(
        weight_of(given),
        given["a_com"],
        given["a_tie"],
        radians(given.get("rope_angle", 90.0)),
        hinge_moment=given.get("M_hinge", 0.0),
    )


def stretch_to_take_up(given: Inputs) -> float:
    fall = physics.hoist_fall_tension(given["T"], given["eta"])
    return physics.take_up(given["T"], fall, given["L_lead"], given["L_fall"], given["EA"], hitch_set=0.0)


def rope_of(given: Inputs) -> simulation.RopeOverRedirect:
    constant, exponent = law_of(given)
    return simulation.RopeOverRedirect(
        lead_length=given["L_lead"],
        fall_length=given["L_fall"],
        constant=constant,
        exponent=exponent,
        r=given["r"],
        slip_tension=given.get("F_slip", inf),
        damping_ratio=given.get("zeta_rope", 0.0),
    )


def simulated_catch(given: Inputs) -> simulation.CatchHistory:
    stem = None
    if "k_stem" in given:
        stem = simulation.Stem(given["k_stem"], given["m_stem"], given["zeta_stem"])
    return simulation.simulate_catch(given["m"], given["h"], rope_of(given), stem)


def simulated_log(given: Inputs) -> float:
    lead = physics.lead_length(given["s"], given["a_tie"], 0.0)
    rope = rope_of({**given, "L_lead": lead})
    log = simulation.FallingLog(
        mass=given["m"],
        length=given["length"],
        tie_above_cut=given["a_tie"],
        cut_to_redirect=given["s"],
        parting_angle=radians(given["release"]),
    )
    return simulation.simulate_log_catch(log, rope, duration=3.0).peak_lead


def simulated_swing(given: Inputs) -> float:
    stiffness = given["EA"] / length_of(given)
    return simulation.simulate_swing(
        given["m"], radians(given["theta0"]), given["L_lead"], stiffness
    ).peak_lead


MODELS: dict[str, Callable[[Inputs], float]] = {
    "impact_factor": locked,
    "peak_locked": locked,
    "peak_locked_law": locked,
    "peak_design": design,
    "fall_factor": lambda a: physics.fall_factor(a["h"], a["L"]),
    "rope_EA_from_impact": from_impact,
    "capstan_ratio": capstan,
    "mu_raise_lower": raise_lower,
    "efficiency": lambda a: physics.hoist_efficiency(a["T_load"], a["T_haul"]),
    "z_rig": lambda a: physics.z_rig_advantage(a["eta_hand"], a["eta_far"]),
    "ma_simple": lambda a: physics.simple_tackle_advantage(a["parts"], a["eta"], a.get("redirects", 0)),
    "swing": rigid_swing,
    "swing_design": elastic_swing,
    "ode_swing": lambda a: simulated_swing({**a, "L_lead": a["L"]}),
    "resultant": lambda a: physics.redirect_reaction(a["T1"], a["T2"], radians(a["angle"])),
    "sheave_ratio_bearing": lambda a: physics.sheave_ratio(a["R"], a["rb"], a["mu"]),
    "ea_ratio": stiffness_ratio,
    "fall_height": lambda a: physics.fall_height(a["s"], a["a_com"], a["a_tie"], a["slack"]),
    "ode_catch": lambda a: simulated_catch(a).peak_lead,
    "ode_catch_run": lambda a: simulated_catch(a).run_out,
    "ode_log": simulated_log,
    "running_force": lambda a: locked_and_run(a)[0],
    "running_drop": drop_of_running,
    "slip_force": lambda a: physics.slip_force(a["grip"], a["mu"], a["turns"]),
    "stop_accel": emergency_stop,
    "stop_force": lambda a: physics.stop_force(weight_of(a), a["v"], a["d"]),
    "hinge_break": lambda a: physics.hinge_break_peak(weight_of(a), a["T0"]),
    "tip_lift": tip_lift,
    "lift_block": hoist_block,
    "takeup": stretch_to_take_up,
}

FORCE_ROWS = rows("force_checks.csv")
COMPUTED = [row for row in FORCE_ROWS if row["model"] not in NOT_COMPUTED]


@pytest.mark.parametrize("row", COMPUTED, ids=lambda row: row["id"])
def test_force_check(row: dict[str, str]) -> None:
    model = row["model"] + ("_run" if "out=run" in row["inputs"] else "")
    found = MODELS[model](inputs_of(row["inputs"]))
    if row["tolerance"] == "range":
        low, high = (float(end) for end in row["expected"].split(".."))
        assert low <= found <= high
    else:
        share = float(row["tolerance"].rstrip("%")) / 100
        assert found == pytest.approx(float(row["expected"]), rel=share)


def test_rows_left_out_are_those_without_a_counterpart() -> None:
    left_out = {row["id"] for row in FORCE_ROWS if row["model"] in NOT_COMPUTED}
    assert left_out == {"F043", "F044", "F045", "F046", "F047", "F048", "F049"}
    assert len(COMPUTED) == 69


# --- force_checks_sim.csv ---------------------------------------------------------------------------------------


def sim_case(given: Inputs) -> tuple[float, float, float, float, float]:
    length = physics.effective_length(given["L1_m"], given["L2_m"], sim_r(given))
    return given["m_kg"] * GRAVITY, given["H_m"], length, given["EA_N"], 1.0


def sim_r(given: Inputs) -> float:
    return exp(-given["mu"] * pi)


def sim_rope(given: Inputs) -> simulation.RopeOverRedirect:
    return simulation.RopeOverRedirect(
        lead_length=given["L1_m"],
        fall_length=given["L2_m"],
        constant=given["EA_N"],
        exponent=1.0,
        r=sim_r(given),
        slip_tension=given.get("hold_N", inf),
        lengths_follow=False,
    )


def sim_locked(given: Inputs, text: str) -> float:
    lead = physics.peak_tension_locked(*sim_case(given))
    return lead if "T1" in text else physics.redirect_reaction(lead, lead * sim_r(given), 0.0)


def sim_running(given: Inputs, text: str) -> float:
    if "T1" in text:
        return physics.peak_tension_running(*sim_case(given), given["run_m"])
    return physics.run_at_slip(*sim_case(given), given["hold_N"], sim_r(given))


def sim_climbing(given: Inputs, text: str) -> float:
    return physics.peak_tension_locked(given["m_kg"] * GRAVITY, given["fall_factor"], 1.0, given["EA_N"], 1.0)


SIM_MODELS: dict[str, Callable[[Inputs, str], float]] = {
    "catch_locked": lambda a, _: physics.peak_tension_locked(a["W"], a["H"], 1.0, 5e4, 1.0),
    "climbing_fall": sim_climbing,
    "pendulum": lambda a, _: physics.swing_tension(a["W"], radians(a["a0_deg"])),
    "redirect_angle": lambda a, _: physics.redirect_reaction(a["T"], a["T"], radians(a["q_deg"])),
    "capstan": lambda a, _: physics.friction_from_hold(5000.0, 80.0, 2 * pi * a["turns"]),
    "tackle": lambda a, _: a["W"] / physics.simple_tackle_advantage(a["parts"], a["eta"], 1),
    "catch_locked_sim": sim_locked,
    "catch_running_sim": sim_running,
}

SIM_ROWS = rows("force_checks_sim.csv")


@pytest.mark.parametrize("row", SIM_ROWS, ids=lambda row: row["check_id"])
def test_force_check_of_independent_stepping(row: dict[str, str]) -> None:
    found = SIM_MODELS[row["kind"]](inputs_of(row["inputs"]), row["inputs"])
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tol_abs"]))


def simulated(given: Inputs) -> simulation.CatchHistory:
    """With the model of the table: strains refer to the lengths at rest."""
    return simulation.simulate_catch(given["m_kg"], given["H_m"], sim_rope(given))


SIMULATED = {"quantity=T1": "peak_lead", "quantity=R": "peak_reaction", "quantity=run_m": "run_out"}


@pytest.mark.parametrize(
    "row",
    [row for row in SIM_ROWS if row["kind"].endswith("_sim") and "; run_m=" not in row["inputs"]],
    ids=lambda row: row["check_id"],
)
def test_simulation_repeats_the_independent_stepping(row: dict[str, str]) -> None:
    given = inputs_of(row["inputs"])
    quantity = next(name for text, name in SIMULATED.items() if text in row["inputs"])
    found = getattr(simulated(given), quantity)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tol_abs"]))
