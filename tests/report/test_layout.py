"""No text makes a line longer than it may be, and none is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.report.layout import WIDTH, Column, bullets, clean, columns_of, section, table, wrapped

TEXTS = st.text(max_size=200)
COLUMNS = (Column("job"), Column("mass", True), Column("part"), Column("used", True))


@given(TEXTS, st.integers(6, WIDTH))
def test_wrapped_lines_fit_and_keep_every_word(text: str, width: int) -> None:
    lines = wrapped(text, width, "- ", "  ")
    assert all(columns_of(line) <= width for line in lines)
    assert "".join("".join(lines).removeprefix("-").split()) == "".join(clean(text).split())


@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS, TEXTS), max_size=4))
def test_tables_fit(rows: list[tuple[str, ...]]) -> None:
    assert all(columns_of(line) <= WIDTH for line in table(COLUMNS, rows))


def test_a_number_stays_with_its_unit() -> None:
    text = "used 7 % of 12 kN at 3 m"
    for width in range(8, 30):
        assert not any(line.endswith(("7", "12", "3")) for line in wrapped(text, width))


def test_numbers_stand_to_the_right() -> None:
    lines = table((Column("what"), Column("kg", True)), [("rope", "7"), ("sling", "12")])
    assert lines == ["what   kg", "-----  --", "rope    7", "sling  12"]


def test_a_table_that_cannot_fit_says_so() -> None:
    with pytest.raises(ValueError, match="width must be at least 14 columns here, not 10"):
        table((Column("abcdefgh"), Column("abcdefgh")), [], 10)


def test_an_empty_section_has_no_title() -> None:
    assert section("Notes", bullets([])) == []
    assert section("Notes", bullets(["one"])) == ["", "Notes", "- one"]
