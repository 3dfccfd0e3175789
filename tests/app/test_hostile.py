"""Texts that try to be markup, on every page that shows answers: they are shown as they are."""

import pytest

from recommender.report.layout import clean

from .conftest import Listing, read_listing

GROUND = "training_ground"
EVIL = "<b>x</b><script>y</script> **z** [a](javascript:b) $c$ `d` :red[e] =cmd|' /C calc'!A0"
PAGES = ("kit", "reasons", "whatif", "limits", "ropes", "first", "seasons")
BUTTONS = {
    "reasons": ("Look for the reasons",),
    "whatif": ("Work out what each job type adds",),
    "first": ("What to buy first",),
    "seasons": ("Plan the seasons",),
}
SAFE = {"div", "table", "thead", "tbody", "tr", "th", "td", "style"}
"""Elements that the program itself hands to the browser."""


def is_escaped(markup: str) -> bool:
    """Whether every sign of the text stands behind a backslash wherever the text is."""
    return not any(
        sign in markup for sign in ("<b>", "<script>", "**z", "](javascript", "$c", "`d`", " :red[e]")
    )


@pytest.mark.parametrize("name", PAGES)
def test_names_of_tables_are_never_markup(screen, name):
    page = screen("", plan=GROUND).edit(4, job=EVIL)
    page.go(name)
    for label in BUTTONS.get(name, ()):
        page.press(label)
    written = [
        str(one.value)
        for kind in ("markdown", "caption", "title", "header", "subheader", "info", "warning", "error")
        for one in getattr(page.app, kind)
    ]
    assert written and all(is_escaped(one) for one in written)
    assert not any(one.allow_html for one in page.app.markdown)
    for one in page.app.get("html"):
        reader = Listing()
        reader.feed(one.proto.body)
        assert reader.kinds <= SAFE
    cells = [cell for one in page.app.get("html") for cell in _cells(one.proto.body)]
    if name in ("kit", "reasons", "whatif"):
        assert any(clean(EVIL) in cell for cell in cells)


def _cells(markup: str) -> list[str]:
    table = read_listing(markup)
    return [] if table is None else [str(cell) for row in table.values.tolist() for cell in row]
