"""Rings too large for the series, and shapes of very many corners."""

import numpy as np
import pytest
import shapely
import shapely.affinity
from pyproj import Geod

from quietacre.acreage import equal_area
from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.fewer import MOST_AT_ONCE, fewer_corners

GEOD = Geod(ellps="WGS84")


@pytest.mark.parametrize("lat", [-52.0, 0.3, 34.0, 61.0])
@pytest.mark.parametrize("turn", [0.0, 0.4])
def test_a_county_of_slanted_edges_is_the_geodesic_one(lat, turn):
    """Edges of some five miles, each way, against Karney's geodesic area in PROJ."""
    angle = turn + np.linspace(0, 2 * np.pi, 33)[:-1]
    ring = np.column_stack([-87.0 + 0.4 * np.cos(angle), lat + 0.4 * np.sin(angle)])
    true = abs(GEOD.polygon_area_perimeter(ring[:, 0], ring[:, 1])[0])
    (got,) = area_m2(np.array([shapely.Polygon(ring)], dtype=object))
    assert got == pytest.approx(true, rel=2e-9)
    # straight edges in longitude and latitude would be off by this much and more
    assert 2e-9 * true < 30


@pytest.mark.parametrize("side_deg", [0.11, 0.12, 1.0])
def test_edges_longer_than_a_tenth_of_a_degree_are_geodesics(side_deg):
    corners = side_deg * np.array([(0.0, 0.0), (1.0, 0.3), (0.2, 0.9)]) + (-88.0, 34.0)
    assert off_karney(corners) < 1e-13


def off_karney(ring):
    """Return by how much of itself a ring's area is off Karney's geodesic one in PROJ."""
    true = abs(GEOD.polygon_area_perimeter(ring[:, 0], ring[:, 1])[0])
    (got,) = area_m2(np.array([shapely.Polygon(ring)], dtype=object))
    return abs(got / true - 1)


def test_a_county_whose_first_corner_is_its_northernmost():
    angle = np.pi / 2 + np.linspace(0, 2 * np.pi, 201)[:-1]
    ring = np.column_stack([-90 + 0.5 * np.cos(angle), 34 + np.sin(angle)])
    assert off_karney(ring) < 1e-11
    assert off_karney(ring[::-1]) < 1e-11


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("way", [1, -1])
def test_one_long_edge_among_short_ones_is_a_geodesic(turned, way):
    """Half a moon whose straight side runs a degree west, east, north or south."""
    along = np.linspace(0, 1, 41)
    bulge = 0.14 * np.sin(np.pi * along)
    west = np.column_stack([-90 + along, 34 - bulge])
    south = np.column_stack([-90 + bulge, 33.86 + 0.28 * along])
    ring = np.roll(south, -20, axis=0) if turned else west
    assert off_karney(ring[::way]) < 1e-12


def test_a_plot_is_measured_without_its_neighbors_far_away():
    """Rings are measured many at a time, and each from its own first corner."""
    plot = shapely.Point(-90, 35).buffer(0.002)
    places = [(0, 0), (0, -20), (55, 10), (269.9, -3), (0, 48)]
    plots = [shapely.affinity.translate(plot, *by) for by in places]
    alone = [area_m2(np.array([one]))[0] for one in plots]
    assert area_m2(np.array(plots)) == pytest.approx(alone, rel=1e-14)


