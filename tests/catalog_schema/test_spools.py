"""Rope sold by the spool: how a row says so, and the lines that are cut from it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from catalog_schema.catalogue import Catalogue, cut_from, lengths_of, load_catalogue
from catalog_schema.gear import TABLES, Rope
from catalog_schema.problems import InputError
from catalog_schema.schema import schema_of
from catalog_schema.templates import example_row
from catalog_schema.writing import header_of, row_values, write_rows_csv

UNSOLD = {"length": None, "price": None, "price_per_length": None, "lengths_on_offer": ()}


def rope(**own: Any) -> Rope:
    return Rope.model_validate(example_row(Rope).model_dump() | UNSOLD | {"id": "SP"} | own)


SPOOL = rope(spool_length=200.0, price=500.0)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for place, name in enumerate(("redirects", "slings", "brakes")):
        write_rows_csv([example_row(TABLES[name], id=f"{'BCD'[place]}1")], tmp_path / f"{name}.csv")
    write_rows_csv([SPOOL], tmp_path / "ropes.csv")
    return tmp_path


@pytest.mark.parametrize(
    ("own", "words"),
    [
        (
            {},
            "say how the rope is sold: give length and price, or price_per_length and lengths_on_offer, or spool",
        ),
        ({"spool_length": 200.0}, "say how the rope is sold"),
        ({"price": 5.0}, "say how the rope is sold"),
        (
            {"price": 5.0, "length": 45.0, "spool_length": 200.0},
            "two ways, length and price; spool_length and price",
        ),
        (
            {"price": 5.0, "spool_length": 200.0, "price_per_length": 3.0, "lengths_on_offer": (30.0,)},
            "two ways, price_per_length and lengths_on_offer; spool_length and price",
        ),
        ({"price": 5.0, "length": 45.0, "shortest_cut": 9.0}, "shortest_cut is for rope on a spool"),
        ({"price": 5.0, "spool_length": 8.0, "shortest_cut": 9.0}, "shortest_cut is above spool_length"),
        ({"price": 5.0, "spool_length": 80.0, "termination": "spliced_eye"}, "cut ends"),
    ],
)
def test_a_row_that_is_sold_in_no_way_or_in_two_says_which(own: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError) as caught:
        rope(**own)
    assert words in str(caught.value)


def test_a_spool_is_one_line_as_long_as_nobody_cuts_it() -> None:
    (one,) = lengths_of(SPOOL)
    assert (one.id, one.length, one.price) == ("SP", 200.0, 500.0)
    assert one.mass == pytest.approx(200 * 0.122)


def test_a_line_that_is_cut_has_its_share_of_the_price() -> None:
    line = cut_from(SPOOL, 29.0)
    assert (line.id, line.length) == ("SP/cut 29m", 29.0)
    assert line.price == pytest.approx(72.5)
    assert cut_from(rope(spool_length=182.88, price=1.0), 182.88).id == "SP/cut 182.88m"


def test_what_can_not_be_cut_is_refused() -> None:
    for length in (0.0, 200.5):
        with pytest.raises(ValueError, match="at most 200 m, not"):
            cut_from(SPOOL, length)
    with pytest.raises(ValueError, match="sold by the spool, not 'R1'"):
        cut_from(example_row(Rope, id="R1"), 20.0)  # type: ignore[arg-type]


def test_lines_are_found_in_the_catalogue_by_their_id(folder: Path) -> None:
    catalogue = load_catalogue(folder)
    assert catalogue.item("SP") == SPOOL
    line = catalogue.item("SP/cut 29m")
    assert line == cut_from(SPOOL, 29.0)
    for unknown in ("SP/cut", "SP/cut m", "SP/cut 29", "SP/cut -1m", "SP/29m", "B1/cut 29m", "none/cut 29m"):
        with pytest.raises(KeyError):
            catalogue.item(unknown)
    assert catalogue.ids[0] == "SP"


def test_a_spool_is_read_in_feet(folder: Path) -> None:
    write_rows_csv([rope(spool_length=182.88, price=500.0, shortest_cut=30.48)], folder / "ropes.csv", "us")
    (row,) = load_catalogue(folder).ropes
    assert row.spool_length == pytest.approx(182.88)
    assert row.shortest_cut == pytest.approx(30.48)
    assert "spool_length [ft]" in header_of(Rope, "us")
    assert row_values(row, "us")["spool_length [ft]"] == 600.0


def test_a_fault_of_a_spool_is_told_with_its_row(folder: Path) -> None:
    table = folder / "ropes.csv"
    table.write_text(table.read_text().replace(",500,", ",,"))
    with pytest.raises(InputError) as caught:
        load_catalogue(folder)
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == ("ropes.csv", 2)
    assert "say how the rope is sold" in problem.message + problem.hint


def test_schema_and_catalogue_know_spools() -> None:
    properties = schema_of("ropes", Rope)["properties"]
    assert {properties[name]["si_unit"] for name in ("spool_length", "shortest_cut")} == {"m"}
    assert [one.length for one in Catalogue((SPOOL,), (), (), ()).rope_lengths] == [200.0]
