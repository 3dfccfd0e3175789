"""The three people of README.md, told with the figures that their plans give; what the words claim is asserted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from math import ceil, floor
from pathlib import Path
from textwrap import fill

from catalog_schema.gear import Rope
from catalog_schema.units import show
from recommender.explain.answers import FirstResult
from recommender.explain.first import first_purchases
from recommender.kit.planning import plan_kit
from recommender.kit.result import Assignment, KitItem, KitResult
from recommender.kit.solver import SolverSettings
from recommender.report.figures import money
from recommender.report.larger_text import first_to_carry
from recommender.seasons.answer import plan_seasons
from recommender.seasons.result import SeasonsResult
from recommender.sweep.larger import LargerResult, larger_kits
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan, load_plan

WIDTH = 118
DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def demo(name: str) -> tuple[Plan, KitResult]:
    """A plan of the demo and its kit."""
    plan = load_plan(DEMO / name)
    return plan, plan_kit(plan)


def new_owner() -> str:
    """What a first truck costs, and which lines it has."""
    plan, result = demo("new_owner")
    long, short = _lines(result)
    hardest = max(result.assignments, key=lambda one: one.highest[1])
    assert (hardest.highest[0], hardest.parts["line"]) == ("line", long.id)
    assert {one.parts["line"] for one in result.assignments if one.technique != "catch"} == {long.id}
    assert {one.technique for one in result.assignments if one.parts["line"] == short.id} == {"catch"}
    return (
        f"**A new owner** kits out a first truck for {len(plan.jobs)} kinds of piece. The cheapest gear costs "
        f"{_money(_gear(result), result)}, or {_money(result.purchase_cost, result)} with helmets, boots and training "
        f"for the crew. It has two lines: {_line_words(plan, long)} for what is lowered, lifted and light, and "
        f"{_line_words(plan, short)} for logs that are caught on the stem. The first is the part that works hardest, "
        f"at {_percent(hardest.highest[1])} of its rating under the job type `{hardest.job}`."
    )


SMALL_SUM = 500.0
"""What the new owner has for rigging gear."""


@cache
def first_with_a_small_sum() -> FirstResult:
    """What the new owner buys first; what the crew needs is there."""
    plan, _ = demo("new_owner")
    return first_purchases(
        replace(plan, settings=plan.settings.model_copy(update={"extras": False})), SMALL_SUM
    )


@cache
def room_for_larger_pieces() -> LargerResult:
    """What room for larger pieces costs the new owner."""
    return larger_kits(demo("new_owner")[0], SweepSettings(draws=100))


def new_owner_first() -> str:
    """What a small sum buys first."""
    _, result = demo("new_owner")
    found = first_with_a_small_sum()
    within = [step for step in found.steps if step.what == "gear" and step.within_sum]
    covered = [job for step in within for job in step.new_jobs]
    left = [one.job for one in result.assignments if one.job not in covered]
    gain = found.next_gain
    assert found.complete and found.proven and gain is not None and 0 < len(left) < len(covered)
    assert found.cost == within[-1].cost_so_far <= SMALL_SUM < gain.cost < found.all_at_once
    return (
        f"With {_money(SMALL_SUM, result)} for gear at first, `kitplan first --spend {SMALL_SUM:.0f} --gear-only` "
        f"finds what covers most: for {_money(found.cost, result)} {len(covered)} of {len(result.assignments)} kinds "
        f"of piece, {_down(found.share)} of all pieces. {_named(left)} {'waits' if len(left) == 1 else 'wait'} or "
        f"{'is' if len(left) == 1 else 'are'} given away; the least that covers more is {_money(gain.cost, result)}, "
        f"for {_down(gain.share)}."
    )


def new_owner_seasons() -> str:
    """How far the cheapest kit goes if pieces come larger than stated, and what room for them costs."""
    _, result = demo("new_owner")
    found = room_for_larger_pieces()
    stated = found.kits[0]
    first = first_to_carry(found.kits, 0.9)
    second = first_to_carry(found.kits, 0.5)
    assert stated.coverage is not None and stated.gear_cost == _gear(result)
    assert (
        first is not None
        and second is not None
        and first.coverage is not None
        and second.coverage is not None
    )
    assert stated.coverage.probability < 0.5 and second.percent < first.percent
    assert first.gear_cost is not None and second.gear_cost is not None
    rows = [
        f"pieces {kit.percent:g} % larger costs {_money((kit.gear_cost or 0) - stated.gear_cost, result)} more and "
        f"carries {_down(kit.coverage.probability)} of the seasons whole"
        for kit in (second, first)
        if kit.coverage is not None
    ]
    return (
        f"The cheapest kit has no room for pieces larger than stated. `kitplan sweep` draws seasons whose sizes lie "
        f"within {found.settings.size_percent:g} % of the plan's in two of three cases: of {found.draws} such seasons "
        f"it carries only {_down(stated.coverage.probability)} whole, since one kind of piece that comes too large "
        f"spoils a season, but {_down(stated.coverage.share_of_pieces)} of all pieces. `kitplan sweep --larger` says "
        f"what room costs: the kit for {rows[0]}, the kit for {rows[1]}."
    )


def company() -> str:
    """What owned gear saves."""
    plan, result = demo("company")
    anew = plan_kit(replace(plan, owned=()))
    left_out = sum("is left out" in note for note in result.notes)
    assert _gear(anew) > _gear(result) > 0 < left_out
    return (
        f"**An established company** plans for {plan.settings.crew.crews} crews with big hardwoods and counts what is "
        f"on the trucks: {len(plan.owned)} rows, of which {left_out} are left out, each with its reason (worn, or too "
        f"old by the policy). What is missing costs {_money(_gear(result), result)}; the same work without any owned "
        f"gear would take {_money(_gear(anew), result)}."
    )


@cache
def company_seasons() -> SeasonsResult:
    """What the company buys in which season, proven, however busy the machine is."""
    return plan_seasons(demo("company")[0], SolverSettings(time_limit=1_000.0))


def company_by_season() -> str:
    """What to buy this season and next, and what to cut smaller until then."""
    _, result = demo("company")
    found = company_seasons()
    now, following, *later = found.seasons
    cut = [job for job in now.jobs if job.pieces_of_each > 1]
    assert found.status == "planned" and now.budget is not None and cut
    assert now.budget < result.purchase_cost and now.purchase_cost <= now.budget
    assert not any(job.pieces_of_each > 1 for season in (following, *later) for job in season.jobs)
    assert not any(season.purchases for season in later)
    assert now.crew_cost == sum(job.crew_cost for job in cut) and not found.hire_cost
    units = demo("company")[0].settings.units
    each = " and ".join(
        f"`{job.job}` to at most {show(job.longest_piece_m or 0.0, 'length', units, rounding='down')}"
        for job in cut
    )
    ropes = [one.name for one in following.purchases if one.table == "ropes"]
    return (
        f"All of it with what the crews need takes {_money(result.purchase_cost, result)}, and the budget of "
        f"{now.season} is {_money(now.budget, result)}. `kitplan seasons` buys for "
        f"{_money(now.purchase_cost, result)} in {now.season} and for {_money(following.purchase_cost, result)} in "
        f"{following.season} ({', '.join(ropes)}). Until then it cuts {each}, which takes "
        f"{_money(now.crew_cost, result)} of crew time; from {following.season} on every piece is taken whole. The "
        f"kit that takes every piece whole at once is {_money(result.purchase_cost - now.budget, result)} beyond the "
        f"first budget."
    )


def trainer() -> str:
    """Why a mid-size rope can beat a thick one: the same catch, once with the kit and once with a thicker rope only."""
    plan, result = demo("training_ground")
    (line,) = _lines(result)
    soft = _assignment(result, "birch logs caught")
    thick = next(rope for rope in plan.catalogue.ropes if rope.id == "DB16-30")
    other = plan_kit(replace(plan, catalogue=replace(plan.catalogue, ropes=(thick,))))
    stiff = _assignment(other, soft.job)
    assert soft.governing["line"] == "jam" and _gear(other) > _gear(result)
    assert stiff.line_tension_jam_n > soft.line_tension_jam_n
    assert {soft.parts[part] for part in ("redirect", "brake")}.isdisjoint(
        stiff.parts[part] for part in ("redirect", "brake")
    )
    return (
        f"**A trainer** shows why a mid-size rope can beat a thick one. The kit of the training ground catches birch "
        f"logs on {_line_words(plan, line)}: when it jams, {_kilonewtons(soft.line_tension_jam_n)} on the line and "
        f"{_kilonewtons(soft.redirect_reaction_jam_n)} on the redirect, {_percent(soft.utilisation['line'])} of what "
        f"the line may carry then. With {1e3 * thick.diameter:.3g} mm {_make(thick)} as the only rope on offer the "
        f"same log gives {_kilonewtons(stiff.line_tension_jam_n)} and {_kilonewtons(stiff.redirect_reaction_jam_n)}, "
        f"so redirect and brake have to be larger too: the gear costs {_money(_gear(other), result)} instead of "
        f"{_money(_gear(result), result)}."
    )


def paragraphs() -> str:
    """All three."""
    stories = (new_owner, new_owner_first, new_owner_seasons, company, company_by_season, trainer)
    return "\n\n".join(fill(told(), WIDTH, break_on_hyphens=False) for told in stories)


def _lines(result: KitResult) -> Sequence[KitItem]:
    """The ropes of a kit, longest first."""
    ropes = [item for item in result.items if item.table == "ropes"]
    return sorted(ropes, key=lambda item: -(item.length_m or 0.0))


def _line_words(plan: Plan, item: KitItem) -> str:
    rope = next(one.rope for one in plan.catalogue.rope_lengths if one.id == item.id)
    return f"{item.length_m:.0f} m of {1e3 * rope.diameter:.3g} mm {_make(rope)}"


def _make(rope: Rope) -> str:
    return f"{rope.fibre.replace('_', '-')} {rope.construction.replace('_', ' ')}"


def _assignment(result: KitResult, job: str) -> Assignment:
    return next(one for one in result.assignments if one.job == job)


def _gear(result: KitResult) -> float:
    """Cost of the rigging gear, the crew's extras left out."""
    return sum(item.price for item in result.items if item.table != "extras" and not item.owned)


def _money(value: float, result: KitResult) -> str:
    return money(value, result.currency)


def _percent(share: float) -> str:
    return f"{ceil(100 * share)} %"


def _down(share: float) -> str:
    return f"{floor(100 * share + 1e-9)} %"


def _named(jobs: Sequence[str]) -> str:
    return " and ".join(f"`{job}`" for job in jobs)


def _kilonewtons(force: float) -> str:
    return f"{ceil(force / 100) / 10:.1f} kN"
