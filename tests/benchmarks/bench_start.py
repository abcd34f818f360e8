"""Start-up, a small file, and whole builds, as seconds and as ratios to a bare import.

Run: ``python tests/benchmarks/bench_start.py``. Seconds mean this machine, this run;
the ratio to importing geopandas alone travels better.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import shapely

COUNTS = (10, 60, 1000)


def seconds(words: list[str], repeats: int = 5) -> float:
    """Return the median wall time of a command."""
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        subprocess.run(words, check=True, capture_output=True)
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def field(number: int, corners: int = 40) -> list[list[float]]:
    """Return one invented field as a ring of its own square in a grid."""
    rng = np.random.default_rng(number)
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    radius = 0.0006 * rng.uniform(0.8, 1.0, corners)
    x = -87.6 + 0.002 * (number % 40) + radius * np.cos(angle)
    y = 34.2 + 0.002 * (number // 40) + radius * np.sin(angle)
    ring = np.column_stack([x, y])
    return np.vstack([ring, ring[:1]]).round(7).tolist()


def write_property(folder: Path, count: int, corners: int = 40) -> None:
    """Write an invented property of ``count`` drawn plots, one patch in ten."""
    (folder / "drawn").mkdir(parents=True)
    features, lines = [], ['[property]\nname = "Benchmark (invented)"\n']
    for number in range(count):
        kind = "patch" if number % 10 == 9 else "plot"
        geometry = {"type": "Polygon", "coordinates": [field(number, corners)]}
        features.append(
            {"type": "Feature", "properties": {"name": f"F{number}"}, "geometry": geometry}
        )
        lines.append(
            f'[[area]]\nname = "F{number}"\nkind = "{kind}"\nfrom = "drawn/all.geojson"\n'
            + ('vine = "kudzu"\n' if kind == "patch" else 'mix = "m"\nsoil_test = "t"\n')
        )
    lines.append('[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n')
    lines.append(
        '[[soil_test]]\nname = "t"\nneed_lb_ac = { n = 40, p2o5 = 30, k2o = 30 }\n'
    )
    lines.append('[[product]]\ngrade = "13-13-13"\nprice = 17.0\n')
    lines.append('[[product]]\ngrade = "34-0-0"\nprice = 19.0\n')
    collection = {"type": "FeatureCollection", "features": features}
    (folder / "drawn" / "all.geojson").write_text(json.dumps(collection))
    (folder / "property.toml").write_text("\n".join(lines))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=1000, help="areas of the largest build")
    most = parser.parse_args().most
    program = [sys.executable, "-m", "quietacre"]
    bare = seconds([sys.executable, "-c", "import geopandas"])
    with tempfile.TemporaryDirectory() as place:
        small = Path(place) / "small.geojson"
        small.write_text(shapely.to_geojson(shapely.Polygon(field(1))))
        print(f"{'import geopandas alone':28} {bare:7.3f} s")
        for name, words in {
            "--help": [*program, "--help"],
            "acres small.geojson": [*program, "acres", str(small)],
        }.items():
            took = seconds(words)
            print(f"{name:28} {took:7.3f} s   {took / bare:5.2f} × that import")
        for count in (number for number in COUNTS if number <= most):
            folder = Path(place) / f"p{count}"
            write_property(folder, count)
            took = seconds([*program, "build", str(folder)], repeats=1)
            size = (folder / "out" / "map.html").stat().st_size
            print(
                f"{f'build, {count} areas':28} {took:7.3f} s   {took / bare:5.2f} × that import"
                f"   map {size / 1e3:,.0f} kB"
            )
            shutil.rmtree(folder)


if __name__ == "__main__":
    main()
