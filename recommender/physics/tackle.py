"""Advantage of tackles with losses at their sheaves, and the load on their anchors."""

from __future__ import annotations

import numpy as np

from recommender.physics.domain import (
    Values,
    plain,
    require_non_negative,
    require_share,
    require_within,
)
from recommender.sourced import Sourced

ALLOWANCE_PER_SHEAVE = Sourced(
    0.10, "-", "navedtra_builder_3_2", "ch. 4", "share of the load added per sheave of a fibre tackle"
)
PLAIN_BEARING_LOSS = Sourced(
    1.09, "-", "wrtb_users_manual_4", "p. 88", "tension factor per sheave, wire rope"
)
ROLLER_BEARING_LOSS = Sourced(
    1.04, "-", "wrtb_users_manual_4", "p. 88", "tension factor per sheave, wire rope"
)


def simple_tackle_advantage(parts: Values, sheave_efficiency: Values, hand_redirects: Values = 0) -> Values:
    """Actual advantage of a simple tackle: ``(1 + eta + ... + eta^(parts-1)) * eta^hand_redirects``.

    Parameters
    ----------
    parts : int or array of int
        Parts of line at the load, >= 1. [-]
    sheave_efficiency : float or array
        eta, above 0 and at most 1. [-]
    hand_redirects : int or array of int
        Sheaves that only turn the pull towards the hand, >= 0. [-]

    Returns
    -------
    float or array
        Load over pull, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    Pipeline Rules of Thumb Handbook, p. 6: four parts, efficiency 0.917, lead off the upper block: 3.25.

    >>> round(simple_tackle_advantage(4, 0.917, 1), 2)
    3.24
    """
    require_within(1.0, np.inf, parts=parts)
    require_non_negative(hand_redirects=hand_redirects)
    require_share(sheave_efficiency=sheave_efficiency)
    eta = np.asarray(sheave_efficiency, dtype=float)
    loss = np.where(eta < 1, 1 - eta, 1.0)
    series = np.where(eta < 1, (1 - eta ** np.asarray(parts)) / loss, parts)
    return plain(series * eta ** np.asarray(hand_redirects))


def lead_line_factor(parts: Values, loss_factor: Values, extra_sheaves: Values = 0) -> Values:
    """Pull over load of a tackle with its lead off the fixed block: ``K^n * (K - 1) / (K^n - 1) * K^extra``.

    Parameters
    ----------
    parts : int or array of int
        n, parts of line at the load, >= 1. [-]
    loss_factor : float or array
        K, tension over tension across one sheave, >= 1. [-]
    extra_sheaves : int or array of int
        Further sheaves towards the lifter, >= 0. [-]

    Returns
    -------
    float or array
        Line pull over load, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    Wire Rope Users Manual, 4th ed., p. 88: four parts, plain bearings: 0.309.

    >>> round(lead_line_factor(4, 1.09), 3)
    0.309
    """
    require_within(1.0, np.inf, loss_factor=loss_factor)
    eta = np.divide(1.0, loss_factor)
    return plain(1 / np.asarray(simple_tackle_advantage(parts, eta, np.add(1, extra_sheaves))))


def tackle_pull_with_allowance(
    load: Values, parts: Values, sheaves: Values, allowance: Values = ALLOWANCE_PER_SHEAVE.value
) -> Values:
    """Pull on a fibre tackle by the sailor's allowance: ``load * (1 + allowance * sheaves) / parts``.

    Parameters
    ----------
    load : float or array
        Load, >= 0. [N]
    parts : int or array of int
        Parts of line at the load, >= 1. [-]
    sheaves : int or array of int
        Sheaves that the line passes, >= 0. [-]
    allowance : float or array
        Share of the load added per sheave, >= 0. [-]

    Returns
    -------
    float or array
        Pull, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    US Navy, Builder 3 & 2, ch. 4, rule of 10 % of the load per sheave: luff tackle, 600 lbf.

    >>> round(tackle_pull_with_allowance(600.0, 3, 3), 6)
    260.0
    """
    require_non_negative(load=load, sheaves=sheaves, allowance=allowance)
    require_within(1.0, np.inf, parts=parts)
    return plain(load * (1 + np.multiply(allowance, sheaves)) / parts)


def z_rig_advantage(hand_efficiency: Values, far_efficiency: Values) -> Values:
    """Actual advantage of a Z rig (3:1): ``1 + eta_hand + eta_hand * eta_far``; best sheave next to the hand.

    Parameters
    ----------
    hand_efficiency, far_efficiency : float or array
        Of the sheave next to the hand and of the other, above 0 and at most 1. [-]

    Returns
    -------
    float or array
        Load over pull, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    Delaney, pulley system analysis: poor sheave next to the hand.

    >>> round(z_rig_advantage(0.5, 0.9), 2)
    1.95
    """
    require_share(hand_efficiency=hand_efficiency, far_efficiency=far_efficiency)
    return plain(1 + np.asarray(hand_efficiency) * np.add(1, far_efficiency))


def tackle_anchor_load(load: Values, hand_pull: Values, pull_away_from_anchor: bool = True) -> Values:
    """Force of a tackle on its anchor, from balance: load plus hand pull, or less it.

    Parameters
    ----------
    load : float or array
        Load, >= 0. [N]
    hand_pull : float or array
        Pull on the hauling part, >= 0. [N]
    pull_away_from_anchor : bool
        True if the hand pulls the same way as the load (lead off the fixed block), False if towards the
        anchor.

    Returns
    -------
    float or array
        Force on the anchor, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    >>> tackle_anchor_load(1000.0, 300.0)
    1300.0
    """
    require_non_negative(load=load, hand_pull=hand_pull)
    return plain(np.add(load, hand_pull) if pull_away_from_anchor else np.subtract(load, hand_pull))
