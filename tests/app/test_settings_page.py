"""Settings and design factors on the screen: as they are declared, within their limits, never below a floor."""

import pytest

from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.settings_form import (
    changed_policy_tables,
    changed_settings,
    policy_fields,
    setting_fields,
)
from recommender.kit.planning import plan_kit
from recommender.ratings.policy import changed_policy, default_policy
from recommender.work.plan import load_plan
from recommender.work.settings import LineAllowances, PlanSettings


def number(page, label: str):
    return next(one for one in page.app.number_input if one.label.replace("\\", "").startswith(label))


def test_every_setting_has_a_field_or_is_told_to_be_elsewhere():
    fields = [one.place for group in setting_fields(PlanSettings(), "us").values() for one in group]
    tables = PlanSettings().model_dump()
    every = [(name,) for name in tables if not isinstance(tables[name], dict)]
    every += [(name, key) for name in ("crew", "line", "money") for key in tables[name]]
    assert set(every) - set(fields) == {("name",), ("units",), ("catalog",)}


def test_a_length_is_changed_in_the_units_that_are_shown():
    settings = changed_settings(PlanSettings(), ("line", "tail"), 10.0, "us")
    assert settings.line.tail == pytest.approx(3.048)  # 1 ft = 0.3048 m by definition
    with pytest.raises(ValueError, match="left as it is"):
        changed_settings(PlanSettings(), ("pieces_per_season",), 0.0, "metric")


def test_more_ground_workers_are_kitted_out(screen):
    page = screen("settings")
    number(page, "Ground workers").set_value(4)
    page.run()
    plan = load_plan(DEMO_FOLDER / "new_owner")
    assert page.app.session_state["draft"].settings.crew.ground_workers == 4
    crew = plan.settings.crew.model_copy(update={"ground_workers": 4})
    wanted = plan_kit(
        type(plan)(**{**vars(plan), "settings": plan.settings.model_copy(update={"crew": crew})})
    )
    assert page.app.session_state["answer"].result.purchase_cost == wanted.purchase_cost
    assert page.press("Undo").app.session_state["draft"].settings.crew == plan.settings.crew


def test_who_works_stands_at_the_work_and_is_one_with_the_settings(screen):
    page = screen("work")
    number(page, "Ground workers").set_value(4)
    page.run()
    assert page.app.session_state["draft"].settings.crew.ground_workers == 4
    assert page.has("Undo") and number(page.go("settings"), "Ground workers").value == 4


def test_gear_that_the_crew_can_hold_is_one_press_away(screen):
    page = screen("settings")
    number(page, "Ground workers").set_value(1)
    next(one for one in page.app.toggle if one.label == "Holds every piece").set_value(False)
    page = page.run().go("kit")
    held = page.app.session_state["answer"].result
    assert any(one.holding and one.holding.people > 1 for one in held.assignments)
    page.press("Choose gear that the crew can hold")
    found = page.app.session_state["answer"].result
    assert found.status == "no kit" and all("hold the line" in one.shortfall for one in found.uncovered)
    assert page.press("Undo").app.session_state["answer"].result.assignments == held.assignments


def test_lengths_are_shown_with_two_decimals_and_stay_as_they_were():
    settings = PlanSettings(line=LineAllowances(tail=3.0, tie=50.0))
    (tail, tie) = (one for one in setting_fields(settings, "us")["line"] if one.place[-1] in ("tail", "tie"))
    assert tail.value == 9.84 and tie.value == 164.04 <= tie.most  # 1 ft = 0.3048 m


def test_a_value_out_of_its_limits_is_refused_in_words(screen):
    page = screen("settings")
    number(page, "Pieces per season").set_value(0.0)
    page.run()
    assert "left as it is" in page.text
    assert page.app.session_state["draft"].settings.pieces_per_season > 0


def test_a_raised_factor_counts_and_stands_in_the_notes(screen):
    page = screen("settings")
    number(page, "Rope design factor for catch").set_value(7.0)
    page.run()
    reason = next(one for one in page.app.text_input if one.label.startswith("Reason"))
    reason.set_value("our insurer")
    page.run()
    notes = page.app.session_state["answer"].plan.policy.notes
    assert len(notes) == 1 and "raised from 6 to 7" in notes[0]
    assert "raised from 6 to 7" in page.text
    assert page.press("Back to the default of every rule").app.session_state["draft"].policy == {}


def test_no_factor_can_be_set_below_its_floor(screen):
    for group in policy_fields(default_policy()).values():
        for field in group:
            if field.place[0] in ("design_factor", "survival"):
                floor = field.least
                changes = changed_policy_tables({}, field.place, floor * 0.9)
                assert changed_policy(changes)[1], field.place
    page = screen("settings")
    box = number(page, "Rope design factor for catch")
    assert box.min == 5.0


def test_a_value_that_is_the_default_again_is_no_change():
    changes = changed_policy_tables({}, ("design_factor", "sling", "lift"), 8.0)
    assert changes == {"design_factor": {"sling": {"lift": 8.0}}}
    more = changed_policy_tables(changes, ("reason",), "own tests")
    assert changed_policy(more)[0].notes[0].endswith("no reason given") is False
    assert changed_policy_tables(changes, ("design_factor", "sling", "lift"), 7.0) == {}
