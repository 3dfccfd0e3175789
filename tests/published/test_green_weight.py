"""Published green weights, volumes and biomass figures, each row computed by the product."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from recommender.wood import cylinder_mass, find_species
from recommender.wood.biomass import (
    branch_dry_mass,
    component_shares,
    total_dry_mass,
    wood_dry_mass,
)
from recommender.wood.crown import branch_share_below_break
from recommender.wood.density import average_softwood_under_bark, density_under_bark, green_density
from recommender.wood.stem import stem_bark_volume, stem_volume, volume_share_below
from recommender.wood.units import CENTIMETRE, CUBIC_FOOT, FOOT, INCH, PERCENT, POUND, POUND_PER_CUBIC_FOOT
from recommender.wood.volume import neiloid_frustum, smalian

Row = dict[str, str]
ROWS: list[Row] = list(
    csv.DictReader(
        Path(__file__).with_name("green_weight_checks.csv").read_text(encoding="utf-8").splitlines()
    )
)
UNIT = {
    "kg per m3 under bark": 1.0,
    "kg/m3": 1.0,
    "lb/ft3": POUND_PER_CUBIC_FOOT,
    "lb": POUND,
    "lb dry": POUND,
    "kg": 1.0,
    "kg dry": 1.0,
    "ft3": CUBIC_FOOT,
    "m3": 1.0,
    "ratio": 1.0,
}
SIZE = {"in": INCH, "ft": FOOT, "cm": CENTIMETRE, "m": 1.0}
WITHOUT_COUNTERPART: dict[str, str] = {}
"""Rows that nothing in the product computes, with the reason: there are none."""
SOURCES_DISAGREE = {
    "G057": "blackgum: 45 lb/ft3 in one table, 57.7 in another",
    "G069": "yellow-poplar: 38 lb/ft3 in one table, 48.7 in another; measured logs (G081) support the higher",
}
"""Rows of which the reference itself says that its sources disagree; they must still lie within 30 %."""


def of_kind(*kinds: str) -> list[Row]:
    return [row for row in ROWS if row["kind"] in kinds and row["check_id"] not in WITHOUT_COUNTERPART]


def numbers(row: Row) -> dict[str, float]:
    """``name=number`` pairs of the inputs, sizes in metres."""
    found = {}
    for name, text in re.findall(r"(\w+)=([\d.]+)", row["inputs"]):
        stem, _, unit = name.rpartition("_")
        found[stem if unit in SIZE else name] = float(text) * SIZE.get(unit, 1.0)
    return found


def said(row: Row, computed: float) -> str:
    return f"{row['check_id']}: {computed:.6g} against {row['expected']} {row['unit']} of {row['citation']}"


def tree(row: Row) -> tuple[int, float, float]:
    given = numbers(row)
    return int(given["group"]), given["D"], given["H"]


def log_volume(row: Row) -> float:
    formula = smalian if "Smalian" in row["inputs"] else neiloid_frustum
    given = numbers(row)
    return float(formula(given["d_large"], given["d_small"], given["length"]))


def weight_per_foot(row: Row) -> float:
    given = numbers(row)
    return float(
        cylinder_mass(given["density_lb_ft3"] * POUND_PER_CUBIC_FOOT, given["diameter"], given["length"])
    )


def weight_per_metre(row: Row) -> float:
    given = numbers(row)
    return float(cylinder_mass(given["density_kg_m3"], given["mid_diameter"], given["length"]))


def bark_and_wood(row: Row) -> float:
    given = numbers(row)
    return float(
        density_under_bark(given["wood_kg_per_m3_under_bark"], given["bark_kg_per_m3_under_bark"], 1.0)
    )


def broken_top(row: Row) -> float:
    given = numbers(row)
    return float(branch_share_below_break(given["H"], given["AH"], given["crown_ratio"]))


def wood_weight(row: Row) -> float:
    given = numbers(row)
    volume = float(re.search(r"volume_ib_ft3=([\d.]+)", row["inputs"])[1]) * CUBIC_FOOT  # type: ignore[index]
    return float(
        wood_dry_mass(
            volume, given["sg"], given.get("cull_pct", 0.0) * PERCENT, given.get("density_left", 1.0)
        )
    )


def share_below(row: Row) -> float:
    given = numbers(row)
    return float(volume_share_below(int(given["group"]), given["h"], given["H"], over_bark=False))


COMPUTED_BY: dict[str, Callable[[Row], float]] = {
    "bark share of fresh weight": bark_and_wood,
    "branch dry weight": lambda row: float(branch_dry_mass(*tree(row), numbers(row)["sg"])),
    "branch share left after a broken top": broken_top,
    "log volume formula": log_volume,
    "log weight per foot": weight_per_foot,
    "log weight per metre": weight_per_metre,
    "national average": lambda row: average_softwood_under_bark(),
    "stem bark volume": lambda row: float(stem_bark_volume(*tree(row))),
    "stem wood dry weight": wood_weight,
    "stem wood dry weight with 3 percent cull": wood_weight,
    "stem wood volume inside bark": lambda row: float(stem_volume(*tree(row), over_bark=False)),
    "volume share below height": share_below,
}


def test_every_row_is_of_a_known_kind_and_has_an_id_of_its_own() -> None:
    assert len(ROWS) == 83
    assert len({row["check_id"] for row in ROWS}) == len(ROWS)
    assert {row["kind"] for row in ROWS} == {"arithmetic", "compare", "self-computed"}
    assert {row["topic"] for row in of_kind("arithmetic")} <= COMPUTED_BY.keys()
    assert SOURCES_DISAGREE.keys() == {
        row["check_id"] for row in ROWS if "known disagreement of sources" in row["notes"]
    }


@pytest.mark.parametrize("row", of_kind("arithmetic"), ids=lambda row: row["check_id"])
def test_published_arithmetic(row: Row) -> None:
    computed = COMPUTED_BY[row["topic"]](row) / UNIT[row["unit"]]
    assert abs(computed - float(row["expected"])) <= float(row["tol_abs"]), said(row, computed)


@pytest.mark.parametrize("row", of_kind("compare"), ids=lambda row: row["check_id"])
def test_species_table_against_another_publication(row: Row) -> None:
    computed = find_species(row["table_species_id"]).green_wood_density / UNIT[row["unit"]]
    expected, band = float(row["expected"]), float(row["suggested_band_pct"])
    assert band < 30 or row["check_id"] in SOURCES_DISAGREE
    assert abs(computed / expected - 1) <= band * PERCENT, said(row, computed)


@pytest.mark.parametrize(
    "row", [row for row in of_kind("compare") if "mc_pct" in row["inputs"]], ids=lambda row: row["check_id"]
)
def test_density_from_the_moisture_and_gravity_of_test_trees(row: Row) -> None:
    sites = re.findall(r"mc_pct=(\d+), sg_green=([\d.]+)", row["inputs"])
    densities = [
        float(green_density(float(gravity), float(moisture) * PERCENT)) for moisture, gravity in sites
    ]
    computed = sum(densities) / len(densities) / UNIT[row["unit"]]
    assert abs(computed - float(row["expected"])) <= float(row["tol_abs"]), said(row, computed)


@pytest.mark.parametrize("row", of_kind("self-computed"), ids=lambda row: row["check_id"])
def test_tree_biomass_and_its_shares(row: Row) -> None:
    given = numbers(row)
    computed = float(total_dry_mass(int(given["group"]), given["dbh"]))
    assert abs(computed - float(row["expected"])) <= float(row["tol_abs"]), said(row, computed)
    shares = component_shares("softwood" if row["species"] == "Douglas-fir" else "hardwood", given["dbh"])
    printed = dict(re.findall(r"([a-z]+(?: [a-z]+)?) (0\.\d+)", row["notes"]))
    for name, value in printed.items():
        part = float(getattr(shares, name.replace(" ", "_")))
        assert abs(part - float(value)) <= 0.00005, f"{name}: {said(row, part)}"
    assert len(printed) == 4
