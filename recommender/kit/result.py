"""The typed result of planning a kit; the same on the command line, in the dashboard and in files."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from recommender.work.tables import Technique

CAUTIONS = (
    "Planning aid only: it helps to choose what to buy and is no licence to lift, lower or catch.",
    "The maker's instructions, local law and codes, and a qualified person on site decide; the strictest rules.",
    "The tree is not rated: stem, limb and root strength are outside these figures and may be the weakest part.",
    "Nobody ever hangs on load rigging: gear for climbing and gear for loads are kept apart.",
)

ResultStatus = Literal["planned", "planned, optimum not proven", "no kit", "stopped"]
State = Literal["working", "jam"]


class Typed(BaseModel):
    """A frozen part of the result; unknown fields are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class KitItem(Typed):
    """An item of the kit. Prices in units of the currency, masses in kg, lengths in m."""

    id: str
    table: str
    name: str
    quantity: int
    unit_price: float
    owned: bool
    mass_kg: float
    length_m: float | None = None

    @property
    def price(self) -> float:
        """Price of all pieces."""
        return self.quantity * self.unit_price


class Assignment(Typed):
    """How one job type is rigged with the kit, and how hard each part works.

    ``utilisation`` is the larger of the two states for each part, demand over rating; ``governing`` names the state.
    Forces are those of the design piece; ``*_jam_n`` are 0 outside a catch.
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
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def mass_kg(self) -> float:
        """Mass of the whole kit, dry."""
        return sum(item.quantity * item.mass_kg for item in self.items)
