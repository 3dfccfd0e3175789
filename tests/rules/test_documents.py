"""README.md and DEVELOPERS.md say what the code does."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import click
import pytest
from documents import PARTS, masked, part_of

from catalog_schema.catalogue import load_catalogue
from catalog_schema.problems import ProblemCode
from recommender.cli.commands import commands

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


def test_the_catalogue_is_as_large_as_the_readme_says(root: Path) -> None:
    rows = sum(len(rows) for rows in load_catalogue(root / "demo_catalog").tables().values())
    assert f"a catalogue of {rows} rows" in _document(root, "README.md")


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


# --- the dashboard ----------------------------------------------------------------------------------------------------


def test_the_ways_of_three_people_name_what_is_on_the_screen(root: Path) -> None:
    named = set(
        re.findall(
            r"\*([^*\n]+)\*",
            _section(_document(root, "README.md"), "Five minutes for each of three people").replace("**", ""),
        )
    )
    code = "\n".join(
        path.read_text(encoding="utf-8") for path in (root / "recommender" / "dashboard").rglob("*.py")
    )
    assert len(named) >= 25
    assert {one for one in named if f'"{one}' not in code and f"**{one}**" not in code} == set()


def test_pictures_are_there_and_small(root: Path) -> None:
    shown = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", _document(root, "README.md"))
    assert len(shown) >= 4 and {
        str(path.relative_to(root)) for path in (root / ".pictures").iterdir()
    } == set(shown)
    assert all((root / one).stat().st_size <= 80_000 for one in shown)
