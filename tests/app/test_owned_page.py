"""The register on the screen: due inspections, what is planned with, an inspection in a press, files in and out."""

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


def test_several_pieces_are_inspected_together(screen):
    page = registered_page(screen)
    page.app.multiselect(key="inspected_together").set_value(["late", "fine"])
    page.run().press("All of these passed today")
    assert page.figure("Planned with") == "2 of 3 pieces"
    assert len(page.app.session_state["draft"].rows("inspections")) == 3


def test_a_faulty_day_is_told_and_put_right_in_the_table(screen):
    page = registered_page(screen)
    draft = page.app.session_state["draft"]
    first, *rest = draft.rows("register")
    page.app.session_state["draft"] = draft.with_rows(register=[{**first, "first_use": "31.2.2024"}, *rest])
    page.app.session_state["editors"] = {}
    page.run()
    assert "Row 1, late - First use" in page.text
    page.type("register", 0, first_use="6.5.2024")
    assert "Row 1, late" not in page.text and page.figure("Planned with")


def test_the_plain_list_becomes_a_register_of_the_same_gear(screen):
    page = screen("owned", plan="company")
    before = sum(count for _, count in owned(page))
    page.press("Make a register of this list")
    rows = page.app.session_state["draft"].rows("register")
    assert len(rows) == before and len({row["id"] for row in rows}) == before
    assert "It does not count now" in page.text


def test_no_piece_becomes_younger_in_a_register():
    (row,) = registered([OwnedGear(item="A1", age=to_si(1.3, "yr", "age"))], TODAY)
    age = (TODAY - date.fromisoformat(row["first_use"])).days * 86_400
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


@pytest.mark.parametrize("name", ["register", "owned"])
def test_a_new_row_starts_from_what_there_is(screen, name):
    page = screen("owned", plan="company")
    count = len(page.app.session_state["draft"].rows(name))
    page.app.button(key=f"add {name}").click()
    page.run()
    assert len(page.app.session_state["draft"].rows(name)) == count + 1
    assert page.app.session_state["checked"].problems == ()


def test_the_page_is_of_use_without_gear(screen):
    assert "comes first" in screen("owned", plan="empty").text
