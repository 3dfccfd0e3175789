"""The pieces that a drawn setup is made of: wood, redirect, sling, bollard, lifter and arrows of force."""

from __future__ import annotations

from math import atan2, cos, degrees, pi, sin
from typing import Any

from recommender.diagrams.svg import Markup, Point, element, joined, number, path

INK = "currentColor"
WOOD, LINE, FORCE, JAM = "#a47d52", "#2f86a6", "#c4562c", "#7d5bd0"
"""Middle tones that stand out from a light and from a dark ground."""

HEAD = 8.0


def log(
    top: Point, length: float, width: float, *, tilt: float = 0.0, ghost: bool = False, knot: float = 0.16
) -> Markup:
    """A log that hangs from the middle of its upper end, turned by ``tilt`` to the right [rad]; dashed as a ghost.

    ``knot`` says where the line is tied, as a share of its length.
    """
    x, y = top
    style: dict[str, Any] = {"stroke": INK, "stroke_width": 1.4}
    style |= {"fill": "none", "stroke_dasharray": "4 3"} if ghost else {"fill": WOOD, "fill_opacity": 0.75}
    lid = width * 0.16
    body = element("rect", x=x - width / 2, y=y, width=width, height=length, rx=min(3.0, width / 4), **style)
    end = element("ellipse", cx=x, cy=y, rx=width / 2, ry=lid, **(style | {"fill_opacity": 0.95}))
    ring = element("ellipse", cx=x, cy=y, rx=width / 4, ry=lid / 2, fill="none", stroke=INK, stroke_width=0.8)
    band = element(
        "rect", x=x - width / 2 - 1.5, y=y + length * knot, width=width + 3, height=3.2, rx=1.6, fill=LINE
    )
    turned = f"rotate({number(-degrees(tilt))} {number(x)} {number(y)})" if tilt else None
    return element("g", *([body, band] if ghost else [body, end, ring, band]), transform=turned)


def stem(x: float, top: float, ground: float, half_top: float, half_base: float, *, cut: bool) -> Markup:
    """A stem from the ground up; cut off flat, or going on above the picture."""
    flare = half_base * 1.35
    outline = [
        (x - half_top, top), (x - half_base, ground - 14), (x - flare, ground), (x + flare, ground),
        (x + half_base, ground - 14), (x + half_top, top),
    ]  # fmt: skip
    body = path(outline, closed=True, fill=WOOD, fill_opacity=0.32)
    sides = [path(outline[:3], stroke=INK, stroke_width=1.4), path(outline[3:], stroke=INK, stroke_width=1.4)]
    if cut:
        end = element(
            "ellipse", cx=x, cy=top, rx=half_top, ry=half_top * 0.22, fill=WOOD, stroke=INK, stroke_width=1.4
        )
    else:
        wave = f"M{number(x - half_top - 4)} {number(top)} q{number(half_top / 2 + 2)} -7 {number(half_top + 4)} 0 "
        end = element("path", d=f"{wave}t{number(half_top + 4)} 0", fill="none", stroke=INK, stroke_width=1.4)
    return joined([body, *sides, end])


def strap(x: float, y: float, half: float, to: Point) -> Markup:
    """A sling round the stem, and from there to what hangs in it."""
    band = f"M{number(x - half - 1)} {number(y - 3)} q{number(half + 1)} 7 {number(2 * half + 2)} 3"
    style: dict[str, Any] = {
        "fill": "none",
        "stroke": INK,
        "stroke_width": 3.4,
        "stroke_linecap": "round",
    }
    return joined([element("path", d=band, **style), path([(x + half + 1, y), to], **style)])


def redirect(at: Point, radius: float, *, ring: bool) -> Markup:
    """A block with its sheave, or a ring, seen from the side."""
    x, y = at
    if ring:
        return element("circle", cx=x, cy=y, r=radius - 3, fill="none", stroke=INK, stroke_width=5)
    cheek = element(
        "path",
        d=f"M{number(x - radius * 0.55)} {number(y - radius - 4)} h{number(radius * 1.1)} "
        f"L{number(x + radius * 0.75)} {number(y + radius * 0.6)} q{number(-radius * 0.75)} "
        f"{number(radius * 0.7)} {number(-radius * 1.5)} 0Z",
        fill=INK,
        fill_opacity=0.18,
        stroke=INK,
        stroke_width=1.4,
    )
    sheave = element("circle", cx=x, cy=y, r=radius - 2, fill="none", stroke=INK, stroke_width=1.6)
    axle = element("circle", cx=x, cy=y, r=2.6, fill=INK)
    return joined([sheave, cheek, axle])


