"""Checks a returned kit in plain arithmetic, apart from the model that made it.

Every figure is worked out again from the plan: pieces and forces by :mod:`recommender.kit.check_loads`, each setup by
:mod:`recommender.kit.check_setup`, the list of items and its cost here. What is shared with the model are the declared
tables, the ratings of single parts and the masses from the wood table.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from catalog_schema.catalogue import Catalogue, RopeLength, cut_id
from catalog_schema.gear import Extra, Gear, Priced, Rope
from catalog_schema.units import from_si
from recommender.kit.check_setup import AGREEMENT, OnHand, SetupCheck, Stocked
from recommender.kit.result import KitItem, KitResult
from recommender.ratings import retired
from recommender.work.plan import Plan
from recommender.work.settings import Crew
from recommender.work.tables import JobType, OwnedGear

TEXTILES = ("ropes", "slings")
OWNED = "owned:"


class InternalFault(RuntimeError):
    """A result that fails its own check: it must not be used, and the fault lies in the planner."""


def check_kit(plan: Plan, result: KitResult) -> list[str]:
    """What is wrong with a returned kit.

    Parameters
    ----------
    plan : Plan
    result : KitResult

    Returns
    -------
    list of str
        One sentence for each fault, with job type, part and figures; empty if the kit stands.
    """
    if result.status in ("no kit", "stopped"):
        return list(_unplanned(plan, result))
    usable, left_out = on_hand(plan)
    kit: dict[str, Stocked] = {}
    faults: list[str] = []
    for item in result.items:
        faults += _item_faults(item, usable, left_out, known=item.id in kit)
        if item.id in usable:
            kit[item.id] = Stocked(usable[item.id], item.quantity)
            faults += _cutting_faults(item, usable[item.id], result)
            kit |= _lines_cut(item, usable[item.id])
    faults += _cost_faults(result, kit)
    if plan.settings.extras:
        faults += _missing_extras(plan, kit)
    faults += _uncovered_jobs(plan, result)
    jobs = {job.job: job for job in plan.jobs}
    for assignment in result.assignments:
        if assignment.job in jobs:
            faults += SetupCheck(plan, jobs[assignment.job], assignment, kit).faults()
    return faults or list(_wrong_lives(plan, result, kit, jobs))


def on_hand(plan: Plan) -> tuple[dict[str, OnHand], dict[str, str]]:
    """What a kit of this plan may hold, and why owned gear may not be in it, both by id.

    An owned item's id is ``owned:`` and its id in the catalogue, with the row's number behind it from the second usable
    row on.
    """
    usable = {item.id: item for item in _for_sale(plan.catalogue)}
    left_out: dict[str, str] = {}
    for number, row in enumerate(plan.owned, start=1):
        first, later = f"{OWNED}{row.item}", f"{OWNED}{row.item}#{number}"
        table, gear, sold_length = _looked_up(plan.catalogue, row.item)
        years = from_si(row.age, "yr", "age")
        reason = retired(table in TEXTILES, years, row.condition, plan.policy)
        if reason is not None:
            left_out |= {later: reason} | ({first: reason} if first not in usable else {})
            continue
        name = later if first in usable else first
        left_out.pop(name, None)
        usable[name] = replace(_owned(name, row, table, gear, sold_length), years=years)
    return usable, left_out


def _owned(name: str, row: OwnedGear, table: str, gear: Gear, sold_length: float | None) -> OnHand:
    length = sold_length if row.length is None else row.length
    mass = gear.mass
    if isinstance(gear, Rope):
        length = gear.length or gear.spool_length if length is None else length
        mass = gear.mass_per_length * (length or 0.0)
    return OnHand(name, row.item, table, gear, row.condition, 0, mass, row.count, length)


def _for_sale(catalogue: Catalogue) -> Iterator[OnHand]:
    for sold in catalogue.rope_lengths:
        mass = sold.length * sold.rope.mass_per_length
        yield OnHand(
            sold.id, sold.id, "ropes", sold.rope, "bought", _cents(sold.price), mass, None, sold.length
        )
    for table, rows in catalogue.tables().items():
        for gear in rows:
            if isinstance(gear, Priced):
                yield OnHand(gear.id, gear.id, table, gear, "bought", _cents(gear.price), gear.mass, None)


def _looked_up(catalogue: Catalogue, id: str) -> tuple[str, Gear, float | None]:
    """Table, row and (ropes) sold length of an id of the catalogue."""
    found = catalogue.item(id)
    if isinstance(found, RopeLength):
        return "ropes", found.rope, found.length
    table = next(name for name, rows in catalogue.tables().items() if any(row is found for row in rows))
    return table, found, None


def _cents(price: float) -> int:
    return round(price * 100)


def _item_faults(
    item: KitItem, usable: Mapping[str, OnHand], left_out: Mapping[str, str], *, known: bool
) -> Iterator[str]:
    """Faults of one line of the list of items."""
    if known:
        yield f"Item '{item.id}' is listed twice."
    if item.id in left_out:
        yield f"Item '{item.id}' is owned gear that is not to be used: {left_out[item.id]}."
    elif item.id not in usable:
        yield f"Item '{item.id}' is neither in the catalogue nor owned."
    if item.id not in usable:
        return
    own = usable[item.id]
    if item.quantity < 1:
        yield f"Item '{item.id}' has a quantity of {item.quantity}."
    if own.limit is not None and item.quantity > own.limit:
        yield f"Item '{item.id}' is taken {item.quantity} times, {own.limit} are owned."
    if item.owned != (own.limit is not None):
        yield f"Item '{item.id}' is {'not ' if item.owned else ''}owned, the result says otherwise."
    if _cents(item.unit_price) != own.cents:
        yield f"Item '{item.id}' is priced at {item.unit_price:.2f}, it costs {own.cents / 100:.2f}."
    if (item.table, item.name) != (own.table, own.gear.name):
        yield f"Item '{item.id}' is called {item.name} of {item.table}: it is {own.gear.name} of {own.table}."
    if abs(item.mass_kg - own.mass) > 0.0006:  # reported in whole grams
        yield f"Item '{item.id}' is said to weigh {item.mass_kg:.4g} kg, it weighs {own.mass:.4g} kg."
    if not math.isclose(item.length_m or 0.0, own.length or 0.0, rel_tol=AGREEMENT):
        yield f"Item '{item.id}' is said to be {item.length_m} m long, it is {own.length} m."


def _cutting_faults(item: KitItem, own: OnHand, result: KitResult) -> Iterator[str]:
    """Lines that can't be cut from the spools in the kit, one after the other as they are listed."""
    if not item.cuts_m:
        return
    rope = _spool(own)
    if rope is None or rope.spool_length is None:
        yield f"Item '{item.id}' is said to be cut, it is no spool."
        return
    if any(part == item.id for one in result.assignments for part in one.parts.values()):
        yield f"Spool '{item.id}' is cut, and is itself used as a line."
    begun, left = 0, 0.0
    for cut in item.cuts_m:
        if not 0 < cut <= rope.spool_length:
            yield f"Spool '{item.id}' has {rope.spool_length:.4g} m, a line of {cut:.4g} m is cut from it."
            return
        if cut > left + AGREEMENT:
            begun, left = begun + 1, rope.spool_length
        left -= cut
    if begun > item.quantity:
        yield f"The lines cut from spool '{item.id}' take {begun} spools, the kit has {item.quantity}."


