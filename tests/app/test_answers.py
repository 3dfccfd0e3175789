"""Pages that answer on demand: seasons, ropes side by side, limits, reasons; and what can be taken home."""

from base64 import b64decode
from dataclasses import replace
from functools import cache

import pytest
from streamlit.testing.v1 import AppTest

import recommender.seasons
from recommender.dashboard import asked
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.shown import plain
from recommender.dashboard.takeaway import takeaways
from recommender.explain.changed_job import JobChange, changed_job
from recommender.explain.limits import limits_sheet
from recommender.explain.rope_choice import telling_ropes
from recommender.explain.rope_match import compare_ropes
from recommender.kit.hold_notes import holding_notes
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.figures import money
from recommender.report.rope_exercises import exercises
from recommender.report.rope_words import verdict_sentence
from recommender.report.specification import catalogue_id
from recommender.seasons import budget_view, plan_seasons
from recommender.store import records_of
from recommender.work.plan import Plan, load_plan
from recommender.work.plan_json import plan_from_json
from recommender.work.tables import SeasonRow

GROUND = "training_ground"
PAGES = ("seasons", "ropes", "limits", "reasons")


@cache
def plan() -> Plan:
    return load_plan(DEMO_FOLDER / GROUND)


@cache
def kit() -> KitResult:
    return plan_kit(plan())


def charts(page) -> int:
    return len(page.app.get("vega_lite_chart")) + len(page.app.get("arrow_vega_lite_chart"))


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("name", [GROUND, "empty"])
def test_the_cautions_stand_on_every_page(screen, page, name):
    text = screen(page, plan=name).text.replace("\u2060", "")
    assert all(caution in text for caution in CAUTIONS)


def test_seasons_are_planned_when_asked_for(screen):
    page = screen("seasons", plan=GROUND)
    assert not page.app.metric and "taken as one season" in page.text
    page.press("Plan the seasons")
    result = plan_seasons(plan(), asked.PATIENCE)
    assert page.figure("To buy in all") == money(result.purchase_cost, result.currency)
    tables = page.tables("Id")
    assert {row.Id: int(row.Pieces) for table in tables for row in table.itertuples() if row.Id} == {
        catalogue_id(one.id): one.quantity for one in result.seasons[0].purchases
    }
    sums = [str(table["Together [EUR]"].iloc[-1]).replace(",", "") for table in tables]
    assert sum(map(float, sums)) == pytest.approx(
        result.purchase_cost
    )  # gear and what the crew needs, each with a sum
    assert "An empty budget is no limit" in page.text
    assert charts(page) == 1


def test_seasons_with_budgets_are_told_apart(screen):
    page = screen("seasons", plan=GROUND)
    rows = (SeasonRow(season="first_"), SeasonRow(season="*second*", budget=0.0, work=2.0))
    page.app.session_state["draft"] = page.app.session_state["draft"].with_rows(seasons=records_of(rows))
    page.run().press("Plan the seasons")
    assert [one.value.replace("\\", "") for one in page.app.subheader][:2] == [
        "Season first_",
        "Season *second*",
    ]
    assert "Nothing to buy." in page.text and "taken as one season" not in page.text


def test_a_plan_over_seasons_that_took_too_long_says_how_good_it_is_and_can_be_given_more_time(
    screen, monkeypatch
):
    seconds = []

    def slow(plan, settings, watch):
        seconds.append(settings.time_limit)
        found = plan_seasons(plan, settings, watch)
        if len(seconds) > 1:
            return found
        return found.model_copy(update={"status": "planned, optimum not proven", "gap": 0.0123})

    monkeypatch.setattr(recommender.seasons, "plan_seasons", slow)
    page = screen("seasons", plan=GROUND).press("Plan the seasons")
    assert page.app.warning and "at most 2 % too dear" in page.text and page.figure("To buy in all")
    page.press("Look for 300 s")
    assert seconds == [60.0, 300.0] and "too dear" not in page.text


def test_what_more_money_saves_is_worked_out_on_demand(screen):
    page = screen("seasons", plan=GROUND)
    rows = (SeasonRow(season="one", budget=kit().purchase_cost - 100), SeasonRow(season="two"))
    jobs = [job.model_copy(update={"hire_price": 20.0}) for job in plan().jobs]
    draft = page.app.session_state["draft"].with_rows(seasons=records_of(rows), work=records_of(jobs))
    page.app.session_state["draft"] = draft
    page.run().press("Plan the seasons").press("Work it out")
    changed = replace(plan(), seasons=rows, jobs=tuple(jobs))
    view = budget_view(changed, plan_seasons(changed, asked.PATIENCE).cost, asked.PATIENCE)
    table = page.table("Saves in all")
    assert list(table["Season"]) == ["one"] * 3 and len(view.steps) == 3
    assert list(table["Saves in all"]) == [money(step.saves, view.currency) for step in view.steps]


