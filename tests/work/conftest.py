"""A small sound plan with its catalogue, written into a folder, for tests to read and to break."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

SOUND_FILES = {
    "ropes.csv": """\
id,name,fibre,construction,diameter [mm],min_break [kN],break_basis,elongation [%],elongation_at [%],mass_per_length [g/m],length [m],price,price_per_length [EUR/m],lengths_on_offer [m],currency
R1,rope 12.7 mm,polyester,double_braid,12.7,39,minimum,4.5,30,122,45,180,,,EUR
R2,rope 16 mm,nylon_core,double braid,16,62,average,9,30,190,,,5.5,30 45 60,
""",
    "redirects.csv": """\
id,name,kind,rope_min [mm],rope_max [mm],sheave_diameter [mm],bearing,takes_catch,min_break [kN],price
B1,block,block,10,16,80,roller,yes,150,190
""",
    "slings.csv": """\
id,name,kind,fibre,diameter [mm],min_break [kN],stem_min [cm],stem_max [cm],needs_knot,price
S1,sling,whoopie,polyester,16,70,15,60,no,75
""",
    "brakes.csv": """\
id,name,kind,rope_min [mm],rope_max [mm],drum_diameter [mm],wraps_max,takes_catch,min_break [kN],price
K1,bollard,portable_bollard,10,16,60,4,yes,120,340
""",
    "connectors.csv": """\
id,name,kind,min_break [kN],price
C1,shackle,shackle,85,9
""",
    "work.csv": """\
job,technique,share [%],species,diameter [cm],length [m],rigging_height [m],stem_at_redirect [cm],stem_at_brake [cm],cut_to_redirect [m],tie_above_cut [m],mass [kg],mass_high [kg]
limbs,lower,70,red maple,20,2.5,12,25,45,,,,
logs,catch,30,eastern white pine,30,1,8,30,45,0.4,0.4,,
""",
    "owned.csv": """\
item,count,length [m],age [yr],condition
R1,1,40,2,sound
B1,1,,3,sound
""",
    "plan.toml": """\
name = "Test plan"
units = "metric"
pieces_per_season = 400

[crew]
climbers = 1
ground_workers = 2

[line]
tail = "3 m"
""",
}


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
    folder = PlanFolder(tmp_path / "plan")
    folder.path.mkdir()
    for file, text in SOUND_FILES.items():
        folder.write(file, text)
    return folder
