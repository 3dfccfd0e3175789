"""Ropes as the physics sees them: one line type for all lengths of the same rope in the same condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from catalog_schema.gear import Rope
from recommender.physics import DEFAULT_EXPONENT, exponent_from_two_points, rope_constant
from recommender.ratings import Policy

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LineType:
    """A rope in a condition: what loads and ratings depend on, whatever its length.

    ``rope`` is one row that stands for all rows with the same strength, stretch, size and ends.
    """

    rope: Rope
    condition: str = "bought"

    @property
    def key(self) -> tuple[object, ...]:
        """Two ropes with the same key carry and stretch alike."""
        rope = self.rope
        return (
            rope.fibre, rope.construction, rope.diameter, rope.min_break, rope.break_basis, rope.elongation,
            rope.elongation_at, rope.elongation_2, rope.elongation_2_at, rope.termination, self.condition,
        )  # fmt: skip

    @property
    def exponent(self) -> float:
        """Exponent n of ``T = C * strain^n``: from two stretch points, else the usual one of a new braid."""
        rope = self.rope
        if rope.elongation_2 is None or rope.elongation_2_at is None:
            return float(DEFAULT_EXPONENT)
        return float(
            exponent_from_two_points(
                rope.elongation_at, rope.elongation, rope.elongation_2_at, rope.elongation_2
            )
        )

    @property
    def constant(self) -> float:
        """C of ``T = C * strain^n`` from the sheet's (highest) stretch point. [N]"""
        rope = self.rope
        share = rope.elongation_at if rope.elongation_2_at is None else rope.elongation_2_at
        strain = rope.elongation if rope.elongation_2 is None else rope.elongation_2
        return float(rope_constant(rope.min_break, share, strain, self.exponent))


@dataclass(frozen=True)
class LineArrays:
    """Line types as arrays of shape (lines,).

    Attributes
    ----------
    types : tuple of LineType
    stiff, soft : array
        Rope constant C, high side for peaks and low side for clearance and take-up. [N]
    exponent : array
        n. [-]
    min_break : array
        As the sheet says, made a minimum. [N]
    diameter : array
        [m]
    laid : array of bool
        Three-strand rope.
    """

    types: tuple[LineType, ...]
    stiff: Floats
    soft: Floats
    exponent: Floats
    min_break: Floats
    diameter: Floats
    laid: NDArray[np.bool_]


def line_arrays(types: Sequence[LineType], policy: Policy) -> LineArrays:
    """Arrays of line types under a policy."""
    constant = np.array([line.constant for line in types], dtype=float)
    average = policy.average_strength.factor
    return LineArrays(
        types=tuple(types),
        stiff=constant * policy.stiffness.high,
        soft=constant * policy.stiffness.low,
        exponent=np.array([line.exponent for line in types], dtype=float),
        min_break=np.array(
            [
                line.rope.min_break * (average if line.rope.break_basis == "average" else 1.0)
                for line in types
            ],
            dtype=float,
        ),
        diameter=np.array([line.rope.diameter for line in types], dtype=float),
        laid=np.array([line.rope.construction == "three_strand" for line in types], dtype=bool),
    )
