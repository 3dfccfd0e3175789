"""First purchases as rows of tables for the screen."""

from __future__ import annotations

from catalog_schema.units import UnitSystem, show
from recommender.dashboard.kit_tables import TableRow
from recommender.explain.answers import Drop, FirstResult, Purchase
from recommender.report.figures import money
from recommender.report.purchases_text import share_down
from recommender.report.specification import catalogue_id


def purchase_steps(result: FirstResult) -> list[TableRow]:
    """What is bought in each step, and what all of it covers then."""
    return [
        {
            "Step": str(step.step),
            "Buy": _bought(step),
            "Cost": money(step.cost, result.currency),
            "So far": money(step.cost_so_far, result.currency),
            "Share covered": share_down(step.share),
            "Covers now": ", ".join(step.new_jobs),
            "Within the sum": "yes" if step.within_sum else "no, beyond it",
        }
        for step in result.steps
    ]


def _bought(step: Purchase) -> str:
    if step.what == "owned":
        return "nothing: what is owned already"
    items = ", ".join(f"{one.pieces} x {one.name} ({catalogue_id(one.id)})" for one in step.buy)
    return f"for the crew: {items}" if step.what == "crew" else items


def more_money_rows(result: FirstResult) -> list[TableRow]:
    """What a little more money would cover."""
    sums = [] if result.next_gain is None else [("the least that covers more", result.next_gain)]
    sums += [("a round sum", one) for one in result.more]
    return [
        {
            "More money": money(one.sum - result.spend, result.currency),
            "Why this sum": why,
            "Share covered": share_down(one.share) if one.share > result.share else "no more than before",
        }
        for why, one in sums
    ]


def leave_out_rows(result: FirstResult, system: UnitSystem) -> list[TableRow]:
    """For all other work within the sum: what to leave out, or to cut shorter instead."""
    return [
        {
            "Leave out": drop.job,
            "Share of the pieces": share_down(drop.share),
            **_cut(drop, system, any(one.longest_piece_m is not None for one in result.drops)),
        }
        for drop in result.drops
    ]


def _cut(drop: Drop, system: UnitSystem, helps: bool) -> TableRow:
    """To what length a job type may be cut instead; no column where that helps in none."""
    if not helps:
        return {}
    length = drop.longest_piece_m
    return {"Or cut it to at most": "" if length is None else show(length, "length", system, rounding="down")}


def remedy_rows(result: FirstResult) -> list[TableRow]:
    """Changes that let the sum pay for all of the work."""
    return [
        {
            "Change": one.change,
            "Pieces a season": f"{one.extra_pieces:.0f} more to cut"
            if one.kind == "cut"
            else f"{one.extra_pieces:.0f} given up"
            if one.kind == "drop"
            else "",
            "All of it then costs": money(one.purchase_cost, result.currency),
        }
        for one in result.remedies
    ]
