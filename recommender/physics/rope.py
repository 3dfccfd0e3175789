"""A rope as a spring: ``T = C * strain^n``, the power law through its catalogue point.

``C`` (rope constant) is the tension that the law gives at strain 1, a mere constant, far above the breaking
strength. ``n`` = 1 is a linear rope (then ``C`` is ``EA``); new braids stiffen as they stretch (n > 1).
Safe side: the HIGH stiffness for peaks, the LOW one for clearance and for stretch to be pulled in.
"""

from __future__ import annotations

import numpy as np

from recommender.physics.domain import (
    Values,
    plain,
    require_non_negative,
    require_positive,
    require_share,
    require_within,
)
from recommender.sourced import FROM_MEMORY, Sourced

DEFAULT_EXPONENT = Sourced(1.5, "-", FROM_MEMORY, note="new braid, one catalogue point only; 1.0 to 1.8 seen")
BEDDED_IN_STIFFNESS = Sourced(
    1.2, "-", FROM_MEMORY, note="stiffness of a bedded-in rope over that of a new one; its exponent is near 1"
)
NYLON_DOUBLE_BRAID_STIFFNESS = Sourced(
    3.54,
    "-",
    "ufc_4_159_03",
    "Table 6-8",
    "EA over minimum break, double braided nylon, dry, cyclic, all sizes",
)


def rope_constant(
    min_break: Values, reference_share: Values, reference_strain: Values, exponent: Values
) -> Values:
    """Constant of the power law from one catalogue point: ``C = share * min_break / strain^n``.

    Parameters
    ----------
    min_break : float or array
        Minimum breaking strength, > 0. [N]
    reference_share : float or array
        Tension of the catalogue point over ``min_break``, above 0 and at most 1. [-]
    reference_strain : float or array
        Elongation there, > 0. [-]
    exponent : float or array
        n, > 0. [-]

    Returns
    -------
    float or array
        Rope constant, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    4 % at 30 % of 60 kN, taken as linear: 450 kN.

    >>> round(rope_constant(60e3, 0.30, 0.04, 1.0))
    450000
    """
    require_positive(min_break=min_break, reference_strain=reference_strain, exponent=exponent)
    require_share(reference_share=reference_share)
    return plain(np.multiply(min_break, reference_share) / np.power(reference_strain, exponent))


def exponent_from_two_points(
    first_share: Values, first_strain: Values, second_share: Values, second_strain: Values
) -> Values:
    """Exponent of the power law through two catalogue points: ``n = ln(f2 / f1) / ln(e2 / e1)``.

    Parameters
    ----------
    first_share, second_share : float or array
        Tensions, as shares of the breaking strength or in any one unit of force, > 0. [-]
    first_strain, second_strain : float or array
        Elongations there, > 0, rising with the tensions. [-]

    Returns
    -------
    float or array
        Exponent, broadcast shape. Below 1 the rope softens, which the catching forms refuse. [-]

    Raises
    ------
    ValueError
        If an argument is not above 0, or the points do not rise together.

    Examples
    --------
    >>> round(exponent_from_two_points(0.10, 0.02, 0.30, 0.04), 3)
    1.585
    """
    require_positive(first_share=first_share, first_strain=first_strain)
    require_positive(second_share=second_share, second_strain=second_strain)
    rise = np.log(np.divide(second_share, first_share))
    run = np.log(np.divide(second_strain, first_strain))
    if np.any(rise * run <= 0):
        raise ValueError(f"second_strain must rise with second_share, not {second_strain!r}")
    return plain(rise / run)


def tension_at_strain(strain: Values, constant: Values, exponent: Values) -> Values:
    """Tension of a stretched rope: ``T = C * strain^n``.

    Parameters
    ----------
    strain : float or array
        Stretch over unstretched length, >= 0. [-]
    constant : float or array
        Rope constant, > 0. [N]
    exponent : float or array
        n, > 0. [-]

    Returns
    -------
    float or array
        Tension, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> tension_at_strain(0.25, 8000.0, 1.5)
    1000.0
    """
    require_non_negative(strain=strain)
    require_positive(constant=constant, exponent=exponent)
    return plain(constant * np.power(strain, exponent))


