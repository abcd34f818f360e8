"""A county's worth of polygons through ``quietacre acres --out``: time and peak memory.

Run: ``python tests/benchmarks/bench_county.py [--polygons N] [--out csv|gpkg]``. The
GeoPackage is invented and made first; the command is timed as its own process. Its
growth is seen by running a tenth as many beside it.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import shapely
from pyogrio.raw import write

CORNERS = 40
CHUNK = 50_000


def write_county(path: Path, count: int) -> None:
    """Write ``count`` invented fields of 40 corners, a grid with gaps, as a GeoPackage."""
    angle = np.linspace(0, 2 * np.pi, CORNERS, endpoint=False)
    for start in range(0, count, CHUNK):
        number = np.arange(start, min(start + CHUNK, count))
        rng = np.random.default_rng(start)
        radius = 0.0006 * rng.uniform(0.8, 1.0, (len(number), CORNERS))
        x = -95 + 0.002 * (number % 1000)[:, None] + radius * np.cos(angle)
        y = 34 + 0.002 * (number // 1000)[:, None] + radius * np.sin(angle)
        rings = np.dstack([x, y])
        shapes = shapely.polygons(np.concatenate([rings, rings[:, :1]], axis=1))
        names = np.array([f"F{n}" for n in number], dtype=object)
        write(
            path, shapely.to_wkb(shapes), [names], np.array(["name"]), layer="fields",
            driver="GPKG", geometry_type="Polygon", crs="EPSG:4326", append=start > 0,
            layer_options={"SPATIAL_INDEX": "NO"},
        )  # fmt: skip


def measure(folder: Path, count: int, kind: str) -> tuple[float, float]:
    """Return the seconds and the peak memory [MB] of one run in its own process."""
    path = folder / f"county-{count}.gpkg"
    write_county(path, count)
    out = folder / f"acres-{count}.{kind}"
    words = [sys.executable, "-m", "quietacre", "acres", str(path), "--out", str(out)]
    code = (
        "import resource, subprocess, sys\n"
        "subprocess.run(sys.argv[1:], check=True, stdout=sys.stderr)\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", code, *words], check=True, stdout=subprocess.PIPE, text=True
    )
    took = time.perf_counter() - start
    size = path.stat().st_size / 1e6
    peak = int(done.stdout) * 1024 / 1e6
    print(
        f"{count:>9,} polygons ({size:,.0f} MB) to .{kind}: {took:6.1f} s, "
        f"{1e6 * took / count:5.1f} µs each, peak {peak:,.0f} MB",
        flush=True,
    )
    path.unlink()
    return took, peak


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--polygons", type=int, default=1_000_000)
    parser.add_argument("--out", choices=["csv", "gpkg"], default="csv")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        for many in (asked.polygons // 10, asked.polygons):
            measure(Path(place), many, asked.out)
