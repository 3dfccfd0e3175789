"""Bringing gear in on the screen, putting it right there, and looking through it."""

import json

import pytest

from catalog_schema.catalogue import load_catalogue, read_catalogue
from catalog_schema.gear import TABLES
from recommender.dashboard.bring_in import KEEP, uploader
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.gear_filter import Wanted, has, kinds_of, price_of, strength_of
from recommender.dashboard.uploads import GEAR
from recommender.kit.planning import plan_kit
from recommender.report.figures import money
from recommender.work.plan import load_plan

NEEDED = ("ropes.csv", "redirects.csv", "slings.csv", "brakes.csv", "lifters.csv", "connectors.csv")
CATALOGUE = load_catalogue(DEMO_FOLDER)


def total(name: str = "new_owner", *, extras: bool = True) -> str:
    result = plan_kit(load_plan(DEMO_FOLDER / name))
    less = 0.0 if extras else sum(item.price for item in result.items if item.table == "extras")
    return money(result.purchase_cost - less, result.currency)


def demo_file(name: str) -> tuple[str, bytes, str]:
    return name, (DEMO_FOLDER / name).read_bytes(), "text/csv"


def upload(page, *files):
    page.app.file_uploader(key=uploader(GEAR)).set_value(list(files))
    return page.run()


def test_a_sound_upload_is_planned_with(screen):
    page = upload(screen("gear"), *map(demo_file, NEEDED))
    assert "used from now on" in page.text
    assert page.go("kit").figure("Total to buy") == total(extras=False)
    assert page.press("Undo").figure("Total to buy") == total()


def test_a_broken_upload_is_put_right_in_the_page(screen):
    files = [demo_file(name) for name in NEEDED]
    files[0] = ("ropes.csv", files[0][1].replace(b"polyester", b"spider silk", 1), "text/csv")
    page = upload(screen("gear"), *files)
    assert "1 problem to put right in: Ropes" in page.text
    assert f"Row 2, {CATALOGUE.ropes[0].id} - Fibre" in page.text and "spider silk" in page.text
    assert page.go("kit").figure("Total to buy") == total()
    page.go("gear")
    assert page.app.session_state["draft"].rows("catalogue/ropes")[0]["fibre"] == "spider silk"
    page.type("catalogue/ropes", 0, fibre="polyester")
    assert "to put right" not in page.text
    assert page.go("kit").figure("Total to buy") == total(extras=False)


def test_a_faulty_cell_is_marked_in_the_grid_under_the_number_that_a_file_has(screen, tmp_path):
    name, content, kind = demo_file("ropes.csv")
    lines = content.decode().splitlines()
    lines[3] = lines[3].replace(",polyester,", ",spider silk,")
    content = "\n".join(lines).encode()
    for other in NEEDED:
        (tmp_path / other).write_bytes(content if other == name else demo_file(other)[1])
    (told,) = read_catalogue(tmp_path)[1]
    files = [(name, content, kind), *(demo_file(one) for one in NEEDED if one != name)]
    page = upload(screen("gear"), *files)
    grid = page.app.data_editor[0]
    marked = [number for number in grid.value["Row"] if number.startswith("\u26a0")]
    assert marked == [f"\u26a0 {told.line}"] == ["\u26a0 4"]
    settings = json.loads(grid.proto.columns)
    assert [one for one in settings if str(settings[one].get("label")).startswith("\u26a0")] == ["fibre"]
    assert f"Row {told.line}, " in page.text and "spider silk" in page.text
    assert "\u26a0 spider silk: not a choice" in settings["fibre"]["type_config"]["options"][-1]["label"]
    page.type("catalogue/ropes", 2, fibre="polyester")
    assert not any(number.startswith("\u26a0") for number in page.app.data_editor[0].value["Row"])