def strain_at_tension(tension: Values, constant: Values, exponent: Values) -> Values:
    """Strain of a loaded rope: ``strain = (T / C)^(1 / n)``.

    Parameters
    ----------
    tension : float or array
        Tension, >= 0. [N]
    constant : float or array
        Rope constant, > 0. [N]
    exponent : float or array
        n, > 0. [-]

    Returns
    -------
    float or array
        Stretch over unstretched length, broadcast shape. [-]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(strain_at_tension(1000.0, 8000.0, 1.5), 6)
    0.25
    """
    require_non_negative(tension=tension)
    require_positive(constant=constant, exponent=exponent)
    return plain(np.power(np.divide(tension, constant), np.divide(1.0, exponent)))


def secant_stiffness(tension: Values, constant: Values, exponent: Values) -> Values:
    """Secant stiffness EA of a loaded rope, tension over strain: ``EA_s = T / (T / C)^(1 / n)``.

    It rises with the tension (n > 1), so the secant at a higher tension than the answer is on the safe side
    for force.

    Parameters
    ----------
    tension : float or array
        Tension, > 0. [N]
    constant : float or array
        Rope constant, > 0. [N]
    exponent : float or array
        n, > 0. [-]

    Returns
    -------
    float or array
        Secant stiffness, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(secant_stiffness(1000.0, 8000.0, 1.5), 6)
    4000.0
    """
    require_positive(tension=tension)
    return plain(tension / np.asarray(strain_at_tension(tension, constant, exponent)))


def effective_length(lead_length: Values, fall_length: Values, r: Values, exponent: Values = 1.0) -> Values:
    """Length of rope that takes up the energy of a catch: ``L_eff = L_lead + r^(1/n) * L_fall``.

    With Coulomb friction at the redirect the fall leg carries ``r * T``, so its strain is ``r^(1/n)`` times
    that of the lead leg. The work of friction at the redirect is included, hence not the square of ``r``.
    Derived.

    Parameters
    ----------
    lead_length : float or array
        Unstretched rope from redirect to piece, > 0. [m]
    fall_length : float or array
        Unstretched rope from redirect to brake (no tail), >= 0. [m]
    r : float or array
        Fall tension over lead tension, above 0 and at most 1. [-]
    exponent : float or array
        n of the rope, >= 1. The default 1 gives ``L_lead + r * L_fall`` for any rope: shorter, hence on the
        safe side for force; it is what the planner uses. [-]

    Returns
    -------
    float or array
        Effective length, broadcast shape. [m]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> effective_length(0.75, 12.0, 0.5)
    6.75
    """
    require_positive(lead_length=lead_length)
    require_non_negative(fall_length=fall_length)
    require_share(r=r)
    require_within(1.0, np.inf, exponent=exponent)
    share = np.power(np.asarray(r, dtype=float), np.divide(1.0, exponent))
    return plain(lead_length + share * fall_length)


def stored_energy(tension: Values, effective_length: Values, constant: Values, exponent: Values) -> Values:
    """Energy that the rope has taken up at a tension: ``U = T * x / (1 + n)``, ``x = L_eff * strain``.

    Parameters
    ----------
    tension : float or array
        Lead tension, >= 0. [N]
    effective_length : float or array
        Of :func:`effective_length`, > 0. [m]
    constant : float or array
        Rope constant, > 0. [N]
    exponent : float or array
        n, > 0. [-]

    Returns
    -------
    float or array
        Energy, broadcast shape. [J]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    A linear spring of 4000 N/m at 1000 N: T^2 / (2 k) = 125 J.

    >>> stored_energy(1000.0, 2.0, 8000.0, 1.0)
    125.0
    """
    require_positive(effective_length=effective_length)
    stretch = np.multiply(effective_length, strain_at_tension(tension, constant, exponent))
    return plain(tension * stretch / np.add(1, exponent))
