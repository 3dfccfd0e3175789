"""The register on the screen: due inspections, what is planned with, an inspection in a press, files in and out."""

import json
from datetime import date, timedelta

import pytest

from catalog_schema.units import to_si
from recommender.dashboard.bring_in import uploader
from recommender.dashboard.register_rows import registered
from recommender.dashboard.uploads import OWNED
from recommender.work.register import RegisterItem, read_register_files, register_files
from recommender.work.tables import OwnedGear

TODAY = date.today()
ROPE = "DB127-45"


def ago(days: int) -> str:
    return (TODAY - timedelta(days)).isoformat()


def registered_page(screen):
    """The company's plan with three pieces: one overdue, one inspected yesterday, one retired."""
    page = screen("owned", plan="company")
    page.app.session_state["draft"] = page.app.session_state["draft"].with_rows(
        register=[
            {"id": "late", "item": ROPE, "first_use": ago(800), "condition": "sound", "count": 1},
            {"id": "fine", "item": ROPE, "first_use": ago(400), "condition": "sound", "count": 1},
            {"id": "gone", "item": ROPE, "first_use": ago(700), "retired_on": ago(10), "count": 1},
        ],
        inspections=[{"piece": "fine", "day": ago(1), "result": "passed"}],
    )
    return page.run()


def owned(page) -> list[tuple[str, int]]:
    return [(one.item, one.count) for one in page.app.session_state["answer"].plan.owned]


def test_only_sound_gear_is_planned_with_and_the_page_says_what_is_left_out(screen):
    page = registered_page(screen)
    assert page.figure("Planned with") == "1 of 3 pieces" and page.figure("Inspections overdue") == "1"
    assert owned(page) == [(ROPE, 1)]
    assert "Planning only with sound gear" in page.text
    assert "late (DB127-45) is left out" in page.text and "gone (DB127-45) is left out" in page.text
    first = next(one.value for one in page.app.markdown if "OVERDUE" in one.value)
    assert "late" in first
    shown = [one.value for one in page.app.markdown if "OVERDUE" in one.value or "due in" in one.value]
    assert shown[0] == first  # soonest first


def test_an_inspection_is_one_press_and_can_be_taken_back(screen):
    page = registered_page(screen)
    page.app.button(key="passed late").click()
    page.run()
    assert page.figure("Inspections overdue") == "0" and page.figure("Planned with") == "2 of 3 pieces"
    assert sum(count for _, count in owned(page)) == 2
    page.app.button(key="failed fine").click()
    page.run()
    assert page.figure("Planned with") == "1 of 3 pieces" and "failed its last inspection" in page.text
    assert page.press("Undo").figure("Planned with") == "2 of 3 pieces"


def test_several_pieces_passed_together_on_a_day(screen):
    page = registered_page(screen)
    page.app.multiselect(key="inspected_together").set_value(["late", "fine"])
    page.app.date_input(key="passed_on").set_value(TODAY - timedelta(3))
    page.run().press("Write it down")
    assert page.figure("Planned with") == "2 of 3 pieces"
    added = page.app.session_state["draft"].rows("inspections")[1:]
    assert [(one["piece"], one["day"], one["result"]) for one in added] == [
        ("late", ago(3), "passed"),
        ("fine", ago(3), "passed"),
    ]


def test_what_retired_is_told_as_retired_and_can_not_be_passed(screen):
    page = registered_page(screen)
    old = {"id": "old", "item": ROPE, "first_use": ago(6 * 366), "condition": "sound", "count": 1}
    draft = page.app.session_state["draft"]
    page.app.session_state["draft"] = draft.with_rows(register=[*draft.rows("register"), old])
    page.run()
    assert page.figure("Inspections overdue") == "1" and page.figure("Failed or retired") == "2"
    assert "old (DB127-45): too old: textiles retire 5 years" in page.text
    assert not [one for one in page.app.button if one.key in ("passed old", "passed gone")]
    for box in (
        page.app.multiselect(key="inspected_together").options,
        *(one.options for one in page.app.selectbox),
    ):
        assert not {"old", "gone"} & set(box)


def test_every_piece_says_whether_it_is_planned_with_and_why_not(screen):
    page = registered_page(screen)
    draft = page.app.session_state["draft"]
    strange = {
        "id": "strange",
        "item": "no such item",
        "first_use": ago(10),
        "condition": "sound",
        "count": 1,
    }
    page.app.session_state["draft"] = draft.with_rows(register=[*draft.rows("register"), strange])
    rows = page.run().table("Planned with").set_index("Piece")
    assert rows["Planned with"]["fine"] == "yes"
    assert rows["Planned with"]["late"].startswith("no: its inspection was due on")
    assert rows["Planned with"]["strange"] == "no: the catalogue does not list it"
    assert "not known" in rows["Retires"]["strange"]


def test_a_faulty_day_is_told_and_put_right_in_the_table(screen):
    page = registered_page(screen)
    draft = page.app.session_state["draft"]
    first, *rest = draft.rows("register")
    page.app.session_state["draft"] = draft.with_rows(register=[{**first, "first_use": "31.2.2024"}, *rest])
    page.app.session_state["editors"] = {}
    page.run()
    assert "Row 2, late - First use" in page.text
    page.type("register", 0, first_use="6.5.2024")
    assert "Row 2, late" not in page.text and page.figure("Planned with")


