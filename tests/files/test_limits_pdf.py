"""The limits sheet on paper: one page, rounded to the safe side, complete."""

from __future__ import annotations

import datetime
import io
from functools import cache
from typing import Any

import pytest
from pypdf import PdfReader

from catalog_schema.units import from_si
from recommender.explain.limits import LimitRow, LimitsSheet, LogLimits
from recommender.explain.manners import Manner
from recommender.explain.planned_pieces import PlannedPiece
from recommender.files.limits_pdf import limits_pdf
from recommender.report.figures import mass_allowed

DIAMETERS = tuple(0.15 + 0.05 * k for k in range(10))
NAMES = (("Lower", "lower"), ("Swing", "lower"), ("Lift", "lift"), ("Catch", "catch"), ("Catch 2", "catch"))
MANNERS = tuple(
    Manner(name=name, technique=technique, slack_m=0.1, lead_m=1.0, tie_above_cut_m=0.3, run_m=1.0, piece_length_m=2.0,
           lift_height_m=1.0)
    for name, technique in NAMES
)  # fmt: skip
SETUP = {"line": "R1/45m", "redirect": "owned:B1#2", "redirect_sling": "S1", "brake": "P1"}


def row(manner: Manner, band: int, mass: float, **changes: Any) -> LimitRow:
    logs = (
        LogLimits(species="oak", density_kg_m3=1100.0, lengths_m=(None, *(2.0 + 0.01 * k for k in range(9)))),
    )
    given: dict[str, Any] = {
        "manner": manner.name, "technique": manner.technique,
        "height_from_m": 5.0 * band, "height_to_m": 5.0 * band + 5,
        "largest_mass_kg": mass, "parts": SETUP, "held_by": "redirect_sling", "state": "jam", "logs": logs,
        "stem_at_redirect_m": (0.151, 0.749), "stem_at_brake_m": (0.12, None),
    }  # fmt: skip
    return LimitRow(**{**given, **changes})


@cache
def sheet(notes: int = 1) -> LimitsSheet:
    """As large as a limits sheet can be: five manners in six bands."""
    rows = [row(manner, band, 100.0 + 7.77 * band) for manner in MANNERS for band in range(1, 7)]
    rows[-1] = row(MANNERS[-1], 6, 0.0, why_not="no line is long enough", parts={}, logs=())
    return LimitsSheet(
        plan="Oaks", notice="Invented", gear="the kit", wet=True, diameters_m=DIAMETERS, species=("oak", "lime"),
        heaviest="oak", manners=MANNERS, rows=tuple(rows),
        notes=tuple(f"note {k} " + "of many words " * 20 for k in range(notes)),
    )  # fmt: skip


@cache
def usual(system: Any) -> bytes:
    return limits_pdf(sheet(), system)


def text_of(data: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)


@pytest.mark.parametrize(("system", "notes"), [("metric", 1), ("us", 0), ("us", 40)])
def test_it_is_one_page_whatever_it_holds(system: Any, notes: int) -> None:
    data = limits_pdf(sheet(notes), system, date=datetime.date(2025, 3, 1))
    assert len(PdfReader(io.BytesIO(data)).pages) == 1
    assert "page 1 of 1" in text_of(data)
    if notes == 40:
        assert "There are 40 notes" in text_of(data)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_masses_and_lengths_are_rounded_down(system: Any) -> None:
    text = text_of(usual(system))
    unit = "lb" if system == "us" else "kg"
    for one in sheet().rows:
        if one.largest_mass_kg:
            shown = mass_allowed(one.largest_mass_kg, system).split()[0].replace(",", "")
            assert shown in text
            assert float(shown) <= from_si(one.largest_mass_kg, unit, "mass") < float(shown) + 1
    longest = "2.0" if system == "metric" else "6.8"
    assert longest in text and ("2.1" if system == "metric" else "6.9") not in text


def test_stems_and_heights_are_rounded_inwards() -> None:
    text = text_of(usual("metric"))
    assert "15.1 cm to 74.9 cm" in text and "12 cm and more" in text
    in_inches = text_of(usual("us"))
    assert "6 in to 29.4 in" in in_inches and "4.8 in and more" in in_inches
    assert "16.5 to 32.8" in in_inches, "5 m to 10 m, inwards"


def test_it_names_gear_cautions_and_what_is_not_carried() -> None:
    text = " ".join(text_of(usual("metric")).split())
    assert "line: R1/45m; redirect: B1 (owned); redirect sling: S1; brake: P1" in text
    assert "no line is long enough" in text and "none" in text
    assert all(caution in text for caution in sheet().cautions)
    assert "oak" in text and "hold for lime too" in text and "redirect sling, locked" in text


def test_another_species_holds_for_itself_only() -> None:
    logs = (*sheet().rows[0].logs, LogLimits(species="lime", density_kg_m3=700.0, lengths_m=(3.3,) * 10))
    changed = sheet().model_copy(
        update={"rows": tuple(one.model_copy(update={"logs": logs}) for one in sheet().rows)}
    )
    text = " ".join(text_of(limits_pdf(changed, "metric", species="lime")).split())
    assert "for lime only" in text and "3.3" in text
    with pytest.raises(ValueError, match="species must be one of oak, lime"):
        limits_pdf(sheet(), "metric", species="ash")


def test_without_any_species_masses_stay() -> None:
    bare = sheet().model_copy(
        update={
            "species": (),
            "heaviest": "",
            "rows": tuple(one.model_copy(update={"logs": ()}) for one in sheet().rows),
        }
    )
    text = " ".join(text_of(limits_pdf(bare, "metric")).split())
    assert "No lengths of logs" in text and "107" in text


def test_it_says_for_which_crew_it_holds_and_what_one_person_holds() -> None:
    rows = tuple(
        one.model_copy(update={"one_person_kg": one.largest_mass_kg / 2, "wraps": 4.0}) if one.parts else one
        for one in sheet().rows
    )
    planned = tuple(
        PlannedPiece(job=f"job {k}", technique="lower", height_m=9.0, length_m=2.0, mass_kg=100.2, allowed_kg=99.9,
                     gear_kg=150.0, people=3, wraps=4.0, held_by="crew's hold")
        for k in range(12)
    )  # fmt: skip
    changed = sheet().model_copy(
        update={"rows": rows, "climbers": 1, "ground_workers": 2, "hold_n": 100.0, "planned": planned}
    )
    data = limits_pdf(changed, "metric")
    text = " ".join(text_of(data).split())
    assert len(PdfReader(io.BytesIO(data)).pages) == 1
    assert "Holds with a crew of 1 climber and 2 ground workers" in text and "4 on P1" in text
    assert mass_allowed(rows[0].largest_mass_kg / 2, "metric").split()[0] in text
    assert text.count("TOO HEAVY") == 12 and "101 kg" in text and "99 kg" in text
    short = limits_pdf(changed.model_copy(update={"rows": rows[:6], "notes": ()}), "metric")
    assert text_of(short).count("3 people;") == 12, "as a table where there is room"
