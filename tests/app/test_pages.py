"""Every page and path of the dashboard, without a browser."""

from functools import cache

import pytest

from recommender.dashboard import solving
from recommender.dashboard.draft import DEMO_FOLDER, DEMO_PLANS
from recommender.dashboard.pages import work
from recommender.dashboard.shown import plain
from recommender.dashboard.state import every_column
from recommender.kit.check import InternalFault
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.figures import money, percent
from recommender.work.plan import Plan, load_plan


@cache
def planned(name: str) -> KitResult:
    return plan_kit(load_plan(DEMO_FOLDER / name))


def cost(name: str) -> str:
    return money(planned(name).purchase_cost, planned(name).currency)


def test_opens_on_the_new_owner_with_the_kit_solved(screen):
    page = screen()
    assert "Who are you?" in page.text
    assert planned("new_owner").plan in page.text
    assert page.figure("Kit to buy") == cost("new_owner")


@pytest.mark.parametrize("name", DEMO_PLANS)
def test_each_example_opens_in_its_own_units_and_is_solved(screen, name):
    page = screen()
    page.app.button(key=f"open_{name}").click()
    page.run()
    assert planned(name).plan in page.text
    assert page.figure("Kit to buy") == cost(name)
    assert page.app.radio(key="units").value == load_plan(DEMO_FOLDER / name).settings.units


def test_the_address_chooses_plan_and_units(screen):
    page = screen(plan="training_ground", units="us")
    assert page.figure("Kit to buy") == cost("training_ground")
    assert page.figure("Mass of the kit").endswith(" lb")
    assert screen(plan="../elsewhere", units="cubits").figure("Kit to buy") == cost("new_owner")


@pytest.mark.parametrize("page", ["", "work", "gear", "kit"])
@pytest.mark.parametrize("plan", ["new_owner", "empty"])
def test_the_cautions_stand_on_every_page(screen, page, plan):
    text = screen(page, plan=plan).text.replace("\u2060", "")
    assert all(caution in text for caution in CAUTIONS)


def test_an_edit_gives_another_kit_and_undo_the_first(screen):
    page = screen("work")
    page.type("work", 2, **{"rigging_height [m]": 55.0})
    assert page.app.session_state["checked"].problems == ()
    changed = page.figure("Kit to buy")
    assert changed != cost("new_owner")
    assert page.press("Undo").figure("Kit to buy") == cost("new_owner")
    assert page.press("Redo").figure("Kit to buy") == changed


def test_a_broken_cell_is_listed_and_the_earlier_kit_stays(screen):
    page = screen("work").type("work", 3, **{"diameter [cm]": -18.0})
    assert "Row 5, side limb over the roof - Diameter" in page.text
    assert "above 0 cm" in page.text and "-18" in page.text
    assert page.figure("Kit to buy (earlier plan)") == cost("new_owner")
    page.go("kit")
    assert "belongs to the earlier plan" in page.text
    assert page.figure("Total to buy") == cost("new_owner")
    page.go("work").press("Undo")
    assert "belongs to the earlier plan" not in page.text


def test_a_result_that_fails_its_check_is_not_shown(screen, monkeypatch):
    def fail(plan: Plan) -> KitResult:
        raise InternalFault("the kit does not carry pine tops")

    page = screen("kit")
    monkeypatch.setattr(solving, "plan_kit", fail)
    page.edit(0, rigging_height=17.3)
    assert "no result of it may be used" in page.text and "does not carry pine tops" in page.text
    assert not page.app.metric


def test_species_can_be_looked_up(screen):
    species = screen("work").table("Latin name")
    assert "Acer rubrum" in set(species["Latin name"]) and species["Green log [kg/m³]"].min() > 300


def test_what_the_editor_reports_becomes_the_plan(screen):
    page = screen("work", units="us")
    given = page.app.session_state["editors"]["work "]
    typed = {
        "edited_rows": {"0": {"diameter [in]": 10.0}},
        "added_rows": [{"job": "new"}],
        "deleted_rows": [],
    }
    page.report(given.key, typed)
    assert page.app.session_state["editors"]["work "] is given  # the editor goes on from where it is
    page.report(given.key, {**typed, "deleted_rows": [1]})
    rows = page.app.session_state["draft"].rows("work")
    assert rows[0]["diameter"] == pytest.approx(0.254)  # 1 in = 25.4 mm by definition
    assert rows[1]["job"] == given.rows[2]["job"] and rows[-1]["job"] == "new"
    assert len(rows) == len(given.rows)
    numbers = [one.strip("\u26a0 ") for one in page.app.data_editor[0].value["Row"]]
    assert numbers == [str(2 + place) for place in range(len(rows))]  # a deletion leaves no hole
    page.press("Undo").press("Undo")
    assert page.app.session_state["draft"].rows("work") == given.rows
    assert page.app.session_state["editors"]["work "] is not given


