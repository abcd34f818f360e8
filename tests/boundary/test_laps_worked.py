"""Laps of one edge and loops that touch, as laid out by hand; and the picture of a figure."""

import functools
import xml.etree.ElementTree as ET

import close_steps
import numpy as np
import pytest
import shapely
from shapely.ops import substring

from quietacre.boundary.average import average
from quietacre.boundary.differ import ways_round
from quietacre.boundary.loop import find_loop
from quietacre.boundary.plane import Plane
from quietacre.boundary.points import walk_of
from quietacre.boundary.sketch import sketch_svg
from quietacre.boundary.strays import far_corners, long_sides
from quietacre.boundary.two_laps import halves, in_a_row
from quietacre.errors import BadInput, WalkRefused
from quietacre.model import Layer, Leg, Traverse
from quietacre.units import ACRE_M2

closely = functools.partial(close_steps.closely, step=1.5)

PLANE = Plane(-86.3, 33.2)
SVG = "{http://www.w3.org/2000/svg}"


def round_of(side, x=0.0, y=0.0):
    """Round a square from the middle of its south side and back there."""
    half = side / 2
    return [
        (x + half, y),
        (x + side, y),
        (x + side, y + side),
        (x, y + side),
        (x, y),
        (x + half, y),
    ]


def averaged(*laps):
    xy = closely([place for lap in laps for place in lap])
    loop = find_loop(xy)
    return average(xy, np.arange(len(xy)) * 1.25, loop), loop


# laps of one edge


def test_two_laps_three_metres_apart_make_the_one_between():
    """Squares of 120 m and, inside, 114: their mean is 117, and they lie 3 m apart."""
    mean, loop = averaged(round_of(120), round_of(114, 3, 3))
    assert len(loop.laps) == 2
    assert mean.laps == pytest.approx(2.0, abs=0.05)
    assert shapely.Polygon(mean.ring).area == pytest.approx(117**2, rel=0.01)
    assert np.median(np.abs(mean.apart_m)) == pytest.approx(3.0, abs=0.1)
    areas = sorted(shapely.Polygon(lap.ring).area for lap in mean.each)
    assert areas == pytest.approx([114**2, 120**2], rel=0.01)
    assert [lap.same_way for lap in mean.each] == [True, True]


def test_a_lap_the_other_way_round_is_no_drift_where_it_keeps_to_one_side():
    mean, loop = averaged(round_of(120), [(60, 0), (60, 3), *round_of(114, 3, 3)[::-1]])
    assert len(mean.each) == 2
    assert sorted(lap.same_way for lap in mean.each) == [False, True]
    assert np.abs(mean.apart_m).mean() < 0.4
    assert shapely.Polygon(mean.ring).area == pytest.approx(117**2, rel=0.012)
    one, two = ways_round(mean, PLANE)
    assert {one.what, two.what} == {"a lap the way it began", "a lap the other way round"}
    assert sorted([one.acres, two.acres]) == pytest.approx(
        [114**2 / ACRE_M2, 120**2 / ACRE_M2], rel=0.012
    )


def test_three_laps_count_three():
    mean, loop = averaged(round_of(120), round_of(117, 1.5, 1.5), round_of(114, 3, 3))
    assert loop.counted == 3
    assert mean.laps == pytest.approx(3.0, abs=0.05)
    assert shapely.Polygon(mean.ring).area == pytest.approx(117**2, rel=0.01)
    assert ways_round(mean, PLANE) == ()


@pytest.mark.parametrize(("part", "counted"), [(0.6, 1.0), (0.8, 1.75)])
def test_a_part_of_a_lap_counts_from_seven_tenths_on(part, counted):
    line = shapely.LineString(round_of(120))
    more = substring(line, 0, part, normalized=True).coords
    _, loop = averaged(round_of(120), list(more)[1:])
    assert loop.counted == pytest.approx(counted, abs=0.1)


def test_a_way_in_and_out_is_no_part_of_the_loop():
    mean, loop = averaged([(60, -150), (60, -1)], round_of(120), [(60, -1), (20, -150)])
    assert shapely.Polygon(mean.ring).area == pytest.approx(120**2, rel=0.005)
    assert loop.gap_m == 0.0
    assert loop.depth_m == pytest.approx(60, abs=6)
    assert loop.ends[0] == pytest.approx(100, abs=4)


