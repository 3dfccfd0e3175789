"""Figures are rounded to the safe side, whatever the value and the units."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_schema.units import UnitSystem, to_si, unit_of
from recommender.report.figures import as_listed, force, length_needed, mass, money, percent

SYSTEMS = st.sampled_from(("metric", "us"))
NOISE = 1e-9


def read_back(text: str, kind: str, system: UnitSystem) -> float:
    return to_si(float(text.split(" ")[0].replace(",", "")), unit_of(kind, system), kind)


@pytest.mark.parametrize(
    ("shown", "kind", "step"), [(force, "force", 100.0), (mass, "mass", 1.0), (length_needed, "length", 0.1)]
)
def test_loads_are_never_shown_too_small(shown, kind, step) -> None:  # type: ignore[no-untyped-def]
    @given(st.floats(0, 1e6), SYSTEMS)
    def holds(value: float, system: UnitSystem) -> None:
        read = read_back(shown(value, system), kind, system)
        assert value * (1 - NOISE) - 1e-12 <= read <= value + step * (1 + NOISE)

    holds()


@given(st.floats(1, 1e6), SYSTEMS)
def test_ratings_are_never_shown_too_large(strength: float, system: UnitSystem) -> None:
    assert read_back(as_listed(strength, "force", system, "down"), "force", system) <= strength * (1 + NOISE)


@given(st.floats(0, 5))
def test_utilisation_is_never_shown_too_small(ratio: float) -> None:
    shown = int(percent(ratio).split(" ")[0])
    assert 100 * ratio - 1e-6 <= shown <= 100 * ratio + 1


def test_catalogue_figures_keep_their_zeros_before_the_point() -> None:
    assert as_listed(80e3, "force", "metric", "down") == "80 kN"
    assert as_listed(0.1, "size", "metric") == "100 mm"
    assert as_listed(44482.3, "force", "us", "down") == "10,000 lbf"


def test_money() -> None:
    assert money(1234.5, "USD") == "USD 1,234.50"