def test_every_broken_row_is_listed(screen):
    page = (
        screen("work")
        .edit(0, diameter=None)
        .edit(1, species="rubber tree of nowhere")
        .edit(4, technique="throw")
    )
    assert all(f"Row {row}, " in page.text for row in (2, 3, 6))
    assert page.figure("Problems") == str(len(page.app.session_state["checked"].problems))


def test_what_is_typed_with_a_unit_is_read_with_it_or_told(screen):
    page = screen("work").type("work", 2, **{"length [m]": "5 ft"})
    assert page.app.session_state["draft"].rows("work")[2]["length"] == pytest.approx(
        1.524
    )  # 1 ft = 0.3048 m
    page.type("work", 2, **{"branches [%]": "45 ft"})
    assert "Row 4, heavy maple limbs - Branches" in page.text and "found '45 ft'" in page.text
    assert page.app.data_editor[0].value["branches [%]"][2] == "45 ft"
    page.type("work", 2, **{"branches [%]": "45"})
    assert page.app.session_state["checked"].problems == ()
    assert page.app.session_state["draft"].rows("work")[2]["branches"] == pytest.approx(0.45)


def test_the_height_stands_beside_the_size(screen):
    page = screen("work")
    for every in (False, True):
        page.app.toggle(key=every_column("work")).set_value(every)
        order = list(page.run().app.data_editor[0].proto.column_order)
        assert order.index("rigging_height [m]") == order.index("length [m]") + 1


def test_a_row_with_another_name_tells_what_it_keeps_and_can_be_blanked(screen):
    page = screen("work")
    row = page.app.session_state["draft"].rows("work")[1]
    page.type("work", 1, job="my oak limbs")
    assert row["diameter_high"] and "**my oak limbs** was **maple limbs**" in page.text
    assert f"Diameter high [cm]: {100 * row['diameter_high']:g}" in page.text
    page.press("Blank these")
    now = page.app.session_state["draft"].rows("work")[1]
    assert now["diameter_high"] is None and now["diameter"] == row["diameter"]
    assert "was **maple limbs**" not in page.text
    page.press("Undo")
    assert page.app.session_state["draft"].rows("work")[1]["diameter_high"] == row["diameter_high"]


def test_the_small_end_that_the_largest_piece_is_taken_to_have_is_told(screen):
    page = screen("work").edit(1, small_diameter=0.07)
    row = page.app.session_state["draft"].rows("work")[1]
    end = 100 * row["diameter_high"] * 0.07 / row["diameter"]
    assert f"to {end:.1f} cm at its small end (usual 7.0 cm)" in page.text


def test_shares_are_summed_and_evened_out(screen):
    page = screen("work").edit(0, share=0.5)
    assert page.figure("Shares together") == "125 %"
    assert "add up to 125 %" in page.text
    page.press("Make shares 100 %")
    assert page.figure("Shares together") == "100 %"
    assert page.figure("Kit to buy") != ""
    assert page.app.session_state["checked"].problems == ()


def test_rows_are_added_from_the_declared_examples(screen):
    page = screen("work", plan="empty").press("lift")
    assert page.figure("Rows") == "1"
    assert "no gear to choose from" in page.text
    page.go("gear").press("Take the invented gear of the examples")
    page.go("kit")
    assert page.figure("Total to buy")


def test_headings_follow_the_units(screen):
    page = screen("work")
    table = page.app.data_editor[0]
    assert "diameter [cm]" in table.value.columns
    assert table.value["diameter [cm]"][0] == "14"
    page.app.radio(key="units").set_value("us")
    page.run()
    table = page.app.data_editor[0]
    assert table.value["diameter [in]"][0] == f"{14 / 2.54:.2f}"  # 1 in = 2.54 cm by definition
    assert page.figure("Kit to buy") == cost("new_owner")


def test_every_column_can_be_shown(screen):
    page = screen("work")
    few = len(page.app.data_editor[0].proto.column_order)
    page.app.toggle(key=every_column("work")).set_value(True)
    page.run()
    assert len(page.app.data_editor[0].proto.column_order) == len(page.app.data_editor[0].value.columns) > few


def test_a_hopeless_job_is_explained(screen):
    page = screen("work").edit(8, diameter=1.5, diameter_high=1.5, length=4.0, stem_at_redirect=0.5)
    page.go("kit")
    assert "No kit" in page.text and "pine butt logs" in page.text
    (one,) = page.app.session_state["answer"].result.uncovered
    for told in (one.shortfall, one.remedy, *one.other_remedies):
        assert told in page.text
    assert "Total to buy" not in [figure.label for figure in page.app.metric]
    assert page.go("").figure("Kit to buy") == "no kit"


