"""Nothing is lost: edits are saved at once, come back after a restart, and two windows never overwrite each other."""

import io
import json
import zipfile

import pytest
import streamlit as st

from recommender.dashboard.bring_in import uploader
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.plan_costs import season_rows
from recommender.dashboard.sheets import GEAR_SHEETS
from recommender.dashboard.uploads import GEAR
from recommender.kit.planning import plan_kit
from recommender.report.figures import money
from recommender.seasons.result import SeasonPlan, SeasonsResult
from recommender.store import Store
from recommender.work.plan import load_plan
from recommender.work.plan_json import plan_from_json, plan_to_json

HEIGHT = "rigging_height [m]"


def heights(page) -> list[float]:
    return [row["rigging_height"] for row in page.app.session_state["draft"].rows("work")]


def plan_id(page) -> str:
    return page.app.session_state["kept"].plan_id


def address(page, name: str) -> str:
    """What the address of the page says."""
    value = page.app.query_params[name]
    return value if isinstance(value, str) else value[0]


def after_a_restart(screen, page, name="work"):
    """A new session of a new program on the same store, at the address where the old one was."""
    st.cache_resource.clear()
    return screen(name, plan=address(page, "plan"))


def test_looking_leaves_nothing_behind(screen, store_url):
    page = screen("work").go("gear").go("kit").go("plans")
    assert "Saved plans (0)" in page.text
    with Store.open(store_url) as store:
        assert store.plans() == ()


def test_an_edit_is_saved_at_once_and_stands_after_a_restart(screen, store_url):
    page = screen("work").type("work", 2, **{HEIGHT: 55.0})
    again_named = page.app.session_state["draft"].rows("work")[2]["job"]
    with Store.open(store_url) as store:
        (entry,) = store.plans()
        assert entry.id == plan_id(page) and entry.name == load_plan(DEMO_FOLDER / "new_owner").settings.name
        assert store.history(entry.id)[0].what == f"Work: rigging height of {again_named}"
    again = after_a_restart(screen, page)
    assert heights(again)[2] == 55.0 and plan_id(again) == plan_id(page)
    assert again.figure("Kit to buy") == page.figure("Kit to buy")


def test_undo_and_redo_reach_back_over_a_restart_in_every_table(screen):
    page = screen("work").type("work", 2, **{HEIGHT: 55.0})
    first = heights(screen("work", plan="new_owner"))
    page.go("gear")
    page.app.toggle(key="change ropes").set_value(True)
    page.run().type("catalogue/ropes", 0, note="a note")
    again = after_a_restart(screen, page, "kit").press("Undo")
    assert again.app.session_state["draft"].rows("catalogue/ropes")[0]["note"] != "a note"
    assert heights(again.press("Undo")) == first and not again.has("Undo")
    assert heights(again.press("Redo"))[2] == 55.0
    assert again.press("Redo").app.session_state["draft"].rows("catalogue/ropes")[0]["note"] == "a note"
    assert not again.has("Redo")


def test_undo_and_redo_say_what_they_do(screen):
    page = screen("work").type("work", 2, **{HEIGHT: 55.0})
    name = page.app.session_state["draft"].rows("work")[2]["job"]

    def said(key: str) -> str:
        return page.app.button(key=key).label.replace("\\", "").replace("\u2060", "")

    assert said("undo").startswith("Undo: rigging height of heavy") and said("redo") == "Redo"
    assert (
        page.app.button(key="undo").help.replace("\\", "").replace("\u2060", "")
        == f"Work: rigging height of {name}"
    )
    page.type("work", 3, **{HEIGHT: 9.0})
    assert said("undo").startswith("Undo: rigging height of side")  # the last edit alone
    page.press("Undo").press("Undo")
    assert said("undo") == "Undo" and said("redo").startswith("Redo: rigging height of heavy")


def test_a_restart_without_an_address_comes_back_to_the_last_plan_and_units(screen):
    page = screen("work", plan="company").type("work", 0, **{"rigging_height [ft]": 33.0})
    page.app.radio(key="units").set_value("metric")
    page.run()
    st.cache_resource.clear()
    again = screen("work")
    assert plan_id(again) == plan_id(page) and again.app.radio(key="units").value == "metric"
    again.go("").app.button(key="open_training_ground").click()
    again.run()
    st.cache_resource.clear()
    assert screen().app.session_state["origin"] == "training_ground"


