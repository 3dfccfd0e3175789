"""The program's own SVG drawings on paper: the same drawing as on the screen, read shape by shape."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from math import atan2, cos, hypot, pi, sin, tan
from typing import Any
from xml.etree import ElementTree

from reportlab.lib import colors
from reportlab.platypus import Flowable

from recommender.files.letters import BOLD, REGULAR, printable
from recommender.files.pages import INK

SPACE = "{http://www.w3.org/2000/svg}"
SILENT = ("title", "desc", "style")
"""What is not drawn: a page has its own ink, and words around its pictures."""
STEP = re.compile(r"([MLCQqthAZ])|(-?[0-9]+(?:\.[0-9]+)?)")
TAKES = {"M": 2, "L": 2, "C": 6, "Q": 4, "q": 4, "t": 2, "h": 1, "A": 7, "Z": 0}
"""The commands of a path that the drawings use, and how many numbers each takes."""
TURN = re.compile(r"rotate\((\S+) (\S+) (\S+)\)")
CAPS, JOINS = {"round": 1}, {"round": 1}

Point = tuple[float, float]


class Drawing(Flowable):  # type: ignore[misc]
    """A drawing as large as there is room for, with everything that it holds.

    Parameters
    ----------
    svg : str
        Made by :mod:`recommender.diagrams`.
    width, height : float
        Most that it may take on paper. [pt]

    Raises
    ------
    ValueError
        If it holds a shape that can't be put on paper.
    """

    def __init__(self, svg: str, width: float, height: float) -> None:
        super().__init__()
        self.root = ElementTree.fromstring(svg)
        _, _, wide, high = (float(one) for one in self.root.attrib["viewBox"].split())
        self.factor = min(width / wide, height / high)
        self.width, self.height = wide * self.factor, high * self.factor

    def wrap(self, *_: float) -> tuple[float, float]:
        """Its width and height, whatever there is room for. [pt]"""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it, its upper left corner in the upper left of its place."""
        self.canv.saveState()
        self.canv.translate(0, self.height)
        self.canv.scale(self.factor, -self.factor)
        for one in self.root:
            _draw(self.canv, one)
        self.canv.restoreState()


def _draw(canvas: Any, one: ElementTree.Element) -> None:
    tag = one.tag.removeprefix(SPACE)
    if tag in SILENT:
        return
    canvas.saveState()
    if turn := TURN.fullmatch(one.attrib.get("transform", "")):
        angle, x, y = (float(number) for number in turn.groups())
        canvas.translate(x, y)
        canvas.rotate(angle)
        canvas.translate(-x, -y)
    if tag == "g":
        for inner in one:
            _draw(canvas, inner)
    elif tag == "text":
        _write(canvas, one)
    elif tag in _SHAPES:
        _dress(canvas, one.attrib)
        outline = canvas.beginPath()
        _SHAPES[tag](outline, one.attrib)
        is_filled, is_drawn = one.attrib.get("fill", "") != "none", "stroke" in one.attrib
        canvas.drawPath(outline, fill=int(is_filled), stroke=int(is_drawn))
    else:
        raise ValueError(f"svg must hold shapes that can be drawn, not <{tag}>")
    canvas.restoreState()


def _write(canvas: Any, one: ElementTree.Element) -> None:
    size = float(one.attrib["font-size"])
    canvas.translate(float(one.attrib["x"]), float(one.attrib["y"]))
    canvas.scale(1, -1)
    canvas.setFont(BOLD if one.attrib.get("font-weight") == "700" else REGULAR, size)
    canvas.setFillColor(_colour(one.attrib.get("fill", "")))
    centred = one.attrib.get("text-anchor") == "middle"
    (canvas.drawCentredString if centred else canvas.drawString)(0, 0, printable(one.text or ""))


def _dress(canvas: Any, look: Mapping[str, str]) -> None:
    """Colours, strokes and dashes of a shape."""
    whole = float(look.get("opacity", "1"))
    canvas.setFillColor(_colour(look.get("fill", "")))
    canvas.setFillAlpha(whole * float(look.get("fill-opacity", "1")))
    canvas.setStrokeColor(_colour(look.get("stroke", "")))
    canvas.setStrokeAlpha(whole)
    canvas.setLineWidth(float(look.get("stroke-width", "1")))
    canvas.setLineCap(CAPS.get(look.get("stroke-linecap", ""), 0))
    canvas.setLineJoin(JOINS.get(look.get("stroke-linejoin", ""), 0))
    if "stroke-dasharray" in look:
        canvas.setDash([float(one) for one in look["stroke-dasharray"].split()])


def _colour(name: str) -> Any:
    return colors.HexColor(name) if name.startswith("#") else INK


