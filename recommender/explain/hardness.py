"""Whether one load case asks at least as much of every item as another: a kit for it does for the other too."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recommender.kit.fits import Fits

FORCES = ("line", "reaction", "brake", "brake_anchor", "lifter", "lifter_holding")


@dataclass(frozen=True)
class Hardness:
    """What a load case asks of the gear, over all lines (k) and kinds of redirect (f).

    Attributes
    ----------
    forces : array, shape (forces, states, k, f)
        [N]
    reach : array, shape (2, k, f)
        Travel of the lifter, and how far a caught piece comes below the cut. [m]
    valid : array of bool, shape (k, f)
        Where the formulas hold.
    lengths : tuple of float
        Line needed, and clearance below the cut as a negative number. [m]
    place : tuple
        Technique, wet, stems and how the redirect is set: two cases are compared only where these agree.
    """

    forces: NDArray[np.float64]
    reach: NDArray[np.float64]
    valid: NDArray[np.bool_]
    lengths: tuple[float, float]
    place: tuple[object, ...]

    def no_easier(self, other: Hardness) -> bool:
        """Whether every setup that does for this case does for the other."""
        if self.place != other.place or np.any(self.valid & ~other.valid):
            return False
        if any(own < theirs for own, theirs in zip(self.lengths, other.lengths, strict=True)):
            return False
        own, theirs = self.valid, other
        forces = np.all((self.forces >= theirs.forces)[..., own])
        return bool(forces and np.all((self.reach >= theirs.reach)[..., own]))


def hardness(fits: Fits, case: int) -> Hardness:
    """What a load case asks of the gear."""
    demands, load_case = fits.demands, fits.cases[case]
    return Hardness(
        forces=np.stack([getattr(demands, name)[:, case] for name in FORCES]),
        reach=np.stack([demands.travel[case], demands.drop[case]]),
        valid=np.asarray(demands.valid[case]),
        lengths=(load_case.line_needed, -load_case.clearance),
        place=(
            load_case.technique,
            load_case.wet,
            load_case.from_ground,
            load_case.stem_at_redirect,
            load_case.stem_at_brake,
        ),
    )
