"""The strip on the ground, measured with geodesics."""

import itertools

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.errors import StripProblem
from quietacre.strip.ring import (
    Obstacle,
    _runs,
    _solid,
    beyond,
    edge_stations,
    lengths_ft,
    ring_acres,
    strip_ring,
    within_reach,
)
from quietacre.units import ACRE_M2, FT_M

GEOD = Geodesic.WGS84


def ground_polygon(lat, xy, lon=-88.0):
    """Return a polygon whose corners lie x metres east and y north, by geodesics."""
    corners = []
    for x, y in xy:
        spot = GEOD.Direct(lat, lon, np.degrees(np.arctan2(x, y)), float(np.hypot(x, y)))
        corners.append((spot["lon2"], spot["lat2"]))
    return shapely.Polygon(corners)


def circle(radius, count=720):
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


SQUARE = [(-50, -50), (50, -50), (50, 50), (-50, 50)]
PATCHES = {
    "square": SQUARE,
    "circle": circle(40),
    "long": [(-150, -10), (150, -12), (148, 9), (-149, 11)],
}


WIDTH_CASES = list(itertools.product([25.0, 49.0], PATCHES, [20.0, 60.0, 120.0]))


def off_the_width(lat, name, width_ft):
    """Return by how much of the width the outer edge strays from it, where it does most."""
    off = []
    patch = ground_polygon(lat, PATCHES[name])
    ring = strip_ring(patch, width_ft)
    outer = shapely.Polygon(ring.exterior).exterior
    edge = patch.exterior
    for share in np.linspace(0, 1, 180, endpoint=False):
        point = outer.interpolate(share, normalized=True)
        stretched = np.array([np.cos(np.radians(lat)), 1.0])
        flat = shapely.transform(edge, lambda c, k=stretched: c * k)
        at = shapely.Point(point.x * stretched[0], point.y)
        near = flat.interpolate(flat.project(at))
        rough = np.array([near.x / stretched[0], near.y])
        least = min(
            GEOD.Inverse(point.y, point.x, rough[1] + dy, rough[0] + dx)["s12"]
            for dx, dy in [(0.0, 0.0)]
        )
        off.append(abs(least / FT_M / width_ft - 1))
    return max(off)


@pytest.mark.parametrize(("lat", "name", "width_ft"), WIDTH_CASES)
def test_width_on_the_ground(lat, name, width_ft):
    """Every part of the outer edge lies the asked width from the patch, within 0.3 %."""
    assert off_the_width(lat, name, width_ft) < 3e-3


def off_by_hand():
    """Return by how much of itself a strip is apart from hand reckoning: circle, square."""
    width = 60.0 * FT_M
    ring = strip_ring(ground_polygon(34.0, circle(40)), 60.0)
    by_hand = np.pi * ((40 + width) ** 2 - 40**2)
    round_it = area_m2(np.array([ring]))[0] / by_hand - 1
    square = strip_ring(ground_polygon(34.0, SQUARE), 60.0)
    by_hand = 400 * width + np.pi * width**2
    return abs(round_it), abs(area_m2(np.array([square]))[0] / by_hand - 1)


def test_circle_and_rectangle_by_hand():
    assert max(off_by_hand()) < 1e-3


def test_national_projection_would_be_wrong_and_ours_is_not():
    """A 60 ft buffer in EPSG:6933 at 40° N is 53.1 ft one way and 67.8 the other."""
    import geopandas as gpd

    patch = ground_polygon(40.0, SQUARE)
    bad = (
        gpd.GeoSeries([patch], crs=4326).to_crs(6933).buffer(60 * FT_M).to_crs(4326).iloc[0]
    )
    widths = {}
    for name, shape in {"6933": bad, "ours": strip_ring(patch, 60.0).union(patch)}.items():
        west, south, east, north = shape.bounds
        inner = patch.bounds
        widths[name] = (
            GEOD.Inverse(40.0, inner[2], 40.0, east)["s12"] / FT_M,
            GEOD.Inverse(inner[3], -88.0, north, -88.0)["s12"] / FT_M,
        )
    assert widths["6933"] == (pytest.approx(53.1, abs=0.3), pytest.approx(67.8, abs=0.3))
    assert widths["ours"] == (pytest.approx(60.0, rel=3e-3), pytest.approx(60.0, rel=3e-3))


def test_strip_shares_no_area_with_the_patch_and_fills_clearings():
    hole = circle(20)[::-1]
    patch = ground_polygon(34.0, circle(60))
    patch = shapely.Polygon(patch.exterior, [ground_polygon(34.0, hole).exterior])
    ring = strip_ring(patch, 20.0)
    assert (
        area_m2(np.array([ring.intersection(patch)]))[0]
        < 1e-6 * area_m2(np.array([patch]))[0]
    )
    assert ring.geom_type == "MultiPolygon"  # outside, and inside the clearing
    inside = min(ring.geoms, key=lambda g: g.area)
    width = 20 * FT_M
    assert area_m2(np.array([inside]))[0] == pytest.approx(
        np.pi * (20**2 - (20 - width) ** 2), rel=2e-3
    )


