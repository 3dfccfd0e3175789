"""Colours, dashes and shapes that tell series apart; never colour alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt

COLOURS = ("#2f86a6", "#c4562c", "#7d5bd0", "#5c8a3a", "#b08a1e", "#8a5a6b")
"""Middle tones that stand out from a light and from a dark ground."""

DASHES = ((1, 0), (7, 3), (2, 2), (9, 3, 2, 3), (4, 4), (1, 4))
TECHNIQUES = ("lower", "lift", "catch")


def coloured(field: str, names: Sequence[str], title: str, *, legend: bool = True) -> Any:
    """A colour for each name, in the order of the names."""
    scale = alt.Scale(domain=list(names), range=[COLOURS[k % len(COLOURS)] for k in range(len(names))])
    place = alt.Legend(orient="top") if legend else None
    return alt.Color(f"{field}:N", scale=scale, legend=place).title(title)


def dashed(field: str, names: Sequence[str]) -> Any:
    """A dash for each name, beside its colour."""
    scale = alt.Scale(domain=list(names), range=[list(DASHES[k % len(DASHES)]) for k in range(len(names))])
    return alt.StrokeDash(f"{field}:N", scale=scale, legend=None)
