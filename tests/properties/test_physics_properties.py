"""What must hold of the closed forms for any arguments: direction, order, scaling."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender import physics

WEIGHT = st.floats(50, 2e4)
HEIGHT = st.floats(0, 10)
LENGTH = st.floats(0.5, 40)
CONSTANT = st.floats(5e4, 5e7)
EXPONENT = st.floats(1, 2)
RUN = st.floats(0, 5)
SHARE = st.floats(0.2, 1)
GROWTH = st.floats(1, 3)
ANGLE = st.floats(0, 3.14159)
SCALE = st.floats(0.2, 5)
CASE = st.tuples(WEIGHT, HEIGHT, LENGTH, CONSTANT, EXPONENT)

ROUNDING = 1 - 1e-9


def with_factor(case: tuple[float, ...], place: int, factor: float) -> tuple[float, ...]:
    return (*case[:place], case[place] * factor, *case[place + 1 :])


def least_that_follows(peak: float, case: tuple[float, ...]) -> float:
    """Least peak with a stiffer or shorter rope: the same peak, or the floor if it is below ``(1 + n) * W``.

    There less stretch means less fall, which counts for more than the stiffness.
    """
    weight, *_, exponent = case
    return peak if peak >= (1 + exponent) * weight else 2 * weight


@given(CASE, RUN, GROWTH)
def test_heavier_is_never_a_lower_peak(case, run, growth) -> None:
    heavier = with_factor(case, 0, growth)
    assert physics.peak_tension_locked(*heavier) >= physics.peak_tension_locked(*case) * ROUNDING
    assert physics.peak_tension_running(*heavier, run) >= physics.peak_tension_running(*case, run) * ROUNDING


@given(CASE, RUN, st.floats(0, 3))
def test_more_fall_is_never_a_lower_peak(case, run, more) -> None:
    weight, height, *rest = case
    higher = (weight, height + more, *rest)
    assert physics.peak_tension_locked(*higher) >= physics.peak_tension_locked(*case) * ROUNDING
    assert physics.peak_tension_running(*higher, run) >= physics.peak_tension_running(*case, run) * ROUNDING
    assert physics.soft_lowering_peak(*higher) >= physics.soft_lowering_peak(*case) * ROUNDING


@given(st.floats(0, 2), st.floats(0, 3), st.floats(0, 3), st.floats(0, 1), st.floats(0, 1), LENGTH, SHARE)
def test_more_slack_is_never_a_lower_peak(below, com, tie, slack, more, fall, r) -> None:
    """Slack lengthens the lead leg too; the added fall outweighs it while it does not exceed its range."""

    def peak(loose: float) -> float:
        lead = physics.lead_length(below + 0.5, tie, loose)
        height = physics.fall_height(below + 0.5, com, tie, loose)
        return physics.peak_tension_locked(2e3, height, physics.effective_length(lead, fall, r), 3e6, 1.5)

    length = physics.effective_length(physics.lead_length(below + 0.5, tie, slack), fall, r)
    if physics.fall_height(below + 0.5, com, tie, slack) <= length:
        assert peak(slack + more) >= peak(slack) * ROUNDING


@given(CASE, RUN, GROWTH)
def test_stiffer_rope_is_never_a_lower_peak(case, run, growth) -> None:
    stiffer = with_factor(case, 3, growth)
    assert physics.peak_tension_locked(*stiffer) >= physics.peak_tension_locked(*case) * ROUNDING
    peak = physics.peak_tension_running(*case, run)
    assert physics.peak_tension_running(*stiffer, run) >= least_that_follows(peak, case) * ROUNDING


@given(CASE, RUN, GROWTH)
def test_shorter_rope_is_never_a_lower_peak(case, run, growth) -> None:
    longer = with_factor(case, 2, growth)
    assert physics.peak_tension_locked(*case) >= physics.peak_tension_locked(*longer) * ROUNDING
    peak = physics.peak_tension_running(*longer, run)
    assert physics.peak_tension_running(*case, run) >= least_that_follows(peak, case) * ROUNDING


@given(CASE, RUN, RUN)
def test_longer_run_is_never_a_higher_peak(case, run, more) -> None:
    short, long = physics.peak_tension_running(*case, run), physics.peak_tension_running(*case, run + more)
    assert long <= short / ROUNDING
    assert short <= physics.peak_tension_locked(*case) / ROUNDING


@given(CASE, RUN)
def test_running_peak_keeps_its_floor(case, run) -> None:
    assert physics.peak_tension_running(*case, run) >= 2 * case[0] * ROUNDING


@given(CASE)
def test_locked_peak_is_never_below_a_sudden_load(case) -> None:
    assert physics.peak_tension_locked(*case) >= (1 + case[4]) * case[0] * ROUNDING


@given(CASE, GROWTH)
def test_design_form_with_a_secant_above_the_answer_is_safe(case, growth) -> None:
    weight, height, length, constant, exponent = case
    exact = physics.peak_tension_locked(*case)
    stiffness = physics.secant_stiffness(growth * exact, constant, exponent)
    assert physics.peak_tension_secant(weight, height, length, stiffness, exponent) >= exact * ROUNDING


@given(CASE, st.floats(1.05, 20), SHARE)
def test_run_and_force_of_a_slipping_brake_belong_together(case, surplus, r) -> None:
    """The tension from the energy balance with the run of a slipping brake is that of the brake."""
    slip = surplus * case[0] * r
    run = physics.run_at_slip(*case, slip, r)
    force = physics.running_force(physics.peak_tension_locked(*case), slip, r)
    expected = max(force, 2 * case[0]) if run > 0 else force
    assert physics.peak_tension_running(*case, run) == pytest.approx(expected, rel=1e-6)


@given(CASE, st.floats(1.05, 20), SHARE, GROWTH)
def test_weaker_brake_runs_farther(case, surplus, r, growth) -> None:
    slip = surplus * case[0] * r
    assert physics.run_at_slip(*case, slip, r) >= physics.run_at_slip(*case, growth * slip, r)


@given(WEIGHT, st.floats(0, 1), st.floats(0, 5), st.floats(0, 5))
def test_more_wraps_are_never_more_hand_force(tension, mu, turns, more) -> None:
    few, many = (physics.hold_after_wraps(tension, mu, count) for count in (turns, turns + more))
    assert many <= few <= tension


@given(WEIGHT, SHARE, SHARE, ANGLE, HEIGHT, LENGTH, LENGTH, CONSTANT)
def test_reaction_within_a_range_of_r_is_highest_at_an_end(
    weight, first, second, angle, height, lead, fall, constant
) -> None:
    """Holds for legs up to a right angle apart, as in every setup here."""
    low, high, angle = min(first, second), max(first, second), angle / 2

    def tension(r: float) -> float:
        return physics.peak_tension_locked(
            weight, height, physics.effective_length(lead, fall, r), constant, 1.0
        )

    largest = physics.largest_redirect_reaction(tension(low), low, tension(high), high, angle)
    for share in (0.1, 0.3, 0.5, 0.7, 0.9):
        r = low + share * (high - low)
        assert physics.redirect_reaction(tension(r), r * tension(r), angle) <= largest / ROUNDING


@given(WEIGHT, WEIGHT, ANGLE)
def test_reaction_obeys_the_triangle(lead, fall, angle) -> None:
    reaction = physics.redirect_reaction(lead, fall, angle)
    assert abs(lead - fall) * ROUNDING - 1e-6 <= reaction <= (lead + fall) / ROUNDING


@given(CASE, RUN, SCALE, SCALE, SCALE)
def test_peaks_scale_with_mass_length_and_time(case, run, mass, length, time) -> None:
    """Other units of mass, length and time: forces scale by mass * length / time^2, lengths by length."""
    force = mass * length / time**2
    weight, height, effective, constant, exponent = case
    scaled = (weight * force, height * length, effective * length, constant * force, exponent)
    peak = physics.peak_tension_locked(*case)
    assert physics.peak_tension_locked(*scaled) == pytest.approx(force * peak, rel=1e-9)
    running = physics.peak_tension_running(*case, run)
    assert physics.peak_tension_running(*scaled, run * length) == pytest.approx(force * running, rel=1e-9)
    drop = physics.lowest_point_drop(height, peak, effective, constant, exponent, creep=0.0)
    other = physics.lowest_point_drop(
        height * length, peak * force, effective * length, constant * force, exponent, creep=0.0
    )
    assert other == pytest.approx(length * drop, rel=1e-9)


@given(WEIGHT, st.floats(0, 1.5), st.floats(0, 3), st.floats(1e3, 1e6), st.floats(1, 20), GROWTH)
def test_swing_rises_with_weight_and_slack(weight, angle, slack, stiffness, length, growth) -> None:
    base = physics.swing_design_peak(weight, angle, slack, stiffness, length)
    assert physics.swing_design_peak(weight, angle, slack * growth, stiffness, length) >= base * ROUNDING
    assert physics.swing_design_peak(weight * growth, angle, slack, stiffness, length) >= base * ROUNDING


@given(WEIGHT, SHARE, st.integers(0, 4))
def test_hoisting_never_gains_over_redirects(weight, efficiency, redirects) -> None:
    fall = physics.hoist_fall_tension(weight, efficiency, redirects)
    assert fall >= weight * ROUNDING
    assert physics.hoist_fall_tension(weight, efficiency, redirects + 1) >= fall * ROUNDING


@given(st.integers(1, 12), st.floats(0.4, 1), st.integers(0, 3))
def test_tackle_never_beats_its_parts(parts, efficiency, redirects) -> None:
    advantage = physics.simple_tackle_advantage(parts, efficiency, redirects)
    assert advantage <= parts / ROUNDING
    assert physics.simple_tackle_advantage(parts, efficiency, redirects + 1) <= advantage / ROUNDING
