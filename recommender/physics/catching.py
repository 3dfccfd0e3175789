"""Catching a piece that is cut above its redirect: geometry, peak tensions, drop, and where the forms hold.

Energy balance of a piece that falls ``h``, stretches the rope by ``x`` and pulls ``d`` of rope through the
brake: ``W * (h + x + d) = T * x / (1 + n) + T * d``, ``x = L_eff * (T / C)^(1 / n)``. Derived; an upper
bound, because all energy goes into the rope and the whole fall of the centre of mass is counted: two to
three times measured peaks in realistic drops (HSE RR668, section 8, as quoted in a forum thread).

With the static strain ``u = (W / C)^(1 / n)`` as unit this is one equation for ``z``, the strain over ``u``:
``z^(n+1) / (n+1) + D * z^n = z + H + D``, ``H = h / (L_eff * u)``, ``D = d / (L_eff * u)``, and
``T = W * z^n``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from recommender.physics.domain import Values, plain, require_non_negative, require_positive, require_within
from recommender.physics.rope import strain_at_tension
from recommender.sourced import COMMON_PRACTICE, DERIVED, Sourced

RUNNING_FLOOR = Sourced(2.0, "x W", COMMON_PRACTICE, note="least peak of a catch with a running brake")
NEWTON_STEPS = Sourced(
    6,
    "-",
    DERIVED,
    note="from the bounds used as a start, 6 steps reach 1e-11 for n 1 to 3 (measured)",
)
_VANISHING_RUN = float(np.sqrt(np.finfo(float).tiny))
"""Keeps the bound of a running brake finite; at such a run the other bound is the lower one by far."""


def peak_tension_locked(
    weight: Values, fall_height: Values, effective_length: Values, constant: Values, exponent: Values
) -> Values:
    """Peak lead tension with the brake locked: exact solution of ``W * (h + x) = T * x / (1 + n)``.

    For n = 1: ``T = W * (1 + sqrt(1 + 2 * h * C / (W * L_eff)))``, the standard equation of impact force.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    fall_height : float or array
        h, drop before the rope stretches, >= 0. [m]
    effective_length : float or array
        L_eff of :func:`recommender.physics.rope.effective_length`, > 0; low ``r`` is on the safe side. [m]
    constant : float or array
        Rope constant C, > 0. [N]
    exponent : float or array
        n, >= 1. [-]

    Returns
    -------
    float or array
        Peak tension of the lead leg, broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Notes
    -----
    Newton's rule on a convex, rising function from a start that is never below the root: every step comes
    down and none passes it, so the result is on the safe side at any number of steps. See
    :func:`catch_caveats` for its range.

    Examples
    --------
    Fall factor article: 80 kg, 4.6 m on 2.6 m of rope with EA 24.09 kN gives 9 kN.

    >>> round(peak_tension_locked(80 * 9.80665, 4.6, 2.6, 24093.0, 1.0), -1)
    9000.0

    References
    ----------
    .. [1] Goldstone, "The standard equation for impact force" (linear form).
    """
    require_catch(weight, fall_height, effective_length, constant, exponent)
    unit = np.multiply(effective_length, strain_at_tension(weight, constant, exponent))
    ratio = _locked_ratio(np.divide(fall_height, unit), np.asarray(exponent, dtype=float))
    return plain(weight * ratio)


def require_catch(
    weight: Values, fall_height: Values, effective_length: Values, constant: Values, exponent: Values
) -> None:
    """Raise ValueError unless the arguments of a catch lie in their domain."""
    require_positive(weight=weight, effective_length=effective_length, constant=constant)
    require_non_negative(fall_height=fall_height)
    require_within(1.0, np.inf, exponent=exponent)


def _start(height: NDArray[np.float64], exponent: NDArray[np.float64]) -> NDArray[np.float64]:
    """A bound of the locked root from above: ``(n+1)^(1/n) + ((n+1) * H)^(1/(n+1))``, for n >= 1.

    With a, b the two terms, ``(a+b)^n >= a^n + b^n``, so ``(a+b)^(n+1) >= (n+1) * (a + b + H)``.
    """
    power = exponent + 1
    return power ** (1 / exponent) + (power * height) ** (1 / power)


def _locked_ratio(height: NDArray[np.float64], exponent: NDArray[np.float64]) -> NDArray[np.float64]:
    """T / W of ``z^(n+1) / (n+1) = z + H``; the step is ``z = (n * z^(n+1) / (n+1) + H) / (z^n - 1)``."""
    share = exponent / (exponent + 1)
    strain = _start(height, exponent)
    tension = strain**exponent
    for _ in range(int(NEWTON_STEPS.value)):
        strain = (share * strain * tension + height) / (tension - 1)
        tension = strain**exponent
    return tension


def peak_tension_secant(
    weight: Values,
    fall_height: Values,
    effective_length: Values,
    secant_stiffness: Values,
    exponent: Values,
) -> Values:
    """Peak lead tension from a secant stiffness, without iteration: the design form.

    ``T = (1 + n) / 2 * W * (1 + sqrt(1 + 4 * h * EA_s / ((1 + n) * W * L_eff)))``

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    fall_height : float or array
        h, >= 0. [m]
    effective_length : float or array
        L_eff, > 0. [m]
    secant_stiffness : float or array
        EA_s at the answer or above (say, at the highest tension that the kit may carry), > 0. [N]
    exponent : float or array
        n, >= 1. [-]

    Returns
    -------
    float or array
        Peak tension of the lead leg, broadcast shape; never below :func:`peak_tension_locked` as long as it
        does not exceed the tension at which ``secant_stiffness`` was taken. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    >>> round(peak_tension_secant(250 * 9.80665, 2.4, 0.9 + 0.7 * 12, 500e3, 1.5))
    31353
    """
    require_catch(weight, fall_height, effective_length, secant_stiffness, exponent)
    power = np.add(1, exponent)
    stiffness = secant_stiffness / np.multiply(weight, effective_length)
    return plain(power / 2 * weight * (1 + np.sqrt(1 + 4 * fall_height * stiffness / power)))


def peak_tension_running(
    weight: Values,
    fall_height: Values,
    effective_length: Values,
    constant: Values,
    exponent: Values,
    run: Values,
) -> Values:
    """Peak lead tension when the brake lets a stated length of rope run: ``W*(h+x+d) = T*x/(1+n) + T*d``.

    Parameters
    ----------
    weight : float or array
        W, > 0. [N]
    fall_height : float or array
        h, >= 0. [m]
    effective_length : float or array
        L_eff, > 0. [m]
    constant : float or array
        Rope constant C, > 0. [N]
    exponent : float or array
        n, >= 1. [-]
    run : float or array
        d, rope that runs through the brake, >= 0; 0 is the locked brake. The LOW estimate is on the safe
        side. [m]

    Returns
    -------
    float or array
        Peak tension of the lead leg, broadcast shape; where ``run`` > 0 never below ``RUNNING_FLOOR`` times
        the weight, and nowhere above :func:`peak_tension_locked`. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Notes
    -----
    A stiffer or shorter rope raises the peak as long as it exceeds ``(1 + n) * weight``. Below that, down to the floor,
    it lowers it by a few percent, because less stretch also means less fall.

    Examples
    --------
    200 kg falling 1.6 m on a linear rope, EA 320 kN, 0.5 m and 6 m of it, r 0.73: locked, and with 1 m of
    run.

    >>> case = (200 * 9.80665, 1.6, 0.5 + 0.73 * 6, 320e3, 1.0)
    >>> round(peak_tension_locked(*case), -2), round(peak_tension_running(*case, 1.0), -2)
    (22300.0, 5100.0)
    """
    require_catch(weight, fall_height, effective_length, constant, exponent)
    require_non_negative(run=run)
    power = np.asarray(exponent, dtype=float)
    unit = np.multiply(effective_length, strain_at_tension(weight, constant, exponent))
    ratio = _running_ratio(np.divide(fall_height, unit), np.divide(run, unit), power)
    return plain(weight * np.where(np.greater(run, 0), np.maximum(ratio, RUNNING_FLOOR.value), ratio))


def _running_ratio(
    height: NDArray[np.float64], run: NDArray[np.float64], exponent: NDArray[np.float64]
) -> NDArray[np.float64]:
    """T / W of ``z^(n+1) / (n+1) + D * z^n = z + H + D``, by Newton's rule from above.

    The start is the lower of two bounds: that of the locked root, and ``z^n <= 1 + (H + n / (n+1)) / D``
    (``z - z^(n+1) / (n+1)`` is at most ``n / (n+1)``).
    """
    share = exponent / (exponent + 1)
    ceiling = 1 + (height + share) / np.maximum(run, _VANISHING_RUN)
    strain = np.minimum(_start(height, exponent), ceiling ** (1 / exponent))
    tension = strain**exponent
    for _ in range(int(NEWTON_STEPS.value)):
        pull = exponent * run * tension / strain
        value = tension * (strain / (exponent + 1) + run) - strain - height - run
        strain = strain - value / (tension - 1 + pull)
        tension = strain**exponent
    return tension


def rope_constant_from_impact(
    weight: Values, fall_height: Values, rope_length: Values, peak_tension: Values, exponent: Values = 1.0
) -> Values:
    """Rope constant from a measured impact force: :func:`peak_tension_locked` solved for ``C``.

    ``x = W * h / (T / (1 + n) - W)``, ``C = T / (x / L)^n``.

    Parameters
    ----------
    weight : float or array
        Of the test mass, > 0. [N]
    fall_height : float or array
        h of the test, > 0. [m]
    rope_length : float or array
        Effective length of the test, > 0. [m]
    peak_tension : float or array
        Impact force, above ``(1 + n) * weight``. [N]
    exponent : float or array
        n, >= 1. [-]

    Returns
    -------
    float or array
        Rope constant (EA for n = 1), broadcast shape. [N]

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    Examples
    --------
    A climbing rope with 9 kN in the test of 80 kg, factor 1.77: EA 24.1 kN (derived from published limits).

    >>> round(rope_constant_from_impact(80 * 9.80665, 4.6, 2.6, 9000.0), -1)
    24090.0
    """
    require_catch(weight, fall_height, rope_length, peak_tension, exponent)
    power = np.add(1, exponent)
    spare = np.divide(peak_tension, power) - weight
    if np.any(spare <= 0) or np.any(np.less_equal(fall_height, 0)):
        raise ValueError(
            f"peak_tension must exceed (1 + exponent) * weight and fall_height 0, not {peak_tension!r}"
        )
    stretch = np.multiply(weight, fall_height) / spare
    return plain(peak_tension / np.power(stretch / rope_length, exponent))
