"""What a part may carry: the policy of design factors, the rating of a part in its place, published tables."""

from recommender.ratings.parts import (
    Factor,
    ItemCondition,
    Rating,
    State,
    line_capacity,
    rate_brake,
    rate_connector,
    rate_lifter,
    rate_line,
    rate_redirect,
    rate_sling,
    retired,
)
from recommender.ratings.policy import (
    Policy,
    Technique,
    changed_policy,
    default_policy,
    read_policy,
    source_of,
)
from recommender.ratings.wear import seasons_of_life, wear_per_load

__all__ = [
    "Factor",
    "ItemCondition",
    "Policy",
    "Rating",
    "State",
    "Technique",
    "changed_policy",
    "default_policy",
    "line_capacity",
    "rate_brake",
    "rate_connector",
    "rate_lifter",
    "rate_line",
    "rate_redirect",
    "rate_sling",
    "read_policy",
    "retired",
    "seasons_of_life",
    "source_of",
    "wear_per_load",
]