def _lines_cut(item: KitItem, own: OnHand) -> dict[str, Stocked]:
    """The lines that are cut from a spool of the kit, by id; they cost nothing beside it."""
    rope = _spool(own)
    if rope is None or rope.spool_length is None:
        return {}
    cuts = Counter(cut for cut in item.cuts_m if 0 < cut <= rope.spool_length)
    lines = {cut: cut_id(rope.id, cut) for cut in cuts}
    return {
        id: Stocked(OnHand(id, id, "ropes", rope, "bought", 0, 0.0, None, cut), cuts[cut])
        for cut, id in lines.items()
    }


def _spool(own: OnHand) -> Rope | None:
    """The row of a spool that is bought, None for anything else."""
    bought = own.limit is None and isinstance(own.gear, Rope) and own.gear.spool_length is not None
    return own.gear if bought else None  # type: ignore[return-value]


def _cost_faults(result: KitResult, kit: Mapping[str, Stocked]) -> Iterator[str]:
    cost = sum(stocked.pieces * stocked.item.cents for stocked in kit.values())
    if _cents(result.purchase_cost) != cost:
        yield f"The purchase is said to cost {result.purchase_cost:.2f}, the items cost {cost / 100:.2f}."
    slack = max(0.005, AGREEMENT * result.purchase_cost)
    if not result.bound <= result.purchase_cost + slack:
        yield f"The bound {result.bound:.2f} is above the cost {result.purchase_cost:.2f}."
    if result.status == "planned" and result.bound < result.purchase_cost - slack:
        yield f"The kit is called the cheapest, but the bound is {result.bound:.2f} of {result.purchase_cost:.2f}."
    gap = (result.purchase_cost - result.bound) / result.purchase_cost if result.purchase_cost else 0.0
    if not math.isclose(result.gap, max(gap, 0.0), rel_tol=AGREEMENT, abs_tol=AGREEMENT):
        yield f"The gap is said to be {100 * result.gap:.4g} %, it is {100 * gap:.4g} %."


