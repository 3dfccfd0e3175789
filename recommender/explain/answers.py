"""The typed answers to questions about a kit; money in units of the currency, masses in kg, lengths in m."""

from __future__ import annotations

from typing import Literal

from recommender.kit.result import CAUTIONS, Assignment, KitItem, Typed
from recommender.work.tables import Technique


class Answer(Typed):
    """What every answer says of itself.

    ``complete`` is false where the search was stopped before its end; ``proven`` is false where the solver ran out of
    time on some part of it.
    """

    plan: str
    notice: str
    currency: str
    complete: bool = True
    proven: bool = True
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS


class Change(Typed):
    """Pieces of an item that a kit has more (or, negative, fewer) than another."""

    id: str
    name: str
    pieces: int
    price: float


class CheaperItem(Typed):
    """What a cheaper item fails at in place of one piece of an item of the kit, with the rest of the setup as it is.

    Either ``part`` is loaded to ``utilisation`` of its rating (above 1), or the item does not fit there: then
    ``misfit`` says why and ``utilisation`` is None. ``jobs`` are all job types that the kit no longer covers; ``job``
    is the one that fails worst.
    """

    id: str
    name: str
    unit_price: float
    jobs: tuple[str, ...]
    job: str
    part: str
    utilisation: float | None = None
    misfit: str = ""


class ItemReason(Typed):
    """Why an item is in the kit.

    ``forced_by`` are the job types that the kit no longer covers without the item; ``forced_by_last`` those without one
    piece of several. ``saves`` is what the kit would cost more if this item were not to be had, None if there were no
    kit then. ``next_cheaper`` is the dearest of the cheaper items for its place, ``nearest`` the one that fails least.
    """

    id: str
    table: str
    name: str
    quantity: int
    unit_price: float
    owned: bool
    for_crew: str = ""
    forced_by: tuple[str, ...] = ()
    forced_by_last: tuple[str, ...] = ()
    saves: float | None = None
    next_cheaper: CheaperItem | None = None
    nearest: CheaperItem | None = None


class WhatIf(Typed):
    """What a change to a job type would change in the cost; None if no kit covered the work then."""

    change: str
    cost_change: float | None
    items: tuple[Change, ...] = ()


class JobReason(Typed):
    """What a job type does to the kit.

    ``adds`` is the cost of the kit less that of the cheapest kit for all other work; ``without`` is how that kit
    differs from the kit, negative pieces being those that are saved.
    """

    job: str
    technique: Technique
    pieces_per_season: float
    adds: float
    without: tuple[Change, ...] = ()
    forces: tuple[str, ...] = ()
    what_ifs: tuple[WhatIf, ...] = ()


class WhyResult(Answer):
    """Why the items of the cheapest kit are in it, and what each job type adds."""

    purchase_cost: float
    items: tuple[ItemReason, ...]
    jobs: tuple[JobReason, ...]


class AlternativeKit(Typed):
    """A kit at little more cost that differs much; ``different`` items of the cheapest kit are not in it."""

    purchase_cost: float
    gear_cost: float
    mass_kg: float
    different: int
    out_of: int
    changes: tuple[Change, ...]
    items: tuple[KitItem, ...]
    assignments: tuple[Assignment, ...]


class AlternativesResult(Answer):
    """Kits within a share of the cheapest rigging gear that differ most from it and from each other."""

    within: float
    purchase_cost: float
    gear_cost: float
    mass_kg: float
    kits: tuple[AlternativeKit, ...]


class CurveStep(Typed):
    """A stretch of piece sizes with one cost; None where no kit covers the work.

    ``to_scale`` is the largest size (1 = as planned) that is proven to cost this, ``next_from_scale`` the smallest that
    is proven to cost something else, None at the end of the curve. ``changes`` are the items that differ from the step
    before.
    """

    from_scale: float
    to_scale: float
    next_from_scale: float | None
    largest_length_m: float
    largest_mass_kg: float
    purchase_cost: float | None
    changes: tuple[Change, ...]


class CurveResult(Answer):
    """Cost against the size of the largest piece: of one job type, or of all that are lowered.

    ``purchase_cost`` is that of the work as planned, None if no kit covers it.
    """

    jobs: tuple[str, ...]
    purchase_cost: float | None
    steps: tuple[CurveStep, ...]


class Purchase(Typed):
    """A step of buying: what is bought, what all has cost so far, and what is covered then.

    ``share`` is the share of a season's pieces that the gear so far covers; ``within_sum`` says whether the sum pays
    for it.
    """

    step: int
    what: Literal["owned", "crew", "gear"]
    buy: tuple[Change, ...]
    cost: float
    cost_so_far: float
    share: float
    new_jobs: tuple[str, ...]
    within_sum: bool


class MoneyShare(Typed):
    """A sum, and the largest share of a season's pieces that it can cover."""

    sum: float
    share: float
    cost: float


class Remedy(Typed):
    """A change that lets the sum pay for all of the work; ``extra_pieces`` a season more to cut, or given up."""

    change: str
    kind: Literal["money", "drop", "cut", "run", "slack"]
    jobs: tuple[str, ...]
    purchase_cost: float
    extra_pieces: float


class Drop(Typed):
    """A job type to leave out, or to cut to at most ``longest_piece_m`` instead (None where no cut helps)."""

    job: str
    share: float
    longest_piece_m: float | None = None


class FirstResult(Answer):
    """What to buy first.

    ``spend`` is the sum; ``share`` the largest share of a season's pieces that it can cover, at the least cost
    ``cost``. ``steps`` lead there and beyond, each only adding to the one before; ``all_at_once`` is what the cheapest
    kit for everything costs, ``all_in_steps`` what the steps come to. ``more`` says what a little more money would add.
    ``not_carried`` are job types that nothing in the catalogue carries; they count in the shares.
    """

    spend: float
    share: float
    cost: float
    steps: tuple[Purchase, ...]
    all_at_once: float
    all_in_steps: float
    more: tuple[MoneyShare, ...] = ()
    next_gain: MoneyShare | None = None
    drops: tuple[Drop, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    not_carried: tuple[str, ...] = ()
