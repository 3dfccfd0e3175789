"""What a planned kit asks a buyer to get: lines of an order in three groups, without any seller's words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog_schema.units import UnitSystem
from recommender.explain.crews import by_crew, told_apart
from recommender.kit.result import KitItem, KitResult
from recommender.report.figures import mass, mass_of_gear, money
from recommender.report.hold_words import too_heavy
from recommender.report.specification import OWNED_MARK, catalogue_id, specification
from recommender.work.plan import Plan

MASS_DECIMALS = 2
"""Of the mass of one piece, which is multiplied."""
TO_BUY = "Rigging gear to buy"
FOR_THE_CREW = "For the crew, to buy"
OWNED = "Used of what is owned"
COVERED_BY = (
    "Fewer pieces than planned, or weaker or shorter ones than written here, no longer carry the planned work: "
    "plan again before you order otherwise."
)


@dataclass(frozen=True)
class OrderLine:
    """One line of an order: ``asked_for`` says in words and figures what will do.

    ``mass`` is of all pieces, ``mass_each`` of one, as a number in the user's unit, both rounded up.
    """

    id: str
    name: str
    asked_for: str
    pieces: int
    unit_price: float
    mass: str
    mass_each: float


@dataclass(frozen=True)
class OrderGroup:
    """Lines that belong together, and whether they are bought."""

    title: str
    lines: tuple[OrderLine, ...]
    is_bought: bool = True

    @property
    def price(self) -> float:
        """Price of all its lines."""
        return sum(line.pieces * line.unit_price for line in self.lines)

    @property
    def mass(self) -> float:
        """Mass of all its lines, in the user's unit."""
        return sum(line.pieces * line.mass_each for line in self.lines)


def order_groups(result: KitResult, plan: Plan, system: UnitSystem) -> tuple[OrderGroup, ...]:
    """The gear to buy, the extras to buy, and what is used of what is owned; groups without a line are left out.

    Parameters
    ----------
    result : KitResult
    plan : Plan
        What it was planned with.
    system : {'metric', 'us'}
    """
    bought = [item for item in result.items if not item.owned]
    groups = (
        OrderGroup(TO_BUY, _lines((one for one in bought if one.table != "extras"), plan, system)),
        OrderGroup(FOR_THE_CREW, _lines((one for one in bought if one.table == "extras"), plan, system)),
        OrderGroup(OWNED, _lines((one for one in result.items if one.owned), plan, system), is_bought=False),
    )
    return tuple(group for group in groups if group.lines)


def who_holds(result: KitResult, plan: Plan) -> str:
    """What is too heavy for the hands of any crew, whose setups may differ; empty if nothing is."""
    return too_heavy(told_apart(by_crew(plan, result).assignments))


def summary(result: KitResult, plan: Plan, system: UnitSystem) -> list[tuple[str, str]]:
    """The figures of the whole kit, each with its name."""
    heavy = who_holds(result, plan)
    rigging = sum(one.quantity * one.mass_kg for one in result.items if one.table != "extras")
    return [
        ("Total to buy", money(result.purchase_cost, result.currency)),
        ("Mass of the kit, dry", mass(result.mass_kg, system)),
        ("of it rigging gear", mass(rigging, system)),
        ("Is it the cheapest", proof(result)),
        *([("Who holds it", heavy)] if heavy else []),
    ]


def proof(result: KitResult) -> str:
    """How sure it is that no kit is cheaper."""
    if result.status == "planned":
        return "proven: no kit of this catalogue that carries the work costs less"
    return f"not proven: no kit costs less than {money(result.bound, result.currency)}"


def _lines(items: Iterable[KitItem], plan: Plan, system: UnitSystem) -> tuple[OrderLine, ...]:
    return tuple(_line(item, plan, system) for item in items)


def _line(item: KitItem, plan: Plan, system: UnitSystem) -> OrderLine:
    id = catalogue_id(item.id)
    asked_for = specification(item, plan.catalogue, system).removeprefix(f"{id}; ").removeprefix("other ")
    together = mass_of_gear(item.quantity * item.mass_kg, item.quantity, system) if item.mass_kg else ""
    each = mass_of_gear(item.mass_kg, 1, system, MASS_DECIMALS).split(" ")[0].replace(",", "")
    numbers = piece_numbers(item, plan)
    asked_for += f"; of the register: {numbers}" if numbers else ""
    return OrderLine(id, item.name, asked_for, item.quantity, item.unit_price, together, float(each))


def piece_numbers(item: KitItem, plan: Plan) -> str:
    """The register's numbers of the pieces that an owned item means; empty without a register.

    Where there are more of them than the kit uses, any will do, and it is said how many.
    """
    rows = [row.item for row in plan.owned]
    id = catalogue_id(item.id)
    if not (item.owned and plan.origins.pieces and id in rows):
        return ""
    _, _, number = item.id.removeprefix(f"{OWNED_MARK}{id}").partition("#")
    pieces = plan.origins.pieces[int(number) - 1 if number else rows.index(id)]
    listed = ", ".join(f"{one.id} ({one.count} pieces)" if one.count > 1 else one.id for one in pieces)
    there = sum(one.count for one in pieces)
    return listed if there == item.quantity else f"any {item.quantity} of {listed}"