def _missing_extras(plan: Plan, kit: Mapping[str, Stocked]) -> Iterator[str]:
    """Kinds of extras of which the crews have too few; each in the numbers that the catalogue states."""
    needs = Counter({(row.kind, row.per, row.count): 0 for row in plan.catalogue.extras})
    for stocked in kit.values():
        gear = stocked.item.gear
        if isinstance(gear, Extra):
            needs[gear.kind, gear.per, gear.count] += stocked.pieces
    for (kind, per, count), pieces in needs.items():
        wanted = count * heads(plan.settings.crew, per)
        if pieces < wanted:
            words = f"{kind.replace('_', ' ')} ({count} per {per.replace('_', ' ')})"
            yield f"Extras: {wanted} of {words} are needed, the kit has {pieces}."


def heads(crew: Crew, per: str) -> int:
    """How many there are of those who need an extra."""
    each = {"climber": crew.climbers, "ground_worker": crew.ground_workers, "crew": 1}
    if per == "kit":
        return 1
    if per == "person":
        return crew.crews * (crew.climbers + crew.ground_workers)
    return crew.crews * each[per]


def _wrong_lives(
    plan: Plan, result: KitResult, kit: Mapping[str, Stocked], jobs: Mapping[str, JobType]
) -> Iterator[str]:
    """Lives of ropes and slings that are not those worked out here."""
    used: dict[str, list[tuple[float, float]]] = {}
    for one in result.assignments:
        job = jobs[one.job]
        pieces = job.pieces_per_season
        if pieces is None:
            pieces = plan.settings.pieces_per_season * job.share
        pieces /= plan.settings.crew.crews
        check = SetupCheck(plan, job, one, kit)
        for part, id in one.parts.items():
            if kit[id].item.table in TEXTILES:
                used.setdefault(id, []).append((pieces, check.share_of_strength(part)))
    if set(used) != {life.item for life in result.lives}:
        yield "The lives that are reported are not those of the ropes and slings that are used."
        return
    for life in result.lives:
        own = _seasons(plan, used[life.item], kit[life.item].item.years)
        share = max(share for _, share in used[life.item])
        if not math.isclose(life.seasons, own, rel_tol=AGREEMENT):
            yield f"Item '{life.item}' is said to last {life.seasons:.4g} seasons, the check gives {own:.4g}."
        if not math.isclose(life.highest_share, share, rel_tol=AGREEMENT):
            shares = f"{100 * life.highest_share:.4g} % of its strength, the check gives {100 * share:.4g} %"
            yield f"Item '{life.item}' is said to be loaded to {shares}."


def _seasons(plan: Plan, loads: Iterable[tuple[float, float]], years: float) -> float:
    """Seasons until the loads or the age end a textile's life."""
    rule = plan.policy.wear
    used = sum(pieces * (share / rule.load_share) ** rule.exponent / rule.lifts for pieces, share in loads)
    left = (plan.policy.retirement.textile_years - years) * rule.seasons_per_year
    return left if used * left <= 1 else 1 / used


def _uncovered_jobs(plan: Plan, result: KitResult) -> Iterator[str]:
    rigged = Counter(assignment.job for assignment in result.assignments)
    for job in plan.jobs:
        if rigged[job.job] != 1:
            yield f"Job type '{job.job}' is rigged {rigged[job.job]} times, not once."
    for name in rigged.keys() - {job.job for job in plan.jobs}:
        yield f"Job type '{name}' is rigged, but the plan has no such job type."
    if result.uncovered:
        names = ", ".join(f"'{one.job}'" for one in result.uncovered)
        yield f"The result has a kit and still says that nothing carries {names}."


def _unplanned(plan: Plan, result: KitResult) -> Iterator[str]:
    """A result without a kit holds none, and names job types of the plan."""
    if result.items or result.assignments or result.purchase_cost:
        yield f"The result says '{result.status}' and still holds a kit for {result.purchase_cost:.2f}."
    names = {job.job for job in plan.jobs}
    for one in result.uncovered:
        if one.job not in names:
            yield f"Job type '{one.job}' is called uncovered, but the plan has no such job type."