def bollard(at: Point, width: float = 16.0, height: float = 34.0) -> Markup:
    """A brake drum with the line wrapped round it."""
    x, y = at
    drum = element(
        "rect", x=x - width / 2, y=y - height / 2, width=width, height=height, rx=3, fill=INK, fill_opacity=0.18,
        stroke=INK, stroke_width=1.4,
    )  # fmt: skip
    flanges = [
        element(
            "rect",
            x=x - width / 2 - 4,
            y=y + side * height / 2 - 2.5,
            width=width + 8,
            height=5,
            rx=2,
            fill=INK,
        )
        for side in (-1, 1)
    ]
    wraps = [
        path([(x - width / 2 - 1, y + dy + 3), (x + width / 2 + 1, y + dy - 3)], stroke=LINE, stroke_width=3)
        for dy in (-8, 0, 8)
    ]
    return joined([drum, *wraps, *flanges])


def lifter(at: Point, kind: str) -> Markup:
    """A tackle set as two blocks with parts of line between, anything else as a housing with a crank."""
    x, y = at
    if kind == "tackle_set":
        blocks = [
            element(
                "rect", x=x - 8, y=y + dy, width=16, height=10, rx=4, fill=INK, fill_opacity=0.3, stroke=INK
            )
            for dy in (-22, 14)
        ]
        parts = [
            path([(x + dx, y - 12), (x + dx, y + 14)], stroke=LINE, stroke_width=1.8) for dx in (-5, 0, 5)
        ]
        return joined([*parts, *blocks])
    housing = element(
        "rect",
        x=x - 11,
        y=y - 15,
        width=22,
        height=30,
        rx=5,
        fill=INK,
        fill_opacity=0.22,
        stroke=INK,
        stroke_width=1.4,
    )
    crank = path([(x, y), (x + 20, y - 12), (x + 27, y - 12)], stroke=INK, stroke_width=2.6)
    return joined([housing, element("circle", cx=x, cy=y, r=4, fill=INK), crank])


def arrow(
    start: Point, direction: float, length: float, *, jam: float = 0.0, backs_to: float = 0.0
) -> Markup:
    """A force: a solid arrow, and a dashed one beyond it for the locked line where that is more.

    Parameters
    ----------
    start : Point
    direction : float
        Where it points, from the right downwards. [rad]
    length, jam : float
        Of the solid and of the dashed arrow, from ``start``.
    backs_to : float
        How far beside the line it is drawn.
    """
    ux, uy = cos(direction), sin(direction)
    x, y = start[0] - uy * backs_to, start[1] + ux * backs_to
    parts = []
    if jam > length + HEAD:
        parts.append(
            path(
                [(x + ux * length, y + uy * length), (x + ux * (jam - HEAD), y + uy * (jam - HEAD))],
                stroke=JAM,
                stroke_width=2.6,
                stroke_dasharray="4 3",
            )
        )
        parts.append(head((x + ux * jam, y + uy * jam), direction, fill="none", stroke=JAM, stroke_width=1.8))
    shaft = max(length - HEAD, 0.0)
    parts.append(path([(x, y), (x + ux * shaft, y + uy * shaft)], stroke=FORCE, stroke_width=3.6))
    parts.append(head((x + ux * length, y + uy * length), direction, fill=FORCE))
    return joined(parts)


def head(tip: Point, direction: float, *, size: float = HEAD, **style: Any) -> Markup:
    """The head of an arrow."""
    back = [
        (
            tip[0] - size * 1.25 * cos(direction + side * 0.5),
            tip[1] - size * 1.25 * sin(direction + side * 0.5),
        )
        for side in (-1, 1)
    ]
    return path([tip, *back], closed=True, **style)


def measure(x: float, top: float, bottom: float) -> Markup:
    """A measured height: a thin line with a stroke at both ends."""
    ends = [path([(x - 4, y), (x + 4, y)], stroke=INK, stroke_width=1, opacity=0.7) for y in (top, bottom)]
    return joined([path([(x, top), (x, bottom)], stroke=INK, stroke_width=1, opacity=0.7), *ends])


def ground(y: float, width: float) -> Markup:
    """The ground with its hatching."""
    strokes = [
        path([(x, y), (x - 6, y + 7)], stroke=INK, stroke_width=0.9, opacity=0.5)
        for x in range(8, int(width), 14)
    ]
    return joined([path([(0, y), (width, y)], stroke=INK, stroke_width=1.6), *strokes])


def over_sheave(at: Point, radius: float, lead_to: Point, fall_to: Point) -> Markup:
    """The line: up from the piece, over the redirect, down to the brake."""
    x, y = at
    turn = atan2(fall_to[1] - y, fall_to[0] - (x - radius)) - pi / 2
    side = (x - radius * cos(turn), y - radius * sin(turn))
    swing = atan2(lead_to[1] - y, lead_to[0] - (x + radius)) - pi / 2
    start = (x + radius * cos(swing), y + radius * sin(swing))
    r = number(radius)
    return element(
        "path",
        d=f"M{_at(lead_to)} L{_at(start)} A{r} {r} 0 0 0 {_at(side)} L{_at(fall_to)}",
        fill="none",
        stroke=LINE,
        stroke_width=3.2,
        stroke_linejoin="round",
    )


def _at(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"
