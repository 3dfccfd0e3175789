"""README.md and DEVELOPERS.md say what the code does."""

from __future__ import annotations

import doctest
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import click
import pytest
from documents import PARTS, masked, part_of

from catalog_schema.problems import ProblemCode
from recommender.cli.commands import commands
from recommender.kit.planning import plan_kit, prepare
from recommender.kit.result import KitResult
from recommender.work.plan import Plan, load_plan

RENEW = "renew it: python tests/rules/documents.py"


def _document(root: Path, name: str) -> str:
    return (root / name).read_text(encoding="utf-8")


def _section(text: str, heading: str) -> str:
    """The text under a heading, up to the next one of its level or above."""
    found = re.search(rf"^(#+) {re.escape(heading)}\n(.*?)(?=^#{{1,2}} |\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, f"there is no heading {heading!r}"
    return found[2]


@pytest.mark.tools
@pytest.mark.parametrize(
    ("document", "name"), [(document, name) for document in PARTS for name in PARTS[document]]
)
def test_made_parts_are_as_they_would_be_made_now(document: str, name: str, root: Path) -> None:
    assert masked(part_of(_document(root, document), name)) == masked(PARTS[document][name]()), RENEW


# --- setting up -------------------------------------------------------------------------------------------------------


def test_there_are_two_lines_that_set_up_and_go(root: Path) -> None:
    text = _document(root, "README.md")
    fenced = re.findall(r"^```sh\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert len(fenced) == 2
    run, test = (block.rstrip("\n") for block in fenced)
    for line in (run, test):
        assert "\n" not in line
        assert line.startswith("python3 -m venv .venv && .venv/bin/pip install -q ")
    assert run.endswith(".venv/bin/streamlit run app.py")
    assert ".venv/bin/python -m pytest" in test
    assert text.count("pip install") == text.count("-m venv") == 2


def test_the_checks_run_on_a_machine_of_their_own_as_in_the_readme(root: Path) -> None:
    """``.ci/run`` takes the line under ``Test`` from the README and holds no such line itself."""
    script = root / ".ci" / "run"
    text = script.read_text(encoding="utf-8")
    assert script.stat().st_mode & 0o111
    assert "README.md" in text and "pytest" not in text
    assert re.search(
        r"^\*\*Test\*\*.*\n\n```sh\n.*pytest.*\n```$", _document(root, "README.md"), re.MULTILINE
    )


def test_the_dashboard_stays_on_this_machine(root: Path) -> None:
    """What the README promises of the line under ``Run``."""
    text = (root / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    for line in (
        'address = "127.0.0.1"',
        "headless = true",
        "showEmailPrompt = false",
        "gatherUsageStats = false",
    ):
        assert line in text


# --- the command line -------------------------------------------------------------------------------------------------


def test_every_command_and_option_has_help() -> None:
    for name, one in commands.commands.items():
        assert one.help, name
        assert [part.name for part in one.params if isinstance(part, click.Option) and not part.help] == []


def test_every_command_that_the_readme_names_is_there(root: Path) -> None:
    named = set(re.findall(r"`kitplan (\w+)", _document(root, "README.md")))
    assert named == set(commands.commands)


def test_the_lines_of_python_do_what_they_say(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(root)
    failed, tried = doctest.testfile(str(root / "README.md"), module_relative=False)
    assert tried >= 5 and not failed


# --- the figures in the text ------------------------------------------------------------------------------------------


@cache
def _demo(root: Path, name: str) -> tuple[Plan, KitResult]:
    plan = load_plan(root / "demo_catalog" / name)
    return plan, plan_kit(plan)


def _gear(result: KitResult) -> float:
    """Cost of the rigging gear, the crew's extras left out."""
    return sum(item.price for item in result.items if item.table != "extras" and not item.owned)


def _percent(share: float) -> str:
    return f"{-int(-100 * share // 1)}"


def _kilonewtons(force: float) -> str:
    return f"{-(-force // 100) / 10:.1f}"


def _new_owner(root: Path) -> Iterator[str]:
    plan, result = _demo(root, "new_owner")
    yield from (f"{len(plan.jobs)}", f"{_gear(result):,.0f}", f"{result.purchase_cost:,.0f}")
    lines = sorted(
        (item for item in result.items if item.table == "ropes"), key=lambda item: -(item.length_m or 0.0)
    )
    for line in lines:
        yield from (f"{line.length_m:.0f}", f"{1e3 * _rope(plan, line.id).diameter:.3g}")
    hardest = max(result.assignments, key=lambda one: one.highest[1])
    assert (hardest.job, hardest.highest[0]) == ("heavy maple limbs", "line")
    yield _percent(hardest.highest[1])


def _rope(plan: Plan, id: str):  # type: ignore[no-untyped-def]
    return next(one.rope for one in plan.catalogue.rope_lengths if one.id == id)


def _company(root: Path) -> Iterator[str]:
    plan, result = _demo(root, "company")
    anew = plan_kit(replace(plan, owned=()))
    left_out = sum("is left out" in note for note in result.notes)
    yield from (f"{len(plan.owned)}", f"{left_out}", f"{_gear(result):,.0f}", f"{_gear(anew):,.0f}")


def _trainer(root: Path) -> Iterator[str]:
    plan, result = _demo(root, "training_ground")
    (line,) = (item for item in result.items if item.table == "ropes")
    caught = next(one for one in result.assignments if one.job == "birch logs caught")
    yield from (f"{1e3 * _rope(plan, line.id).diameter:.3g}", f"{_kilonewtons(caught.line_tension_jam_n)}")
    yield from (f"{_kilonewtons(caught.redirect_reaction_jam_n)}", f"{_percent(caught.utilisation['line'])}")
    thick = next(one for one in plan.catalogue.ropes if one.id == "DB16-30")
    bull = plan_kit(replace(plan, catalogue=replace(plan.catalogue, ropes=(thick,))))
    stiff = next(one for one in bull.assignments if one.job == "birch logs caught")
    yield from (f"{1e3 * thick.diameter:.3g}", f"{_kilonewtons(stiff.line_tension_jam_n)}")
    yield from (
        f"{_kilonewtons(stiff.redirect_reaction_jam_n)}",
        f"{_gear(bull):,.2f}",
        f"{_gear(result):,.2f}",
    )


SCENARIOS: dict[str, Callable[[Path], Iterator[str]]] = {
    "A new owner": _new_owner,
    "An established company": _company,
    "A trainer": _trainer,
}


@pytest.mark.parametrize("heading", SCENARIOS)
def test_every_figure_of_the_scenarios_is_computed(heading: str, root: Path) -> None:
    """All numbers of the paragraph, in their order."""
    paragraph = re.search(
        rf"^\*\*{heading}\*\*(.*?)\n\n", _document(root, "README.md"), re.MULTILINE | re.DOTALL
    )
    assert paragraph
    written = re.findall(r"(?<![\w.])\d+(?:,\d{3})*(?:\.\d+)?", paragraph[1])
    assert written == list(SCENARIOS[heading](root))


def test_the_catalogue_is_as_large_as_the_readme_says(root: Path) -> None:
    plan, _ = _demo(root, "new_owner")
    rows = sum(len(rows) for rows in plan.catalogue.tables().values())
    assert f"{rows} rows" in _document(root, "README.md")
    assert prepare(plan).problem.uncovered() == ()


# --- the errors page --------------------------------------------------------------------------------------------------


def test_the_errors_page_has_every_code_and_no_other(root: Path) -> None:
    page = _section(_document(root, "DEVELOPERS.md"), "Errors in people's files")
    headings = re.findall(r"^### `([\w-]+)`$", page, re.MULTILINE)
    assert headings == [code.value for code in ProblemCode]


def test_files_that_the_documents_name_are_there(root: Path) -> None:
    """Names in backticks with a slash."""
    for document in PARTS:
        named = re.findall(r"`((?:[\w.]+/)+[\w.]*)`", _document(root, document))
        assert [name for name in named if not (root / name).exists()] == [], document
        assert named
