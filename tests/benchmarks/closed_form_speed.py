"""Time of the closed forms on 300 ropes x 4 friction classes x 500 load cases. Run by hand."""

from __future__ import annotations

import time

import numpy as np

from recommender import physics


def main() -> None:
    """Print the best of five runs, locked and running."""
    rng = np.random.default_rng(1)
    constant, exponent = rng.uniform(1e6, 1e7, (300, 1, 1)), rng.uniform(1.0, 1.8, (300, 1, 1))
    r = np.array([kind.r_low for kind in physics.friction_classes().values()]).reshape(1, 4, 1)
    weight, height, lead, fall, run = (
        rng.uniform(*span, (1, 1, 500)) for span in ((200, 8000), (0.5, 5), (0.5, 2), (3, 20), (0, 1))
    )
    case = (weight, height, physics.effective_length(lead, fall, r), constant, exponent)
    spent = []
    for _ in range(5):
        begin = time.perf_counter()
        physics.peak_tension_locked(*case)
        middle = time.perf_counter()
        size = np.size(physics.peak_tension_running(*case, run))
        spent.append((middle - begin, time.perf_counter() - middle))
    locked, running = np.array(spent).min(axis=0)
    first = spent[0]
    print(
        f"{size} elements: locked {locked:.3f} s, running {running:.3f} s; first run {sum(first):.3f} s in total"
    )


if __name__ == "__main__":
    main()
