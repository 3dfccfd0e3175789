"""The program's SVG drawings on paper: every text and colour of the drawing is there, and arcs are arcs of circles."""

from __future__ import annotations

import io
from math import hypot
from typing import Any
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from recommender.diagrams.setup import draw_setup
from recommender.files.drawings import SPACE, Drawing, arc_as_curves, steps_of
from recommender.files.letters import printable, use_font
from recommender.files.report_pdf import hardest_setups
from recommender.work.cases import load_case


def on_paper(svg: str, width: float = 200.0, height: float = 400.0) -> tuple[Drawing, Any]:
    """A drawing, and the page that it alone stands on."""
    use_font()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(width, height))
    drawing = Drawing(svg, width, height)
    drawing.drawOn(canvas, 0, 0)
    canvas.save()
    return drawing, PdfReader(io.BytesIO(out.getvalue())).pages[0]


def test_the_hardest_setup_of_each_technique_is_drawn_with_all_its_words(case: Any) -> None:
    chosen = hardest_setups(case.result)
    assert {one.technique for one in chosen} == {one.technique for one in case.result.assignments}
    for one in chosen:
        others = [each for each in case.result.assignments if each.technique == one.technique]
        assert max(one.utilisation.values()) == max(max(each.utilisation.values()) for each in others)
        plan = case.plan
        job = next(row for row in plan.jobs if row.job == one.job)
        load = load_case(job, plan.settings.line, plan.settings.pieces_per_season)
        svg = draw_setup(one, load, case.system, plan.catalogue)
        drawing, page = on_paper(svg)
        assert (
            drawing.width <= 200
            and drawing.height <= 400
            and max(drawing.width / 200, drawing.height / 400) > 0.99
        )
        text = "".join(page.extract_text().split())
        for line in ElementTree.fromstring(svg).iter(f"{SPACE}text"):
            assert "".join(printable(line.text or "").split()) in text


def test_a_shape_that_is_not_known_is_refused_and_not_left_out() -> None:
    head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">'
    with pytest.raises(ValueError, match="not <polygon>"):
        on_paper(f"{head}<polygon/></svg>")
    with pytest.raises(ValueError, match="commands"):
        on_paper(f'{head}<path d="M0 0 S1 1 2 2"/></svg>')
    with pytest.raises(ValueError, match="its numbers"):
        list(steps_of("M0 0 L1"))


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize(
    ("start", "end"), [((3.0, 0.0), (0.0, 4.0)), ((5.0, 1.0), (-5.0, 1.0)), ((1.0, 1.0), (2.0, 9.0))]
)
def test_an_arc_keeps_its_distance_from_one_middle(
    start: tuple[float, float], end: tuple[float, float], clockwise: bool
) -> None:
    """A cubic curve departs from a quarter of a circle by 0.03 % of its radius (the usual bound for 4/3 tan)."""
    radius, points, at = 5.0, [], start
    for curve in arc_as_curves(start, end, radius, clockwise=clockwise):
        controls = (at, curve[:2], curve[2:4], curve[4:])
        for t in (k / 10 for k in range(11)):
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
            points.append(
                [sum(w * one[axis] for w, one in zip(weights, controls, strict=True)) for axis in (0, 1)]
            )
        at = (curve[4], curve[5])
    assert at == pytest.approx(end)
    wide, deep = end[0] - start[0], end[1] - start[1]
    chord = hypot(wide, deep)
    aside = (radius**2 - chord**2 / 4) ** 0.5 / chord * (-1 if clockwise else 1)
    middle = ((start[0] + end[0]) / 2 + aside * deep, (start[1] + end[1]) / 2 - aside * wide)
    assert all(hypot(x - middle[0], y - middle[1]) == pytest.approx(radius, rel=3e-4) for x, y in points)
    turns = [
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        for a, b, c in zip(points, points[4:], points[8:], strict=False)
    ]
    assert all((turn > 0) == clockwise for turn in turns), "with y downwards, clockwise turns to the right"
