"""Pairs of simulated walks of one patch, with and without growth, read as any walk is.

``python tests/strip/test_advance_pairs.py [--count 240]`` prints the shares over pairs of each growth.
"""

import argparse
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from walk_accuracy import ACRE_M2, EAST, LAT, LON, NORTH, drift

from quietacre.boundary.read import read_walk
from quietacre.model import Track
from quietacre.strip.advance import advance


def outline(rng):
    """Return a patch of a quarter acre to five acres. [m]"""
    angle = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    radius = np.ones(120)
    for k in (2, 3, 4, 5):
        radius += rng.normal(0, 0.22 / k) * np.cos(k * angle + rng.uniform(0, 6.3))
    xy = np.maximum(radius, 0.35)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    acres = np.exp(rng.uniform(np.log(0.25), np.log(5.0)))
    return shapely.Polygon(xy * np.sqrt(acres * ACRE_M2 / shapely.Polygon(xy).area))


def walked(rng, patch):
    """Return the walk read from one lap with drifting errors."""
    ring = patch.exterior
    way = np.arange(0.0, ring.length + rng.uniform(-5, 10), rng.uniform(0.9, 1.5))
    places = (rng.uniform(0, ring.length) + way) % ring.length
    xy = shapely.get_coordinates(shapely.line_interpolate_point(ring, places))
    at_s = np.arange(len(xy)) * 1.0
    sigma, tau = np.exp(rng.normal(np.log([2.2, 55.0]), [0.3, 0.4]))
    xy = xy + drift(rng, at_s, sigma, tau) + rng.normal(0, 0.3, xy.shape)
    track = Track("edge", "simulated.gpx", "track", LON + xy[:, 0] / EAST,
                  LAT + xy[:, 1] / NORTH, at_s, np.zeros(len(at_s), dtype=int))  # fmt: skip
    return read_walk((track,))


def called_moved(grown_m, count, seed):
    """Return the share of pairs called moved."""
    called = []
    for number in range(count):
        rng = np.random.default_rng((seed, number))
        patch = outline(rng)
        old, new = walked(rng, patch), walked(rng, patch.buffer(grown_m))
        called.append(
            advance(
                old.polygon,
                new.polygon,
                old_sigma_m=old.edge_sigma_m,
                new_sigma_m=new.edge_sigma_m,
            ).seen
        )
    return float(np.mean(called))


@pytest.mark.parametrize(("grown_m", "least", "most"), [(0.0, 0.0, 0.10), (6.0, 0.95, 1.0)])
def test_growth_is_seen_and_an_unchanged_edge_rarely_is(grown_m, least, most):
    assert least <= called_moved(grown_m, 60, 41) <= most


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--count", type=int, default=240)
    count = asked.parse_args().count
    for growth in (0.0, 2.0, 4.0, 6.0):
        print(f"{growth:.0f} m: {100 * called_moved(growth, count, 77):.1f} % called moved")
