"""Units: exact conversions, units in cells, lists, and what is refused."""

from __future__ import annotations

import math

import pytest

from catalog_schema.numbers import CellError
from catalog_schema.problems import ProblemCode
from catalog_schema.quantities import read_list, read_quantity, unit_scale
from catalog_schema.units import KINDS, unit_label

# All exact by definition:
# yard and pound agreement of 1959: 1 yd = 0.9144 m, 1 lb = 0.453 592 37 kg; so 1 ft = 0.3048 m, 1 in = 0.0254 m;
# standard gravity, 3rd General Conference on Weights and Measures (1901): 9.806 65 m/s2,
# so 1 lbf = 4.448 221 615 260 5 N; Julian year (International Astronomical Union): 365.25 d of 86 400 s.
EXACT = [
    ("lbf", "force", 4.4482216152605),
    ("kip", "force", 4448.2216152605),
    ("kgf", "force", 9.80665),
    ("tf", "force", 9806.65),
    ("stf", "force", 8896.443230521),
    ("daN", "force", 10.0),
    ("kN", "force", 1000.0),
    ("in", "size", 0.0254),
    ('"', "size", 0.0254),
    ("mm", "size", 0.001),
    ("cm", "stem", 0.01),
    ("ft", "length", 0.3048),
    ("'", "length", 0.3048),
    ("lb", "mass", 0.45359237),
    ("t", "mass", 1000.0),
    ("g/m", "line_mass", 0.001),
    ("kg/100 m", "line_mass", 0.01),
    ("lb/100 ft", "line_mass", 0.45359237 / 30.48),
    ("lb/ft", "line_mass", 0.45359237 / 0.3048),
    ("lb/ft³", "density", 0.45359237 / 0.3048**3),
    ("kg/m**3", "density", 1.0),
    ("%", "share", 0.01),
    ("deg", "angle", math.pi / 180),
    ("ft/s", "speed", 0.3048),
    ("min", "duration", 60.0),
    ("yr", "age", 365.25 * 86_400),
    ("EUR/m", "price_per_length", 1.0),
    ("$/ft", "price_per_length", 1 / 0.3048),
    ("/ft", "price_per_length", 1 / 0.3048),
    ("1/m", "price_per_length", 1.0),
    ("EUR / 100 m", "price_per_length", 0.01),
]


@pytest.mark.parametrize(("unit", "kind", "scale"), EXACT)
def test_conversions_against_their_definitions(unit, kind, scale):
    assert unit_scale(unit, kind) == pytest.approx(scale, rel=1e-14)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_the_units_that_are_shown_can_be_read(kind):
    for unit in (kind.metric, kind.us):
        assert unit_scale(unit_label(unit), kind.name) == unit_scale(unit, kind.name) > 0


@pytest.mark.parametrize(
    ("unit", "spelled"), [("KN", "kN"), ("LBF", "lbf"), ("MM", "mm"), ("Ft", "ft"), ("n", "N")]
)
def test_capitals_do_not_matter(unit, spelled):
    kind = next(name for one, name, _ in [*EXACT, ("N", "force", 1.0)] if one == spelled)
    assert unit_scale(unit, kind) == unit_scale(spelled, kind)


@pytest.mark.parametrize(
    ("unit", "kind"),
    [
        ("kg", "force"),
        ("t", "force"),
        ("kN", "mass"),
        ("m", "price_per_length"),
        ("deg", "share"),
        ("%", "angle"),
        ("%", "force"),
        ("min", "length"),
        ("9**9**9", "force"),
        ("10 kN", "force"),
        ("kN*9", "force"),
        ("__import__('os')", "force"),
        ("k" * 100, "force"),
        ("stone", "mass"),
        ("m²", "length"),
    ],
)
def test_wrong_units_are_refused_with_the_right_ones(unit, kind):
    with pytest.raises(CellError) as caught:
        unit_scale(unit, kind)
    assert caught.value.code is ProblemCode.UNIT_WRONG
    assert unit_label(KINDS[kind].metric) in caught.value.hint
    assert unit_label(KINDS[kind].us) in caught.value.hint


@pytest.mark.parametrize("kind", KINDS)
def test_no_unit_is_never_guessed(kind):
    with pytest.raises(CellError) as caught:
        read_quantity("5", kind)
    assert caught.value.code is ProblemCode.UNIT_MISSING
    assert f"[{unit_label(KINDS[kind].metric)}]" in caught.value.hint


def test_unit_of_the_cell_goes_before_the_header():
    assert read_quantity("1/2 in", "size", "mm") == pytest.approx(0.0127)
    assert read_quantity("10,000 lbf", "force", "kN", marks=_thousands()) == pytest.approx(44_482.216152605)
    assert read_quantity("0.3", "share", "1") == pytest.approx(0.3)
    assert read_quantity("30 %", "share", "1") == pytest.approx(0.3)


def _thousands():
    from catalog_schema.numbers import Marks

    return Marks("decimal", "thousands")


def test_fractions_belong_to_inches_and_feet():
    assert read_quantity("9/16", "size", "in") == pytest.approx(0.0142875)
    assert read_quantity("1 1/2", "stem", "ft") == pytest.approx(0.4572)
    assert read_quantity("1/2", "length", "m") == 0.5
    with pytest.raises(CellError) as caught:
        read_quantity("9/16", "size", "mm")
    assert caught.value.code is ProblemCode.AMBIGUOUS_NUMBER


@pytest.mark.parametrize(
    ("text", "unit", "lengths"),
    [
        ("30 45 60", "m", (30, 45, 60)),
        ("30; 45; 60", "m", (30, 45, 60)),
        ("30/45/60", "m", (30, 45, 60)),
        ("30, 45, 60", "m", (30, 45, 60)),
        ("30 m 45 m", "", (30, 45)),
        ("30m; 45m", "ft", (30, 45)),
        ("30 45 m", "", (30, 45)),
        ("30.5 45,5", "m", (30.5, 45.5)),
        ("100' 150'", "m", (30.48, 45.72)),
        ("45", "m", (45,)),
    ],
)
def test_lists_of_lengths(text, unit, lengths):
    assert read_list(text, "length", unit) == pytest.approx(lengths)


@pytest.mark.parametrize(
    ("text", "unit", "code"),
    [
        ("30 45", "", ProblemCode.UNIT_MISSING),
        ("30 m 45", "", ProblemCode.UNIT_MISSING),
        ("30 45 m", "ft", ProblemCode.UNIT_MISSING),
        ("30 kg 45 kg", "", ProblemCode.UNIT_WRONG),
        ("30,45,60", "m", ProblemCode.NOT_A_NUMBER),
        ("thirty", "m", ProblemCode.NOT_A_NUMBER),
        ("30 to 60", "m", ProblemCode.UNIT_MISSING),
        ("30-60", "m", ProblemCode.NOT_A_NUMBER),
        ("1,200 1,500", "m", ProblemCode.AMBIGUOUS_NUMBER),
    ],
)
def test_lists_that_are_refused(text, unit, code):
    with pytest.raises(CellError) as caught:
        read_list(text, "length", unit)
    assert caught.value.code is code
