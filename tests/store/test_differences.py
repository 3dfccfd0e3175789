"""What two plans differ in, by document, row and cell."""

from __future__ import annotations

import pytest

from recommender.store import Difference, Documents, Json, RowDifference, differences


def test_the_same_plans_do_not_differ() -> None:
    documents: Documents = {"work": [{"job": "a"}], "policy": "x", "settings": {"a": 1}}
    assert differences(documents, dict(documents)) == ()


def test_documents_that_one_side_has() -> None:
    assert differences({"a": "x"}, {"b": "x"}) == (Difference("a", "removed"), Difference("b", "added"))


def test_rows_are_told_apart_by_their_names() -> None:
    before: list[dict[str, Json]] = [{"job": "limbs", "share": 0.5}, {"job": "tops", "share": 0.5}]
    after: list[dict[str, Json]] = [
        {"job": "butts", "share": 0.4},
        {"job": "limbs", "share": 0.6, "wet": True},
    ]
    (found,) = differences({"work": before}, {"work": after})
    assert found.rows == (
        RowDifference("limbs", "changed", (("share", 0.5, 0.6), ("wet", None, True))),
        RowDifference("tops", "removed"),
        RowDifference("butts", "added"),
    )


def test_another_order_is_a_difference() -> None:
    rows: list[Json] = [{"id": "a"}, {"id": "b"}]
    (found,) = differences({"t": rows}, {"t": rows[::-1]})
    assert found.rows == (RowDifference("order of the rows", "changed"),)


@pytest.mark.parametrize("names", [("x", "x"), ("", "x"), (None, "x")])
def test_rows_without_names_of_their_own_go_by_place(names: tuple[str, str]) -> None:
    before: list[dict[str, Json]] = [{"job": name, "share": number} for number, name in enumerate(names)]
    after: list[dict[str, Json]] = [*before[:1], {**before[1], "share": 9}, {"job": "new"}]
    (found,) = differences({"work": before}, {"work": after})
    assert found.rows == (
        RowDifference("row 2", "changed", (("share", 1, 9),)), RowDifference("row 3", "added"),
    )  # fmt: skip
    (back,) = differences({"work": after}, {"work": before})
    assert [row.manner for row in back.rows] == ["changed", "removed"]


def test_settings_differ_by_key_and_texts_by_line() -> None:
    before: Documents = {"settings": {"name": "a", "crew": {"n": 1}}, "policy": "a\n---b\nc\n"}
    after: Documents = {"settings": {"name": "b", "crew": {"n": 1}}, "policy": "a\nc\n@@d\n"}
    policy, settings = differences(before, after)
    assert policy.lines == ("----b", "+@@d")
    assert settings.rows[0].cells == (("name", "a", "b"),)


def test_a_table_that_became_a_text() -> None:
    (found,) = differences({"work": [{"job": "a"}]}, {"work": "a"})
    assert found.manner == "changed" and "+a" in found.lines
