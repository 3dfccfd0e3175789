"""Loads of every load case with every rope over every kind of redirect, as arrays."""

from recommender.loads.demands import Demands, demands
from recommender.loads.lines import LineArrays, LineType, line_arrays

__all__ = ["Demands", "LineArrays", "LineType", "demands", "line_arrays"]