def _numbers(look: Mapping[str, str], *names: str) -> list[float]:
    return [float(look.get(name, "0")) for name in names]


def _rectangle(outline: Any, look: Mapping[str, str]) -> None:
    x, y, wide, high, round_by = _numbers(look, "x", "y", "width", "height", "rx")
    outline.roundRect(x, y, wide, high, min(round_by, wide / 2, high / 2))


def _circle(outline: Any, look: Mapping[str, str]) -> None:
    outline.circle(*_numbers(look, "cx", "cy", "r"))


def _ellipse(outline: Any, look: Mapping[str, str]) -> None:
    x, y, half_wide, half_high = _numbers(look, "cx", "cy", "rx", "ry")
    outline.ellipse(x - half_wide, y - half_high, 2 * half_wide, 2 * half_high)


def _path(outline: Any, look: Mapping[str, str]) -> None:
    """The steps of a path; arcs are those of a circle."""
    at: Point = (0.0, 0.0)
    control = at
    for command, given in steps_of(look["d"]):
        x, y = at
        if command == "Z":
            outline.close()
            continue
        if command in "qth":
            given = [one + (x, y)[k % 2] for k, one in enumerate(given)]
        if command == "h":
            given = [*given, y]
        end = (given[-2], given[-1])
        if command == "M":
            outline.moveTo(*end)
        elif command in "Lh":
            outline.lineTo(*end)
        elif command == "C":
            outline.curveTo(*given)
        elif command == "A":
            for piece in arc_as_curves(at, end, given[0], clockwise=given[4] == 1):
                outline.curveTo(*piece)
        else:
            control = (2 * x - control[0], 2 * y - control[1]) if command == "t" else (given[0], given[1])
            outline.curveTo(*_third(at, control), *_third(end, control), *end)
        at = end
        control = control if command in "Qqt" else end


def _third(end: Point, control: Point) -> Point:
    """A control point of the cubic curve that is a quadratic one."""
    return end[0] + 2 / 3 * (control[0] - end[0]), end[1] + 2 / 3 * (control[1] - end[1])


def steps_of(path: str) -> Iterator[tuple[str, list[float]]]:
    """The commands of a path with their numbers.

    Raises
    ------
    ValueError
        If it has a command that the drawings do not use, or one with too few numbers.

    >>> list(steps_of("M1 2 L3 4.5Z"))
    [('M', [1.0, 2.0]), ('L', [3.0, 4.5]), ('Z', [])]
    """
    if STEP.sub("", path).strip():
        raise ValueError(f"path must hold the commands {' '.join(TAKES)}, not {path!r}")
    command, numbers = "", list[float]()
    for letter, number in STEP.findall(path):
        if letter:
            command, numbers = letter, []
        else:
            numbers.append(float(number))
        if command and len(numbers) == TAKES[command]:
            yield command, numbers
            numbers = []
    if numbers:
        raise ValueError(f"path must give each command its numbers, not {path!r}")


def arc_as_curves(
    start: Point, end: Point, radius: float, *, clockwise: bool
) -> Iterator[tuple[float, float, float, float, float, float]]:
    """The shorter arc of a circle as cubic curves, with y downwards as in the drawings.

    Examples
    --------
    >>> (curve,) = arc_as_curves((1, 0), (0, 1), 1.0, clockwise=True)
    >>> [round(one, 3) for one in curve]
    [1.0, 0.552, 0.552, 1.0, 0.0, 1.0]
    """
    (x1, y1), (x2, y2) = start, end
    chord = hypot(x2 - x1, y2 - y1)
    radius = max(radius, chord / 2)
    aside = (radius**2 - chord**2 / 4) ** 0.5 / chord if chord else 0.0
    side = 1 if clockwise else -1
    x = (x1 + x2) / 2 - side * aside * (y2 - y1)
    y = (y1 + y2) / 2 + side * aside * (x2 - x1)
    first = atan2(y1 - y, x1 - x)
    turn = side * ((side * (atan2(y2 - y, x2 - x) - first)) % (2 * pi))
    parts = 1 if abs(turn) <= pi / 2 + 1e-9 else 2
    for k in range(parts):
        low, high = first + turn * k / parts, first + turn * (k + 1) / parts
        reach = 4 / 3 * tan((high - low) / 4) * radius
        yield (
            x + radius * cos(low) - reach * sin(low), y + radius * sin(low) + reach * cos(low),
            x + radius * cos(high) + reach * sin(high), y + radius * sin(high) - reach * cos(high),
            x + radius * cos(high), y + radius * sin(high),
        )  # fmt: skip


_SHAPES: Mapping[str, Callable[[Any, Mapping[str, str]], None]] = {
    "rect": _rectangle,
    "circle": _circle,
    "ellipse": _ellipse,
    "path": _path,
}
