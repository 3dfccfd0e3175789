"""Labels beside a drawing: blocks of text in one column, each with a thin line to what it is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from recommender.diagrams.shapes import INK
from recommender.diagrams.svg import Markup, Point, cut_to, element, joined, path

SIZE, LEADING, GAP = 14.0, 16.5, 9.0


@dataclass(frozen=True)
class Callout:
    """A block of lines, the first in bold, about a point of the drawing."""

    about: Point
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        """Of all its lines."""
        return LEADING * len(self.lines)


def placed(callouts: Sequence[Callout], top: float, bottom: float) -> list[float]:
    """Upper edges of the blocks: each near its point, none over another, in the order of the points.

    >>> placed([Callout((0, 20), ("a", "b")), Callout((0, 25), ("c",))], 0, 200)
    [3.5, 45.5]
    """
    edges: list[float] = []
    free = top
    for one in callouts:
        edge = max(free, one.about[1] - one.height / 2)
        edges.append(edge)
        free = edge + one.height + GAP
    over = free - GAP - bottom
    for k in reversed(range(len(edges))):
        if over <= 0:
            break
        limit = (edges[k + 1] - GAP if k + 1 < len(edges) else bottom) - callouts[k].height
        edges[k] = max(top, min(edges[k], limit))
    return edges


def column(callouts: Sequence[Callout], x: float, width: float, top: float, bottom: float) -> Markup:
    """The blocks with their lines, in a column that starts at ``x``."""
    ordered = sorted(callouts, key=lambda one: one.about[1])
    parts = []
    for one, edge in zip(ordered, placed(ordered, top, bottom), strict=True):
        middle = edge + one.height / 2 - 2
        points = [one.about, (x - 14, middle), (x - 5, middle)]
        parts.append(path(points, stroke=INK, stroke_width=0.9, opacity=0.55))
        parts.append(element("circle", cx=one.about[0], cy=one.about[1], r=2.2, fill=INK))
        parts.append(
            path([(x - 5, edge), (x - 5, edge + one.height - 2)], stroke=INK, stroke_width=1.2, opacity=0.55)
        )
        parts += [
            element(
                "text",
                cut_to(line, width, SIZE),
                x=x,
                y=edge + LEADING * (k + 0.72),
                font_size=SIZE,
                font_weight=700 if k == 0 else None,
                fill=INK,
            )
            for k, line in enumerate(one.lines)
        ]
    return joined(parts)