def test_an_answer_about_an_earlier_plan_is_not_shown(screen):
    page = screen("seasons", plan=GROUND).press("Plan the seasons")
    page.edit(0, rigging_height=7.25)
    assert not page.app.metric and "ask again" in page.text
    page.press("Plan the seasons")
    assert page.figure("To buy in all")


def test_ropes_are_compared_in_a_job_with_the_verdict_first(screen):
    page = screen("ropes", plan=GROUND)
    (ropes,) = page.app.multiselect
    job = page.app.selectbox(key="rope_job").value
    match = compare_ropes(plan(), ropes.value, job)
    assert match.technique == "catch" and ropes.value == list(telling_ropes(plan(), job, kit()))
    said = page.app.subheader[0].value.replace("\\", "").replace("\u2060", "")
    assert said == verdict_sentence(match, "metric")
    table = page.table("Figure")
    assert list(table.columns) == ["Figure", *ropes.value]
    assert list(table[table["Figure"] == "may be used"].iloc[0])[1:] == [
        "yes" if rope.carries else "no" for rope in match.ropes
    ]
    best = dict(zip(page.table("Best")["Less is better"], page.table("Best")["Best"], strict=True))
    assert best["Wet mass to carry"] == ropes.value[0]
    assert charts(page) == 1
    assert "Answer" not in [one.value for one in page.app.caption]
    page.app.toggle(key="answers").set_value(True)
    page.run()
    for one in exercises(match, "metric", answers=True):
        assert one.answer in page.text
    assert [one.label for one in page.app.get("download_button")] == [
        "Exercise sheet (PDF)",
        "The sheet with answers (PDF)",
    ]


def test_ropes_with_another_piece_than_planned_leave_the_plan_as_it_is(screen):
    page = screen("ropes", plan=GROUND)
    page.app.toggle(key="other_piece").set_value(True)
    page.run()
    job = page.app.selectbox(key="rope_job").value
    length, run = (
        next(one for one in page.app.slider if one.label.startswith(name)) for name in ("Length", "Line let")
    )
    length.set_value(120)
    run.set_value(0.0)
    page.run()
    other = tuple(
        changed_job(one, JobChange(length=1.2, run=0.0)) if one.job == job else one for one in plan().jobs
    )
    ropes = page.app.multiselect[0].value
    match = compare_ropes(replace(plan(), jobs=other), ropes, job)
    assert match.run_m == 0.0 and "caught on a locked line" in page.text
    assert "NOT the planned piece" in page.text
    said = page.app.subheader[0].value.replace("\\", "").replace("\u2060", "")
    assert said == verdict_sentence(match, "metric")
    page.app.toggle(key="other_piece").set_value(False)
    assert "caught on a locked line" not in page.run().text and "NOT the planned" not in page.text


def test_the_large_view_shows_few_things_and_the_cautions(screen):
    page = screen("ropes", plan=GROUND)
    page.app.toggle(key="large_view").set_value(True)
    page.run()
    assert not page.app.title and "is the better choice here" in page.app.header[0].value
    assert charts(page) == 1 and not page.app.get("download_button")
    assert all(caution in page.text.replace("\u2060", "") for caution in CAUTIONS)
    page.app.toggle(key="large_view").set_value(False)
    assert page.run().app.title


def test_ropes_can_be_chosen_and_follow_the_units(screen):
    page = screen("ropes", plan=GROUND)
    job = kit().assignments[0].job
    page.app.selectbox(key="rope_job").set_value(job)
    page.run()
    page.app.multiselect[0].set_value(["DB10-45", "DB127-45", "KN11"])
    page.run()
    assert list(page.table("Figure").columns) == ["Figure", "DB10-45", "DB127-45", "KN11"]
    (gear,) = [one for one in page.app.radio if one.label.startswith("Redirect")]
    assert gear.value is True  # the kit takes all of them
    assert f"redirect {kit().assignments[0].parts['redirect']}" in page.text
    page.app.radio(key="units").set_value("us")
    page.run()
    table = page.table("Figure")
    assert list(table.columns) == ["Figure", "DB10-45", "DB127-45", "KN11"]
    assert all(cell.endswith("lbf") for cell in table[table["Figure"] == "breaking strength"].iloc[0][1:])
    page.app.multiselect[0].set_value(["KN11"])
    assert "Choose 2 to 4 ropes" in page.run().text


def test_limits_are_those_of_the_kit_rounded_down(screen):
    page, sheet = screen("limits", plan=GROUND), limits_sheet(plan(), kit())
    tables = page.tables("Largest piece")
    shown = [cell for table in tables for cell in table["Largest piece"]]
    assert len(shown) == len(sheet.rows)
    for cell, row in zip(shown, sheet.rows, strict=True):
        if row.largest_mass_kg:
            assert 0 <= row.largest_mass_kg - float(cell.split(" ")[0].replace(",", "")) < 1
        else:
            assert cell == "none"
    assert any(
        "Holds with a crew of 2 climbers and 4 ground workers" in one.value for one in page.app.warning
    )
    planned = page.table("Margin")
    assert list(planned["Job type"]) == [job.job for job in plan().jobs]
    assert not planned["Margin"].str.contains("TOO HEAVY").any() and (planned["On the tail"] != "").all()
    assert charts(page) == 1
    assert [one.label for one in page.app.get("download_button")] == ["One page for the truck (PDF)"]
    page.app.radio(key="units").set_value("us")
    assert any(cell.endswith(" lb") for cell in page.run().table("Largest piece")["Largest piece"])


