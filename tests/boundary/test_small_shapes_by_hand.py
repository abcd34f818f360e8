"""Rings made whole, thinned shapes, recordings miles across and bare points, each at its limits."""

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.plane import Plane
from quietacre.boundary.points import walk_of
from quietacre.boundary.read import read_walk
from quietacre.boundary.ring import on_ground, valid_ring
from quietacre.boundary.span import Span, too_far
from quietacre.boundary.thin import thin, thinned
from quietacre.errors import WalkRefused
from quietacre.model import Track
from quietacre.units import MILE_M

PLANE = Plane(-86.3, 33.2)
FRAME = LocalFrame(-86.3, 33.2)


# rings


def lobes(apart, slot, wide=60.0):
    """Two lobes joined by a line walked there and back; the first with a slot in its west side."""
    far = 100.0 + apart
    return np.array(
        [(0, 0), (100, 0), (100, 50), (far, 50), (far, 0), (far + wide, 0),
         (far + wide, 100), (far, 100), (far, 50), (100, 50), (100, 100), (0, 100),
         (0, 50 + slot / 2), (10, 50 + slot / 2), (10, 50 - slot / 2), (0, 50 - slot / 2)], float
    )  # fmt: skip


@pytest.mark.parametrize(
    ("apart", "slot", "joined", "closed"),
    [
        (
            0.5,
            0.7,
            True,
            False,
        ),  # lobes nearer than twice 0.3 m are joined, and so is a slot
        (0.65, 1.2, True, True),  # twice 1 m
        (1.9, 2.2, True, False),
        (2.2, 4.0, True, True),  # twice 2.5 m
        (4.8, 5.2, True, False),
        (5.3, 8.0, True, True),  # twice 5 m
        (9.5, 10.5, True, False),
        (10.5, 8.0, False, True),
        (10.5, 10.5, False, False),
    ],
)
def test_lobes_of_a_ring_are_bridged_by_the_least_that_joins_them(
    apart, slot, joined, closed
):
    made = valid_ring(lobes(apart, slot))
    assert made.is_valid
    assert made.bounds == pytest.approx((0, 0, 160 + apart if joined else 100, 100))
    assert made.covers(shapely.Point(5, 50)) is closed
    assert made.covers(shapely.Point(100 + apart / 2, 80)) is joined


@pytest.mark.parametrize(("wide", "joined"), [(10.9, False), (11.3, True)])
def test_a_lobe_of_less_than_a_tenth_is_left(wide, joined):
    """9.8 and 10.2 in a hundred of the ground of both, two metres off."""
    made = valid_ring(lobes(2.0, 0.001, wide))
    assert made.bounds == pytest.approx((0, 0, 102 + wide if joined else 100, 100), abs=0.1)


@pytest.mark.parametrize(
    ("hole", "kept"), [(13.8, False), (14.3, True), (15.0, True), (60.0, True)]
)
def test_ground_left_out_stays_so_from_two_hundredths_of_the_ring_on(hole, kept):
    """A ring round it whose slit of half a metre is bridged; a corner is walked there and back."""
    low, high = 50 - hole / 2, 50 + hole / 2
    ring = np.array(
        [(50.25, 0), (100, 0), (100, 100), (110, 110), (100, 100), (0, 100), (0, 0), (49.75, 0),
         (49.75, low), (low, low), (low, high), (high, high), (high, low), (50.25, low)]
    )  # fmt: skip
    made = valid_ring(ring)
    assert made.area == pytest.approx(1e4 - (hole**2 if kept else 0), abs=1.0)
    assert len(made.interiors) == kept
    assert made.bounds == pytest.approx((0, 0, 100, 100))


def test_of_a_ring_that_crosses_itself_the_ground_is_that_of_its_largest_part():
    bow = shapely.Polygon([(0, 0), (60, 60), (60, 0), (0, 60 / 2)])
    made = on_ground(bow, PLANE)
    assert made.is_valid
    # it crosses at (20, 20): 300 m² to the west and 1200 to the east
    local = PLANE.local(made)
    assert local.area == pytest.approx(1200, rel=1e-3)
    assert local.bounds == pytest.approx((20, 0, 60, 60), abs=0.05)


# fewer corners