def test_the_kit_page_lists_what_was_planned(screen):
    page, result = screen("kit"), planned("new_owner")
    lists = page.tables("What to ask for")
    listed = {
        name: int(pieces)
        for table in lists
        for name, pieces in zip(table["Item"][:-1], table["Pieces"][:-1], strict=True)
    }
    assert listed == {item.name: item.quantity for item in result.items if not item.owned}
    sums = [float(table["Together [EUR]"].iloc[-1].replace(",", "")) for table in lists]
    assert sum(sums) == pytest.approx(result.purchase_cost)
    forces = page.table("Line [kN]")
    for written, one in zip(forces["Line [kN]"], result.assignments, strict=True):
        assert 0 <= 1000 * float(written) - one.line_tension_n < 100  # rounded up to a tenth of a kilonewton
    warned = "".join(one.value for one in page.app.warning)
    assert all(note in page.text or plain(note) in warned for note in result.notes)


def test_the_kit_page_says_how_hard_each_part_works_and_what_the_next_size_would_change(screen):
    page, result = screen("kit"), planned("new_owner")
    used = page.table("Line")
    for _, row in used.iterrows():
        one = next(each for each in result.assignments if each.job == row["Job type"])
        said = percent(one.utilisation["line"]) + (" locked" if one.governing["line"] == "jam" else "")
        assert row["Line"] == said
    sizes = page.table("Next size up")
    assert set(sizes["Item"]) == {item.name for item in result.items if item.table != "extras"}
    assert any("does not do in" in cell for cell in sizes["Next size down"])
    assert page.figure("Packed, what is bought").endswith(" L")


def test_owned_gear_is_told_from_what_is_bought(screen):
    page = screen("kit", plan="company")
    owned = [item for item in planned("company").items if item.owned]
    assert owned and list(page.table("Which one")["Item"]) != []
    assert page.figure("Pieces to buy / owned").endswith(f"/ {sum(item.quantity for item in owned)}")


def test_blank_tables_can_be_taken_home(screen):
    assert [one.label for one in screen("gear").app.get("download_button")] == ["Workbook", "CSV files"]


def test_texts_of_tables_are_never_markup(screen):
    evil = "<b>x</b> **y** [z](http://e.org) :red[w] $a$ `c`"
    page = screen("work").edit(0, job=evil).edit(0, diameter=-1.0)
    shown = [element.value for element in page.app.markdown if "Row 2" in element.value]
    assert shown
    for text in shown:
        inner = text.removeprefix("**").removesuffix("**")
        bare = inner.replace("\\\\", "")
        for place, sign in enumerate(bare):
            if sign in "<>*[]():$`":
                assert bare[place - 1] == "\\", (sign, bare)
    assert not any(element.allow_html for element in page.app.markdown)


def test_trees_are_described_and_give_pieces(screen):
    page = screen("work").press("A kind of tree")
    assert page.app.session_state["checked"].problems == ()
    pieces = page.table("Pieces a season")
    names = list(pieces["Job type"])
    assert names and all(name.startswith("garden maples: ") for name in names)
    jobs = [job.job for job in page.app.session_state["answer"].plan.jobs]
    assert jobs[-len(names) :] == names
    page.type("trees", 0, **{"height [m]": 3.0})
    assert "Row 2, garden maples" in page.text
    page.press("Undo").press("Make them rows of the work table, to be changed one by one")
    assert page.app.session_state["draft"].rows("trees") == ()
    assert [job.job for job in page.app.session_state["answer"].plan.jobs] == jobs
    assert page.app.session_state["checked"].problems == ()


def test_the_mix_is_drawn(screen):
    page = screen("work")
    assert len(page.app.get("vega_lite_chart")) + len(page.app.get("arrow_vega_lite_chart")) == 2


def test_the_way_is_on_every_page(screen):
    page = screen()
    for name in ("", "work", "gear", "kit", "reasons", "limits", "seasons", "owned", "settings", "plans"):
        shown = [one.proto.label for one in page.go(name).app.get("page_link")]
        assert [label for label in shown if label[:1].isdigit()][:3] == ["1 Work", "2 Gear", "3 Kit"], name


def test_a_fault_of_the_program_is_told_in_words_with_a_way_back(screen, monkeypatch, caplog):
    page = screen("work").type("work", 2, **{"rigging_height [m]": 55.0})
    with monkeypatch.context() as patch:
        patch.setattr(work, "show", lambda: 1 / 0)
        page.app.run()
    assert page.has_failed and "Rely on no figure of this page" in page.text
    assert "ZeroDivisionError" not in page.text and "ZeroDivisionError" in caplog.text
    page.press("Take the last edit back")
    assert not page.has("Undo") and page.figure("Kit to buy") == cost("new_owner")