def test_units_stay_with_a_plan_and_can_be_taken_back(screen):
    page = screen("work").type("work", 0, **{HEIGHT: 9.0})
    first = plan_id(page)
    page.app.radio(key="units").set_value("us")
    page.run().go("").app.button(key="open_training_ground").click()
    assert (
        page.run().app.radio(key="units").value == "us"
    )  # what a person chose goes before the example's own
    again = screen("plans", plan="company")
    again.app.button(key=f"open_{first}").click()
    again.run()
    assert again.app.radio(key="units").value == "us"
    assert again.press("Undo").app.radio(key="units").value == "metric" and heights(again)[0] == 9.0
    assert address(page.go("plans"), "units") == "us"
    page.app.button(key=f"open_{first}").click()
    assert page.run().app.radio(key="units").value == "us"


def test_the_notice_of_an_example_goes_with_the_last_of_it_and_a_name_is_asked_for(screen, store_url):
    page = screen("work")
    notice = page.app.session_state["draft"].settings.notice
    draft = page.app.session_state["draft"]
    gear = [(f"{sheet.file}.csv", (DEMO_FOLDER / f"{sheet.file}.csv").read_bytes(), "text/csv")
            for sheet in GEAR_SHEETS.values()]  # fmt: skip
    page.go("gear").app.file_uploader(key=uploader(GEAR)).set_value(gear)
    page.run()
    assert (
        notice and page.app.session_state["draft"].settings.notice == notice
    )  # the work is still the example's
    page.go("work")
    for place in range(len(draft.rows("work"))):
        assert not page.has("Give it this name")
        page.type("work", place, job=f"own job {place}")
    assert page.app.session_state["draft"].settings.notice == ""
    page.app.text_input(key="own_name_text").set_value("My truck")
    page.run().press("Give it this name")
    assert not page.has("Give it this name")
    with Store.open(store_url) as store:
        assert [one.name for one in store.plans()] == ["My truck"]


def test_a_faulty_cell_is_saved_too(screen):
    page = screen("work").type("work", 0, **{"diameter [cm]": -4.0})
    again = after_a_restart(screen, page)
    assert "Row 2, " in again.text and "-4" in again.text


def two_windows(screen):
    page = screen("work").type("work", 0, **{HEIGHT: 9.0})
    return page, screen("work", plan=plan_id(page))


def test_the_other_window_is_told_and_can_take_what_is_there(screen):
    one, other = two_windows(screen)
    one.type("work", 0, **{HEIGHT: 10.0})
    other.run()
    assert "changed in another window" in other.text and heights(other)[0] == 9.0
    assert heights(other.press("Take what is there"))[0] == 10.0
    assert "another window" not in other.text


def test_an_edit_against_a_later_state_is_not_saved_silently_and_can_be_kept_as_a_copy(screen, store_url):
    one, other = two_windows(screen)
    one.type("work", 0, **{HEIGHT: 10.0})
    other.type("work", 0, **{HEIGHT: 11.0})
    assert "changed in another window" in other.text and "not saved yet" in other.text
    table = other.table("Where")
    assert list(table["Before"]) == ["10"] and list(table["After"]) == ["11"]
    assert not other.has("Put both together")
    with Store.open(store_url) as store:
        assert store.current(plan_id(one)).documents["work"][0]["rigging_height"] == 10.0
    other.press("Keep mine as a copy")
    assert plan_id(other) != plan_id(one)
    assert heights(other)[0] == 11.0 and heights(one.run())[0] == 10.0
    with Store.open(store_url) as store:
        assert len(store.plans()) == 2


def test_edits_of_different_cells_of_one_table_can_be_put_together(screen):
    one, other = two_windows(screen)
    one.type("work", 0, **{HEIGHT: 10.0})
    other.type("work", 0, **{"length [m]": 1.5}).press("Put both together")
    row = other.app.session_state["draft"].rows("work")[0]
    assert (row["rigging_height"], row["length"]) == (10.0, 1.5) and "another window" not in other.text
    assert other.app.session_state["checked"].problems == ()


def test_edits_of_different_tables_can_be_put_together(screen):
    one, other = two_windows(screen)
    one.type("work", 0, **{HEIGHT: 10.0})
    other.go("gear")
    other.app.toggle(key="change ropes").set_value(True)
    other.app.run()
    other.type("catalogue/ropes", 0, note="mine").press("Put both together")
    assert heights(other)[0] == 10.0
    assert other.app.session_state["draft"].rows("catalogue/ropes")[0]["note"] == "mine"
    assert "another window" not in other.text
    one.run().press("Take what is there")
    assert one.app.session_state["draft"].rows("catalogue/ropes")[0]["note"] == "mine"