def test_strip_is_cut_back():
    patch = ground_polygon(34.0, SQUARE)
    line = ground_polygon(34.0, [(-200, -200), (58, -200), (58, 200), (-200, 200)])
    pond = ground_polygon(34.0, [(-70, -200), (-55, -200), (-55, 200), (-70, 200)])
    ring = strip_ring(patch, 60.0, boundary=line, keep_out=[pond])
    assert area_m2(np.array([ring.difference(line)]))[0] < 1e-3
    assert area_m2(np.array([ring.intersection(pond)]))[0] < 1e-3
    whole = strip_ring(patch, 60.0)
    assert 0.5 < area_m2(np.array([ring]))[0] / area_m2(np.array([whole]))[0] < 0.95


def test_weak_stretches_have_length_and_reason():
    patch = ground_polygon(34.0, SQUARE)
    pond = ground_polygon(34.0, [(58, -200), (70, -200), (70, 200), (58, 200)])
    found = edge_stations(patch, 60.0, [Obstacle("water “pond”", pond)])
    assert len(found.weak) == 1
    line, there_ft, reason, verdict = found.weak[0]
    assert (reason, verdict) == ("water “pond”", "NARROW")
    assert there_ft == pytest.approx(8 / FT_M, rel=0.01)
    xy = shapely.get_coordinates(LocalFrame.around([patch]).to_local(np.array([line]))[0])
    along = np.hypot(*np.diff(xy, axis=0).T).sum()
    # the east side, and the corners' reach along the two next to it
    assert 100 <= along <= 100 + 2 * 16
    assert edge_stations(patch, 60.0, []).weak == ()


def test_no_width_and_no_patch():
    with pytest.raises(StripProblem, match="none"):
        strip_ring(ground_polygon(34.0, SQUARE), 0.0)
    with pytest.raises(StripProblem, match="no patch"):
        strip_ring(shapely.Polygon(), 10.0)


def test_acres_of_a_strip_are_what_a_person_expects():
    # a 100 m square with a 60 ft strip: 4 sides and a circle's worth of corners
    ring = strip_ring(ground_polygon(34.0, SQUARE), 60.0)
    assert area_m2(np.array([ring]))[0] / ACRE_M2 == pytest.approx(2.066, abs=0.003)


def test_stations_stand_two_to_five_metres_apart_and_judge_each_place():
    patch = ground_polygon(34.0, SQUARE)
    line = ground_polygon(34.0, [(-200, -200), (58, -200), (58, 200), (-200, 200)])
    timber = ground_polygon(34.0, [(-62, -50), (-300, -50), (-300, 50), (-62, 50)])
    road = ground_polygon(34.0, [(-50, 52), (50, 52), (50, 56), (-50, 56)])
    found = edge_stations(
        patch, 60.0,
        [Obstacle("property line", line.boundary, hard=True), Obstacle("timber", timber, 10.0),
         Obstacle("road", road)], fail_below_ft=10.0,
    )  # fmt: skip
    gaps = [
        GEOD.Inverse(*place)["s12"]
        for place in zip(found.lat, found.lon, np.roll(found.lat, -1), np.roll(found.lon, -1), strict=True)
    ]  # fmt: skip
    assert min(gaps) >= 2.0
    assert max(gaps) <= 5.0
    by = {weak.reason: weak for weak in found.weak}
    assert by["property line"].verdict == "FAIL"  # inside the width, never shrunk silently
    assert by["timber"].verdict == "NARROW"
    assert by["timber"].available_ft == pytest.approx(12 / FT_M - 10.0, abs=0.2)
    assert by["road"].verdict == "FAIL"
    assert by["road"].available_ft == pytest.approx(2 / FT_M, abs=0.1)
    south = found.verdict[np.abs(found.lon + 88.0) < 1e-4][
        found.lat[np.abs(found.lon + 88.0) < 1e-4] < 34.0
    ]
    assert (south == "PASS").all()
    assert len(south)


def test_what_lies_across_the_patch_is_not_in_the_way():
    thin = ground_polygon(34.0, [(-60, -4), (60, -4), (60, 4), (-60, 4)])
    pond = ground_polygon(34.0, [(-60, 8), (60, 8), (60, 30), (-60, 30)])
    found = edge_stations(thin, 60.0, [Obstacle("pond", pond)])
    inner = np.abs(found.lon + 88.0) < 3e-4  # some 28 m either side of the middle
    assert (found.verdict[inner & (found.lat < 34.0)] == "PASS").all()
    assert (found.verdict[inner & (found.lat > 34.0)] == "NARROW").all()


