"""What room for larger pieces costs, and how many drawn seasons it carries, as text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from recommender.report.figures import amount, money
from recommender.report.kit_text import ending, heading
from recommender.report.layout import Column, section, table, wrapped
from recommender.report.specification import called
from recommender.report.sweep_text import down, spreads
from recommender.sweep.larger import LargerKit, LargerResult

READING = (
    "Each row is the cheapest kit for pieces that much larger in diameter and in length than stated (10 % larger is a "
    "third heavier). Seasons: share of the drawn seasons in which that kit carries every piece of every job type; "
    "pieces: share of all their pieces that it carries. What a kit can't take would have to be cut shorter, rigged "
    "otherwise or given away. 'kitplan plan --larger PERCENT' shows such a kit in full."
)
WANTED = (0.5, 0.9)
"""Shares of the seasons for which the first kit of the table is named."""


def larger_text(result: LargerResult) -> str:
    """The whole result, in lines of at most 80 columns; it ends with the cautions.

    Parameters
    ----------
    result : LargerResult

    Returns
    -------
    str
        Without a line end behind the last line.
    """
    lines = [*heading(result.plan, result.notice), ""]
    lines += wrapped(
        f"Kits for pieces larger than stated, judged by {result.draws:,d} seasons drawn around the plan: "
        f"{spreads(result.settings)}. Seed {result.settings.seed}."
    )
    lines += section("What room for larger pieces costs", _table(result))
    lines += ["", *wrapped(READING)]
    lines += section("In short", _in_short(result))
    return "\n".join([*lines, *ending(result.notes, result.cautions)])


def _table(result: LargerResult) -> list[str]:
    columns = (
        Column("planned for", True), Column(f"gear{f' [{result.currency}]' if result.currency else ''}", True),
        Column("more", True), Column("seasons", True), Column("pieces", True), Column("against the row above"),
    )  # fmt: skip
    rows = []
    before: LargerKit | None = None
    for kit in result.kits:
        rows.append(_row(kit, result.kits[0], before))
        before = kit if kit.items else before
    return table(columns, rows)


def _row(kit: LargerKit, stated: LargerKit, before: LargerKit | None) -> tuple[str, ...]:
    sizes = f"{kit.percent:g} % larger" if kit.percent else "as stated"
    if kit.gear_cost is None:
        return sizes, "-", "-", "-", "-", f"no kit: nothing carries {'; '.join(kit.beyond)}"
    more = "-" if kit is stated or stated.gear_cost is None else f"{kit.gear_cost - stated.gear_cost:+,.2f}"
    found = kit.coverage
    shares = ("-", "-") if found is None else (down(found.probability), down(found.share_of_pieces))
    return (
        sizes,
        amount(kit.gear_cost),
        more,
        *shares,
        "-" if before is None else _differs(before.items, kit.items),
    )


def _differs(before: Mapping[str, int], after: Mapping[str, int]) -> str:
    """What a kit has more and fewer than another."""
    difference = {item: after.get(item, 0) - before.get(item, 0) for item in [*after, *before]}
    added = [_item(item, count) for item, count in difference.items() if count > 0]
    gone = [_item(item, -count) for item, count in difference.items() if count < 0]
    parts = [f"add {', '.join(added)}"] if added else []
    parts += [f"leave out {', '.join(gone)}"] if gone else []
    return "; ".join(parts) or "the same kit"


def _item(item: str, count: int) -> str:
    return f"{count} x {called(item)}" if count > 1 else called(item)


def _in_short(result: LargerResult) -> Iterator[str]:
    stated = result.kits[0].gear_cost if result.kits else None
    if result.kits and stated is None:
        yield from wrapped(
            "there is no kit even for the sizes as stated: 'kitplan plan' says why", first="- ", rest="  "
        )
        return
    for share in WANTED:
        first = first_to_carry(result.kits, share)
        if first is None or first.gear_cost is None or stated is None:
            text = f"none of these kits carries {100 * share:.0f} % of the seasons"
        elif not first.percent:
            text = f"the kit for the sizes as stated carries {100 * share:.0f} % of the seasons"
        else:
            more = money(first.gear_cost - stated, result.currency)
            kit = f"the kit for pieces {first.percent:g} % larger, {more} more"
            text = f"{100 * share:.0f} % of the seasons or more: {kit}"
        yield from wrapped(text, first="- ", rest="  ")


def first_to_carry(kits: Sequence[LargerKit], share: float) -> LargerKit | None:
    """The cheapest of some kits that carries a share of the seasons, judged by the draws; None without one."""
    fit = [kit for kit in kits if kit.coverage is not None and kit.coverage.probability >= share]
    return min(fit, key=lambda kit: kit.gear_cost or 0.0, default=None)