@pytest.mark.parametrize("corners", [(150, 30, 30), (30, 250, 30, 60, 60), (99, 100, 101)])
def test_rings_longer_than_are_measured_at_a_time(monkeypatch, corners):
    shapes = np.array(
        [
            shapely.Point(-90, 35 + n).buffer(0.004, quad_segs=count // 4)
            for n, count in enumerate(corners)
        ]
    )
    wanted = [area_m2(shapes[n : n + 1])[0] for n in range(len(shapes))]
    monkeypatch.setattr(equal_area, "CHUNK_VERTICES", 100)
    assert area_m2(shapes) == pytest.approx(wanted, rel=1e-13)
    assert perimeter_m(shapes) == pytest.approx(
        [perimeter_m(shapes[n : n + 1])[0] for n in range(len(shapes))], rel=1e-13
    )


def comb(count=MOST_AT_ONCE + 3_000):
    """A line with a tooth of 0.1 at every other corner, and a large step half way."""
    x = np.arange(count, dtype=float)
    y = np.where(x % 2 == 0, 0.0, 0.1)
    y[count // 2 :] += 50.0
    return np.column_stack([x, y])


def close(one, two, tolerance):
    return shapely.hausdorff_distance(one, two) <= tolerance


def test_a_line_of_very_many_corners_keeps_its_course():
    line = shapely.LineString(comb())
    fewer = fewer_corners(line, 0.5)
    assert fewer.geom_type == "LineString"
    assert len(fewer.coords) < 60
    assert close(fewer, line, 1.0)
    assert fewer.coords[0] == line.coords[0]
    assert fewer.coords[-1] == line.coords[-1]
    # teeth that must stay are not taken: no corner goes that the tolerance does not allow
    assert len(fewer_corners(line, 0.01).coords) == len(line.coords)


def test_a_ring_and_its_holes_and_parts_keep_their_kinds():
    xy = comb()
    ring = np.vstack([xy, [(xy[-1, 0], -500.0), (0.0, -500.0)]])
    hole = shapely.box(100, -400, 200, -300)
    polygon = shapely.Polygon(ring, [hole.exterior.coords])
    fewer = fewer_corners(polygon, 0.5)
    assert fewer.geom_type == "Polygon"
    assert len(fewer.exterior.coords) < 80
    assert len(fewer.interiors) == 1
    assert fewer.area == pytest.approx(polygon.area, rel=1e-3)
    linear = fewer_corners(shapely.LinearRing(ring), 0.5)
    assert linear.geom_type == "LinearRing"
    assert shapely.Polygon(linear).area == pytest.approx(
        shapely.Polygon(ring).area, rel=1e-3
    )
    both = shapely.MultiPolygon([polygon, shapely.box(0, -900, 10, -890)])
    parts = fewer_corners(both, 0.5)
    assert parts.geom_type == "MultiPolygon"
    assert len(parts.geoms) == 2
    assert parts.geoms[1].equals(both.geoms[1])
    lines = fewer_corners(shapely.MultiLineString([xy, [(0, 0), (1, 1)]]), 0.5)
    assert [len(line.coords) for line in lines.geoms][1] == 2


def test_a_triangle_of_very_many_corners_keeps_three():
    """The fewest that a ring can have; a hole or an edge by itself keeps them too."""
    side = np.linspace(0.0, 100.0, MOST_AT_ONCE // 2)
    flat = np.zeros_like(side)
    ring = np.vstack(
        [
            np.column_stack([side, flat]),
            np.column_stack([flat + 100, side])[1:],
            np.column_stack([100 - side, 100 - side])[1:],
        ]
    )
    fewer = fewer_corners(shapely.LinearRing(ring), 0.5)
    assert len(fewer.coords) == 4
    assert shapely.Polygon(fewer).area == pytest.approx(5000.0, rel=1e-3)
    assert len(fewer_corners(shapely.Polygon(ring), 0.5).exterior.coords) == 4


def test_a_small_ring_that_would_vanish_stays():
    tiny = np.linspace(0, 2 * np.pi, MOST_AT_ONCE + 2_000)
    ring = shapely.LinearRing(0.01 * np.column_stack([np.cos(tiny), np.sin(tiny)]))
    polygon = shapely.Polygon(shapely.box(-9, -9, 9, 9).exterior.coords, [ring.coords])
    fewer = fewer_corners(polygon, 0.5)
    assert len(fewer.interiors) == 1
    assert len(fewer.interiors[0].coords) >= 4
    assert len(fewer_corners(ring, 0.5).coords) >= 4


def test_few_corners_are_simplified_at_once():
    line = shapely.LineString([(0, 0), (1, 0.1), (2, 0)])
    assert list(fewer_corners(line, 0.5).coords) == [(0, 0), (2, 0)]
    assert list(fewer_corners(line, 0.01).coords) == list(line.coords)