def test_reasons_are_given_for_every_item(screen):
    page = screen("reasons", plan=GROUND).press("Look for the reasons")
    assert page.figure("Cheapest kit") == money(kit().purchase_cost, kit().currency)
    items = page.table("Needed for")
    assert sorted(items["Item"]) == sorted(item.name for item in kit().items)
    assert "Without any of it" not in items, "nothing is asked that takes a search for each item"
    adds = page.table("Adds")
    assert set(adds["Job type"]) == {job.job for job in plan().jobs}
    names = {item.name for item in kit().items}
    told = [cell for cell in adds["The kit would then"] if cell != "be the same"]
    assert told and all(any(name in cell for name in names) for cell in told)


def test_a_setup_is_drawn_on_the_kit_page(screen):
    page = screen("kit", plan=GROUND)
    for one in kit().assignments[-2:]:
        page.app.selectbox(key="drawn_job").set_value(one.job)
        (picture,) = page.run().app.get("image")
        drawn = b64decode(picture.proto.imgs[0].url.removeprefix("data:image/svg+xml;base64,")).decode()
        assert f"<title>{one.job}: " in drawn


def test_the_kit_page_opens_on_the_part_that_works_hardest_and_warns_of_the_hold_first(screen):
    owner = load_plan(DEMO_FOLDER / "new_owner")
    found = plan_kit(owner)
    page = screen("kit", plan="new_owner")
    hardest = max(found.assignments, key=lambda one: one.highest[1])
    assert page.app.selectbox(key="drawn_job").value == hardest.job
    notes = holding_notes(owner, found.assignments)
    warned = [one.value for one in page.app.warning if "Holding at the brake" in one.value]
    assert notes and len(warned) == 1 and all(plain(note) in warned[0] for note in notes)
    places = [type(one).__name__ for one in page.app.main]
    texts = [getattr(one, "value", "") for one in page.app.main]
    assert texts.index(warned[0]) < places.index("Selectbox")
    assert not any(one.value in notes for one in page.app.text)


def test_forces_of_running_catches_show_the_line_locked_too(screen):
    table = screen("kit", plan=GROUND).table("Hardest part")
    locked = [name for name in table.columns if ", locked [" in name]
    assert [name.split(",")[0] for name in locked] == ["Line", "Redirect", "Brake"]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_what_is_taken_home_is_what_it_says(system):
    made = {one.name: one.build() for one in takeaways(kit(), plan(), system)}
    assert made["order.xlsx"][:4] == made["plan.xlsx"][:4] == b"PK\x03\x04"
    assert all(made[name].startswith(b"%PDF") for name in ("report.pdf", "order.pdf", "limits.pdf"))
    assert plan_from_json(made["plan.json"].decode()).jobs == plan().jobs
    assert money(kit().purchase_cost, kit().currency).encode() in made["kit.txt"]


def test_budgets_are_edited_where_they_are_used(screen):
    page = screen("seasons", plan=GROUND).press("A season").press("A season")
    names = [row["season"] for row in page.app.session_state["draft"].rows("seasons")]
    assert int(names[1]) == int(names[0]) + 1
    page.type("seasons", 0, budget=123_456.0).type("work", 0, view="ways", most_pieces=2, cut_minutes=3.0)
    answer = page.app.session_state["answer"]
    assert [season.budget for season in answer.plan.seasons] == [123_456.0, None]
    assert (answer.plan.jobs[0].most_pieces, answer.plan.jobs[0].cut_minutes) == (2, 3.0)
    page.press("A change").press("Plan the seasons")
    assert page.figure("To buy in all") and page.app.session_state["checked"].remarks == ()
    page.type("seasons", 0, budget=-1.0)
    assert f"Row 2, {names[0]} - Budget" in page.text


def test_what_was_worked_out_goes_into_the_full_plan(screen):
    page = screen("reasons", plan=GROUND).press("Look for the reasons")
    page.go("seasons").press("Plan the seasons")

    def script() -> None:
        import streamlit as st

        from recommender.dashboard import asked, state

        more = asked.worked_out(state.answer().plan)
        st.text(f"{more.why is not None} {more.seasons is not None} {more.first is not None}")

    app = AppTest.from_function(script)
    for key in (asked.KEPT, "asked_seasons", "answer"):
        app.session_state[key] = page.app.session_state[key]
    assert app.run().text[0].value == "True True False"
