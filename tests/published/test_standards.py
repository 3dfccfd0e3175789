"""Every row of the table of standards and handbook checks, computed by product functions.

``standards_checks.csv`` gives inputs, the expected value with its unit, tolerance and source of each case; a row that
nothing in the product computes is listed with the reason. Computing functions get the inputs of the row as text.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from math import asin, pi, radians
from pathlib import Path

import pytest

from catalog_schema.gear import Connector, Redirect, Rope, Sling
from catalog_schema.units import from_si, to_si
from recommender import physics
from recommender.physics import Values
from recommender.ratings import changed_policy, default_policy, parts, strength
from recommender.ratings.rating import Part, Rating, by_strength

Inputs = dict[str, str]
POLICY = default_policy()

NO_COUNTERPART = {
    "S088": "strength of natural rope from its circumference: strengths come from the catalogue, never from a size",
    "S089": "wire rope over a sheave: the planner has fibre ropes only",
    "S090": "wire rope over a sheave: the planner has fibre ropes only",
    "S091": "wire rope over a sheave: the planner has fibre ropes only",
    "S092": "wire rope over a sheave: the planner has fibre ropes only",
}


def rows() -> list[dict[str, str]]:
    with (Path(__file__).parent / "standards_checks.csv").open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def inputs_of(text: str) -> Inputs:
    """``size_in=3/8; wll_short_ton=1`` as text by name."""
    return {name.strip(): value.strip() for name, value in (item.split("=", 1) for item in text.split(";"))}


def number(given: Inputs, name: str) -> float:
    return float(given[name])


def angle(given: Inputs, name: str) -> float:
    return radians(number(given, name))


# --- gear for the cases (invented apart from the figures of the row) -----------------------------------------------


def a_rope(min_break: float, **changes: object) -> Rope:
    rope = Rope(
        id="r", name="rope", fibre="polyester", construction="double_braid", diameter=0.016, min_break=min_break,
        break_basis="minimum", elongation=0.05, elongation_at=0.3, mass_per_length=0.2, length=50, price=1,
    )  # fmt: skip
    return rope.model_copy(update=changes)


def a_sling(**ratings: float) -> Sling:
    return Sling(
        id="s", name="sling", price=1, kind="round", fibre="polyester", diameter=0.02, stem_min=0.1, stem_max=0.5,
        needs_knot=False, **ratings,  # type: ignore[arg-type]
    )  # fmt: skip


def a_block(**ratings: float) -> Redirect:
    return Redirect(
        id="b", name="block", price=1, kind="block", rope_min=0.01, rope_max=0.016, sheave_diameter=0.08,
        bearing="roller", takes_catch=True, **ratings,  # type: ignore[arg-type]
    )  # fmt: skip


# --- one function per kind of case ---------------------------------------------------------------------------------


def block_load(given: Inputs) -> Values:
    tension = float(given.get("line_tension", given.get("line_tension_lbf", "0")))
    return physics.redirect_reaction(tension, tension, angle(given, "angle_between_legs_deg"))


def block_load_unequal(given: Inputs) -> Values:
    lead, fall = number(given, "t1_kN"), number(given, "t2_kN")
    return physics.redirect_reaction(lead, fall, angle(given, "angle_between_legs_deg"))


def choke_angle(given: Inputs) -> Values:
    return number({"choker_rating_lbf": "1", **given}, "choker_rating_lbf") * strength.choke_angle_factor(
        angle(given, "angle_of_choke_deg")
    )


def leg_reduction(given: Inputs) -> Values:
    return strength.leg_angle_factor(angle(given, "leg_angle_from_horizontal_deg"))


def leg_tension(given: Inputs) -> Values:
    return strength.leg_tension(1.0, 1, angle(given, "leg_angle_from_horizontal_deg"))


def capacity_from_height(given: Inputs) -> Values:
    leg_angle = asin(number(given, "height_ft") / number(given, "leg_length_ft"))
    return number(given, "choker_rating_lbf") * strength.leg_angle_factor(leg_angle)


def basket_from_leg(given: Inputs) -> Values:
    return number(given, "vertical_lbf") * strength.basket_factor(
        angle(given, "leg_angle_from_horizontal_deg")
    )


def natural_choker(given: Inputs) -> Values:
    """The hitch of a natural fibre rope sling in the default policy, and the published table."""
    strong = a_sling(min_break=number(given, "vertical_lbf")).model_copy(update={"fibre": "natural"})
    jam = parts.rate_sling(strong, "catch", "jam", policy=POLICY)
    hitch = next(step.value for step in jam.factors if step.name == "hitch on the stem")
    assert hitch == strength.choker_factor("natural")
    return number(given, "vertical_lbf") * hitch


MODES = {
    "basket, vertical legs": "basket_parallel",
    "basket or 2-leg, 0-45 deg from vertical": "two_legs_45",
    "basket or 2-leg, 45-60 deg from vertical": "two_legs_60",
    "3-4 leg, 45-60 deg from vertical": "four_legs_60",
}


def sling_by_mode(given: Inputs) -> Values:
    rating = number(given, "wll_t")
    if given["mode"] != "choke":
        return rating * strength.mode_factor(MODES[given["mode"]])
    tagged = parts.rate_sling(a_sling(wll=rating), "lower", "working", policy=POLICY)
    assert tagged.rule == "tag"
    return tagged.capacity


def basket_from_included_angle(given: Inputs) -> Values:
    leg_angle = pi / 2 - angle(given, "included_angle_deg") / 2
    return number(given, "wll_kg") * strength.basket_factor(leg_angle)


def load_over_line_pull(given: Inputs) -> Values:
    return 1 / physics.lead_line_factor(int(given["parts"]), number(given, "loss_per_sheave_factor"))


def lead_line(given: Inputs) -> Values:
    return physics.lead_line_factor(int(given["parts"]), number(given, "k"), int(given["extra_sheaves"]))


def tackle_advantage(given: Inputs) -> Values:
    """Lead straight off the upper block: that sheave turns the pull only."""
    return physics.simple_tackle_advantage(int(given["parts"]), number(given, "sheave_efficiency"), 1)


def tackle_pull(given: Inputs) -> Values:
    return number(given, "load_lbf") / tackle_advantage(given)


def tackle_pull_by_allowance(given: Inputs) -> Values:
    load, allowance = number(given, "load_lbf"), number(given, "allowance_per_sheave")
    return physics.tackle_pull_with_allowance(load, int(given["parts"]), int(given["sheaves"]), allowance)


def hold_after_turns(given: Inputs) -> Values:
    return physics.capstan_hold_force(
        number(given, "load_kgf"), number(given, "mu"), 2 * pi * number(given, "turns")
    )


def friction_from_raise_and_lower(given: Inputs) -> Values:
    raising, lowering = number(given, "t_raise"), number(given, "t_lower")
    return physics.friction_from_raise_and_lower(raising, lowering, angle(given, "angle_deg"))


def friction_from_hold(given: Inputs) -> Values:
    high, low = number(given, "t_high_lbf"), number(given, "t_low_lbf")
    return physics.friction_from_hold(high, low, 2 * pi * number(given, "turns"))


def hold_of_a_mass(given: Inputs) -> Values:
    weight = number(given, "load_kg") * number(given, "g")
    return physics.capstan_hold_force(weight, number(given, "mu"), angle(given, "angle_deg"))


def wet_over_dry_amplification(given: Inputs) -> Values:
    dry, wet = (
        physics.capstan_load_force(1.0, number(given, f"mu_{state}"), angle(given, f"angle_{state}_deg"))
        for state in ("dry", "wet")
    )
    return wet / dry


def raise_over_tube(given: Inputs) -> Values:
    return physics.capstan_load_force(
        number(given, "load_kgf"), number(given, "mu"), angle(given, "angle_deg")
    )


def rope_all_in(given: Inputs) -> Values:
    """A spliced dry rope in the lowering technique: the all-in rule is the lower one."""
    policy, _ = changed_policy({"line_tie": "eye"})
    rope = a_rope(number(given, "mbs_lbf"), termination="spliced_eye")
    rating = parts.rate_line(rope, "lower", "working", policy=policy, wet=False)
    assert rating.rule == "all-in 10:1"
    return rating.capacity


def rope_over_factor(given: Inputs) -> Values:
    factor = number(given, "design_factor")
    part: Part = "rope_explicit" if factor < 10 else "rope_all_in"
    policy, problems = changed_policy({"design_factor": {part: {"lower": factor}}})
    assert not problems
    return by_strength(number(given, "mbs_lbf"), "breaking strength", (), part, "lower", policy).capacity


def mass_for_load(given: Inputs) -> Values:
    return from_si(to_si(number(given, "safe_load_kN"), "kN", "force"), "kgf", "force")


def ultimate_from_wll(given: Inputs) -> Values:
    """The survival state of a shackle with a tag only gives back the strength that is assumed."""
    wll = to_si(number(given, "wll_short_ton"), "stf", "force")
    shackle = Connector(id="c", name="shackle", price=1, kind="shackle", wll=wll)
    jam = parts.rate_connector(shackle, "catch", "jam", policy=POLICY)
    return from_si(jam.capacity * POLICY.survival.factor, "lbf", "force")


def unmarked_shackle(given: Inputs) -> Values:
    diameter = to_si(number(given, "diameter_in"), "in", "size")
    return from_si(float(strength.unmarked_shackle_wll(diameter)), "lbf", "force")


def side_load(given: Inputs) -> Values:
    return number(given, "wll_kN") * strength.side_load_factor(angle(given, "side_angle_deg"))


def carbon_shackle(given: Inputs) -> Values:
    return from_si(strength.shackle_wll("carbon", f"{given['size_in']} in"), "kN", "force")


def cow_hitch_in_hmpe(given: Inputs) -> Values:
    return number(given, "mbs_lbf") * strength.termination_efficiency("hmpe", "cow hitch")


def bowline_in_laid_rope(given: Inputs) -> Values:
    return number(given, "mbs_lbf") * strength.termination_efficiency("laid", "bowline")


def wet_nylon(given: Inputs) -> Values:
    rope = a_rope(number(given, "mbs_kip"), fibre="nylon")
    wet, dry = (parts.rate_line(rope, "lower", "working", policy=POLICY, wet=wet) for wet in (True, False))
    return number(given, "mbs_kip") * wet.capacity / dry.capacity


def kip_to_kn(given: Inputs) -> Values:
    return from_si(to_si(number(given, "force_kip"), "kip", "force"), "kN", "force")


def tonnes_to_kn(given: Inputs) -> Values:
    return from_si(to_si(number(given, "mass_t"), "tf", "force"), "kN", "force")


def pounds_to_kn(given: Inputs) -> Values:
    return from_si(to_si(number(given, "force_lbf"), "lbf", "force"), "kN", "force")


def whole_body_pull(given: Inputs) -> Values:
    assert physics.WHOLE_BODY_PULL.value == number(given, "limit_N")
    return from_si(physics.WHOLE_BODY_PULL.value, "lbf", "force")


def turns_to_hold(given: Inputs) -> Values:
    return physics.wraps_needed(number(given, "load_N"), number(given, "hold_N"), number(given, "mu"))


def steps_of(rating: Rating) -> dict[str, float]:
    spots = {step.name.split()[0]: step.value for step in rating.other_spots}
    return spots | {step.name.split()[0]: step.value for step in rating.factors}


def knotted_rope_over_block(given: Inputs) -> Values:
    """The default policy gives the row's factors for a wet polyester rope over a bend of four diameters."""
    rope = a_rope(number(given, "mbs_kN"))
    rating = parts.rate_line(rope, "lower", "working", policy=POLICY, bend_ratio=4.0, condition="sound")
    expected = [number(given, name) for name in ("termination", "bend", "wet", "age", "df_explicit")]
    steps = steps_of(rating)
    assert [steps[name] for name in ("knot", "bend", "wet", "condition", "design")] == expected
    return rating.capacity


