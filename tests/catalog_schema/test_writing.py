"""Writing and templates: what is written reads back equal, and text stays text."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from catalog_schema.columns import columns_of
from catalog_schema.gear import TABLES, Connector, Rope
from catalog_schema.grids import read_csv
from catalog_schema.rows import read_rows
from catalog_schema.schema import schema_of, write_schemas
from catalog_schema.sources import read_one
from catalog_schema.templates import EXAMPLE_NOTE, example_row, write_templates
from catalog_schema.writing import header_of, row_values, write_rows_csv, write_workbook
from recommender.work.plan import load_plan
from recommender.work.settings import PlanSettings, settings_to_toml
from recommender.work.tables import JobType, OwnedGear
from recommender.work.tree_table import TreeRow

MODELS = {**TABLES, "work": JobType, "owned": OwnedGear}
TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cn", "Co")), min_size=1, max_size=20)
STARTS = ("=", "+", "-", "@", "'", "'=", "''-", "=1+1;", '"', "\u00a0", ",")
RISKY = st.builds(str.__add__, st.sampled_from(STARTS), TEXTS)
QUICK = settings(
    deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
"""A failing example is shown as found: to shrink it would take minutes."""
SHACKLE = Connector(id="S1", name="shackle", kind="shackle", wll=20e3, price=9)


@st.composite
def rows_of(draw, model: type[BaseModel]) -> BaseModel:
    """A valid row near the example row: sizes scaled together and apart, texts at will, choices changed."""
    columns = columns_of(model)
    base = example_row(model, **({"id": "A1"} if "id" in columns else {})).model_dump()
    together = draw(st.floats(0.7, 1.4))
    own: dict[str, object] = {}
    for name, column in columns.items():
        if column.sort == "number" and base[name] is not None:
            own[name] = base[name] * together * draw(st.floats(0.98, 1.02))
        elif column.sort == "text" and draw(st.booleans()):
            own[name] = draw(TEXTS | RISKY)[: 8 if name == "currency" else None]
        elif column.sort == "choice" and draw(st.booleans()):
            own[name] = draw(st.sampled_from(column.choices))
        elif column.sort == "yes_no":
            own[name] = draw(st.booleans())
    if model is Rope and draw(st.booleans()):
        lengths = draw(st.lists(st.floats(5, 200), min_size=1, max_size=4))
        own |= {
            "length": None,
            "price": None,
            "price_per_length": 3.3 * together,
            "lengths_on_offer": tuple(lengths),
        }
    try:
        return model.model_validate(base | own)
    except ValidationError:
        assume(False)
        raise


def assert_equal(read: BaseModel, written: BaseModel) -> None:
    assert type(read) is type(written)
    for name, value in written:
        again = getattr(read, name)
        if isinstance(value, float):
            assert math.isclose(again, value, rel_tol=1e-9), (name, again, value)
        elif isinstance(value, tuple):
            assert again == pytest.approx(value, rel=1e-9)
        else:
            assert again == value, name


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", MODELS)
@settings(QUICK, max_examples=25)
@given(data=st.data())
def test_every_accepted_row_reads_back_equal(name, system, data):
    rows = data.draw(st.lists(rows_of(MODELS[name]), min_size=1, max_size=3))
    with TemporaryDirectory() as folder:
        path = Path(folder, "table.csv")
        write_rows_csv(rows, path, system)
        read = read_rows(read_csv(path), MODELS[name])
    assert read.problems == ()
    for again, row in zip(read.rows, rows, strict=True):
        assert_equal(again, row)


@pytest.mark.parametrize("system", ["metric", "us"])
@settings(QUICK, max_examples=4)
@given(data=st.data())
def test_workbooks_read_back_equal(system, data):
    tables = {name: [data.draw(rows_of(model))] for name, model in MODELS.items()}
    with TemporaryDirectory() as folder:
        path = Path(folder, "tables.xlsx")
        write_workbook(tables, path, system)
        for name, rows in tables.items():
            read = read_rows(read_one(path, name), MODELS[name])
            assert read.problems == ()
            assert_equal(read.rows[0], rows[0])


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-x", "@SUM(A1)", "'=1+1", "''=1", '=HYPERLINK("x")', "-", "=a\nb"]
)
def test_text_that_looks_like_a_formula_stays_text(tmp_path, text):
    row = SHACKLE.model_copy(update={"name": text, "note": text})
    write_rows_csv([row], tmp_path / "connectors.csv")
    written = (tmp_path / "connectors.csv").read_text()
    assert not any(cell.lstrip('"').startswith(("=", "+", "-", "@")) for cell in written.split(","))
    assert read_rows(read_csv(tmp_path / "connectors.csv"), Connector).rows == (row,)
    write_workbook({"connectors": [row]}, tmp_path / "tables.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "tables.xlsx")["connectors"]
    place = list(columns_of(Connector)).index("name") + 1
    assert (sheet.cell(2, place).data_type, sheet.cell(2, place).value) == ("s", text)
    assert read_rows(read_one(tmp_path / "tables.xlsx", "connectors"), Connector).rows == (row,)


@pytest.mark.parametrize("text", ["#N/A", "#CALC!", "_x0041_", "TRUE", "12.5", "2025-09-16", "a\nb"])
def test_text_that_looks_like_something_else_stays_text_in_a_workbook(tmp_path, text):
    row = SHACKLE.model_copy(update={"note": text})
    write_workbook({"connectors": [row]}, tmp_path / "tables.xlsx")
    assert read_rows(read_one(tmp_path / "tables.xlsx", "connectors"), Connector).rows == (row,)


def test_headers_carry_the_units_of_the_system():
    assert "mass_per_length [g/m]" in header_of(Rope)
    assert "mass_per_length [lb/100 ft]" in header_of(Rope, "us")
    assert row_values(SHACKLE, "us")["wll [lbf]"] == pytest.approx(20e3 / 4.4482216152605)


def test_numbers_are_written_as_people_write_them(tmp_path):
    write_rows_csv([example_row(Rope, id="A1")], tmp_path / "ropes.csv")
    assert ",12.7,39,minimum,4.5,30," in (tmp_path / "ropes.csv").read_text()


def test_ascii_needs_no_byte_order_mark_and_other_letters_have_one(tmp_path):
    write_rows_csv([SHACKLE], tmp_path / "a.csv")
    write_rows_csv([SHACKLE.model_copy(update={"name": "Schäkel"})], tmp_path / "b.csv")
    assert (tmp_path / "a.csv").read_bytes().startswith(b"id,")
    assert (tmp_path / "b.csv").read_bytes().startswith(b"\xef\xbb\xbfid,")


def test_a_table_without_rows_needs_its_model(tmp_path):
    write_rows_csv([], tmp_path / "ropes.csv", model=Rope)
    assert read_rows(read_csv(tmp_path / "ropes.csv"), Rope).problems == ()
    with pytest.raises(ValueError, match="model is needed"):
        write_rows_csv([], tmp_path / "ropes.csv")


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_templates_make_a_plan_that_loads(tmp_path, system):
    texts = {"plan.toml": settings_to_toml(PlanSettings(units=system), comments=True)}
    models = {**MODELS, "trees": TreeRow}
    paths = write_templates(tmp_path / "new", models, texts=texts, workbook="tables.xlsx", system=system)
    assert {path.name for path in paths} == {f"{name}.csv" for name in models} | {"plan.toml", "tables.xlsx"}
    plan = load_plan(tmp_path / "new")
    from_workbook = load_plan(tmp_path / "new", catalog=tmp_path / "new" / "tables.xlsx")
    assert plan.catalogue == from_workbook.catalogue
    noted = [row for rows in plan.catalogue.tables().values() for row in rows] + [
        *plan.origins.work,
        *plan.owned,
    ]
    assert {row.note for row in noted} == {EXAMPLE_NOTE}
    assert plan.settings.units == system
    assert plan.catalogue.currency == {"metric": "EUR", "us": "USD"}[system]
    written = "".join(path.read_text() for path in paths if path.suffix == ".csv")
    assert not re.search(r"\d\.\d{2}(?!5)|\d[\d.]{6}", written), "round numbers, or eighths of an inch"


def test_templates_overwrite_nothing(tmp_path):
    (tmp_path / "slings.csv").write_text("mine")
    (tmp_path / "plan.toml").write_text("mine")
    with pytest.raises(FileExistsError, match=r"slings\.csv, plan\.toml"):
        write_templates(tmp_path, MODELS, texts={"plan.toml": ""})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plan.toml", "slings.csv"]
    assert (tmp_path / "slings.csv").read_text() == "mine"


def test_template_workbook_explains_its_columns_and_keeps_fractions_text(tmp_path):
    write_templates(tmp_path, {"ropes": Rope}, workbook="tables.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "tables.xlsx")["ropes"]
    place = list(columns_of(Rope)).index("diameter") + 1
    assert sheet.cell(1, place).value == "diameter [mm]"
    assert sheet.cell(1, place).comment.text == "Nominal diameter. Needed in every row."
    assert sheet.column_dimensions[openpyxl.utils.get_column_letter(place)].number_format == "@"


def test_schemas_tell_every_column_with_its_unit(tmp_path):
    paths = write_schemas(MODELS, tmp_path / "schema")
    assert len(paths) == len(MODELS)
    for path, (name, model) in zip(paths, MODELS.items(), strict=True):
        schema = json.loads(path.read_text(encoding="utf-8"))
        assert schema == schema_of(name, model)
        assert list(schema["properties"]) == list(columns_of(model))
        for column in columns_of(model).values():
            told = schema["properties"][column.name]
            assert told["description"]
            assert told.get("kind") == column.kind
            assert ("si_unit" in told) == (column.kind is not None)


def test_template_workbook_offers_the_words_of_a_choice(tmp_path):
    write_templates(tmp_path, TABLES, workbook="tables.xlsx", system="us")
    book = openpyxl.load_workbook(tmp_path / "tables.xlsx")
    for name, model in TABLES.items():
        offered = {
            str(one.sqref).rstrip("0123456789"): one for one in book[name].data_validations.dataValidation
        }
        for place, column in enumerate(columns_of(model).values(), start=1):
            letter = openpyxl.utils.get_column_letter(place)
            words = column.choices or (("yes", "no") if column.sort == "yes_no" else ())
            check = offered.pop(f"{letter}2:{letter}", None)
            assert (check.formula1 if check else "") == (f'"{",".join(words)}"' if words else "")
            assert len(check.formula1 if check else "") <= 255, "a spreadsheet takes no longer list"
            assert all(word in book[name].cell(1, place).comment.text for word in words)
        assert not offered
    assert any("for a ring write none" in cell.comment.text for cell in book["redirects"][1])
