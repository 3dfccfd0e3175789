"""Typed rows as the data that a chart carries with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import altair as alt


def inline(rows: Sequence[Any]) -> alt.Data:
    """Rows (dataclasses) as data inside the chart; nothing is written or fetched.

    Parameters
    ----------
    rows : sequence of dataclass

    Returns
    -------
    Data
    """
    return alt.Data(values=[asdict(row) for row in rows])  # type: ignore[no-untyped-call]
