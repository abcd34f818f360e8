"""Ours beside the script one would write, pair by pair, for the benchmark plugin of pytest.

``pytest tests/benchmarks --benchmark-enable`` times them and prints how many times slower the
slower of each pair is; ``--benchmark-autosave`` keeps the run, ``--benchmark-compare``
sets the next one beside it. Without it each pair runs once, on little, and both must give
an answer.
"""

from __future__ import annotations

import subprocess
import sys

import bench_fertilizer
import bench_ring
import bench_year
import geopandas as gpd
import numpy as np
import pytest
import shapely
from bench_acreage import fields
from bench_read import pairs
from bench_start import field, write_property
from bench_walk import bare, resampled
from pyproj import Geod
from run_all import BY_HAND, FOLIUM
from walk_accuracy import simulate

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.read import read_walk
from quietacre.need.fertilizer import plan_fertilizer
from quietacre.settings import Buying
from quietacre.strip.ring import QUARTER_CHORDS, ring_acres
from quietacre.units import FT_M
from quietacre.year.plan import plan_days

PROGRAM = [sys.executable, "-m", "quietacre"]
SMALL_FILE = (
    "import sys, geopandas as gpd; print(gpd.read_file(sys.argv[1]).to_crs(6933).area)"
)
KINDS = ("geojson", "gpkg", "shp", "zip", "kml", "kmz", "csv", "gpx",
         "property.toml", "rain.csv", "log.csv", "png")  # fmt: skip


@pytest.fixture(scope="session")
def timed(request):
    """Whether times are taken."""
    return request.config.getoption("benchmark_enable")


@pytest.fixture(scope="session")
def files(tmp_path_factory, timed):
    return pairs(
        tmp_path_factory.mktemp("read"), *((10_000, 100_000) if timed else (20, 200))
    )


@pytest.fixture(scope="session")
def shapes(timed):
    return fields(10_000 if timed else 50)


@pytest.fixture(scope="session")
def drawn(tmp_path_factory):
    """Give a property of 60 areas."""
    folder = tmp_path_factory.mktemp("sixty") / "p60"
    write_property(folder, 60)
    return folder


def by_who(function):
    return pytest.mark.parametrize("ours", [True, False], ids=["ours", "by hand"])(function)


def run(words):
    return subprocess.run(words, check=True, capture_output=True).stdout


@by_who
@pytest.mark.parametrize("kind", KINDS)
def test_reading(kind, ours, files, benchmark):
    benchmark.group = f"reading {kind}"
    assert benchmark(files[kind][0 if ours else 1]) is not None


@by_who
def test_start_up(ours, benchmark):
    benchmark.group = "start-up: --help beside importing geopandas"
    words = [*PROGRAM, "--help"] if ours else [sys.executable, "-c", "import geopandas"]
    benchmark(run, words)


@by_who
def test_acres_of_a_small_file(ours, tmp_path, benchmark):
    benchmark.group = "acres of a small file"
    path = tmp_path / "small.geojson"
    path.write_text(shapely.to_geojson(shapely.Polygon(field(1))))
    words = [*PROGRAM, "acres"] if ours else [sys.executable, "-c", SMALL_FILE]
    assert benchmark(run, [*words, str(path)])


@pytest.mark.parametrize("who", ["ours", "to_crs", "Geod loop"])
def test_acreage(who, shapes, benchmark):
    benchmark.group = "acreage"
    series = gpd.GeoSeries(shapes, crs="EPSG:4326")
    geod, orient = Geod(ellps="WGS84"), shapely.geometry.polygon.orient
    found = benchmark({
        "ours": lambda: area_m2(shapes),
        "to_crs": lambda: series.to_crs(6933).area.to_numpy(),
        "Geod loop": lambda: [geod.geometry_area_perimeter(orient(s))[0] for s in shapes],
    }[who])  # fmt: skip
    assert np.asarray(found) == pytest.approx(area_m2(shapes), rel=1e-3)


@by_who
def test_walk_of_1000_fixes(ours, benchmark):
    benchmark.group = "a walk of 1,000 fixes"
    track = resampled(simulate(3000).track, 1000)
    assert benchmark(lambda: read_walk([track])) if ours else benchmark(bare, track)


@by_who
def test_acres_of_strips(ours, timed, benchmark):
    benchmark.group = "acres of strips"
    lonlat, local = bench_ring.patches(2_000 if timed else 20)

    def by_hand():
        width_m = bench_ring.WIDTH_FT * FT_M
        grown = shapely.buffer(local, width_m, quad_segs=QUARTER_CHORDS)
        return shapely.area(shapely.difference(grown, local)) / 4046.8564224

    found = benchmark(
        (lambda: ring_acres(lonlat, bench_ring.WIDTH_FT)) if ours else by_hand
    )
    assert found == pytest.approx(by_hand(), rel=2e-3)


@by_who
def test_whole_bags(ours, timed, benchmark):
    benchmark.group = "whole bags"
    case = bench_fertilizer.case(1, 12 if timed else 2)
    if ours:
        plan = benchmark(lambda: plan_fertilizer(*case, Buying(), runners_up=0))
        assert plan.cost <= bench_fertilizer.by_hand(*case)
    else:
        assert benchmark(bench_fertilizer.by_hand, *case) > 0


@by_who
def test_year(ours, timed, benchmark):
    benchmark.group = "the year: fewest trips beside the first day that fits"
    prop, acres = bench_year.big_property(*((12, 9.0, 14.0) if timed else (2, 9.0, 2.0)))
    ground = bench_year.ground_of(prop, acres)
    plan = benchmark(plan_days, ground, prop, effort="best" if ours else "plain")
    assert not plan.missed


@by_who
def test_whole_build(ours, drawn, tmp_path, benchmark):
    benchmark.group = "whole build of 60 areas"
    by_hand = [sys.executable, "-c", BY_HAND]
    words = [str(drawn / "drawn" / "all.geojson"), str(tmp_path / "page.html")]
    benchmark(run, [*PROGRAM, "build", str(drawn)] if ours else by_hand + words)


def test_scripts_by_hand_draw_a_map(drawn, tmp_path):
    page = tmp_path / "page.html"
    run([sys.executable, "-c", FOLIUM, str(drawn / "drawn" / "all.geojson"), str(page)])
    assert page.stat().st_size > 10_000
