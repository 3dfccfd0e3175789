"""The catalogue as a whole: rope lengths, ids, currency."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest

from catalog_schema.catalogue import Catalogue, lengths_of, load_catalogue, unknown_id
from catalog_schema.gear import TABLES, Rope
from catalog_schema.problems import InputError, ProblemCode
from catalog_schema.templates import example_row
from catalog_schema.writing import write_rows_csv

ROPE = example_row(Rope)


def rope(**own) -> Rope:
    return Rope.model_validate(ROPE.model_dump() | own)


def offer(*lengths: float, price_per_length: float = 4.0) -> Rope:
    return rope(id="R2", length=None, price=None, price_per_length=price_per_length, lengths_on_offer=lengths)


@pytest.fixture
def folder(tmp_path):
    for place, name in enumerate(("ropes", "redirects", "slings", "brakes")):
        row = example_row(TABLES[name], id=f"{'ABCD'[place]}1")
        write_rows_csv([row], tmp_path / f"{name}.csv")
    return tmp_path


def test_a_row_with_its_length_keeps_its_id():
    (one,) = lengths_of(rope(id="R1", length=45.0, price=180.0))
    assert (one.id, one.length, one.price) == ("R1", 45.0, 180.0)
    assert one.mass == pytest.approx(45.0 * 0.122)


def test_offered_lengths_have_ids_of_their_own():
    lengths = lengths_of(offer(30.0, 45.72, 60.96))
    assert [one.id for one in lengths] == ["R2/30m", "R2/45.72m", "R2/60.96m"]
    assert [one.price for one in lengths] == pytest.approx([120.0, 182.88, 243.84])


def test_price_per_foot_and_lengths_in_feet(folder):
    text = (folder / "ropes.csv").read_text()
    text = text.replace(
        "price_per_length [1/m],lengths_on_offer [m]", "price_per_length [$/ft],lengths_on_offer [ft]"
    )
    (folder / "ropes.csv").write_text(text.replace(",45,180,,", ",,,1.25,150 200"))
    lengths = load_catalogue(folder).rope_lengths
    assert [one.price for one in lengths] == pytest.approx([187.5, 250.0])
    assert [one.length for one in lengths] == pytest.approx([45.72, 60.96])


def test_tables_and_items(folder):
    catalogue = load_catalogue(folder)
    assert list(catalogue.tables()) == list(TABLES)
    assert catalogue.item("B1") is catalogue.redirects[0]
    assert catalogue.item("A1") is catalogue.ropes[0]
    assert (catalogue.lifters, catalogue.connectors, catalogue.extras) == ((), (), ())
    with pytest.raises(KeyError):
        catalogue.item("nothing")
    with pytest.raises(FrozenInstanceError):
        catalogue.ropes = ()


def test_a_rope_length_is_an_item():
    catalogue = Catalogue((offer(30.0, 45.0),), (), (), ())
    assert catalogue.item("R2/45m").length == 45.0
    assert catalogue.item("R2") is catalogue.ropes[0]
    assert catalogue.ids == ("R2/30m", "R2/45m", "R2")
    assert unknown_id("R2/46m", catalogue) == "Did you mean 'R2/45m'?"
    assert unknown_id("qqq", catalogue) == "Write the id of a row in the catalogue"


def test_one_currency_whatever_its_capitals_and_blank_cells_take_it(folder):
    text = (folder / "slings.csv").read_text()
    (folder / "slings.csv").write_text(text.replace("EUR", "eur"))
    text = (folder / "brakes.csv").read_text()
    (folder / "brakes.csv").write_text(text.replace("EUR", ""))
    assert load_catalogue(folder).currency == "EUR"


def test_no_currency_at_all(folder):
    for file in folder.glob("*.csv"):
        file.write_text(file.read_text().replace("EUR", ""))
    assert load_catalogue(folder).currency == ""


def test_an_optional_table_may_have_a_header_only(folder):
    (folder / "extras.csv").write_text("id,name,price,kind,per\n")
    assert load_catalogue(folder).extras == ()


def test_nothing_there(tmp_path):
    with pytest.raises(InputError) as caught:
        load_catalogue(tmp_path)
    assert [one.file for one in caught.value.problems] == [
        "ropes.csv",
        "redirects.csv",
        "slings.csv",
        "brakes.csv",
    ]
    with pytest.raises(InputError) as caught:
        load_catalogue(tmp_path / "none.xlsx")
    assert [one.code for one in caught.value.problems] == [ProblemCode.FILE_MISSING]


def test_a_row_that_is_faulty_still_blocks_its_id(folder):
    text = (folder / "slings.csv").read_text()
    (folder / "slings.csv").write_text(text.replace("C1,", "A1,").replace("whoopie", "lasso"))
    with pytest.raises(InputError) as caught:
        load_catalogue(folder)
    assert {one.code for one in caught.value.problems} == {ProblemCode.ID_TWICE, ProblemCode.NOT_A_CHOICE}
