"""What other work would take, other kits, and what to buy first."""

from dataclasses import replace
from functools import cache

import pytest

from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.kit_tables import extras_to_buy, gear_to_buy, together
from recommender.explain.changed_job import JobChange, changed_job
from recommender.explain.first import first_purchases
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.figures import money
from recommender.report.purchases_text import share_down
from recommender.work.plan import Plan, load_plan

GROUND = "training_ground"
CATCH = 4


@cache
def plan() -> Plan:
    return load_plan(DEMO_FOLDER / GROUND)


def changed(**change: float) -> tuple[Plan, KitResult]:
    job = changed_job(plan().jobs[CATCH], JobChange(**change))
    other = replace(plan(), jobs=tuple(job if k == CATCH else one for k, one in enumerate(plan().jobs)))
    return other, plan_kit(other)


def slider(page, name: str):
    (found,) = [one for one in page.app.slider if one.key.startswith(f"{name}_")]
    return found


def cells(page, figure: str) -> list[str]:
    tables = [one.set_index("Figure") for one in page.tables("Changed")]
    return next(list(one.loc[figure]) for one in tables if figure in one.index)


@pytest.mark.parametrize("page", ["whatif", "first"])
@pytest.mark.parametrize("name", [GROUND, "empty"])
def test_the_cautions_stand_on_every_page(screen, page, name):
    text = screen(page, plan=name).text.replace("\u2060", "")
    assert all(caution in text for caution in CAUTIONS)


def test_a_moved_slider_shows_the_kit_for_it_beside_the_present_one_and_changes_nothing(screen):
    page = screen("whatif", plan=GROUND)
    page.app.selectbox(key="what_if_job").set_value(CATCH)
    before = plan_kit(plan())
    assert cells(page.run(), "Kit to buy") == [money(before.purchase_cost, "EUR")] * 2
    assert not [one for one in page.app.button if one.key == "put_into_plan"]
    slider(page, "length").set_value(110)
    slider(page, "run").set_value(0.0)
    page.run()
    _, after = changed(length=1.1, run=0.0)
    now, then = cells(page, "Kit to buy")
    assert now == money(before.purchase_cost, "EUR")
    assert then.startswith(money(after.purchase_cost, "EUR") if after.assignments else after.status)
    assert page.app.session_state["draft"].rows("work")[CATCH]["run"] == plan().jobs[CATCH].run
    assert len(page.app.get("image")) == (1 if after.assignments else 0)


def test_a_change_is_put_into_the_plan_and_can_be_taken_back(screen):
    page = screen("whatif", plan=GROUND)
    page.app.selectbox(key="what_if_job").set_value(CATCH)
    page.run()
    slider(page, "diameter").set_value(90)
    page.run().press("Put into the plan")
    row = page.app.session_state["draft"].rows("work")[CATCH]
    assert row["diameter"] == pytest.approx(0.9 * plan().jobs[CATCH].diameter)
    assert page.app.session_state["answer"].result.purchase_cost == changed(diameter=0.9)[1].purchase_cost
    page.go("work").press("Undo")
    assert page.app.session_state["draft"].rows("work")[CATCH]["diameter"] == plan().jobs[CATCH].diameter


def test_a_change_that_nothing_carries_says_what_falls_short(screen):
    page = screen("whatif", plan=GROUND)
    page.app.selectbox(key="what_if_job").set_value(CATCH)
    page.run()
    slider(page, "length").set_value(150)
    slider(page, "diameter").set_value(150)
    slider(page, "run").set_value(0.0)
    page.run()
    assert cells(page, "Kit to buy")[1] == "no kit" and "Part that falls short" in page.text


def test_what_does_not_go_together_is_told(screen):
    page = screen("whatif", plan=GROUND)
    page.edit(0, lowering_distance=6.0)
    page.app.selectbox(key="what_if_job").set_value(0)
    page.run()
    slider(page, "rigging_height").set_value(3.0)
    assert "lowering_distance is above rigging_height" in page.run().text


def test_sliders_follow_the_units_and_unmoved_ones_change_nothing(screen):
    page = screen("whatif", plan=GROUND, units="us")
    assert any("[ft]" in one.label for one in page.app.slider)
    now, then = cells(page, "Kit to buy")
    assert now == then and not [one for one in page.app.button if one.key == "put_into_plan"]


def test_the_cost_curve_is_drawn_for_a_job(screen):
    page = screen("whatif", plan=GROUND)
    page.app.selectbox(key="curve_job").set_value(CATCH)
    page.run().press("Draw the curve")
    assert page.app.get("vega_lite_chart") or page.app.get("arrow_vega_lite_chart")
    costs = list(page.table("Cheapest kit")["Cheapest kit"])
    assert money(plan_kit(plan()).purchase_cost, "EUR") in costs
    page.app.selectbox(key="curve_job").set_value(5)
    page.run()
    assert not page.app.get("vega_lite_chart") and not page.app.get("arrow_vega_lite_chart")


def test_other_kits_and_the_cost_of_each_job_type_are_looked_for_when_asked(screen):
    page = screen("whatif", plan=GROUND).press("Look for other kits")
    assert "Kit 1:" in page.text and list(page.table("Cost")["Pieces"])
    page.press("Work out what each job type adds")
    assert set(page.table("Adds")["Job type"]) == {job.job for job in plan().jobs}


def test_first_purchases_are_those_of_the_search(screen):
    page = screen("first", plan=GROUND)
    page.app.number_input[0].set_value(4700.0)
    page.run().press("What to buy first")
    result = first_purchases(plan(), 4700.0)
    assert page.figure("Share of the pieces covered") == share_down(result.share)
    steps = page.table("Share covered")
    assert list(steps["So far"]) == [money(step.cost_so_far, "EUR") for step in result.steps]
    assert page.app.get("vega_lite_chart") or page.app.get("arrow_vega_lite_chart")
    page.app.number_input[0].set_value(4000.0)
    assert not page.run().app.metric and "ask again" in page.text
    page.app.toggle(key="gear_only").set_value(True)
    kit = plan_kit(plan())
    half = together(gear_to_buy(kit)) / 2
    assert half <= page.run().app.number_input[0].value < half + 50.0 < half + together(extras_to_buy(kit))
