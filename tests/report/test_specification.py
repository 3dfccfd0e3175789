"""What the shopping list asks for: every item of the catalogue, in both unit systems."""

from __future__ import annotations

from pathlib import Path

import pytest

from catalog_schema.catalogue import Catalogue, load_catalogue
from catalog_schema.units import UnitSystem
from recommender.kit.result import KitItem
from recommender.report.specification import specification

CATALOGUE = load_catalogue(Path(__file__).parents[2] / "demo_catalog")


def item(id: str, length: float | None = None) -> KitItem:
    return KitItem(
        id=id, table="any", name="any", quantity=1, unit_price=1.0, owned=False, mass_kg=1.0, length_m=length
    )


@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_item_can_be_asked_for(system: UnitSystem) -> None:
    for id in CATALOGUE.ids:
        text = specification(item(id), CATALOGUE, system)
        assert text.startswith(f"{id}; ") and "_" not in text.removeprefix(id) and "None" not in text


def test_ropes_say_size_length_strength_and_end() -> None:
    text = specification(item("owned:DB127-45", 44.8), CATALOGUE, "metric")
    assert text == "DB127-45; polyester, double braid, 12.7 mm; 44.8 m long; break 39 kN; cut end"


def test_in_inches_a_rope_and_what_takes_it_are_known_by_their_millimetres() -> None:
    """22 mm is 0.866 in: 0.87 in for the rope and, rounded inwards, to 0.86 in for the ring."""
    assert "0.87 in (22 mm); " in specification(item("DB22-45", 45.0), CATALOGUE, "us")
    assert "for rope 0.63 in (16 mm) to 0.86 in (22 mm); " in specification(item("RI-L"), CATALOGUE, "us")
    assert ", 1/2 in; " in specification(item("DB127-45", 45.0), CATALOGUE, "us")


def test_hardware_says_what_it_is_allowed_for() -> None:
    assert specification(item("PU-S"), CATALOGUE, "metric").endswith("not for catching")
    assert specification(item("RI-M"), CATALOGUE, "metric").endswith("; allowed for catching")


def test_the_mean_of_a_strength_is_not_sold_as_its_minimum() -> None:
    rope = CATALOGUE.ropes[0].model_copy(update={"break_basis": "average"})
    averaged = Catalogue((rope,), (), (), ())
    assert "on average" in specification(item(rope.id, 30.0), averaged, "metric")
