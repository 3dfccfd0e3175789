"""Closed form over simulation for random catches: point mass and falling log, locked and running brake.

Run by hand: ``python tests/benchmarks/catch_against_simulation.py [cases] [seed]``. The ranges below are for sampling;
they are no catalogue. Cases outside the range of the closed forms are drawn again.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from math import inf, radians

import numpy as np

from recommender import physics
from recommender.physics import simulation
from recommender.physics.bodies import FallingLog
from recommender.physics.rope_over_redirect import RopeOverRedirect

# Exponent, and strain at 30 % of the breaking strength, lowest and highest.
FIBRES = {
    "polyester braid": ((1.2, 1.8), (0.03, 0.06)),
    "nylon braid": ((1.0, 1.6), (0.08, 0.20)),
    "low stretch": ((1.0, 1.4), (0.04, 0.09)),
    "high modulus": ((1.0, 1.2), (0.008, 0.015)),
}


@dataclass(frozen=True)
class Case:
    """One sampled catch."""

    fibre: str
    running: bool
    weight: float
    fall_height: float
    rope: RopeOverRedirect
    log: FallingLog
    length: float

    @property
    def energy_terms(self) -> tuple[float, float, float, float, float]:
        return self.weight, self.fall_height, self.length, self.rope.constant, self.rope.exponent


@dataclass(frozen=True)
class Ratios:
    """Closed form over simulation."""

    case: Case
    point_mass: float
    log: float
    seconds: float


def draw(rng: np.random.Generator) -> Case:
    """A catch within the range of the closed forms."""
    while True:
        case = _draw_any(rng)
        if case is not None:
            return case


def _draw_any(rng: np.random.Generator) -> Case | None:
    fibre = str(rng.choice(list(FIBRES)))
    exponents, strains = FIBRES[fibre]
    min_break, exponent = rng.uniform(20e3, 150e3), rng.uniform(*exponents)
    mass, wood = float(np.exp(rng.uniform(np.log(20), np.log(1500)))), rng.uniform(0.6, 3.0)
    tie, below = wood * rng.uniform(0.1, 0.5), rng.uniform(0.2, 0.8)
    slack = float(rng.choice([0.0, rng.uniform(0.0, 0.6)]))
    r, fall_length = rng.uniform(0.3, 1.0), rng.uniform(3.0, 25.0)
    lead = physics.lead_length(below, tie, slack)
    height = physics.fall_height(below, wood / 2, tie, slack)
    constant = physics.rope_constant(min_break, 0.3, rng.uniform(*strains), exponent)
    length = physics.effective_length(lead, fall_length, r)
    weight = mass * physics.STANDARD_GRAVITY.value
    locked = physics.peak_tension_locked(weight, height, length, constant, exponent)
    if not physics.within_validity(height, length, lead, locked, min_break):
        return None
    running = bool(rng.random() < 0.5)
    slip = r * rng.uniform(1.3 * weight, locked) if running else inf
    rope = RopeOverRedirect(
        lead_length=lead,
        fall_length=fall_length,
        constant=constant,
        exponent=exponent,
        r=r,
        slip_tension=slip,
    )
    angle = radians(rng.uniform(40.0, 100.0))
    log = FallingLog(mass=mass, length=wood, tie_above_cut=tie, cut_to_redirect=below, parting_angle=angle)
    return Case(fibre, running, weight, height, rope, log, length)


def compare(case: Case) -> Ratios:
    """Closed form for the run that happened, over the simulated peak."""
    begin = time.perf_counter()
    mass_history = simulation.simulate_catch(case.log.mass, case.fall_height, case.rope)
    log_history = simulation.simulate_log_catch(case.log, case.rope)
    seconds = time.perf_counter() - begin
    closed = [
        physics.peak_tension_running(*case.energy_terms, history.run_out) / history.peak_lead
        for history in (mass_history, log_history)
    ]
    return Ratios(case, closed[0], closed[1], seconds)


def sample(cases: int, seed: int) -> list[Ratios]:
    """Ratios of a seeded sample."""
    rng = np.random.default_rng(seed)
    return [compare(draw(rng)) for _ in range(cases)]


def main(cases: int, seed: int) -> None:
    """Print minimum, median and maximum of the ratios by brake and fibre."""
    ratios = sample(cases, seed)
    print(f"{cases} cases, seed {seed}; closed form / simulation: min, median, max")
    for running in (False, True):
        for fibre in (*FIBRES, "all"):
            chosen = [x for x in ratios if x.case.running == running and fibre in ("all", x.case.fibre)]
            columns = [[x.point_mass for x in chosen], [x.log for x in chosen]]
            spread = [
                "  ".join(f"{f(column):6.3f}" for f in (np.min, np.median, np.max)) for column in columns
            ]
            brake = "running" if running else "locked"
            print(f"{brake:8} {fibre:16} n={len(chosen):4d}  point mass {spread[0]}   log {spread[1]}")
    print(f"median time of a pair of simulations: {1e3 * np.median([x.seconds for x in ratios]):.0f} ms")


if __name__ == "__main__":
    arguments = [int(text) for text in sys.argv[1:]]
    main(*(arguments + [1000, 1][len(arguments) :]))
