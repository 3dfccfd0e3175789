"""Planning on the command line leaves alone what it does not need."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = (
    "pandas",
    "streamlit",
    "openpyxl",
    "altair",
    "rich",
    "scipy.integrate",
    "scipy.optimize",
    "scipy.sparse",
)
PROGRAM = """
import sys
from recommender.cli.commands import commands
commands({arguments!r}, standalone_mode=False)
loaded = [name for name in {heavy!r} if name in sys.modules]
print("loaded:", *loaded, file=sys.stderr)
"""


@pytest.mark.parametrize("arguments", [["plan"], ["loads"]])
def test_nothing_heavy_is_imported(arguments: list[str]) -> None:
    program = PROGRAM.format(arguments=arguments, heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert "Cautions" in done.stdout
    assert done.stderr.strip() == "loaded:"


def test_the_list_of_commands_needs_no_numbers() -> None:
    heavy = ("numpy", "pydantic", "pint")
    program = f"import sys, recommender.cli; print([name for name in {heavy!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
