"""Checks of domain: the message names argument and value; nothing is clamped."""

from __future__ import annotations

import numpy as np
import pytest

from recommender.physics import domain


@pytest.mark.parametrize(
    ("check", "value"),
    [
        (domain.require_non_negative, -1.0),
        (domain.require_non_negative, float("nan")),
        (domain.require_non_negative, float("inf")),
        (domain.require_positive, 0.0),
        (domain.require_share, 0.0),
        (domain.require_share, 1.5),
    ],
)
def test_refusal_names_argument_and_value(check, value: float) -> None:
    with pytest.raises(ValueError, match=rf"tension must be .* not {value}"):
        check(tension=value)


def test_refusal_of_an_array_names_the_first_culprit() -> None:
    with pytest.raises(ValueError, match=r"tension must be .* not -2\.0"):
        domain.require_non_negative(tension=np.array([1.0, -2.0, -3.0]))


def test_require_within_names_its_ends() -> None:
    with pytest.raises(ValueError, match="angle must be from 0 to 2, not 3"):
        domain.require_within(0.0, 2.0, angle=3.0)


def test_plain_keeps_arrays_and_makes_floats() -> None:
    assert type(domain.plain(np.float64(2.0))) is float
    assert domain.plain(np.array([1.0])).shape == (1,)
