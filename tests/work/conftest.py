"""A small sound plan with its catalogue, invented, copied into a folder for tests to read and to break."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

SOUND_PLAN = Path(__file__).with_name("sound_plan")


@dataclass(frozen=True)
class PlanFolder:
    """A plan and its catalogue in one folder."""

    path: Path

    def text(self, file: str) -> str:
        return (self.path / file).read_text(encoding="utf-8")

    def write(self, file: str, content: str | bytes) -> None:
        data = content if isinstance(content, bytes) else content.encode()
        (self.path / file).write_bytes(data)

    def replace(self, file: str, old: str, new: str) -> None:
        """Exchange a text that must be there exactly once."""
        text = self.text(file)
        assert text.count(old) == 1, f"{old!r} is {text.count(old)} times in {file}"
        self.write(file, text.replace(old, new))

    def remove(self, file: str) -> None:
        (self.path / file).unlink()


@pytest.fixture
def plan_folder(tmp_path: Path) -> PlanFolder:
    return PlanFolder(Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan")))
