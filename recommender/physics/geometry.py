"""Geometry of a catch: how far the piece falls, and how much rope lies between it and the redirect."""

from __future__ import annotations

import numpy as np

from recommender.physics.domain import (
    Values,
    plain,
    require_non_negative,
    require_positive,
)


def fall_height(
    cut_to_redirect: Values, com_above_cut: Values, tie_above_cut: Values, slack: Values
) -> Values:
    """Drop of the centre of mass before the rope stretches: ``h = 2 * (s + max(a_c, a_t)) + slack``.

    Parameters
    ----------
    cut_to_redirect : float or array
        s, from the cut down to where the rope bears on the redirect, >= 0. [m]
    com_above_cut, tie_above_cut : float or array
        a_c and a_t, height of the centre of mass and of the tie above the cut, piece standing, >= 0. [m]
    slack : float or array
        Extra rope between tie and redirect, with sling creep, >= 0. [m]

    Returns
    -------
    float or array
        Fall height, broadcast shape. [m]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Notes
    -----
    Derived. The full drop of a piece that turns over completely, an upper bound for any hinge, notch or
    spin: the centre of mass goes up one side and down the other, so the height over the redirect counts
    twice.

    Examples
    --------
    >>> fall_height(0.5, 0.75, 0.25, 0.0)
    2.5
    """
    require_non_negative(cut_to_redirect=cut_to_redirect, com_above_cut=com_above_cut)
    require_non_negative(tie_above_cut=tie_above_cut, slack=slack)
    return plain(2 * np.add(cut_to_redirect, np.maximum(com_above_cut, tie_above_cut)) + slack)


def lead_length(cut_to_redirect: Values, tie_above_cut: Values, slack: Values) -> Values:
    """Rope between redirect and piece: ``L_lead = s + a_t + slack``.

    Parameters
    ----------
    cut_to_redirect : float or array
        s, >= 0. [m]
    tie_above_cut : float or array
        a_t, >= 0. [m]
    slack : float or array
        Extra rope, >= 0. [m]

    Returns
    -------
    float or array
        Lead length, broadcast shape. [m]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    >>> lead_length(0.5, 0.25, 0.0)
    0.75
    """
    require_non_negative(cut_to_redirect=cut_to_redirect, tie_above_cut=tie_above_cut, slack=slack)
    return plain(np.add(cut_to_redirect, tie_above_cut) + slack)


def fall_factor(fall_height: Values, rope_length: Values) -> Values:
    """Fall height over length of rope.

    Parameters
    ----------
    fall_height : float or array
        >= 0. [m]
    rope_length : float or array
        Unstretched, > 0. [m]

    Returns
    -------
    float or array
        Fall factor, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    The fall of the climbing rope test: 4.6 m on 2.6 m (Fall factor article).

    >>> round(fall_factor(4.6, 2.6), 2)
    1.77
    """
    require_non_negative(fall_height=fall_height)
    require_positive(rope_length=rope_length)
    return plain(np.divide(fall_height, rope_length))