def test_inlet_is_filled_once_and_shares_nothing_with_the_patch():
    """A U of two 20 m arms, 10 m apart: a 30 ft strip fills the inlet whole."""
    patch = ground_polygon(
        34.0, [(0, 0), (50, 0), (50, 60), (30, 60), (30, 20), (20, 20), (20, 60), (0, 60)]
    )
    ring = strip_ring(patch, 30.0)
    inlet = ground_polygon(34.0, [(20.1, 20.1), (29.9, 20.1), (29.9, 60), (20.1, 60)])
    assert area_m2(np.array([inlet.difference(ring)]))[0] < 0.01
    assert area_m2(np.array([ring.intersection(patch)]))[0] < 1e-3


def test_ring_acres_of_many_agree_with_each_ring():
    patches = [ground_polygon(34.0, xy) for xy in PATCHES.values()]
    got = ring_acres(patches, np.array([20.0, 60.0, 120.0]))
    for patch, width_ft, acres in zip(patches, [20.0, 60.0, 120.0], got, strict=True):
        ring = strip_ring(patch, width_ft)
        assert area_m2(np.array([ring]))[0] / ACRE_M2 == pytest.approx(acres, rel=1e-4)


def test_edge_outside_the_property_line_fails():
    patch = ground_polygon(34.0, SQUARE)
    line = ground_polygon(34.0, [(-300, -300), (0, -300), (0, 300), (-300, 300)])
    found = edge_stations(patch, 20.0, [beyond(line)])
    assert (found.verdict[found.lon > -88.0 + 1e-6] == "FAIL").all()
    assert (found.available_ft[found.lon > -88.0 + 1e-6] == 0).all()
    west = found.lon < -88.0 - 1e-4  # some 9 m inside the line
    assert (found.verdict[west] == "PASS").all()


@pytest.mark.parametrize("lat", [0.0, 34.0, -61.0, 80.0])
@pytest.mark.parametrize("bearing", range(0, 360, 30))
def test_reach_never_misses_what_is_near(lat, bearing):
    """Against geodesics (GeographicLib through pyproj): whatever is near enough is in reach."""
    from pyproj import Geod

    for lon in (-87.6, 179.9999, -179.9999):
        patch = shapely.Point(lon, lat).buffer(0.001)
        edge = shapely.Point(lon, lat)
        for far_m, wanted in ((60.0, True), (40_000.0, False)):
            x, y, _ = Geod(ellps="WGS84").fwd(edge.x, edge.y, bearing, far_m)
            other = shapely.Point(x, y).buffer(1e-6)
            assert within_reach(patch, other, 60.0 / 0.3048 + 5) is wanted


# ---- what is near enough, thin enough, small enough ------------------------------------------------
@pytest.mark.parametrize("lat", [0.0, 34.0, -61.0])
@pytest.mark.parametrize(("east", "north"), [(1, 0), (-1, 0), (0, 1), (0, -1)])
def test_what_lies_a_third_farther_than_the_reach_is_not_looked_at(lat, east, north):
    """A patch of 100 m and a plot of 20 m beside it, 100 m of ground between, or 94."""
    patch = ground_polygon(lat, SQUARE)

    def beside(gap_m):
        x, y = east * (60 + gap_m), north * (60 + gap_m)
        corners = [(x - 10, y - 10), (x + 10, y - 10), (x + 10, y + 10), (x - 10, y + 10)]
        return ground_polygon(lat, corners)

    reach_ft = 75.0 / FT_M
    assert within_reach(patch, beside(74.0), reach_ft)
    assert not within_reach(patch, beside(100.0), reach_ft)


def flat(shape):
    return LocalFrame(-88.0, 34.0).to_lonlat(np.array([shape], dtype=object))[0]


@pytest.mark.parametrize(("gap_ft", "verdict"), [(39.87, "PASS"), (39.83, "NARROW"),
                                                 (11.87, "NARROW"), (11.83, "FAIL")])  # fmt: skip
def test_a_strip_is_thin_or_fails_from_two_inches_less_than_asked(gap_ft, verdict):
    """0.15 ft of the width is left to the survey's own rounding."""
    side = 50 + gap_ft * FT_M
    plot = Obstacle("plot", flat(shapely.box(side, -200, side + 20, 200)))
    found = edge_stations(
        flat(shapely.box(-50, -50, 50, 50)), 40.0, [plot], fail_below_ft=12.0
    )
    assert found.count(verdict) > 30
    assert found.count("PASS") + found.count(verdict) >= len(found.verdict) - 12
    assert found.count("PASS") + found.count("NARROW") + found.count("FAIL") == len(
        found.verdict
    )
    if verdict == "PASS":
        assert found.weak == ()


