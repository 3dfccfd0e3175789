"""What is installed from a wheel is whole: data, policy, units, and a command line that plans."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import pytest

CODE_ONLY = (".py", ".pyc")


def _missing_builder() -> str:
    try:
        number = tuple(int(part) for part in version("setuptools").split(".")[:2])
    except PackageNotFoundError:
        return "setuptools is not installed"
    return (
        ""
        if number >= (70, 1)
        else "setuptools is older than 70.1 and needs another package to build a wheel"
    )


@pytest.fixture(scope="module")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    if _missing_builder():
        pytest.skip(_missing_builder())
    source = tmp_path_factory.mktemp("source")
    for name in ("catalog_schema", "recommender"):
        shutil.copytree(root / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(root / name, source)
    made = tmp_path_factory.mktemp("wheel")
    call = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-deps",
        "--no-build-isolation",
        "-w",
        str(made),
        str(source),
    ]
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return next(made.glob("*.whl"))


@pytest.mark.tools
def test_a_wheel_holds_every_module_and_data_file(wheel: Path, root: Path) -> None:
    inside = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    files = {
        path.relative_to(root).as_posix()
        for name in ("catalog_schema", "recommender")
        for path in (root / name).rglob("*")
        if path.is_file() and path.suffix != ".pyc"
    }
    assert {name for name in files if not name.endswith(CODE_ONLY)}, "there are data files"
    assert inside == files


@pytest.mark.tools
def test_the_command_line_of_a_wheel_plans(wheel: Path, root: Path, tmp_path: Path) -> None:
    """Away from the sources, with the example plan named: none is installed."""
    zipfile.ZipFile(wheel).extractall(tmp_path / "installed")
    shutil.copytree(root / "demo_catalog", tmp_path / "gear")
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "installed"), "PYTHONSAFEPATH": "1"}
    call = [sys.executable, "-m", "recommender.cli", "plan", "gear/training_ground"]
    done = subprocess.run(call, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "Total to buy" in done.stdout