def test_an_unclear_heading_is_settled_in_the_page(screen):
    files = [demo_file(name) for name in NEEDED]
    files[0] = ("ropes.csv", files[0][1].replace(b"min_break [kN]", b"min_break", 1), "text/csv")
    page = upload(screen("gear"), *files)
    assert not page.has("Take these tables") and "used from now on" not in page.text
    (box,) = [one for one in page.app.selectbox if "min" in one.label]
    assert "header, as [" in box.proto.placeholder and "\\" not in box.proto.placeholder
    box.set_value("min_break [kN]")
    page.run().press("Take these tables")
    assert page.go("kit").figure("Total to buy") == total(extras=False)


def test_one_table_can_be_brought_in_beside_the_others(screen):
    page = screen("gear")
    page.app.toggle(key=KEEP).set_value(True)
    page.run()
    upload(page, demo_file("slings.csv"))
    assert not page.has("Take these tables"), "no other table is missed"
    assert page.go("kit").figure("Total to buy") == total()


def test_files_that_are_no_tables_leave_the_gear_as_it_is(screen):
    page = upload(screen("gear"), ("gear.xlsx", b"not a workbook", "text/csv"))
    assert "problem" in page.text and not page.has("Take these tables")
    assert page.press("Leave them").go("kit").figure("Total to buy") == total()


@pytest.mark.parametrize("name", list(TABLES))
def test_every_table_can_be_looked_through_and_changed(screen, name):
    page = screen("gear")
    page.app.session_state["gear_table"] = name
    page.run()
    rows = CATALOGUE.tables()[name]
    assert f"{len(rows)} of {len(rows)} rows" in page.text
    page.app.toggle(key=f"change {name}").set_value(True)
    page.run().type(f"catalogue/{name}", len(rows), id="new one")
    assert len(page.app.session_state["draft"].rows(f"catalogue/{name}")) == len(rows) + 1
    assert f"Row {len(rows) + 2}, new one" in page.text


def test_rows_are_found_by_words_kind_strength_and_price(screen):
    page = screen("gear")
    ropes = CATALOGUE.ropes
    page.app.text_input(key="gear_words").set_value("double braid")
    braids = [one for one in ropes if one.construction == "double_braid"]
    assert f"{len(braids)} of {len(ropes)} rows" in page.run().text and 0 < len(braids) < len(ropes)
    assert kinds_of(ropes) == sorted({one.construction for one in ropes})
    strong = Wanted(least_strength=60_000.0)
    assert [one for one in ropes if has(one, strong)] == [one for one in ropes if one.min_break >= 60_000.0]
    cheap = [one for one in ropes if has(one, Wanted(most_price=150.0))]
    assert cheap and all(price_of(one) <= 150.0 for one in cheap) and len(cheap) < len(ropes)
    assert all(strength_of(one) == one.wll for one in CATALOGUE.lifters)
    assert [one for one in ropes if has(one, Wanted(kinds=("three_strand",)))] == [
        one for one in ropes if one.construction == "three_strand"
    ]


def test_the_first_table_with_a_problem_opens_and_an_empty_cell_is_marked(screen):
    files = [demo_file(name) for name in NEEDED]
    heading, row, *others = files[1][1].decode().splitlines()
    place = heading.split(",").index("bearing")
    cells = row.split(",")
    cells[place] = ""
    files[1] = ("redirects.csv", "\n".join([heading, ",".join(cells), *others]).encode(), "text/csv")
    page = upload(screen("gear"), *files)
    assert page.app.session_state["gear_table"] == "redirects"
    grid = page.app.data_editor[0]
    assert grid.value["Row"][0] == "\u26a0 2"
    marked = [
        name for name, one in json.loads(grid.proto.columns).items() if "\u26a0" in str(one.get("label"))
    ]
    assert marked == ["bearing"]
    page.app.session_state["gear_table"] = "ropes"
    assert page.run().app.session_state["gear_table"] == "ropes"  # it is only opened once
    page.app.session_state["gear_table"] = "redirects"
    page.run().type("catalogue/redirects", 0, bearing="plain")
    assert "to put right" not in page.text and page.app.data_editor[0].value["Row"][0] == "2"
