"""What the trade knows, computed by the product: each is common practice, no source, unless it names one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from catalog_schema.catalogue import Catalogue, RopeLength, load_catalogue
from catalog_schema.gear import Redirect, Rope
from recommender.kit.fits import Fits
from recommender.kit.planning import PreparedPlan, plan_kit, prepare
from recommender.kit.result import KitResult
from recommender.kit.stock import stock
from recommender.physics import FrictionClass
from recommender.ratings import default_policy
from recommender.work.cases import load_cases
from recommender.work.plan import Plan, load_plan
from recommender.work.settings import Crew, LineAllowances
from recommender.work.tables import TECHNIQUES, JobType

TESTS = Path(__file__).parents[1]
CATALOGUE = TESTS.parent / "demo_catalog"
TALL_TREE = TESTS / "demo" / "tall_tree_plan"
DEMO_PLANS = ("new_owner", "company", "training_ground")
WORKING, JAM = 0, 1

Floats = NDArray[np.float64]


@cache
def prepared(name: str) -> PreparedPlan:
    return prepare(load_plan(CATALOGUE / name))


@cache
def catalogue() -> Catalogue:
    return load_catalogue(CATALOGUE)


def may_serve(plan: PreparedPlan, case: int, part: str) -> set[str]:
    """Catalogue ids of the items that serve as a part in some way to rig a load case."""
    ways = plan.problem.ways()
    sets = ways.needs[ways.case == case, ways.parts.index(part)]
    return {plan.fits.items[member].gear.id for words in sets for member in ways.members(words)}


def cases_of(plan: PreparedPlan, technique: str) -> list[int]:
    return [k for k, case in enumerate(plan.fits.cases) if case.technique == technique]


def job(technique: str, **own: object) -> JobType:
    """One piece, taken down by a technique; sizes in metres."""
    catching = {"cut_to_redirect": 0.5, "tie_above_cut": 0.4} if technique == "catch" else {}
    lifting = {"lift_height": 1.0} if technique == "lift" else {}
    same = {
        "job": technique, "technique": technique, "share": 1.0, "species": "red maple", "diameter": 0.25,
        "length": 1.5, "rigging_height": 12.0, "stem_at_redirect": 0.3, "stem_at_brake": 0.45,
    }  # fmt: skip
    return JobType.model_validate(same | catching | lifting | own)


def fits_of(*jobs: JobType) -> Fits:
    items, _ = stock(catalogue(), (), default_policy())
    return Fits(load_cases(jobs, LineAllowances(), 500), items, default_policy(), Crew(ground_workers=2))


@dataclass(frozen=True)
class Catch:
    """The same catch in every rope of the catalogue over one kind of redirect."""

    fits: Fits
    friction: int

    def at(self, name: str, rope: Rope, state: int = JAM) -> float:
        line = [one.rope.id for one in self.fits.lines.types].index(rope.id)
        values: Floats = getattr(self.fits.demands, name)
        return float(
            values[0, line, self.friction] if name == "drop" else values[state, 0, line, self.friction]
        )


def catch(has_sheave: bool, **own: object) -> Catch:
    fits = fits_of(job("catch", **own))
    return Catch(fits, next(k for k, one in enumerate(fits.frictions) if one.has_sheave == has_sheave))


def ropes(fibre: str, construction: str) -> dict[float, Rope]:
    """Ropes of one make by diameter, one row each."""
    found = [rope for rope in catalogue().ropes if (rope.fibre, rope.construction) == (fibre, construction)]
    return {rope.diameter: rope for rope in reversed(found) if rope.termination == "cut_end"}


# --- lifting --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DEMO_PLANS)
def test_lifting_never_goes_over_a_ring_without_a_sheave(name: str) -> None:
    """Common practice, no source; rings lose half the pull or more: slow tests on bars, Delaney 2022, p. 88."""
    plan = prepared(name)
    with_sheave = {row.id for row in catalogue().redirects if row.bearing != "none"}
    assert cases_of(plan, "lift")
    assert all(may_serve(plan, k, "redirect") <= with_sheave for k in cases_of(plan, "lift"))
    lowered = set().union(*(may_serve(plan, k, "redirect") for k in cases_of(plan, "lower")))
    assert lowered - with_sheave, "rings do serve where nothing is lifted"


# --- catching -------------------------------------------------------------------------------------------------------


def required_break(fits: Fits, friction: FrictionClass) -> Floats:
    """Breaking strength that a redirect must have: (cases, lines); demand over the rating of one newton of it."""
    number = fits.frictions.index(friction)
    row, block = next(
        (row, fits.items[place].gear)
        for row, place in enumerate(fits.redirects.positions)
        if getattr(fits.items[place].gear, "takes_catch", False)
        and fits.items[place].gear.min_break is not None  # type: ignore[attr-defined]
    )
    assert isinstance(block, Redirect) and block.min_break is not None
    rated = fits.redirects.capacity[:, fits.regime, row, None] / block.min_break
    demand = fits.demands.reaction[..., number]
    needed = np.divide(demand, rated, out=np.zeros_like(demand), where=demand > 0)
    return np.asarray(needed.max(axis=0))


@pytest.mark.parametrize("run", [0.0, 1.0])
def test_a_catch_needs_the_strongest_redirect_of_the_three_techniques(run: float) -> None:
    """The same piece over the same redirect with the same rope, locked or run a little; common practice, no source.

    Run far in the softest nylon, what decides is the jam, with its lower factor: then a lower can need as much.
    """
    fits = fits_of(
        *(job(technique, **({"run": run} if technique == "catch" else {})) for technique in TECHNIQUES)
    )
    lower, lift, caught = (TECHNIQUES.index(name) for name in ("lower", "lift", "catch"))
    for friction in fits.frictions:
        needed = required_break(fits, friction)
        assert np.all(needed[caught] > needed[lower])
        assert np.all(needed[caught] > needed[lift])


@pytest.mark.parametrize("has_sheave", [True, False])
def test_a_nylon_core_stops_the_same_piece_softer_and_over_a_longer_way(has_sheave: bool) -> None:
    """Braids of the same size, polyester core and nylon core, the line locked; common practice, no source."""
    same = catch(has_sheave)
    polyester, nylon = ropes("polyester", "double_braid"), ropes("nylon_core", "double_braid")
    assert len(nylon) >= 5
    for diameter, soft in nylon.items():
        stiff = polyester[diameter]
        for part in ("line", "reaction", "brake"):
            assert same.at(part, soft) < same.at(part, stiff)
        assert same.at("drop", soft) > same.at("drop", stiff)


@pytest.mark.parametrize(
    ("fibre", "construction"), [("polyester", "double_braid"), ("nylon", "three_strand")]
)
def test_a_thicker_rope_of_the_same_make_catches_harder(fibre: str, construction: str) -> None:
    """Why a mid-size rope can beat a bull rope: stiffer raises the peak; common practice, no source."""
    same = catch(has_sheave=False)
    rising = [rope for _, rope in sorted(ropes(fibre, construction).items())]
    assert len(rising) >= 5
    for part in ("line", "reaction", "brake"):
        peaks = [same.at(part, rope) for rope in rising]
        assert all(thin < thick for thin, thick in pairwise(peaks))


def test_letting_the_line_run_softens_a_catch_and_slack_hardens_it() -> None:
    """Common practice, no source."""
    rope = ropes("polyester", "double_braid")[0.0127]
    runs = [catch(True, run=run).at("line", rope, WORKING) for run in (0.0, 0.5, 1.0, 2.0)]
    assert all(short > long for short, long in pairwise(runs))
    slacks = [catch(True, slack=slack).at("line", rope) for slack in (0.0, 0.3, 0.6)]
    assert all(tight < loose for tight, loose in pairwise(slacks))


def test_a_long_fall_leg_softens_a_catch() -> None:
    """A catch low on a stem has little rope in it and is hard; common practice, no source."""
    rope = ropes("polyester", "double_braid")[0.0127]
    peaks = [catch(True, rigging_height=height).at("line", rope) for height in (4.0, 8.0, 16.0, 30.0)]
    assert all(low > high for low, high in pairwise(peaks))


# --- ropes ----------------------------------------------------------------------------------------------------------


def test_one_half_inch_double_braid_carries_most_ordinary_lowers_of_a_new_owner() -> None:
    """12.7 mm, average strength, cut end; common practice, no source."""
    plan = prepared("new_owner")
    lowered = cases_of(plan, "lower")
    assert sum(plan.plan.jobs[k].share for k in lowered) > 0.5
    assert all(any(id.startswith("DB127") for id in may_serve(plan, k, "line")) for k in lowered)


def test_low_butt_logs_need_more_than_that_rope() -> None:
    """Short rope low down is stiff: what 12.7 mm lowers with ease it can't catch; common practice, no source."""
    plan = prepared("new_owner")
    serving = may_serve(plan, [case.job for case in plan.fits.cases].index("pine butt logs"), "line")
    assert serving and not any(id.startswith("DB127") for id in serving)


