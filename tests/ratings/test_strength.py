"""Published tables and geometry at their edges; their rows are checked in ``tests/published``."""

from __future__ import annotations

from math import inf, nan, radians

import numpy as np
import pytest

from catalog_schema.units import from_si
from recommender.ratings import default_policy, strength
from recommender.sourced import cite, data_rows


@pytest.mark.parametrize(
    "row", data_rows("strength_factors.csv"), ids=lambda row: f"{row['topic']} {row['item']}"
)
def test_every_row_names_a_known_source(row: dict[str, str]) -> None:
    assert cite(row["source"])


@pytest.mark.parametrize(
    ("degrees", "factor"),
    [(180, 1.0), (121, 1.0), (120.5, 0.87), (89.5, 0.74), (59.5, 0.62), (30, 0.62), (29.5, 0.49), (0, 0.49)],
)
def test_a_choke_angle_in_a_gap_takes_the_lower_row(degrees: float, factor: float) -> None:
    assert strength.choke_angle_factor(radians(degrees)) == factor


@pytest.mark.parametrize(
    ("degrees", "factor"), [(0, 1.0), (5, 1.0), (5.1, 0.7), (45, 0.7), (45.1, 0.5), (90, 0.5)]
)
def test_a_side_angle_in_a_gap_takes_the_lower_row(degrees: float, factor: float) -> None:
    assert strength.side_load_factor(radians(degrees)) == factor


def test_tables_of_angles_take_arrays() -> None:
    angles = np.radians([[10.0, 135.0], [45.0, 75.0]])
    assert strength.choke_angle_factor(angles) == pytest.approx(np.array([[0.49, 1.0], [0.62, 0.74]]))


@pytest.mark.parametrize("degrees", [-1.0, 181.0, nan])
def test_angles_outside_the_tables_are_refused(degrees: float) -> None:
    with pytest.raises(ValueError, match="choke_angle"):
        strength.choke_angle_factor(radians(degrees))
    with pytest.raises(ValueError, match="side_angle"):
        strength.side_load_factor(radians(degrees))


@pytest.mark.parametrize("degrees", [29.9, 90.1, nan])
def test_no_leg_below_thirty_degrees(degrees: float) -> None:
    """Three sling instruction sheets: do not lift below 30 degrees from the horizontal."""
    for function in (strength.leg_angle_factor, strength.basket_factor):
        with pytest.raises(ValueError, match="leg_angle"):
            function(radians(degrees))
    with pytest.raises(ValueError, match="leg_angle"):
        strength.leg_tension(1.0, 2, radians(degrees))


def test_two_legs_carry_the_load_between_them() -> None:
    """Two legs at 30 degrees from the horizontal: each carries the whole load."""
    assert strength.leg_tension(10e3, 2, radians(30)) == pytest.approx(10e3)


@pytest.mark.parametrize(
    ("ratio", "share"), [(1, 0.5), (1.5, 0.575), (3.5, 0.775), (7, 0.95), (8, 1), (50, 1)]
)
def test_bend_between_the_rows(ratio: float, share: float) -> None:
    bend = default_policy().bend
    assert strength.bend_factor(ratio, bend.ratio, bend.factor) == pytest.approx(share)


@pytest.mark.parametrize("ratio", [0.99, nan, inf, -2.0])
def test_a_bend_below_the_table_is_refused(ratio: float) -> None:
    bend = default_policy().bend
    with pytest.raises(ValueError, match="bend_ratio"):
        strength.bend_factor(ratio, bend.ratio, bend.factor)


@pytest.mark.parametrize(("size", "ultimate"), [("1/2 in", 20_000), ("5/8 in", 32_500), ("3/4 in", 47_500)])
def test_shackles_break_at_five_times_their_limit(size: str, ultimate: float) -> None:
    """Least ultimate strengths of RR-C-271D grade A, a utility's material standard 6966.15."""
    assert from_si(5 * strength.shackle_wll("carbon", size), "lbf", "force") == pytest.approx(ultimate)


def test_a_ton_of_the_metric_card_is_read_as_the_lower_short_ton() -> None:
    assert strength.shackle_wll("grade S", "13 mm") == strength.shackle_wll("carbon", "1/2 in")


def test_unknown_rows_name_the_known_ones() -> None:
    with pytest.raises(ValueError, match="textile, wire, natural"):
        strength.choker_factor("chain")
    with pytest.raises(ValueError, match="mode"):
        strength.mode_factor("five_legs")


def test_the_default_policy_takes_no_more_than_the_published_terminations() -> None:
    policy = default_policy()
    hmpe = [strength.termination_efficiency("hmpe", knot) for knot in ("bowline", "figure eight")]
    assert policy.knot.of("hmpe") <= min(hmpe)
    assert policy.knot.others <= strength.termination_efficiency("new", "bowline")
    assert policy.hitch.of("hmpe") <= strength.termination_efficiency("hmpe", "cow hitch")
    assert policy.hitch.others <= strength.termination_efficiency("new", "two half hitches on post")
    assert policy.eye_splice.factor <= strength.termination_efficiency("laid", "eye splice")
