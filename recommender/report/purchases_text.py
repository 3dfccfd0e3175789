"""What to buy first, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from catalog_schema.units import UnitSystem, show
from recommender.explain.answers import Change, Drop, FirstResult, MoneyShare, Purchase, Remedy
from recommender.report.figures import amount, money
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.reasons_text import unfinished
from recommender.report.specification import catalogue_id

READING = (
    "Share: of a season's pieces, those whose job type the gear so far covers. Each step only adds to the one before; "
    "up to the sum the steps lead to the kit that covers most for it, and each step is the one that adds the most "
    "pieces per money. What the crew needs comes before the first piece of rigging gear (extras = false in plan.toml "
    "leaves it out)."
)

MORE = "A little more money, as long as nothing is bought"
NO_SHORTER = "Where no length stands, cutting shorter does not help."


def first_text(result: FirstResult, system: UnitSystem) -> str:
    """The first purchases, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    result : FirstResult
    system : {'metric', 'us'}

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    currency = result.currency
    lines = [*heading(result.plan, result.notice), "", *wrapped(answer_in_words(result))]
    lines += section("Step by step", _steps(result))
    lines += ["", *wrapped(READING)] if result.steps else []
    lines += section(MORE, _more(result))
    lines += section("For all of the work within the sum, leave out", _drops(result.drops, system))
    lines += section("What would make the sum pay for all of the work", _remedies(result.remedies, currency))
    if result.not_carried:
        lines += section(
            "Nothing in the catalogue carries",
            wrapped(f"{'; '.join(result.not_carried)} ('kitplan plan' says why)", first="  ", rest="  "),
        )
    lines += unfinished(result.complete, result.proven)
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def answer_in_words(result: FirstResult) -> str:
    """What a sum covers, in a few sentences."""
    if not result.all_at_once and not result.steps:
        if not result.complete:
            return "It was stopped before even the cheapest kit for all of the work was known."
        return "No kit was found for the work of this plan: 'kitplan plan' says what is missing."
    crew = next((step.cost for step in result.steps if step.what == "crew"), 0.0)
    work = "All of the work that the catalogue carries" if result.not_carried else "All of the work"
    total = f"{work} takes {money(result.all_at_once, result.currency)}"
    total += f", of it {amount(crew)} for what the crew needs." if crew else "."
    if result.spend == result.all_at_once:
        return f"{total}{_detour(result)}"
    if result.spend > result.all_at_once:
        return f"{total} {money(result.spend, result.currency)} pays for all of it.{_detour(result)}"
    most = f"at most {share_down(result.share)} of a season's pieces"
    covered = f"{money(result.spend, result.currency)} can cover {most}"
    if crew > result.spend:
        return (
            f"{total} {money(result.spend, result.currency)} does not pay for what the crew needs; leaving out "
            f"work does not help. Where the crew has it already, ask for the gear only.{_detour(result)}"
        )
    if not result.complete and not result.share:
        return f"{total} It was stopped before it was known what {money(result.spend, result.currency)} can cover."
    return f"{total} {covered}, for {money(result.cost, result.currency)}.{_detour(result)}"


def _detour(result: FirstResult) -> str:
    """Why the steps end above what everything costs at once; empty where they don't, or are not known to the end."""
    more = result.all_in_steps - result.all_at_once
    if not result.complete or more <= 0:
        return ""
    return (
        f" All of the work step by step costs {amount(more)} more than the cheapest kit bought at once: what the first "
        "steps buy is not all in that kit."
    )


def after_the_steps(result: FirstResult) -> str:
    """That other sums may buy other gear, and where the path goes on once the steps within the sum are bought."""
    text = "More money from the start may call for other gear, so this holds only if nothing is bought yet."
    beyond = [step for step in result.steps if not step.within_sum]
    if not beyond:
        return text
    step = beyond[0]
    saved = max(0.0, result.spend - (step.cost_so_far - step.cost))
    lacking = money(max(0.0, step.cost - saved), result.currency)
    return (
        f"{text} Once the steps within the sum are bought, the next is step {step.step}: it takes {lacking} more than "
        f"the sum and covers {share_down(step.share)} of the pieces."
    )


def _steps(result: FirstResult) -> list[str]:
    columns = (
        Column("step", True), Column("buy"), Column("cost", True), Column("so far", True), Column("share", True),
        Column("covers now"),
    )  # fmt: skip
    if not result.steps:
        return []
    lines = table(columns, [_step(step) for step in result.steps])
    beyond = [step.step for step in result.steps if not step.within_sum]
    return [*lines, *wrapped(f"Steps from {beyond[0]} on are beyond the sum.")] if beyond else lines


def _step(step: Purchase) -> tuple[str, ...]:
    bought = {"owned": "(owned gear)", "crew": f"for the crew: {kinds(len(step.buy))}"}
    covers = "; ".join(step.new_jobs) or "-"
    cells = (amount(step.cost), amount(step.cost_so_far), share_down(step.share), covers)
    return (str(step.step), bought.get(step.what, _bought(step.buy)), *cells)


def kinds(count: int) -> str:
    """A number of kinds of items.

    >>> kinds(1), kinds(12)
    ('1 kind of item', '12 kinds of items')
    """
    return "1 kind of item" if count == 1 else f"{count} kinds of items"


def _bought(changes: Sequence[Change]) -> str:
    return ", ".join(f"{one.pieces} x {catalogue_id(one.id)}" for one in changes)


def share_down(share: float) -> str:
    """A share in percent, rounded down, but never up to 100 %.

    >>> share_down(0.876), share_down(1.0), share_down(0.9999)
    ('87.6 %', '100.0 %', '99.9 %')
    """
    return f"{int(1000 * share + 1e-6) / 10:.1f} %"


def _more(result: FirstResult) -> Iterator[str]:
    if result.next_gain is not None:
        gain = result.next_gain
        lacking = money(gain.sum - result.spend, result.currency)
        text = f"the least that covers more: {lacking} more, for {share_down(gain.share)} of the pieces"
        yield from wrapped(text, first="- ", rest="  ")
    for one in result.more:
        added = money(one.sum - result.spend, result.currency)
        yield from wrapped(f"{added} more: {_gain(one, result)}", first="- ", rest="  ")
    if result.more or result.next_gain is not None:
        yield from wrapped(after_the_steps(result))


def _gain(one: MoneyShare, result: FirstResult) -> str:
    if one.share <= result.share:
        return "covers nothing more"
    return f"{share_down(one.share)} instead of {share_down(result.share)}, for {money(one.cost, result.currency)}"


def _drops(drops: Sequence[Drop], system: UnitSystem) -> Iterator[str]:
    for drop in drops:
        text = f"{drop.job} ({share_down(drop.share)} of the pieces)"
        if drop.longest_piece_m is not None:
            length = show(drop.longest_piece_m, "length", system, rounding="down")
            text += f", or cut it to at most {length}"
        yield from wrapped(text, first="- ", rest="  ")
    if any(drop.longest_piece_m is None for drop in drops):
        yield from wrapped(NO_SHORTER)


def _remedies(remedies: Sequence[Remedy], currency: str) -> Iterator[str]:
    for remedy in remedies:
        work = {
            "cut": f", {remedy.extra_pieces:.0f} pieces a season more",
            "drop": f", {remedy.extra_pieces:.0f} pieces a season",
        }.get(remedy.kind, "")
        yield from wrapped(
            f"{remedy.change}{work} ({money(remedy.purchase_cost, currency)} in all)", first="- ", rest="  "
        )