def test_a_plan_that_is_deleted_elsewhere_can_be_kept(screen, store_url):
    one, other = two_windows(screen)
    with Store.open(store_url) as store:
        store.delete(plan_id(one))
    assert "was deleted" in other.run().text
    other.press("Keep mine as a copy")
    assert plan_id(other) != plan_id(one) and heights(other)[0] == 9.0


def test_without_a_store_the_dashboard_works_and_says_that_nothing_is_saved(screen, tmp_path, monkeypatch):
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    monkeypatch.setenv("KITPLAN_STORE_URL", f"sqlite:///{blocked}/plans.db")
    page = screen("work").type("work", 2, **{HEIGHT: 55.0})
    assert "Nothing is saved" in page.text and heights(page)[2] == 55.0
    assert heights(page.press("Undo"))[2] != 55.0
    assert "Nothing is saved" in page.go("kit").text and page.figure("Total to buy")
    monkeypatch.setenv("KITPLAN_STORE_URL", f"sqlite:///{tmp_path}/later.db")
    page.press("Try to open it again").go("work").type("work", 2, **{HEIGHT: 56.0})
    assert "Nothing is saved" not in page.text
    with Store.open(f"sqlite:///{tmp_path}/later.db") as store:
        assert len(store.plans()) == 1


def test_a_save_that_fails_is_told_and_tried_again(screen, monkeypatch):
    page = screen("work").type("work", 0, **{HEIGHT: 9.0})
    from recommender.store import StoreError

    def fail(*_, **__):
        raise StoreError("the disk is full")

    with monkeypatch.context() as broken:
        broken.setattr(Store, "save", fail)
        page.type("work", 0, **{HEIGHT: 10.0})
    assert "last edit is not saved" in page.text and "the disk is full" in page.text
    assert heights(page)[0] == 10.0
    page.press("Try to save it again")
    assert "not saved" not in page.text.casefold()
    assert heights(after_a_restart(screen, page))[0] == 10.0


def test_an_address_of_a_plan_that_is_not_there_is_told(screen):
    page = screen(plan="0123456789abcdef")
    assert "can't be opened" in page.text and page.figure("Kit to buy")


def test_plans_are_named_copied_opened_deleted_and_brought_back(screen):
    page = screen("plans")
    page.app.text_input[0].set_value("Oaks *of* mine")
    page.press("Give this name")
    assert page.app.session_state["draft"].settings.name == "Oaks *of* mine"
    page.press("Copy")
    assert (
        "Saved plans (2)" in page.text and page.app.session_state["draft"].settings.name == "Oaks *of* mine 2"
    )
    copy = plan_id(page)
    page.app.button(key=f"delete_{copy}").click()
    page.run()
    assert "Saved plans (1)" in page.text and not plan_id(page)
    page.app.button(key=f"recover_{copy}").click()
    page.run()
    assert "Saved plans (2)" in page.text
    page.app.button(key=f"open_{copy}").click()
    page.run()
    assert plan_id(page) == copy
    page.app.text_input[0].set_value("oaks *of* MINE")
    page.press("Give this name")
    assert "There is a plan named" in page.text
    assert page.go("").has("Oaks \\*of\\* mine")


def test_two_plans_are_compared_in_rows_and_in_cost(screen):
    page = screen("work").type("work", 2, **{HEIGHT: 30.0})
    dear = page.figure("Kit to buy")
    first = plan_id(page)
    page.go("").app.button(key="open_new_owner").click()
    page.run().go("plans")
    page.app.selectbox(key="other_plan").set_value(first)
    page.run()
    cheap = plan_kit(load_plan(DEMO_FOLDER / "new_owner"))
    assert list(page.table("Kit to buy")["Kit to buy"]) == [money(cheap.purchase_cost, "EUR"), dear]
    rows = page.table("Where")
    assert list(rows["The other"]) == ["30"] and list(rows["What"]) == ["Rigging height [m]"]
    (items,) = [one for one in page.tables("In hand") if "Item" in one.columns]
    assert len(items) and not any(items["In hand"] == items["The other"])
    held = {item.name: item.quantity for item in cheap.items}
    for _, row in items.iterrows():
        shown = row["In hand"].partition(",")[0]
        assert (0 if shown == "none" else int(shown)) == held.get(row["Item"], 0)
    prices = {item.name: item.price for item in cheap.items if not item.owned}
    assert all(row["In hand"].endswith(money(prices[row["Item"]], "EUR")) for _, row in items.iterrows()
               if row["Item"] in prices)  # fmt: skip


