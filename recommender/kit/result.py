"""The typed result of planning a kit; the same on the command line, in the dashboard and in files."""

from __future__ import annotations

from collections import Counter
from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog_schema.catalogue import cut_id
from recommender.work.tables import Technique

CAUTIONS = (
    "Planning aid only: it helps to choose what to buy and is no licence to lift, lower or catch.",
    "The maker's instructions, local law and codes, and a qualified person on site decide; the strictest rules.",
    "The tree is not rated: stem, limb and root strength are outside these figures and may be the weakest part.",
    "Nobody ever hangs on load rigging: gear for climbing and gear for loads are kept apart.",
)

ROUNDING = 1e-9
"""Relative allowance where lines fill a spool to its end: rounding only."""

ResultStatus = Literal["planned", "planned, optimum not proven", "no kit", "stopped"]
State = Literal["working", "jam"]
HoldVerdict = Literal["held by one", "slips at the peak", "held by several", "too heavy for the crew"]


class Typed(BaseModel):
    """A frozen part of the result; unknown fields are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class KitItem(Typed):
    """An item of the kit. Prices in units of the currency, masses in kg, lengths in m.

    ``cuts_m`` are the lines that are cut from a spool (``length_m`` is the rope on each), in the order of cutting: each
    comes off the spool at hand, or off the next one where that has not enough left. A line is called by the spool's id
    and its length, such as ``R1/cut 29m``.
    """

    id: str
    table: str
    name: str
    quantity: int
    unit_price: float
    owned: bool
    mass_kg: float
    length_m: float | None = None
    cuts_m: tuple[float, ...] = ()

    @property
    def cutting_list(self) -> tuple[tuple[float, ...], ...]:
        """The lines of each spool that is cut. [m]"""
        spools: list[list[float]] = []
        for cut in self.cuts_m:
            if not spools or sum(spools[-1]) + cut > (self.length_m or 0.0) * (1 + ROUNDING):
                spools.append([])
            spools[-1].append(cut)
        return tuple(tuple(lines) for lines in spools)

    @property
    def price(self) -> float:
        """Price of all pieces."""
        return self.quantity * self.unit_price


class Holding(Typed):
    """What people on the tail need on the brake to hold the line; a caution, no limit of the kit.

    ``hanging_n`` is the tension at the brake while the piece hangs still, with the least friction at the redirect. The
    wraps leave no more than the policy's hold for the hand: ``wraps_hanging`` then, ``wraps_peak`` at the tension of
    the working state (in a catch with a stated run: the hold that this run needs), both with low friction on the
    brake; ``wraps_peak_dry`` with high friction. ``wraps_max`` is what fits on the brake. ``wraps_one`` are those with
    which one person would do: ``wraps_peak`` in a catch with a stated run, whose hold decides how far the line runs,
    else ``wraps_hanging``; ``people`` how many it takes with what fits, ``there`` how many a crew has on the ground.
    """

    hanging_n: float
    wraps_hanging: float
    wraps_peak: float
    wraps_peak_dry: float
    wraps_max: float
    wraps_one: float
    people: int
    there: int

    @property
    def verdict(self) -> HoldVerdict:
        """Who holds it with all wraps that fit."""
        if self.people > 1:
            return "too heavy for the crew" if self.people > self.there else "held by several"
        return "held by one" if self.wraps_max >= self.wraps_peak else "slips at the peak"


class TextileLife(Typed):
    """How long a rope or sling of the kit lasts by the policy's planning rule; every piece counts as the largest.

    ``loads_per_season`` are those of one crew, which has one of it.
    ``highest_share`` is the highest load of the working state over the strength left at the weakest spot.
    """

    item: str
    loads_per_season: float
    highest_share: float
    seasons: float
    ends_by: Literal["loads", "age"]


class Assignment(Typed):
    """How one job type is rigged with the kit, and how hard each part works.

    ``utilisation`` is the larger of the two states for each part, demand over rating; ``governing`` names the state.
    Forces are those of the design piece; ``*_jam_n`` are 0 outside a catch. ``clearance_m`` is the free height under
    the cut, where the job type states one; ``holding`` is there where a brake is.
    """

    job: str
    technique: Technique
    piece_mass_kg: float
    piece_mass_typical_kg: float
    parts: dict[str, str]
    line_tension_n: float
    redirect_reaction_n: float
    brake_tension_n: float
    lifter_pull_n: float
    line_tension_jam_n: float
    redirect_reaction_jam_n: float
    brake_tension_jam_n: float
    utilisation: dict[str, float]
    governing: dict[str, State]
    line_needed_m: float
    drop_below_cut_m: float | None = None
    clearance_m: float | None = None
    holding: Holding | None = None

    @property
    def highest(self) -> tuple[str, float]:
        """The part that works hardest, and its utilisation."""
        part = max(self.utilisation, key=lambda name: self.utilisation[name])
        return part, self.utilisation[part]


class Uncovered(Typed):
    """A load case that nothing in the catalogue can carry: which part falls short, by how much, and what would help.

    ``shortfall`` is in words, with figures; ``remedy`` is the smallest change found, ``other_remedies`` more.
    """

    job: str
    technique: Technique
    part: str
    shortfall: str
    remedy: str
    other_remedies: tuple[str, ...] = ()


class KitResult(Typed):
    """Everything that planning a kit gives.

    ``purchase_cost`` and ``bound`` are in units of the currency; ``gap`` is (cost - bound) / cost.
    """

    status: ResultStatus
    plan: str
    notice: str
    purchase_cost: float
    currency: str
    bound: float
    gap: float
    solve_seconds: float
    solver: str
    items: tuple[KitItem, ...]
    assignments: tuple[Assignment, ...]
    uncovered: tuple[Uncovered, ...]
    notes: tuple[str, ...]
    lives: tuple[TextileLife, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def pieces(self) -> dict[str, int]:
        """Pieces by id, each line that is cut from a spool by its own id and in the place of the spool."""
        counted: dict[str, int] = {}
        for item in self.items:
            if item.cuts_m:
                counted |= Counter(cut_id(item.id, cut) for cut in item.cuts_m)
            else:
                counted[item.id] = item.quantity
        return counted

    @property
    def mass_kg(self) -> float:
        """Mass of the whole kit, dry."""
        return sum(item.quantity * item.mass_kg for item in self.items)
