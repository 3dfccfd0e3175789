"""The parts of README.md and DEVELOPERS.md that are made from the code; run this file to renew them.

A part stands between ``<!-- made: NAME -->`` and ``<!-- end -->``.
"""

from __future__ import annotations

import ast
import contextlib
import doctest
import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

import arrows
import click
import deviations
import scenarios

from recommender.cli.commands import commands

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_catalog"
SESSION = """
>>> from recommender.kit.planning import plan_kit
>>> from recommender.work.plan import load_plan
>>> result = plan_kit(load_plan("demo_catalog/new_owner"))
>>> result.status, result.purchase_cost, result.currency
>>> [(item.quantity, item.name) for item in result.items if item.table == "ropes"]
"""
LEFT_OUT = "[...]"
SECONDS = re.compile(r"\b\d+\.\d\d s\b")


def command(*arguments: str | Path, expect: int = 0) -> str:
    """What ``kitplan`` prints, outputs and messages together."""
    call = [sys.executable, "-m", "recommender.cli", *map(str, arguments)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        call,
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        check=False,
    )
    if done.returncode != expect:
        raise RuntimeError(f"exit code {done.returncode} instead of {expect}:\n{done.stdout}")
    return done.stdout


def excerpt(text: str, starts: Iterable[str]) -> str:
    """The paragraphs of an output that begin with one of some words; ``[...]`` where others were left out."""
    wanted = tuple(starts)
    kept: list[str] = []
    for paragraph in text.strip("\n").split("\n\n"):
        if paragraph.startswith(wanted):
            kept.append(paragraph)
        elif kept[-1:] != [LEFT_OUT]:
            kept.append(LEFT_OUT)
    return "\n\n".join(kept)


def _fenced(text: str) -> str:
    return f"```text\n{text.rstrip()}\n```"


def plan_output() -> str:
    """The plan of the new owner, without what takes most room."""
    wanted = ("New owner", "Rigging gear", "Total", "Lowered", "Lifted", "Caught", "Piece:", "Cautions")
    return _fenced(excerpt(command("plan", "demo_catalog/new_owner"), wanted))


def python_session() -> str:
    """The lines of Python with what they answer."""
    session = doctest.DocTestParser().get_examples(SESSION)
    names: dict[str, object] = {}
    lines = []
    for example in session:
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.chdir(ROOT):
            exec(compile(example.source, "session", "single"), names)
        lines.append(f">>> {example.source}{said.getvalue()}")
    return "```python\n" + "".join(lines) + "\n```"


def _changed_work(*changes: tuple[str, str]) -> str:
    """The output of planning the new owner's work with some texts of ``work.csv`` exchanged, and its exit code."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(DEMO, Path(folder) / "gear"))
        work = copy / "new_owner" / "work.csv"
        text = work.read_text(encoding="utf-8")
        for old, new in changes:
            if text.count(old) != 1:
                raise RuntimeError(f"{old!r} is {text.count(old)} times in work.csv")
            text = text.replace(old, new)
        work.write_text(text, encoding="utf-8")
        return command("plan", copy / "new_owner", expect=2 if len(changes) > 1 else 1)


def no_kit_output() -> str:
    """A log that nothing in the catalogue can stop."""
    old = "pine butt logs,catch,3,eastern white pine,40,"
    text = _changed_work((old, old.replace(",40,", ",90,")))
    return _fenced(excerpt(text, ("No kit", "Not covered")))


def faults_output() -> str:
    """Two faults in one table."""
    return _fenced(
        _changed_work(
            ("small maple limbs,lower", "small maple limbs,lowr"),
            ("maple limbs,lower,24,red maple,20,", "maple limbs,lower,24,red maple,-20,"),
        )
    )


def commands_table() -> str:
    """Every command with its arguments and the first sentence of its help."""
    lines = ["| command | what it does |", "|---|---|"]
    for name, one in sorted(commands.commands.items()):
        usage = [piece for piece in one.collect_usage_pieces(click.Context(one)) if piece != "[OPTIONS]"]
        lines.append(f"| `{' '.join(['kitplan', name, *usage])}` | {one.get_short_help_str(limit=200)} |")
    return "\n".join(lines)


def first_sentence(path: Path) -> str:
    """What a module says of itself first."""
    said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return " ".join(said.split("\n\n")[0].split())


def module_map() -> str:
    """Every module with its first sentence, by package, from the top down."""
    packages: dict[str, list[str]] = {name: [] for layer in reversed(arrows.LAYERS) for name in layer}
    for path in arrows.product_files():
        module = arrows.module_of(path)
        said = first_sentence(path)
        if said and path.name != "__init__.py" and module != "recommender":
            packages[arrows.package_of(module)].append(f"- `{module}`: {said}")
    parts = []
    for name, lines in packages.items():
        head = ROOT.joinpath(*name.split("."), "__init__.py")
        about = f"{first_sentence(head)}\n\n" if head.exists() else ""
        if lines:
            parts.append(f"### `{name}`\n\n{about}" + "\n".join(lines))
    return "\n\n".join(parts)


PARTS: dict[str, dict[str, Callable[[], str]]] = {
    "README.md": {
        "plan": plan_output,
        "no kit": no_kit_output,
        "faults": faults_output,
        "commands": commands_table,
        "python": python_session,
        "people": scenarios.paragraphs,
        "checks": deviations.table,
    },
    "DEVELOPERS.md": {"arrows": arrows.table, "modules": module_map},
}


def part_of(text: str, name: str) -> str:
    """A made part as it stands in a document."""
    found = re.findall(
        rf"^<!-- made: {re.escape(name)} -->\n(.*?)\n<!-- end -->$", text, re.MULTILINE | re.DOTALL
    )
    if len(found) != 1:
        raise ValueError(f"the part {name!r} stands {len(found)} times in the document")
    return str(found[0])


def masked(text: str) -> str:
    """A text with its seconds taken out, and no more than one blank after another."""
    return SECONDS.sub("0.00 s", text).strip()


def renew() -> None:
    """Make every part again."""
    for document, parts in PARTS.items():
        path = ROOT / document
        text = path.read_text(encoding="utf-8")
        for name, make in parts.items():
            old, new = part_of(text, name), make()
            if masked(old) != masked(new):
                text = text.replace(f"<!-- made: {name} -->\n{old}\n", f"<!-- made: {name} -->\n{new}\n")
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    renew()
