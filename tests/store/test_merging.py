"""Two edits of one plan put together: every cell from the side that changed it, and never a guess."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.store import merged

ROWS = [{"job": "tops", "length": 1.0, "share": 0.4}, {"job": "logs", "length": 2.0, "share": 0.6}]


def work(*rows):
    return {
        "settings": {"name": "Oaks", "crew": {"climbers": 1, "crews": 1}},
        "work": list(rows),
        "notes": [],
    }


def changed(place, **cells):
    return [{**row, **cells} if number == place else row for number, row in enumerate(ROWS)]


def test_other_cells_of_one_row_come_together():
    both = merged(work(*ROWS), work(*changed(0, length=3.0)), work(*changed(0, share=0.5)))
    assert both == work({"job": "tops", "length": 3.0, "share": 0.5}, ROWS[1])


def test_rows_that_either_side_added_or_took_out_come_together():
    new, other = {"job": "new"}, {"job": "other"}
    assert merged(work(*ROWS), work(ROWS[0], new, ROWS[1]), work(*ROWS, other)) == work(
        ROWS[0], new, ROWS[1], other
    )
    assert merged(work(*ROWS), work(ROWS[0]), work(*changed(0, share=0.5))) == work(changed(0, share=0.5)[0])


def test_settings_within_settings_come_together():
    mine, theirs = work(*ROWS), work(*ROWS)
    mine["settings"] = {"name": "Oaks", "crew": {"climbers": 2, "crews": 1}}
    theirs["settings"] = {"name": "Beeches", "crew": {"climbers": 1, "crews": 3}}
    both = merged(work(*ROWS), mine, theirs)
    assert both is not None and both["settings"] == {"name": "Beeches", "crew": {"climbers": 2, "crews": 3}}


@pytest.mark.parametrize(
    ("mine", "theirs"),
    [
        (changed(0, length=3.0), changed(0, length=4.0)),
        ([ROWS[0]], changed(1, length=4.0)),
        (changed(0, job="treetops"), changed(0, job="crowns")),
        (changed(0, job="treetops"), changed(0, length=4.0)),
        ([*ROWS, {"job": "new", "length": 1.0}], [*ROWS, {"job": "new", "length": 2.0}]),
        (changed(0, job="logs"), changed(1, length=4.0)),
    ],
    ids=["one cell", "taken out and changed", "two names", "named and changed", "one name", "not told apart"],
)
def test_what_both_changed_is_left_to_a_person(mine, theirs):
    assert merged(work(*ROWS), work(*mine), work(*theirs)) is None
    assert merged(work(*ROWS), work(*theirs), work(*mine)) is None


ROW = st.fixed_dictionaries({"length": st.integers(0, 2), "share": st.integers(0, 2)})
TABLE = st.dictionaries(st.sampled_from("abcd"), ROW).map(
    lambda rows: {"work": [{"job": name, **row} for name, row in rows.items()]}
)


@given(TABLE, TABLE, TABLE)
def test_no_edit_is_lost_and_the_sides_are_alike(base, mine, theirs):
    """Whatever came together has every cell from the side that changed it; one side alone is that side."""
    assert merged(base, mine, base) == mine and merged(base, base, theirs) == theirs
    both, other = merged(base, mine, theirs), merged(base, theirs, mine)
    assert (both is None) == (other is None)
    if both is None:
        return
    was, my, their, now = ({row["job"]: row for row in side["work"]} for side in (base, mine, theirs, both))
    assert now == {row["job"]: row for row in other["work"]}
    for name in was.keys() | my.keys() | their.keys():
        sides = {str(side.get(name)) for side in (my, their)} - {str(was.get(name))}
        if len(sides) <= 1:
            expected = my.get(name) if my.get(name) != was.get(name) else their.get(name)
            assert now.get(name) == expected
