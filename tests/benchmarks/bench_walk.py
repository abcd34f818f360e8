"""Seconds and memory of reading walks: many of 1,000 fixes, and one of 200,000.

``python tests/benchmarks/bench_walk.py [--count 100] [--seed 3000]``

The script to compare with does no more than close the fixes into a polygon and measure it.
"""

from __future__ import annotations

import argparse
import dataclasses
import resource
import time

import numpy as np
import shapely
from walk_accuracy import EAST, LAT, LON, NORTH, drift, simulate

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.model import Track


def resampled(track: Track, count: int) -> Track:
    """Return a track with ``count`` fixes, evenly in number along the recorded ones."""
    at = np.linspace(0, len(track.lon) - 1, count)
    known = np.arange(len(track.lon))
    wobble = np.random.default_rng(count).normal(0, 0.3, (2, count))
    return dataclasses.replace(
        track,
        lon=np.interp(at, known, track.lon) + wobble[0] / EAST,
        lat=np.interp(at, known, track.lat) + wobble[1] / NORTH,
        time_s=np.interp(at, known, track.time_s),
        segment=np.zeros(count, dtype=int),
    )


def long_walk(count: int = 200_000) -> Track:
    """Return one lap of a mile square at ten fixes a second and more."""
    side = 1609.344
    at = np.linspace(0, 4.002 * side, count) % (4 * side)
    corners = np.array([(0, 0), (side, 0), (side, side), (0, side), (0, 0)])
    place = np.column_stack(
        [np.interp(at, np.arange(5) * side, corners[:, k]) for k in (0, 1)]
    )
    times = np.linspace(0, 4.002 * side / 1.2, count)
    knots = np.linspace(0, times[-1], 2000)
    error = drift(np.random.default_rng(1), knots, 2.5, 60.0)
    place += np.column_stack([np.interp(times, knots, error[:, k]) for k in (0, 1)])
    return Track("mile", "mile.gpx", "track", LON + place[:, 0] / EAST, LAT + place[:, 1] / NORTH,
                 times, np.zeros(count, dtype=int))  # fmt: skip


def bare(track: Track) -> float:
    """Measure the fixes as they are: what a hand-written script does."""
    ring = shapely.Polygon(np.column_stack([track.lon, track.lat]))
    return float(area_m2(np.array([ring], dtype=object))[0])


def many(count: int, seed: int) -> dict[str, float]:
    """Return seconds of processor of walks of 1,000 fixes: median, 95th, and by hand."""
    ours, theirs = [], []
    for number in range(seed, seed + count):
        track = resampled(simulate(number).track, 1000)
        start = time.process_time()
        try:
            read_walk([track])
        except WalkRefused:
            continue
        ours.append(time.process_time() - start)
        start = time.process_time()
        bare(track)
        theirs.append(time.process_time() - start)
    return {
        "median_s": float(np.median(ours)),
        "p95_s": float(np.percentile(ours, 95)),
        "by_hand_s": float(np.median(theirs)),
    }


def one_long(count: int = 200_000) -> dict[str, float]:
    """Return seconds of processor, peak memory [MB] and acres of one long walk."""
    track = long_walk(count)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    start = time.process_time()
    walk = read_walk([track])
    took = time.process_time() - start
    start = time.process_time()
    bare(track)
    by_hand = time.process_time() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {
        "took_s": took, "by_hand_s": by_hand, "peak_mb": peak, "before_mb": before,
        "acres": walk.acres,
    }  # fmt: skip


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=100)
    ask.add_argument("--seed", type=int, default=3000)
    told = ask.parse_args()
    seen = many(told.count, told.seed)
    print(f"1,000 fixes: median {1e3 * seen['median_s']:.1f} ms, 95th percentile "
          f"{1e3 * seen['p95_s']:.1f} ms of processor; x "
          f"{seen['median_s'] / seen['by_hand_s']:.0f} of fixes closed and measured")  # fmt: skip
    long = one_long()
    print(f"200,000 fixes: {long['took_s']:.2f} s of processor, peak {long['peak_mb']:.0f} MB "
          f"(of which {long['before_mb']:.0f} MB before); {long['acres']:.1f} ac of 640.0")  # fmt: skip


if __name__ == "__main__":
    main()