def test_the_plain_list_becomes_a_register_of_the_same_gear(screen):
    page = screen("owned", plan="company")
    listed = page.app.session_state["draft"].rows("owned")
    page.press("Make a register of this list")
    rows = page.app.session_state["draft"].rows("register")
    assert len(rows) == sum(row["count"] for row in listed) == len({row["id"] for row in rows})
    assert "It does not count now" in page.text


def test_the_register_opens_with_the_list_and_warns_of_what_it_would_change(screen):
    page = screen("owned", plan="company")
    preview = page.table("Would be planned with")
    listed = page.app.session_state["draft"].rows("owned")
    count = sum(row["count"] for row in listed)
    assert len(preview) == count and f"Kits are planned with the plain list: {len(listed)} rows" in page.text
    late = sum("inspection was due" in cell for cell in preview["Would be planned with"])
    assert late > 10 and f"{late} of {count} pieces would be overdue" in page.text
    page.press("Make a register of this list")
    assert page.figure("Inspections overdue") == str(late)


def test_a_new_piece_counts_for_nothing_until_it_is_filled_in(screen):
    page = screen("owned", plan="company")
    before, kit = owned(page), page.app.session_state["answer"].result
    page.press("Begin a register with an empty row")
    (row,) = page.app.session_state["draft"].rows("register")
    assert row == {"id": "R-001"}
    assert (
        owned(page) == before and page.app.session_state["answer"].result.purchase_cost == kit.purchase_cost
    )
    page.type("register", 0, item="SH-13", first_use=ago(10))
    assert owned(page) == [] and "its condition is not written down" in page.text
    page.type("register", 0, condition="sound")
    assert owned(page) == [("SH-13", 1)]
    page.app.button(key="add register").click()
    page.run()
    assert page.app.session_state["draft"].rows("register")[1] == {"id": "R-002"}
    assert owned(page) == [("SH-13", 1)] and "Row 3, R-002 - Item" in page.text


def test_items_and_pieces_are_chosen_from_what_there_is(screen):
    page = registered_page(screen)
    settings = [json.loads(one.proto.columns) for one in page.app.data_editor]
    offered = [one["item"]["type_config"]["options"] for one in settings if "item" in one]
    assert len(offered) == 2
    for options in offered:
        assert {"value": "SH-13", "label": "SH-13: shackle 13 mm"} in options or "SH-13" in str(options)
    (pieces,) = [one["piece"]["type_config"]["options"] for one in settings if "piece" in one]
    assert len(pieces) == 3 and "late" in str(pieces)


def test_no_piece_becomes_younger_in_a_register():
    (item,) = registered([OwnedGear(item="A1", age=to_si(1.3, "yr", "age"))], TODAY)
    age = (TODAY - item.start).days * 86_400
    assert to_si(1.3, "yr", "age") <= age <= to_si(1.5, "yr", "age")


def test_a_register_goes_out_as_files_and_comes_back(screen):
    items = [RegisterItem(id="R-1", item=ROPE, first_use=date(2024, 5, 6), note="=1+1")]
    files = register_files(items, ())
    assert read_register_files(files, None, TODAY)[0] == tuple(items)
    page = screen("owned", plan="company")
    page.app.file_uploader(key=uploader(OWNED)).set_value(
        [(name, content, "text/csv") for name, content in files.items()]
    )
    (row,) = page.run().app.session_state["draft"].rows("register")
    assert (row["id"], row["first_use"], row["note"]) == ("R-1", "2024-05-06", "=1+1")
    assert "Register and inspections (CSV files)" in [one.label for one in page.app.get("download_button")]


def test_files_of_a_register_say_what_they_would_change_before_they_take_its_place(screen):
    page = registered_page(screen)
    before = page.app.session_state["draft"].rows("register")
    items = [
        RegisterItem(id="late", item=ROPE, first_use=ago(800), condition="sound", retired_on=ago(3)),
        RegisterItem(id="fine", item=ROPE, first_use=ago(400), condition="sound"),
        RegisterItem(id="new", item="SH-13", first_use=ago(2), condition="new"),
    ]
    files = register_files(items, ())
    page.app.file_uploader(key=uploader(OWNED)).set_value(
        [("register.csv", files["register.csv"], "text/csv")]
    )
    assert page.run().app.session_state["draft"].rows("register") == before
    assert "Register: 1 new; 1 changed, of them 1 retired; 1 not in the files any more." in page.text
    told = page.table("In these files")
    assert [tuple(row) for row in told[["Row", "What", "Now", "In these files"]].itertuples(index=False)] == [
        ("late", "Retired on", "", ago(3)), ("gone", "removed", "", ""), ("new", "added", "", ""),
    ]  # fmt: skip
    page.press("Take these tables")
    assert [row["id"] for row in page.app.session_state["draft"].rows("register")] == ["late", "fine", "new"]
    assert (
        "problem" not in page.text
        and page.press("Undo").app.session_state["draft"].rows("register") == before
    )


@pytest.mark.parametrize("name", ["inspections", "owned"])
def test_a_new_row_says_nothing_of_its_own(screen, name):
    page = screen("owned", plan="company")
    rows, before = page.app.session_state["draft"].rows(name), owned(page)
    page.app.button(key=f"add {name}").click()
    page.run()
    new = page.app.session_state["draft"].rows(name)[-1]
    assert len(page.app.session_state["draft"].rows(name)) == len(rows) + 1
    assert not {"item", "piece", "result"} & new.keys() and owned(page) == before


def test_the_page_is_of_use_without_gear(screen):
    assert "comes first" in screen("owned", plan="empty").text