@pytest.mark.parametrize(("wall_m", "verdict"), [(0.55, "PASS"), (0.45, "NARROW")])
def test_half_a_metre_of_vine_between_hides_what_lies_behind(wall_m, verdict):
    """A U whose outer arm is thin: its inlet looks across that arm at the pond."""
    inlet = shapely.box(20, 5, 25, 41)
    patch = shapely.box(0, 0, 25 + wall_m, 40).difference(inlet)
    pond = Obstacle("pond", flat(shapely.box(27, -10, 60, 50)))
    found = edge_stations(flat(patch), 40.0, [pond])
    x, y = LocalFrame(-88.0, 34.0).xy(found.lon, found.lat)
    facing = (np.abs(x - 20) < 0.01) & (y > 8) & (y < 36)
    assert facing.sum() > 5
    assert (found.verdict[facing] == verdict).all()


def test_stations_stand_no_farther_than_three_metres_apart_and_eight_round_the_smallest():
    found = edge_stations(flat(shapely.box(0, 0, 60, 30)), 20.0, [])
    assert len(found.verdict) == 60
    assert len(edge_stations(flat(shapely.box(0, 0, 2, 2)), 20.0, []).verdict) == 8
    x, y = LocalFrame(-88.0, 34.0).xy(found.lon, found.lat)
    step_m = np.hypot(x - np.roll(x, 1), y - np.roll(y, 1))
    assert step_m == pytest.approx(3.0, abs=0.01)  # round to the first, and none twice


def test_an_edge_that_is_thin_all_round_is_one_stretch_closed_on_itself():
    patch = flat(shapely.box(0, 0, 60, 30))
    around = Obstacle(
        "road",
        flat(shapely.box(-100, -100, 200, 200).difference(shapely.box(-3, -3, 63, 33))),
    )
    (weak,) = edge_stations(patch, 20.0, [around]).weak
    assert lengths_ft([weak.line])[0] * FT_M == pytest.approx(180.0, abs=0.1)
    assert weak.available_ft * FT_M == pytest.approx(3.0, abs=0.01)


def test_a_stretch_that_begins_where_the_edge_is_first_drawn_is_not_cut_in_two():
    """The plot lies round the first corner of the patch."""
    corner = Obstacle("plot", flat(shapely.box(-40, -40, 10, -3)))
    found = edge_stations(
        flat(shapely.Polygon([(0, 0), (60, 0), (60, 60), (0, 60)])), 20.0, [corner]
    )
    assert len(found.weak) == 1


def test_crumbs_of_ground_under_half_a_square_metre_are_no_strip():
    pieces = [
        shapely.box(0, 0, 0.7, 0.7),
        shapely.box(5, 0, 5.72, 0.72),
        shapely.box(9, 0, 12, 3),
    ]
    left = _solid(shapely.MultiPolygon(pieces))
    assert [part.area for part in shapely.get_parts(left)] == pytest.approx([0.5184, 9.0])
    assert _solid(pieces[0]).is_empty


@pytest.mark.parametrize(("side_mi", "fits"), [(49.5, True), (50.5, False)])
def test_an_edge_of_more_than_two_hundred_miles_is_none_that_is_walked(side_mi, fits):
    half = side_mi * 1609.344 / 2
    patch = ground_polygon(
        2.0, [(-half, -half), (half, -half), (half, half), (-half, half)]
    )
    if fits:
        assert not strip_ring(patch, 60.0).is_empty
        return
    with pytest.raises(
        StripProblem, match="miles long, of 5 corners; the limit for a strip is 200 miles"
    ):
        strip_ring(patch, 60.0)


@pytest.mark.parametrize("turn", range(8))
def test_a_thin_stretch_is_one_wherever_the_ring_begins(turn):
    """Eight stations on a circle; the second stretch is of two reasons, and so of two."""
    angle = np.linspace(0, 2 * np.pi, 8, endpoint=False)
    points = shapely.points(np.column_stack([np.cos(angle), np.sin(angle)]))
    verdict = np.array(["PASS", "FAIL", "FAIL", "FAIL", "PASS", "PASS", "THIN", "THIN"])
    reason = np.array(["", "pond", "pond", "pond", "", "", "pond", "road"])
    free_ft = np.array([9.0, 3.0, 1.0, 2.0, 9.0, 9.0, 5.0, 6.0])
    points, verdict, reason, free_ft = (
        np.roll(column, turn) for column in (points, verdict, reason, free_ft)
    )
    found = sorted(
        _runs(points, free_ft, verdict, reason), key=lambda one: one.available_ft
    )
    assert [(one.available_ft, one.reason, one.verdict) for one in found] == [
        (1.0, "pond", "FAIL"), (5.0, "pond", "THIN"), (6.0, "road", "THIN"),
    ]  # fmt: skip
    assert [shapely.get_num_coordinates(one.line) for one in found] == [4, 2, 2]
