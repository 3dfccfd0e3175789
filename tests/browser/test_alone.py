"""What the browser shows is the planner's figure, and no other machine is asked for anything."""

from typing import Any

from playwright.sync_api import expect
from served import PATIENCE, go, new_page, total

from recommender.dashboard.draft import DEMO_FOLDER
from recommender.kit.planning import plan_kit
from recommender.report.figures import money
from recommender.work.plan import load_plan


def test_the_total_is_that_of_the_planner_and_nobody_else_is_asked(browser: Any, shared_server: Any) -> None:
    result = plan_kit(load_plan(DEMO_FOLDER / "new_owner"))
    own = (shared_server.address, shared_server.address.replace("http://", "ws://"), "data:", "blob:")
    strangers: list[str] = []
    page = new_page(browser)
    page.on("request", lambda one: None if one.url.startswith(own) else strangers.append(one.url))
    page.goto(f"{shared_server.address}/?plan=new_owner")
    expect(total(page)).to_have_text(money(result.purchase_cost, result.currency), timeout=1000 * PATIENCE)
    go(page, "Kit")
    expect(page.get_by_text("Before you rely on these figures")).to_be_visible()
    page.context.close()
    assert strangers == [], "the page asked another machine for something"
