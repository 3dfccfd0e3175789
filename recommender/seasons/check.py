"""Checks a plan over seasons in plain arithmetic: setups, purchases, budgets, age, and the life of lines."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from recommender.kit.check import on_hand
from recommender.kit.check_setup import SetupCheck, Stocked
from recommender.seasons.result import JobInSeason, SeasonsResult
from recommender.work.plan import Plan
from recommender.work.tables import JobType

CENT = 0.01
ROUNDING = 1e-6
TEXTILES = ("ropes", "slings")


def check_seasons(plan: Plan, result: SeasonsResult) -> list[str]:
    """What is wrong with a plan over seasons.

    Parameters
    ----------
    plan : Plan
    result : SeasonsResult

    Returns
    -------
    list of str
        One sentence for each fault; empty if the plan stands.
    """
    return [*_money(plan, result), *_work(plan, result), *_life(plan, result)]


def _money(plan: Plan, result: SeasonsResult) -> Iterator[str]:
    """Prices, sums, budgets, and the discounted total."""
    usable, _ = on_hand(plan)
    money, total = plan.settings.money, 0.0
    for number, season in enumerate(result.seasons):
        factor = (1 + money.price_rise_percent / 100) ** number
        spent = 0.0
        for bought in season.purchases:
            item = usable.get(bought.id)
            if item is None or item.limit is not None:
                yield f"Season '{season.season}' buys '{bought.id}', which is not for sale."
                continue
            if abs(bought.unit_price - item.cents / 100 * factor) > CENT:
                yield f"Season '{season.season}': '{bought.id}' costs {item.cents / 100 * factor:.2f} each."
            spent += bought.quantity * item.cents / 100 * factor
        if abs(spent - season.purchase_cost) > CENT:
            yield f"Season '{season.season}': purchases are {spent:.2f}, not {season.purchase_cost:.2f}."
        if season.budget is not None and spent > season.budget + CENT:
            yield f"Season '{season.season}': purchases of {spent:.2f} are above the budget, {season.budget:.2f}."
        running = sum(_running_cost(plan, job) for job in season.jobs)
        total += (spent + running) / (1 + money.discount_percent / 100) ** number
    if not math.isclose(total, result.cost, rel_tol=ROUNDING, abs_tol=CENT):
        yield f"The discounted cost is {total:.2f}, not {result.cost:.2f}."
    if result.bound > result.cost + CENT:
        yield f"The bound {result.bound:.2f} lies above the cost {result.cost:.2f}."


def _running_cost(plan: Plan, done: JobInSeason) -> float:
    """Crew time of extra cuts, or hire, of one job type in one season."""
    job = _job(plan, done.job)
    if done.how == "given away":
        return math.inf if job.hire_price is None else job.hire_price * done.pieces
    extra = (done.pieces_of_each - 1) * job.cut_minutes * done.pieces
    return extra * plan.settings.money.crew_rate / 60


def _job(plan: Plan, name: str) -> JobType:
    return next(job for job in plan.jobs if job.job == name)


def _stock(plan: Plan, result: SeasonsResult, season: int) -> dict[str, Stocked]:
    """What may be used in a season: owned and bought so far, less what is too old."""
    usable, _ = on_hand(plan)
    policy, counts = plan.policy, Counter[str]()
    years = policy.retirement.textile_years
    for item in usable.values():
        if item.limit is not None and (
            item.table not in TEXTILES or item.years + season / policy.wear.seasons_per_year <= years
        ):
            counts[item.id] = item.limit
    for earlier, past in enumerate(result.seasons[: season + 1]):
        for bought in past.purchases:
            lasts = max(1, int(years * policy.wear.seasons_per_year))
            if usable[bought.id].table not in TEXTILES or season - earlier < lasts:
                counts[bought.id] += bought.quantity
    return {name: Stocked(usable[name], count) for name, count in counts.items() if count}


def _work(plan: Plan, result: SeasonsResult) -> Iterator[str]:
    """Every job type done once in every season, by a setup that carries it with what is there."""
    names = sorted(job.job for job in plan.jobs)
    for number, season in enumerate(result.seasons):
        stock = _stock(plan, result, number)
        if sorted(done.job for done in season.jobs) != names:
            yield f"Season '{season.season}' does not name every job type once."
        for done in season.jobs:
            job = _job(plan, done.job)
            if done.how == "given away" and job.hire_price is None:
                yield f"Season '{season.season}': '{done.job}' may not be given away."
            if done.setup is None:
                continue
            if done.pieces_of_each > job.most_pieces:
                yield f"Season '{season.season}': '{done.job}' may be cut in {job.most_pieces} at most."
            cut = _cut(job, done.pieces_of_each)
            for fault in SetupCheck(plan, cut, done.setup, stock).faults():
                yield f"Season '{season.season}': {fault}"
            copies = (
                min(job.crews_at_once or plan.settings.crew.crews, plan.settings.crew.crews) * job.systems
            )
            for part in ("redirect", "brake"):
                table = f"{part}s"
                there = sum(held.pieces for held in stock.values() if held.item.table == table)
                if part in done.setup.parts and there < copies:
                    yield f"Season '{season.season}': '{done.job}' needs {copies} {table}, {there} are there."


def _cut(job: JobType, number: int) -> JobType:
    """The job type in pieces of equal length, each as thick as the thick end and tapering alike."""
    if number == 1:
        return job
    length = job.length / number
    small = None
    if job.small_diameter is not None:
        small = job.diameter - (job.diameter - job.small_diameter) / number
    return job.model_copy(
        update={
            "length": length,
            "length_high": None if job.length_high is None else job.length_high / number,
            "mass": None if job.mass is None else job.mass / number,
            "mass_high": None if job.mass_high is None else job.mass_high / number,
            "small_diameter": small,
            "tie_above_cut": None if job.tie_above_cut is None else min(job.tie_above_cut, length),
        }
    )


def _life(plan: Plan, result: SeasonsResult) -> Iterator[str]:
    """Lines do all the work, and no line more than its life: bought pieces one each, owned ones by their age."""
    usable, _ = on_hand(plan)
    bought: Counter[str] = Counter()
    for season in result.seasons:
        for purchase in season.purchases:
            bought[purchase.id] += purchase.quantity
        for done in season.jobs:
            if done.lines and abs(sum(done.lines.values()) - 1) > 1e-4:
                yield f"Season '{season.season}': lines do {sum(done.lines.values()):.4f} of '{done.job}'."
        for name, used in season.wear_used.items():
            item = usable[name]
            left = float(bought[name])
            if item.limit is not None:
                left = item.limit * max(0.0, 1 - item.years / plan.policy.retirement.textile_years)
            if used > left + 1e-4:
                yield f"Season '{season.season}': line '{name}' has used {used:.3f} of {left:.3f} lives."
