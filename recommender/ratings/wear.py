"""How fast textiles wear out: a planning rule of the policy, to be replaced by what one's own records say.

The rule counts loads. Abrasion, heat, dirt, cuts and sun end the life of most lines before it: what decides on the day
is inspection.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from recommender.physics.domain import Values, plain, require_non_negative
from recommender.ratings.settings import Policy


def wear_per_load(load_share: Values, policy: Policy) -> Values:
    """Share of a textile's life that one load uses up: ``(share / load_share)^exponent / lifts``.

    Parameters
    ----------
    load_share : float or array
        Load over the strength that is left at the weakest spot, >= 0. [-]
    policy : Policy
        Its ``wear`` is the rule.

    Returns
    -------
    float or array
        Share of the life, 0 for no load; shape of ``load_share``. [-]

    Raises
    ------
    ValueError
        If a share is negative or not finite.

    Notes
    -----
    The life is 1000 loads at a sixth of the strength and falls with the third power of the load, unless the plan's own
    policy says otherwise. Different loads add up as shares of their lives (linear sum, common practice, no source).

    Examples
    --------
    Relative values of the source of the rule: 5 lifts at 2800 kg and 1000 at 500 kg on a rope that breaks at 3000 kg.

    >>> from recommender.ratings import default_policy
    >>> round(1 / wear_per_load(500 / 3000, default_policy()), -1)
    1000.0
    >>> 4 < 1 / wear_per_load(2800 / 3000, default_policy()) < 6
    True
    """
    require_non_negative(load_share=load_share)
    rule = policy.wear
    return plain(np.power(np.divide(load_share, rule.load_share), rule.exponent) / rule.lifts)


def seasons_of_life(loads: Iterable[tuple[float, float]], policy: Policy, age_years: float = 0.0) -> float:
    """Seasons that a textile lasts from now: until its life in loads is used up, or until its age retires it.

    Parameters
    ----------
    loads : iterable of (float, float)
        Pieces a season, >= 0, and the load of each over the strength left, >= 0. [-]
    policy : Policy
        Rule of wear, and years of use after which a textile is retired.
    age_years : float
        Years since first use, >= 0; wear before today is not known and not counted. [yr]

    Returns
    -------
    float
        Seasons, 0 for one that is too old. [-]

    Raises
    ------
    ValueError
        If an argument is negative or not finite.

    Examples
    --------
    500 loads a season at a sixth of the strength: two seasons. Hardly used: its age decides.

    >>> from recommender.ratings import default_policy
    >>> round(seasons_of_life([(500.0, 1 / 6)], default_policy()), 2)
    2.0
    >>> seasons_of_life([(500.0, 0.01)], default_policy(), age_years=2.0)
    3.0
    """
    require_non_negative(age_years=age_years)
    used = 0.0
    for pieces, share in loads:
        require_non_negative(pieces=pieces)
        used += pieces * float(wear_per_load(share, policy))
    left = max(policy.retirement.textile_years - age_years, 0.0) * policy.wear.seasons_per_year
    return min(left, 1 / used) if used > 0 else left
