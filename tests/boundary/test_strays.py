"""One wrong corner, degrees taken for metres: said at any size, quiet on true drawings."""

from pathlib import Path

import geopandas as gpd
import libpysal
import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.repair import repair_all
from quietacre.boundary.strays import far_corners
from quietacre.units import ACRE_M2

LON, LAT = -86.3, 33.2
M_LAT = 1 / 110_900.0
M_LON = M_LAT / np.cos(np.radians(LAT))
SIDE_M = (7.8 * ACRE_M2) ** 0.5


def plot(xy_m, holes=()):
    def ring(points):
        return [(LON + x * M_LON, LAT + y * M_LAT) for x, y in points]

    return shapely.Polygon(ring(xy_m), [ring(hole) for hole in holes])


def notes_on(shape):
    return far_corners(np.array([shape], dtype=object), ["North"], ["n.geojson"])


def corners(kind, rng):
    """Corners of a 7.8 ac plot of a kind: a square, an uneven ring, a walk drawn closely."""
    if kind == "square":
        return np.array([(0, 0), (SIDE_M, 0), (SIDE_M, SIDE_M), (0, SIDE_M)], dtype=float)
    count = {"uneven": 9, "close": 200}[kind]
    turn = np.sort(rng.uniform(0, 2 * np.pi, count)) if kind == "uneven" else (
        np.linspace(0, 2 * np.pi, count, endpoint=False)
    )  # fmt: skip
    reach = 100.0 * (1 + 0.2 * np.sin(3 * turn) + 0.03 * rng.normal(size=count))
    return np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])


@pytest.mark.parametrize("kind", ["square", "uneven", "close"])
@pytest.mark.parametrize("off_m", [500.0, 1_500.0, 5_000.0])
def test_a_corner_half_a_kilometre_to_five_off_is_said_with_both_acreages(kind, off_m):
    rng = np.random.default_rng(int(off_m))
    for _ in range(40):
        xy = corners(kind, rng)
        true = plot(xy)
        at, turn = rng.integers(len(xy)), rng.uniform(0, 2 * np.pi)
        xy[at] += off_m * np.array([np.cos(turn), np.sin(turn)])
        wrong = plot(xy)
        before, after = area_m2(shapely.make_valid(np.array([true, wrong], dtype=object)))
        if abs(after - before) < 0.01 * before:
            continue  # a corner whose place hardly counts
        notes = notes_on(wrong)
        assert [note.code for note in notes] == ["corner-far"]
        assert f"{after / ACRE_M2:.2f}, without it" in notes[0].text
        rest = np.delete(xy, at, axis=0)
        assert f"{area_m2(np.array([plot(rest)]))[0] / ACRE_M2:.2f};" in notes[0].text


def test_a_doubt_of_more_than_a_twentieth_is_a_warning_a_smaller_one_a_caution():
    rng = np.random.default_rng(3)
    square = corners("square", rng)
    square[1] += (2_000.0, 300.0)
    assert notes_on(plot(square))[0].level == "warning"
    close = corners("close", rng)
    close[0] += (420.0, 0.0)
    assert notes_on(plot(close))[0].level == "caution"


def test_a_far_corner_of_a_hole_adds_ground_when_it_is_taken_away():
    outer = [(0, 0), (900, 0), (900, 900), (0, 900)]
    hole = [(100, 100), (130, 100), (800, 790), (130, 130), (100, 130)]
    (note,) = notes_on(plot(outer, [hole]))
    acres = (
        area_m2(np.array([plot(outer, [hole]), plot(outer, [hole[:2] + hole[3:]])]))
        / ACRE_M2
    )
    assert acres[1] > acres[0]
    assert f"acreage is {acres[0]:.2f}, without it {acres[1]:.2f}" in note.text


@pytest.mark.parametrize(
    "xy",
    [
        [(0, 0), (400, 10), (400, 60), (0, 40)],  # a long strip
        [(0, 0), (600, 0), (300, 45)],  # a triangle
        [(0, 0), (300, 0), (300, 300), (150, 320), (0, 300)],
        [(0, 0), (60, 0), (900, 30), (905, 38), (60, 60), (0, 60)],  # a plot with a lane
    ],
)
def test_true_shapes_of_few_corners_are_quiet(xy):
    assert notes_on(plot(xy)) == ()


def test_open_data_are_quiet():
    # libpysal examples: counties of North Carolina and Virginia, tracts, wards, states of
    # Mexico. The one left is a bank of sand of 20 miles and few corners, sids2 row 55.
    base = Path(libpysal.__file__).parent / "examples"
    names = []
    for name in ("us_income/us48", "virginia/virginia", "tokyo/tokyomet262", "sids2/sids2",
                 "mexico/mexicojoin", "columbus/columbus", "stl/stl_hom"):  # fmt: skip
        path = base / f"{name}.shp"
        frame = gpd.read_file(path)
        shapes = (frame.to_crs(4326) if frame.crs else frame).geometry.to_numpy()
        rows = [f"{name}{row}" for row in range(len(shapes))]
        names += [note.feature for note in far_corners(shapes, rows, rows)]
    assert set(names) <= {"sids2/sids255"}


def test_less_than_a_thousandth_of_an_acre_is_always_said():
    tiny = plot([(0, 0), (1.5, 0), (1.5, 1.5), (0, 1.5)])
    _, notes = repair_all(np.array([tiny], dtype=object), ["T"], ["t.geojson"])
    assert [note.code for note in notes] == ["hardly-any-acres"]
    assert "0.00055" in notes[0].text