def toothed(depth, base):
    """A square of 64 m by 63, a corner each metre, with a tooth on its north side."""
    line = shapely.LineString(
        [(0, 0), (64, 0), (64, 63), (32 + base / 2, 63), (32, 63 + depth), (32 - base / 2, 63),
         (0, 63), (0, 0)]
    )  # fmt: skip
    return shapely.Polygon(shapely.segmentize(line, 1.0))


@pytest.mark.parametrize(
    ("bound", "tolerance", "corners"),
    [
        (64 / 4096, 5.0, 4),  # the tooth of 64 m² is just what may go
        (63.9 / 4096, 5.0, 7),  # and half the tolerance leaves it
    ],
)
def test_thinning_takes_no_more_ground_than_may_go(bound, tolerance, corners):
    shape = toothed(4.0, 32.0)
    assert shape.area == 4096
    fewer = thin(shape, tolerance_m=tolerance, most_change=bound)
    assert shapely.get_num_coordinates(fewer) == corners + 1
    assert fewer.area == pytest.approx(4096 - (64 if corners == 4 else 0))


def test_the_tolerance_is_halved_until_the_ground_holds():
    """A tooth of 0.9 m takes too much; one of 0.45 goes at half of a metre."""
    side = 100.0
    shape = shapely.Polygon(
        [(0, 0), (side, 0), (side, 30), (side + 0.9, 50), (side, 70), (side, side),
         (55, side), (50, side + 0.45), (45, side), (0, side)]
    )  # fmt: skip
    fewer = thin(shape, tolerance_m=1.0)
    assert shapely.get_num_coordinates(fewer) == 8
    assert fewer.area == pytest.approx(side**2 + 18)


def test_a_millimetre_thins_nothing():
    shape = toothed(4.0, 32.0)
    assert thin(shape, tolerance_m=1e-3) is shape
    assert shapely.get_num_coordinates(thin(shape, tolerance_m=1.2e-3)) == 8


def test_shapes_of_any_kind_are_thinned_half_a_metre():
    """Areas part by part, lines too; points, none and nothing are left."""
    one = shapely.Polygon(shapely.segmentize(shapely.box(0, 0, 60, 60).exterior, 2.0))
    two = shapely.transform(one, lambda xy: xy + (200, 0))
    bent = shapely.LineString([(0, 0), (50, 0.45), (100, 0)])
    more = shapely.LineString([(0, 0), (50, 0.55), (100, 0)])
    shapes = [one, shapely.multipolygons([one, two]), shapely.multipolygons([two]), bent, more,
              shapely.Point(5, 5), shapely.MultiPoint([(1, 1), (2, 2)]), shapely.Polygon()]  # fmt: skip
    given = np.empty(len(shapes) + 1, dtype=object)
    given[:-1] = FRAME.to_lonlat(np.array(shapes, dtype=object))
    found = thinned(given)
    kinds = [None if shape is None else shape.geom_type for shape in found]
    assert kinds == [
        "Polygon", "MultiPolygon", "Polygon", "LineString", "LineString", "Point",
        "MultiPoint", "Polygon", None,
    ]  # fmt: skip
    assert shapely.get_num_coordinates(found).tolist() == [5, 10, 5, 2, 3, 1, 2, 0, 0]
    local = FRAME.to_local(found[:-1])
    assert shapely.area(local) == pytest.approx(
        np.array([3600, 7200, 3600, 0, 0, 0, 0, 0]), rel=2e-5
    )
    assert local[2].bounds == pytest.approx((200, 0, 260, 60), abs=0.01)
    assert shapely.length(local[3:5]) == pytest.approx([100, 2 * np.hypot(50, 0.55)])
    assert thinned(given, 0.6)[4].equals_exact(found[3], 1e-9)
    nothing = given[-2:]
    assert thinned(nothing) is nothing


# recordings miles across


def miles_of(*stretches):
    """So many fixes at each place to the east. [mi]"""
    east = np.concatenate([np.full(count, float(at)) for count, at in stretches])
    return np.column_stack([east, np.zeros(len(east))]) * MILE_M


def test_a_recording_miles_across_is_told_with_its_longest_step():
    xy = miles_of((60, 0), (50, 10), (40, 35))
    assert too_far(xy) == Span(pytest.approx(35.0), 110, pytest.approx(25.0))
    aside = xy[:, ::-1] + np.where(np.arange(150) < 20, 40.0 * MILE_M, 0.0)[:, None] * (
        1,
        0,
    )
    across = np.hypot(40, 35)
    assert too_far(aside) == Span(pytest.approx(across), 20, pytest.approx(40.0))


