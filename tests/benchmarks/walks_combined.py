"""Two and three walks of one edge combined, against each of them alone.

``python tests/benchmarks/walks_combined.py [--count 2000] [--seed 963000]``

Prints by how much the half-width and the error of the acres fall with the number of walks;
asked is at most 1.1 times one over the root of that number. Plots of which a walk is
refused are left out.
"""

from __future__ import annotations

import argparse

import numpy as np
from walk_accuracy import simulate

from quietacre.boundary.combine import combine_walks
from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.units import ACRE_M2


def study(seeds: range, most: int = 3) -> dict[int, tuple[float, float, float]]:
    """Return RMS error, mean half-width and coverage, all in per cent, by number of walks."""
    errors: dict[int, list[float]] = {n: [] for n in range(1, most + 1)}
    halves: dict[int, list[float]] = {n: [] for n in range(1, most + 1)}
    covers: dict[int, list[bool]] = {n: [] for n in range(1, most + 1)}
    for seed in seeds:
        sims = [simulate(seed, laps=1, canopy=False, again=k) for k in range(most)]
        true = sims[0].true_m2 / ACRE_M2
        try:
            walks = [read_walk([sim.track]) for sim in sims]
            joined = {n: combine_walks(walks[:n]) for n in errors}
        except WalkRefused:
            continue
        # each walk alone, and the first two, three of them together
        alone = [(1, walk) for walk in walks]
        for number, walk in (*alone, *((n, w) for n, w in joined.items() if n > 1)):
            errors[number].append(walk.acres / true - 1)
            halves[number].append(walk.half_width_pct)
            covers[number].append(walk.acres_low <= true <= walk.acres_high)
    return {
        n: (100 * float(np.sqrt(np.mean(np.square(errors[n])))), float(np.mean(halves[n])),
            100 * float(np.mean(covers[n])))
        for n in errors
    }  # fmt: skip


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=963_000)
    told = ask.parse_args()
    rows = study(range(told.seed, told.seed + told.count))
    print(f"plots {told.seed} to {told.seed + told.count - 1}")
    alone = rows[1]
    for number, (error, half, covers) in rows.items():
        print(f"{number} walks: RMS error {error:.2f} % (x {error / alone[0]:.3f}), half-width "
              f"{half:.1f} % (x {half / alone[1]:.3f}), covers {covers:.1f} %; asked x "
              f"{min(1.0, 1.1 / number**0.5):.3f}")  # fmt: skip


if __name__ == "__main__":
    main()
