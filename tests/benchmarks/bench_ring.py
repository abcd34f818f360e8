"""Ring acres of 10,000 patches against bare buffer and difference, in CPU time.

    python tests/benchmarks/bench_ring.py [patches]

Both run in this process, three times in turn; the least of each counts.
"""

import sys
import time

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.strip.ring import QUARTER_CHORDS, ring_acres
from quietacre.units import FT_M

MOST_RATIO = 1.25
VERTICES = 70
WIDTH_FT = 60.0


def patches(count):
    """Return lumpy patches of 70 vertices over some miles. [deg]"""
    rng = np.random.default_rng(10_000)
    angle = np.linspace(0, 2 * np.pi, VERTICES, endpoint=False)
    radius = rng.uniform(20, 60, (count, 1)) * (
        1
        + 0.2 * np.sin(3 * angle + rng.uniform(0, 6, (count, 1)))
        + 0.1 * np.sin(7 * angle + rng.uniform(0, 6, (count, 1)))
    )
    middle = rng.uniform(-8000, 8000, (count, 2))
    xy = (
        np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=-1)
        + middle[:, None]
    )
    local = shapely.polygons(xy)
    return LocalFrame(-87.6, 34.2).to_lonlat(local), local


def compare(count: int) -> dict[str, float]:
    """Return seconds of CPU of both, the least of three, and how far acres are apart."""
    lonlat, local = patches(count)
    ours, bare = [], []
    for _ in range(3):
        start = time.process_time()
        acres = ring_acres(lonlat, WIDTH_FT)
        ours.append(time.process_time() - start)
        start = time.process_time()
        grown = shapely.buffer(local, WIDTH_FT * FT_M, quad_segs=QUARTER_CHORDS)
        rings = shapely.difference(grown, local)
        bare.append(time.process_time() - start)
    apart = np.abs(acres / (shapely.area(rings) / 4046.8564224) - 1).max()
    return {"ours_s": min(ours), "bare_s": min(bare), "apart": float(apart)}


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seen = compare(count)
    ratio = seen["ours_s"] / seen["bare_s"]
    print(f"{count:,} patches of {VERTICES} vertices: {seen['ours_s']:.2f} s of CPU")
    print(f"bare buffer and difference: {seen['bare_s']:.2f} s; ratio {ratio:.2f}")
    print(f"acres differ by at most {seen['apart']:.1e} of themselves")
    if ratio > MOST_RATIO:
        sys.exit(f"more than {MOST_RATIO} times the bare run")


if __name__ == "__main__":
    main()