def spliced_rope(given: Inputs) -> Values:
    policy, _ = changed_policy({"line_tie": "eye"})
    rope = a_rope(number(given, "mbs_kN"), termination="spliced_eye")
    rating = parts.rate_line(rope, "lower", "working", policy=policy, bend_ratio=8.0, condition="sound")
    steps = steps_of(rating)
    assert [steps["eye"], steps["bend"], steps["design"]] == [
        number(given, name) for name in ("termination", "bend", "df_all_in")
    ]
    assert rating.rule == "all-in 10:1"
    return rating.capacity


def tagged_sling_choked(given: Inputs) -> Values:
    tagged = a_sling(wll=number(given, "vertical_wll_kN"))
    rating = parts.rate_sling(tagged, "lower", "working", policy=POLICY)
    assert [step.value for step in rating.factors] == [number(given, "choker_factor")]
    return rating.capacity * strength.choke_angle_factor(angle(given, "angle_of_choke_deg"))


def block_utilisation(given: Inputs) -> Values:
    tension = number(given, "line_tension_kN")
    demand = physics.redirect_reaction(tension, tension, angle(given, "angle_between_legs_deg"))
    block = a_block(wll=number(given, "wll_kN"))
    return demand / parts.rate_redirect(block, "lower", "working", policy=POLICY).capacity