@pytest.mark.parametrize(
    ("stretches", "far"),
    [
        (((50, 0), (50, 30)), False),  # thirty miles are not yet too far
        (((50, 0), (50, 30.1)), True),
        (((50, -14.5), (50, 16)), True),  # farther than fifteen from the middle
        (((50, -14.9), (50, 14.9)), False),
        (((20, 0), (1, 40)), False),  # one of twenty-one is a jump
        (((19, 0), (1, 40)), True),
        (((19, 0), (2, 40)), True),
        (((198, 0), (2, 40)), False),  # of two hundred, two
        (((197, 0), (3, 40)), True),
    ],
)
def test_a_few_fixes_far_off_or_fewer_miles_are_no_other_place(stretches, far):
    assert (too_far(miles_of(*stretches)) is not None) is far


# bare points


SQUARE = np.array([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], float)


def points_of(corners, step=2.0):
    line = shapely.LineString(corners)
    at = np.arange(0.0, line.length + step / 2, step)
    xy = shapely.get_coordinates(shapely.line_interpolate_point(line, at))
    return PLANE.lonlat(xy), at / 1.25


def track_of(name, lonlat, at_s):
    return Track(name, name, "track", *lonlat.T, at_s, np.zeros(len(at_s), dtype=int))


def test_a_walk_of_points_is_that_of_a_track():
    lonlat, at_s = points_of(SQUARE, 5.0)
    plain, theirs = walk_of(lonlat, at_s), read_walk([track_of("walk", lonlat, at_s)])
    assert (plain.reading, plain.acres) == (theirs.reading, theirs.acres)
    assert (plain.source, plain.name) == ("walk", "walk")
    kept = {"walked_inside_ft": 5.0, "sky": "canopy"}
    ours = walk_of(lonlat, at_s, name="W", **kept)
    theirs = read_walk([track_of("W", lonlat, at_s)], source="W", **kept)
    assert (ours.acres, ours.acres_low, ours.source) == (
        theirs.acres,
        theirs.acres_low,
        "W",
    )
    out = walk_of(lonlat, at_s, walked_outside_ft=5.0)
    assert out.acres < plain.acres < ours.acres
    half_m = 5.0 * 0.3048
    assert ours.acres == pytest.approx(plain.acres * (1 + 2 * half_m / 100) ** 2, rel=1e-3)
    assert out.acres == pytest.approx(plain.acres * (1 - 2 * half_m / 100) ** 2, rel=1e-3)


def test_points_without_times_are_walked_at_the_usual_pace():
    lonlat, at_s = points_of(SQUARE, 5.0)
    theirs = read_walk([track_of("walk", lonlat, np.full(len(at_s), np.nan))])
    assert walk_of(lonlat).reading == theirs.reading


@pytest.mark.parametrize(
    ("points", "times", "what", "fix"),
    [
        (5.0, None, "points are not pairs", "give longitude and latitude of each"),
        ([], None, "points are not pairs", "give longitude and latitude of each"),
        ([(1.0, 2.0, 3.0)], None, "points are not pairs", "give longitude and latitude of each"),
        ([[(1.0, 2.0)]], None, "points are not pairs", "give longitude and latitude of each"),
        ([(1.0, 2.0)] * 4, [0.0] * 3, "4 points have 3 times", "give a time for each, or none"),
        ([(180.1, 2.0)], None, "holds a point that is no longitude and latitude", "give degrees, longitude first"),
        ([(0.0, -90.1)], None, "holds a point that is no longitude and latitude", "give degrees, longitude first"),
        ([(0.0, np.inf)], None, "holds a point that is no longitude and latitude", "give degrees, longitude first"),
    ],
)  # fmt: skip
def test_points_that_are_no_places_are_refused(points, times, what, fix):
    with pytest.raises(WalkRefused) as refused:
        walk_of(points, times, name="Bench")
    said = refused.value
    assert (said.what, said.fix, said.source) == (what, fix, "Bench")


def test_a_fix_on_the_antimeridian_is_a_place():
    lonlat, at_s = points_of(SQUARE)
    lonlat[:, 0] = np.minimum(lonlat[:, 0] + 180.0 - lonlat[:, 0].max(), 180.0)
    assert lonlat[:, 0].max() == 180.0
    assert walk_of(lonlat, at_s).acres == pytest.approx(2.471, rel=2e-3)