@pytest.mark.parametrize(("short", "bridged"), [(10, False), (25, True)])
def test_a_gap_of_more_than_15_metres_is_bridged(short, bridged):
    """Of a lap of 400 m three in a hundred are 12 m; the same place is 15."""
    _, loop = averaged([(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50 - short, 0)])
    assert bool(loop.gap_m) is bridged
    if bridged:
        assert loop.gap_m == pytest.approx(short, abs=1.6)


# two loops


def dumbbell(gap, side=60.0, way=2.0):
    """Two squares joined by a lane of so many metres' width, walked round as one."""
    mid = side / 2
    low, high = mid - gap / 2, mid + gap / 2
    far = side + way
    return [(0, mid), (0, 0), (side, 0), (side, low), (far, low), (far, 0), (far + side, 0),
            (far + side, side), (far, side), (far, high), (side, high), (side, side), (0, side), (0, mid)]  # fmt: skip


@pytest.mark.parametrize(("gap", "two"), [(6.0, True), (30.0, False)])
def test_a_lap_is_two_where_it_comes_near_itself(gap, two):
    """A neck is no wider than 20 m, nor than four tenths of the smaller half's width."""
    xy = closely(dumbbell(gap))
    found = halves(xy, (0, len(xy) - 1))
    assert (found is not None) is two
    if two:
        assert min(found.inner_m2, found.outer_m2) >= 3600 * 0.95
        assert found.inner_m2 + found.outer_m2 == pytest.approx(7200 + 2 * gap, rel=0.02)


def test_two_squares_walked_one_after_the_other_are_a_row():
    xy = closely([*round_of(60), (30, -40), (150, -40), *round_of(60, 120, 0)])
    found = in_a_row(xy, 3600.0)
    assert not found.crossed
    areas = [shapely.Polygon(xy[a : b + 1]).area for a, b in (found.one, found.two)]
    assert areas == pytest.approx([3600, 3600], rel=0.03)
    assert in_a_row(closely(round_of(60)), 3600.0) is None
    assert in_a_row(closely([*round_of(60), *round_of(60)]), 3600.0) is None, (
        "one ground twice"
    )


def lonlat(corners):
    return PLANE.lonlat(closely(corners))


def test_two_pieces_of_ground_in_one_walk_are_refused_and_a_small_one_is_told():
    two = [*round_of(90), (45, -40), (225, -40), *round_of(90, 180, 0)]
    with pytest.raises(WalkRefused, match=r"of about 2.00 and 2.00 ac") as told:
        walk_of(lonlat(two), name="W")
    assert "cut it in two" in told.value.fix
    small = [*round_of(120), (60, -40), (225, -40), *round_of(40, 200, 0)]
    walk = walk_of(lonlat(small), name="W")
    assert walk.acres == pytest.approx(120**2 / ACRE_M2, rel=0.01)
    assert "second-loop" in {note.code for note in walk.notes}
    crumb = [*round_of(150), (75, -40), (225, -40), *round_of(35, 210, 0)]
    assert "second-loop" not in {n.code for n in walk_of(lonlat(crumb), name="W").notes}


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([(0, 0), (300, 0), (300, 300), (0, 300)], "does not close into a loop"),
        ([(0, 0), (200, 0), (0, 0)], "does not close into a loop"),
        ([(0, 0), (200, 0), (200, 1.5), (0, 1.5), (0, 0)], "encloses|close"),
    ],
)
def test_what_encloses_nothing_to_trust_is_refused(corners, words):
    with pytest.raises(WalkRefused, match=words):
        walk_of(lonlat(corners), name="W")


# a corner far off


def stray(away, corners=6):
    """A ring 100 m wide of so many corners, and one more that stands so far off its east side."""
    turn = 2 * np.pi * (np.arange(corners) + 0.5) / corners
    ring = 50 * np.column_stack([np.cos(turn), np.sin(turn)])
    return ring, np.vstack([ring, (ring[0] + ring[-1]) / 2 + (away, 0.0)])