@cache
def tall_tree() -> Plan:
    return load_plan(TALL_TREE)


def lines_of(result: KitResult) -> list[RopeLength]:
    """The ropes of a kit, longest first."""
    named = {one.id: one for one in catalogue().rope_lengths}
    pieces = [named[item.id] for item in result.items for _ in range(item.quantity) if item.table == "ropes"]
    return sorted(pieces, key=lambda one: -one.length)


def test_two_ropes_are_cheapest_for_a_tall_tree() -> None:
    """Long and thinner for the top, short and thick for the butt; common practice, no source."""
    result = plan_kit(tall_tree())
    assert result.status == "planned"
    long, short = lines_of(result)
    assert long.length > short.length
    assert long.rope.diameter < short.rope.diameter


def test_one_rope_for_all_of_a_tall_tree_costs_more() -> None:
    """Every rope that can do both jobs, each alone in the catalogue; common practice, no source."""
    plan = tall_tree()
    whole = prepare(plan)
    both = may_serve(whole, 0, "line") & may_serve(whole, 1, "line")
    costs = []
    for one in catalogue().rope_lengths:
        if one.rope.id in both:
            sold = {
                "length": one.length,
                "price": one.price,
                "price_per_length": None,
                "lengths_on_offer": (),
            }
            alone = replace(plan.catalogue, ropes=(one.rope.model_copy(update=sold),))
            result = plan_kit(replace(plan, catalogue=alone))
            costs += [result.purchase_cost] if result.status == "planned" else []
    assert costs, "some rope does both jobs alone"
    assert min(costs) > plan_kit(plan).purchase_cost
