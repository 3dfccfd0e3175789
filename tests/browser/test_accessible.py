"""What axe finds on every page, by day and by night, on a desk and on a phone; and a way without a mouse."""

from __future__ import annotations

import csv
import os
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from expected import lacking
from playwright.sync_api import expect
from served import DESK, PHONE, ROOT, edit_cell, followed, go, settled, themed, titles, to_cell, total

if TYPE_CHECKING:
    from playwright.sync_api import Page

AXE = ROOT / ".axe" / "node_modules" / "axe-core" / "axe.min.js"
"""Put there by .ci/run."""
LOOK = """async allowed => {
    const found = await axe.run(document, {resultTypes: ["violations"]});
    const isAllowed = (rule, node) => allowed.some(one => one.rule === rule && node.matches(one.selector));
    const grave = found.violations.filter(one => ["serious", "critical"].includes(one.impact));
    return grave.flatMap(one => one.nodes
        .map(node => ({node, there: document.querySelector(node.target.at(-1))}))
        .filter(({there}) => !(there && isAllowed(one.id, there)))
        .map(({node, there}) => [
            `${one.impact}, ${one.id}: ${node.html.slice(0, 200)}`,
            node.failureSummary.slice(0, 300),
            (there?.innerText ?? "").slice(0, 80),
        ].join(" ")));
}"""
ALL_MODES = bool(os.environ.get("KITPLAN_ALL_MODES"))
MODES = [("light", DESK), ("dark", PHONE), *([("light", PHONE), ("dark", DESK)] if ALL_MODES else [])]
"""Both themes and both sizes; every pair of them when asked for."""


@pytest.fixture(scope="module")
def axe() -> str:
    if not AXE.exists():
        lacking("axe", f"axe-core is not at {AXE.relative_to(ROOT)} (.ci/run puts it there, with npm)")
    return AXE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def allowed() -> list[dict[str, str]]:
    """What can't be mended here: rule, place and reason."""
    with (Path(__file__).parent / "allowed.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert all(row["reason"].strip() for row in rows)
    return rows


def found(page: Page, axe: str, allowed: list[dict[str, str]]) -> list[str]:
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(axe)
    return list(page.evaluate(LOOK, allowed))


@pytest.mark.parametrize("plan", ["company", "empty"])
def test_axe_finds_nothing(opened: Any, shared_server: Any, axe: str, allowed: Any, plan: str) -> None:
    page = opened(shared_server, f"?plan={plan}")
    faults = []
    names = titles(page)
    assert len(names) >= 8
    for name in names:
        go(page, name)
        questions = page.get_by_test_id("stBaseButton-primary")
        for theme in ("light", "dark") if questions.count() else ():
            themed(page, theme)
            faults += [f"{name}, {theme}, not asked yet: {one}" for one in found(page, axe, allowed)]
        while questions.count():
            with followed(page):
                questions.first.click()
        for theme, size in MODES if plan == "company" else MODES[1:2]:
            page.set_viewport_size(size)
            themed(page, theme)
            faults += [f"{name}, {theme}, {size['width']}: {one}" for one in found(page, axe, allowed)]
    assert faults == [], "\n".join(faults)


def test_axe_finds_what_is_wrong(opened: Any, shared_server: Any, axe: str, allowed: Any) -> None:
    page = opened(shared_server)
    page.evaluate("""() => document.querySelector('h1').insertAdjacentHTML(
        'afterend', '<img src="data:,"><p style="color: #999; background: #aaa">grey on grey</p>')""")
    rules = {one.split(":")[0] for one in found(page, axe, allowed)}
    assert {"critical, image-alt", "serious, color-contrast"} <= rules


FOCUS = """() => {
    const here = document.activeElement, style = getComputedStyle(here);
    const label = here.getAttribute("aria-label") || here.closest("label")?.innerText || here.innerText || "";
    const marks = [style.outlineWidth !== "0px" && style.outlineStyle !== "none", style.boxShadow !== "none"];
    return {kind: here.tagName, name: label.trim(), isMarked: marks.some(one => one)};
}"""
MOST_TABS = 80


def walk(page: Page, names: list[str]) -> dict[str, dict[str, Any]]:
    """Press Tab until each of some names was reached; the places met, by the end of their name."""
    met: dict[str, dict[str, Any]] = {}
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        place = page.evaluate(FOCUS)
        for name in names:
            if place["name"].endswith(name):
                met.setdefault(name, place)
        if len(met) == len(names):
            break
    return met


def test_a_way_without_a_mouse(opened: Any, shared_server: Any) -> None:
    page = opened(shared_server)
    wanted = [*titles(page), "Metric", "Open the two-crew example", "Start empty", "See the kit"]
    met = walk(page, wanted)
    assert [name for name in wanted if name not in met] == [], "can't be reached"
    assert [name for name, place in met.items() if not place["isMarked"]] == [], "do not show where one is"
    with followed(page):
        page.keyboard.press("Enter")
    page.get_by_role("heading", level=1, name="Kit").wait_for()
    page.reload()
    settled(page)
    walk(page, ["Metric"])
    with followed(page):
        page.keyboard.press("ArrowRight")
    assert page.get_by_role("radio", name="US").is_checked()


def test_a_cell_is_changed_without_a_mouse(opened: Any, shared_server: Any) -> None:
    page = go(opened(shared_server), "Work")
    page.get_by_test_id("data-grid-canvas").first.wait_for()
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.dataset.testid") == "data-grid-canvas":
            break
    else:
        pytest.fail("the table can't be reached")
    before = total(page).inner_text()
    assert to_cell(page, "Rigging height", 2) == "14"
    way = page.locator(".st-key-way").bounding_box()
    edit_cell(page, "Rigging height", 2, "55")
    expect(page.locator(".st-key-undo").get_by_role("button")).to_have_text(
        re.compile("Undo: rigging height of .+")
    )
    assert page.locator(".st-key-way").bounding_box()["height"] == way["height"], (
        "what is undone moves the table"
    )
    assert to_cell(page, "Rigging height", 2) == "55"
    expect(total(page)).not_to_have_text(before)
