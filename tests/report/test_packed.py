"""The room that a kit takes up: bands of an estimate."""

from math import pi
from pathlib import Path

import pytest

from catalog_schema.catalogue import load_catalogue
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitItem
from recommender.report.packed import room_for
from recommender.work.plan import load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
CATALOGUE = load_catalogue(DEMO)


def item(id: str, table: str, **more: float) -> KitItem:
    values = {"quantity": 1, "unit_price": 0.0, "owned": False, "mass_kg": 1.0, **more}
    return KitItem(id=id, table=table, name=id, **values)


def test_a_line_is_a_cylinder_in_a_bag_that_it_fills_in_part():
    room = room_for([item("DB127-60", "ropes", length_m=60.0)], CATALOGUE)
    solid = pi / 4 * 0.0127**2 * 60
    assert room.least == pytest.approx(solid / 0.60) and room.most == pytest.approx(solid / 0.35)


def test_other_gear_takes_the_room_of_its_mass():
    room = room_for([item("BS-M", "redirects", quantity=2, mass_kg=1.4)], CATALOGUE)
    assert room.least == pytest.approx(2.8 / 2000) and room.most == pytest.approx(2.8 / 700)
    assert room_for([item("X-TRAIN", "extras", mass_kg=0.0)], CATALOGUE).most == 0.0


@pytest.mark.parametrize("name", ["new_owner", "company", "training_ground"])
def test_a_kit_takes_the_room_of_its_items(name):
    plan = load_plan(DEMO / name)
    items = plan_kit(plan).items
    room = room_for(items, plan.catalogue)
    assert 0 < room.least < room.most < 1.0
    assert sum(room_for([one], plan.catalogue).most for one in items) == pytest.approx(room.most)