def spread(
    first: int, last: int, compute: Callable[[Inputs], Values]
) -> dict[str, Callable[[Inputs], Values]]:
    return {f"S{case:03d}": compute for case in range(first, last + 1)}


COMPUTED: dict[str, Callable[[Inputs], Values]] = {
    **spread(1, 11, block_load),
    "S012": block_load_unequal,
    **spread(13, 18, choke_angle),
    **spread(19, 23, leg_reduction),
    **spread(24, 25, leg_tension),
    "S026": capacity_from_height,
    **spread(27, 28, basket_from_leg),
    "S029": natural_choker,
    **spread(30, 31, basket_from_leg),
    "S032": natural_choker,
    **spread(33, 37, sling_by_mode),
    **spread(38, 39, basket_from_included_angle),
    **spread(40, 53, load_over_line_pull),
    "S054": lead_line,
    "S055": tackle_advantage,
    **spread(56, 57, tackle_pull),
    "S058": tackle_pull_by_allowance,
    **spread(59, 61, hold_after_turns),
    **spread(62, 67, friction_from_raise_and_lower),
    "S068": friction_from_hold,
    "S069": hold_of_a_mass,
    "S070": wet_over_dry_amplification,
    "S071": raise_over_tube,
    "S072": rope_all_in,
    "S073": rope_over_factor,
    "S074": mass_for_load,
    **spread(75, 76, rope_over_factor),
    "S077": ultimate_from_wll,
    "S078": unmarked_shackle,
    "S079": side_load,
    **spread(80, 82, carbon_shackle),
    "S083": cow_hitch_in_hmpe,
    "S084": bowline_in_laid_rope,
    "S085": wet_nylon,
    **spread(86, 87, kip_to_kn),
    "S093": tonnes_to_kn,
    "S094": pounds_to_kn,
    "S095": whole_body_pull,
    "S096": turns_to_hold,
    "S097": knotted_rope_over_block,
    "S098": spliced_rope,
    "S099": tagged_sling_choked,
    "S100": block_utilisation,
}


def test_every_row_is_computed_or_has_a_reason() -> None:
    cases = [row["case_id"] for row in rows()]
    assert len(cases) == len(set(cases)) == 100
    assert set(COMPUTED) | set(NO_COUNTERPART) == set(cases)
    assert not set(COMPUTED) & set(NO_COUNTERPART)


@pytest.mark.parametrize(
    "row", [row for row in rows() if row["case_id"] in COMPUTED], ids=lambda row: row["case_id"]
)
def test_the_row_is_met(row: dict[str, str]) -> None:
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    allowed = tolerance * abs(expected) if row["tolerance_type"] == "rel" else tolerance
    found = float(COMPUTED[row["case_id"]](inputs_of(row["inputs"])))
    assert abs(found - expected) <= allowed + 1e-12, f"{row['description']}: {found} for {row['expected']}"
