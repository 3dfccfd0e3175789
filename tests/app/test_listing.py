"""Tables whose words wrap: their cells in full, and nothing in them that is markup."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.dashboard.listing import STYLE, Filled, listing_markup
from recommender.report.layout import clean

from .conftest import Listing, read_listing

HOSTILE = (
    "<b>x</b>", "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "$x$", "**bold**", "[a](b)",
    "javascript:alert(1)", "=cmd|'/c calc'!A0", "+1", "-1", "@a", "\t=1", "&lt;b&gt;", "' style='x", "縄 🪵",
)  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_texts_are_shown_as_they_are_and_make_no_element(text):
    markup = listing_markup(
        [{"Item": text, text: text, "Used": Filled(text, 0.5)}], first="Item", total={"Item": text}
    )
    reader = Listing()
    reader.feed(markup)
    assert reader.kinds <= {"div", "table", "thead", "tbody", "tr", "th", "td"}
    assert reader.rows[0] == ["Item", clean(text), "Used"]
    assert reader.rows[1] == [clean(text)] * 3 and reader.rows[2][0] == clean(text)


@given(st.text(), st.text())
def test_no_text_leaves_its_cell(name, value):
    reader = Listing()
    reader.feed(listing_markup([{"a": value, f"b{name}": value}]))
    assert reader.kinds == {"div", "table", "thead", "tbody", "tr", "th", "td"}
    assert [len(row) for row in reader.rows] == [2, 2]


def test_numbers_of_a_column_have_the_same_decimals_and_figures_keep_their_unit():
    rows = [{"Item": "a", "Mass [kg]": 1.25, "Pieces": 1200}, {"Item": "b", "Mass [kg]": 2.0, "Pieces": 3}]
    table = read_listing(listing_markup(rows, first="Item"))
    assert list(table["Mass [kg]"]) == ["1.25", "2.00"] and list(table["Pieces"]) == ["1,200", "3"]
    assert "98\u00a0%" in listing_markup([{"a": "used 98 %"}])


def test_a_fill_never_stands_without_its_text_and_stays_in_its_cell():
    markup = listing_markup([{"Part": "x", "Line": Filled("297 % locked", 2.97)}])
    assert "297\u00a0% locked" in markup and "100%" in markup and "297%" not in markup


def test_the_style_holds_no_text_of_a_table():
    assert STYLE.count("<style>") == STYLE.count("</style>") == 1


def test_a_box_that_scrolls_is_reached_by_keys_and_has_a_name():
    few = listing_markup([{"Height": "1 to 2"}])
    assert 'tabindex="0" role="region" aria-label="Table: Height"' in few
    told = listing_markup([{"a": 1}], about='Lower "<straight>"')
    assert 'aria-label="Table: Lower &quot;&lt;straight&gt;&quot;"' in told
