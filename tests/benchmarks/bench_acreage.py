"""Acreage of 100,000 field polygons, as ratios to the scripts one would write by hand.

Run: ``python tests/benchmarks/bench_acreage.py [--polygons N]``. Everything is timed in
this one run; only ratios mean anything on another machine.
"""

from __future__ import annotations

import argparse
import statistics
import time
import tracemalloc

import geopandas as gpd
import numpy as np
import shapely
from pyproj import Geod

from quietacre.acreage.equal_area import area_m2


def fields(count: int, seed: int = 7) -> np.ndarray:
    """Return star-shaped fields of 40 to 400 vertices, 0.1 to 120 acres."""
    rng = np.random.default_rng(seed)
    corners = rng.integers(40, 401, count)
    lat = np.repeat(rng.uniform(30, 49, count), corners)
    lon = np.repeat(rng.uniform(-100, -78, count), corners)
    size = np.repeat(np.sqrt(rng.uniform(400, 480_000, count) / np.pi) / 111_200, corners)
    row = np.repeat(np.arange(count), corners)
    first = np.repeat(np.cumsum(corners) - corners, corners)
    angle = 2 * np.pi * (np.arange(len(row)) - first) / np.repeat(corners, corners)
    radius = size * rng.uniform(0.7, 1.0, len(row))
    x = lon + radius * np.cos(angle) / np.cos(np.radians(lat))
    y = lat + radius * np.sin(angle)
    return shapely.polygons(shapely.linearrings(np.column_stack([x, y]), indices=row))


def seconds(run, repeats: int = 3) -> float:
    """Return the median wall time of ``run``."""
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def compare(count: int) -> dict[str, float]:
    """Return the two ratios, the disagreement and our extra memory."""
    shapes = fields(count)
    series = gpd.GeoSeries(shapes, crs="EPSG:4326")
    ours = seconds(lambda: area_m2(shapes))
    by_projection = seconds(lambda: series.to_crs(6933).area, repeats=1)
    geod = Geod(ellps="WGS84")
    some = shapes[: max(1, count // 20)]

    def by_loop() -> list[float]:
        orient = shapely.geometry.polygon.orient
        return [geod.geometry_area_perimeter(orient(shape))[0] for shape in some]

    loop = seconds(by_loop, repeats=1) * len(shapes) / len(some)
    tracemalloc.start()
    mine = area_m2(shapes)
    extra = tracemalloc.get_traced_memory()[1] / 2**20
    tracemalloc.stop()
    apart = np.abs(mine / series.to_crs(6933).area.to_numpy() - 1).max()
    return {
        "polygons": count,
        "us_per_polygon": 1e6 * ours / count,
        "times_faster_than_to_crs_6933": by_projection / ours,
        "times_faster_than_orient_geod_loop": loop / ours,
        "extra_mib": extra,
        "largest_disagreement_with_6933": float(apart),
    }


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--polygons", type=int, default=100_000)
    for key, value in compare(parser.parse_args().polygons).items():
        print(f"{key:38} {value:12.6g}")