def test_copies_of_copies_are_counted_on(screen, store_url):
    page = screen("work").type("work", 0, **{HEIGHT: 9.0}).go("plans").press("Copy").press("Copy")
    with Store.open(store_url) as store:
        names = {one.name for one in store.plans()}
    first = load_plan(DEMO_FOLDER / "new_owner").settings.name
    assert names == {first, f"{first} 2", f"{first} 3"}
    assert page.app.session_state["draft"].settings.name == f"{first} 3"


def test_the_history_leads_back_and_loses_nothing(screen):
    page = screen("work").type("work", 0, **{HEIGHT: 9.0}).type("work", 0, **{HEIGHT: 10.0})
    page.go("plans")
    page.app.button(key="back_2").click()
    page.run()
    assert heights(page)[0] == 9.0
    assert "back to state 2" in page.text
    assert heights(page.press("Undo"))[0] == 10.0


def test_all_plans_go_into_a_file_and_back(screen, store_url, tmp_path, monkeypatch):
    page = screen("work").type("work", 0, **{HEIGHT: 9.0})
    with Store.open(store_url) as store:
        saved, (entry,) = store.backup(), store.plans()
    assert zipfile.is_zipfile(io.BytesIO(saved))
    monkeypatch.setenv("KITPLAN_STORE_URL", f"sqlite:///{tmp_path}/other.db")
    other = screen("plans")
    other.app.file_uploader(key="restore").set_value(("plans.zip", saved, "application/zip"))
    other.run()
    assert "1 plan came back" in other.text and "Saved plans (1)" in other.text
    assert [one.value for one in other.app.text].count(
        entry.name
    ) == 3  # at the side, in the list, and as what came back
    other.app.button(key=f"open_{plan_id(page)}").click()
    assert heights(other.run())[0] == 9.0 and other.has("Undo")
    other.go("plans").app.button(key=f"delete_{plan_id(page)}").click()
    other.run().app.file_uploader(key="restore").set_value(("again.zip", saved, "application/zip"))
    assert (
        f"{entry.name}: lies among the deleted plans" in other.run().text
        and "came back, with" not in other.text
    )
    other.app.file_uploader(key="restore").set_value(("plans.zip", saved[:-100], "application/zip"))
    assert "Nothing was changed" in other.run().text


def test_a_plan_file_becomes_a_saved_plan(screen):
    plan = load_plan(DEMO_FOLDER / "company")
    page = screen("plans")
    page.app.file_uploader(key="plan_file").set_value(
        ("p.json", plan_to_json(plan).encode(), "application/json")
    )
    page.run()
    assert plan_id(page) and page.app.session_state["draft"].settings.name == plan.settings.name
    assert page.app.radio(key="units").value == plan.settings.units
    planned = page.app.session_state["answer"]
    assert [job.job for job in planned.plan.jobs] == [job.job for job in plan.jobs]
    assert planned.result.purchase_cost == plan_kit(plan).purchase_cost
    broken = json.loads(plan_to_json(plan)) | {"version": 99}
    page.app.file_uploader(key="plan_file").set_value(
        ("p.json", json.dumps(broken).encode(), "application/json")
    )
    assert "newer program" in str(page.run().table("What is wrong")["What is wrong"][0])
    assert page.table("What to do")["What to do"][0] and "no plan was opened" in page.text
    assert plan_from_json(plan_to_json(plan)).jobs == plan.jobs


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_address_keeps_the_units_too(screen, units):
    page = screen("work", units=units).type("work", 0, note="x")
    assert address(page, "units") == units
    assert after_a_restart(screen, page).app.radio(key="units").value == units


def test_purchases_by_season_stand_side_by_side():
    empty = SeasonsResult.model_construct(seasons=(), purchase_cost=0.0, currency="EUR")
    seasons = tuple(
        SeasonPlan.model_construct(season=name, purchase_cost=cost)
        for name, cost in (("1", 900.0), ("2", 50.0))
    )
    found = SeasonsResult.model_construct(seasons=seasons, purchase_cost=950.0, currency="EUR")
    assert season_rows(found, empty, "Here", "There") == [
        {"Season": "1", "Here": "EUR 900.00", "There": "no plan"},
        {"Season": "2", "Here": "EUR 50.00", "There": "no plan"},
        {"Season": "In all", "Here": "EUR 950.00", "There": "no plan"},
    ]
