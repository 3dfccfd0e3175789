"""Numbers as people write them, and the decimal mark of a file."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_schema.numbers import CellError, Marks, parse_number, settle_marks, split_unit
from catalog_schema.problems import ProblemCode

UNCLEAR = Marks("unclear", "unclear")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12),
        ("12.7", 12.7),
        ("12,7", 12.7),
        (".5", 0.5),
        (",5", 0.5),
        ("0.125", 0.125),
        ("0,125", 0.125),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234,567", 1234567),
        ("1.234.567", 1234567),
        ("1.234.567,25", 1234567.25),
        ("1234.567", 1234.567),
        ("1234,567", 1234.567),
        ("1 234", 1234),
        ("1 234,5", 1234.5),
        ("12\u00a0500", 12500),
        ("12\u202f500,5", 12500.5),
        ("9/16", 0.5625),
        ("1-1/2", 1.5),
        ("1 1/2", 1.5),
        ("1 - 1/2", 1.5),
        ("½", 0.5),
        ("1½", 1.5),
        ("1 \u00be", 1.75),
        ("9\u204416", 0.5625),
        ("3/2", 1.5),
        ("-5", -5),
        ("\u22125", -5),
        ("-1/2", -0.5),
        ("+5", 5),
        ("1e3", 1000),
        ("1.5E-3", 0.0015),
    ],
)
def test_numbers_with_one_reading_need_no_help(text, value):
    assert parse_number(text, UNCLEAR) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    ["", "-", "abc", "NaN", "inf", "1e999", "1_000", "1,23,4", "1.2.3", "12,34,567", "1,2345.6", "12.", "5 5",
     "1 23", "0x10", "1/0", "1/1", "5/100", "1 3/2", "0/2", "--5", "1,234.5,6", "10-20", "9" * 400, "１２", "1e", "٣"],
)  # fmt: skip
def test_everything_else_is_no_number(text):
    with pytest.raises(CellError) as caught:
        parse_number(text)
    assert caught.value.code is ProblemCode.NOT_A_NUMBER


@pytest.mark.parametrize(
    ("text", "whole", "decimal"),
    [("1,234", "1234", "1.2340"), ("1.234", "1234", "1.2340"), ("12,500", "12500", "12.5"),
     ("5,000", "5000", "5"), ("999.999", "999999", "999.9990")],
)  # fmt: skip
def test_a_triplet_is_refused_with_both_readings_where_nothing_settles_it(text, whole, decimal):
    with pytest.raises(CellError) as caught:
        parse_number(text, UNCLEAR)
    assert caught.value.code is ProblemCode.AMBIGUOUS_NUMBER
    assert f"Write {whole} " in caught.value.hint and f"or {decimal}" in caught.value.hint
    for remedy, meant in ((whole, float(whole)), (decimal, float(text.replace(",", ".")))):
        assert parse_number(remedy, UNCLEAR) == meant


def test_a_settled_triplet():
    assert parse_number("1,234", Marks("decimal", "thousands")) == 1234
    assert parse_number("1.234", Marks("decimal", "thousands")) == 1.234
    assert parse_number("1,234", Marks("thousands", "decimal")) == 1.234
    assert parse_number("1.234", Marks("thousands", "decimal")) == 1234


@pytest.mark.parametrize(
    ("texts", "delimiter", "marks"),
    [
        ([], ",", Marks("decimal", "unclear")),
        ([], "", Marks("decimal", "unclear")),
        ([], ";", Marks("unclear", "decimal")),
        ([], "\t", Marks("unclear", "unclear")),
        (["12.7"], ",", Marks("decimal", "thousands")),
        (["12.7"], "\t", Marks("decimal", "thousands")),
        (["12.7"], ";", Marks("decimal", "unclear")),
        (["12,7"], ";", Marks("thousands", "decimal")),
        (["12,7"], "\t", Marks("thousands", "decimal")),
        (["12,7"], ",", Marks("unclear", "decimal")),
        (["12.7", "12,7"], ",", Marks("unclear", "unclear")),
        (["1,234,567"], ",", Marks("decimal", "thousands")),
        (["1.234,5 kN"], ";", Marks("thousands", "decimal")),
        (["1,234", "2.345", "9/16 in", "text", "5"], ",", Marks("decimal", "unclear")),
        (["0.234"], "\t", Marks("decimal", "thousands")),
    ],
)
def test_what_settles_the_marks(texts, delimiter, marks):
    assert settle_marks(texts, delimiter) == marks


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("45", ("45", "")),
        ("45 %", ("45", "%")),
        ("45%", ("45", "%")),
        ("9/16 in", ("9/16", "in")),
        ('1/2"', ("1/2", '"')),
        ("20 lb/100 ft", ("20", "lb/100 ft")),
        ("1e3kN", ("1e3", "kN")),
        ("1½ in", ("1 1/2", "in")),
        ("6' 3\"", ("6", "' 3\"")),
    ],
)
def test_unit_behind_the_number(text, parts):
    assert split_unit(text) == parts


@pytest.mark.parametrize("text", ["kN", "kN 40", "16-Sep", "16. Sep", "~40", "", "12.", "≥ 40"])
def test_no_number_in_front(text):
    with pytest.raises(CellError) as caught:
        split_unit(text)
    assert caught.value.code is ProblemCode.NOT_A_NUMBER


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=0, max_value=1e12))
def test_what_python_writes_is_read_back(value):
    assert parse_number(repr(value)) == value


@given(st.decimals(min_value=0, max_value=9_999_999, places=2))
def test_thousands_and_decimals_in_both_habits(value):
    point = f"{value:,.2f}"
    comma = point.translate(str.maketrans(",.", ".,"))
    assert parse_number(point, UNCLEAR) == parse_number(comma, UNCLEAR) == float(value)


@given(st.text(max_size=30))
def test_any_text_is_a_number_or_a_cell_error(text):
    try:
        parse_number(*split_unit(text)[:1])
    except CellError as error:
        assert error.hint
