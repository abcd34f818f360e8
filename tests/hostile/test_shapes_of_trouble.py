"""Shapes that libraries choke on: each ends in a result or in one line, never in a fault."""

import json
import subprocess
import sys

import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.fewer import MOST_AT_ONCE, fewer_corners
from quietacre.acreage.frame import LocalFrame
from quietacre.acreage.overlap import covered_m2, find_overlaps
from quietacre.boundary.repair import repair_all
from quietacre.cli import main
from quietacre.errors import StripProblem
from quietacre.strip.ring import strip_ring

FRAME = LocalFrame(-87.6, 34.2)


def test_drawings_that_touch_all_over_are_merged():
    """Rings of few places, drawn over each other: valid in degrees, not always in metres."""
    merged = 0
    for seed in (16, 256, 324, 494, 714, *range(40)):
        rng = np.random.default_rng(seed)
        n, k = rng.integers(2, 6), rng.integers(4, 14)
        places = [-87.6, 34.2] + np.round(
            rng.uniform(0, 0.003, (30, 2)), rng.integers(4, 8)
        )
        shapes = []
        for _ in range(n):
            ring = places[rng.choice(30, k, replace=rng.random() < 0.5)]
            if rng.random() < 0.3:
                ring = ring + rng.normal(0, 1e-12, ring.shape)
            shapes.append(shapely.Polygon(ring))
        fixed, _ = repair_all(np.array(shapes, dtype=object), ["x"] * n, ["s"] * n)
        single = area_m2(fixed)
        total = covered_m2(fixed, find_overlaps(fixed))
        assert single.max() * (1 - 1e-6) <= total <= single.sum() * (1 + 1e-6)
        merged += total < single.sum() * 0.99
    assert merged > 20


def comb(teeth, tooth_m=100.0):
    """Return a comb whose teeth are too close together for their number to be cut down."""
    x = np.repeat(np.arange(teeth), 2) * 0.3
    y = np.tile([0.0, tooth_m, tooth_m, 0.0], teeth)[: 2 * teeth]
    return shapely.Polygon(np.vstack([np.column_stack([x, y]), [(x[-1], -10), (0, -10)]]))


@pytest.mark.parametrize("kind", ["polygon", "line", "parts"])
def test_a_comb_of_60000_teeth_is_simplified(kind):
    """In a process of its own: the way it was, the process ended on signal 11."""
    code = (
        "import sys; sys.path.insert(0, 'tests/hostile'); import shapely\n"
        "from test_shapes_of_trouble import comb, fewer_corners\n"
        "shape = comb(60_000)\n"
        f"kind = {kind!r}\n"
        "if kind == 'line': shape = shapely.LineString(shape.exterior)\n"
        "if kind == 'parts': shape = shapely.MultiPolygon([shape, comb(5)])\n"
        "print(shapely.get_num_coordinates(fewer_corners(shape, 0.05)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 0


def test_many_corners_leave_no_edge_farther_off_than_asked():
    angle = np.linspace(0, 2 * np.pi, 5 * MOST_AT_ONCE, endpoint=False)
    ring = (500 + 20 * np.sin(9 * angle))[:, None] * np.column_stack(
        [np.cos(angle), np.sin(angle)]
    )
    shape = shapely.Polygon(ring, [shapely.Point(0, 0).buffer(100).exterior.coords])
    fewer = fewer_corners(shape, 0.5)
    assert fewer.is_valid
    assert shapely.get_num_coordinates(fewer) < 400
    assert shapely.hausdorff_distance(fewer.exterior, shape.exterior) < 1.0
    assert fewer.area == pytest.approx(shape.area, rel=1e-3)


def test_a_strip_round_a_comb_is_refused_at_once():
    patch = FRAME.to_lonlat(np.array([comb(60_000)], dtype=object))[0]
    with pytest.raises(StripProblem, match="miles long"):
        strip_ring(patch, 30.0)


WEST, EAST = -17.0, -16.998


@pytest.mark.parametrize(
    ("left", "right"),
    [(179.999, 180.001), (179.999, -179.999), (-179.999, -180.001), (179.9985, 180.004),
     (-180.004, -179.9985)],
)  # fmt: skip
def test_a_strip_across_the_antimeridian(tmp_path, left, right):
    """As large as the same strip round the same patch elsewhere."""

    def strip(a, b):
        path, out = tmp_path / "p.geojson", tmp_path / "s.geojson"
        ring = [[a, WEST], [b, WEST], [b, EAST], [a, EAST], [a, WEST]]
        path.write_text(json.dumps({"type": "Polygon", "coordinates": [ring]}))
        words = ["strip", str(path), "--width-ft", "40", "--out", str(out), "--json"]
        done = CliRunner().invoke(main, words)
        assert done.exit_code == 0, done.output
        again = CliRunner().invoke(main, ["acres", str(out), "--json"])
        return json.loads(done.stdout)["acres"], json.loads(again.stdout)["total_acres"]

    wide = (right - left) % 360 if right > 0 or left > 0 else abs(right - left)
    there = strip(left, right)
    here = strip(20.0, 20.0 + wide)
    assert there == pytest.approx(here, rel=1e-4)


@pytest.mark.parametrize("use", ["area", "boundary"])
def test_a_hole_as_large_as_its_edge_is_one_line(tmp_path, use):
    ring = [
        [-87.6, 34.2],
        [-87.598, 34.2],
        [-87.598, 34.202],
        [-87.6, 34.202],
        [-87.6, 34.2],
    ]
    for name, rings in (("empty", [ring, ring]), ("good", [ring])):
        shape = {"type": "Polygon", "coordinates": rings}
        (tmp_path / f"{name}.geojson").write_text(json.dumps(shape))
    area, line = ("empty", "good") if use == "area" else ("good", "empty")
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "x"\nboundary = "{line}.geojson"\n'
        f'[[area]]\nname = "A"\nkind = "plot"\nfrom = "{area}.geojson"\n'
    )
    done = CliRunner().invoke(main, ["build", str(tmp_path)])
    assert done.exit_code == 2, done.output
    assert "empty.geojson" in done.stderr
    assert "encloses no ground" in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