@pytest.mark.parametrize(
    ("corners", "times", "told"),
    [(6, 1.10, False), (6, 1.20, True), (9, 1.10, False), (9, 1.20, True), (4, 1.25, False), (4, 1.35, True),
     (3, 1.45, False), (3, 1.55, True)],
)  # fmt: skip
def test_a_corner_is_doubted_beyond_so_many_widths_of_the_others(corners, times, told):
    """1.15 widths; 1.3 of a ring of five corners, 1.5 of four."""
    ring, _ = stray(0.0, corners)
    width = np.hypot(*np.ptp(ring, axis=0))
    x, y = (ring[0] + ring[-1]) / 2
    # from its nearest corner, up or down the side
    reach = np.sqrt((times * width) ** 2 - (ring[0, 1] - y) ** 2) + ring[0, 0] - x
    _, whole = stray(reach, corners)
    shape = PLANE.ground(shapely.Polygon(whole))
    notes = far_corners(np.array([shape]), ["Bench"], ["b.kml"])
    assert bool(notes) is told
    if told:
        lon, lat = PLANE.lonlat(whole[-1:])[0]
        assert (notes[0].lon, notes[0].lat) == pytest.approx((lon, lat), abs=1e-6)
        without = shapely.Polygon(ring).area / ACRE_M2
        assert f"without it {without:.2f}" in notes[0].text


@pytest.mark.parametrize(("reach", "told"), [(14.5, False), (15.5, True), (18.0, True)])
def test_a_side_of_more_than_fifteen_degrees_is_no_side(reach, told):
    shape = shapely.Polygon([(-100, 30), (-100 + reach, 31), (-99, 33)])
    notes = long_sides(np.array([shape]), ["Far"], ["f.shp"])
    assert bool(notes) is told
    if told:
        assert "which is no side of a piece of ground" in notes[0].text
    wide = shapely.Polygon([(-100 + 2 * k, 30 + k % 2) for k in range(10)] + [(-91, 40)])
    assert long_sides(np.array([wide]), ["Wide"], ["f.shp"]) == ()


# the picture of a figure


def test_the_sketch_of_a_figure_has_each_corner_leg_and_the_gap():
    """300 by 500 ft in a picture of 640 with 70 at each side: a foot a unit."""
    courses = [(0, 500), (90, 300), (180, 500), (270, 290)]
    legs = tuple(Leg(float(a), float(f)) for a, f in courses)
    layer = Layer.__new__(Layer)
    object.__setattr__(layer, "deed", None)
    object.__setattr__(layer, "traverse", Traverse("T", "t.csv", legs, "tape"))
    root = ET.fromstring(sketch_svg(layer))  # noqa: S314 - our own output
    dots = [(float(d.get("cx")), float(d.get("cy"))) for d in root.iter(f"{SVG}circle")]
    east = 10 / 1590  # shared out by length
    wanted = [
        (70 + 500 * east * 0, 570),
        (70 - 500 * east, 70),
        (370 - 800 * east, 70),
        (370 - 1300 * east, 570),
    ]
    low = min(x for x, _ in wanted)
    assert dots == pytest.approx(np.array([(x - low + 70, y) for x, y in wanted]), abs=0.11)
    (gap,) = root.iter(f"{SVG}line")
    ends = [float(gap.get(key)) for key in ("x1", "y1", "x2", "y2")]
    assert ends[2] - ends[0] == pytest.approx(-10, abs=0.11)
    assert ends[1] == ends[3] == pytest.approx(570, abs=0.11)
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert words[:8:2] == ["1", "2", "3", "4"]
    assert "500.0 ft" in words[1]
    assert "290.0 ft" in words[7]
    assert "misses its beginning by 10.0 ft (1:159)" in words[-1]
    places = [(float(t.get("x")), float(t.get("y"))) for t in root.iter(f"{SVG}text")]
    assert places[0] == pytest.approx((dots[0][0] + 6, dots[0][1] - 6), abs=0.11)
    assert places[1] == pytest.approx(np.mean(dots[:2], axis=0), abs=0.11)
    assert places[7] == pytest.approx(np.mean([dots[3], dots[0]], axis=0), abs=0.11)
    object.__setattr__(layer, "traverse", None)
    with pytest.raises(BadInput, match="no legs to draw"):
        sketch_svg(layer)
