"""Areas against two references that share no code with ours."""

import geopandas as gpd
import mpmath
import numpy as np
import pandas as pd
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from quietacre.acreage import equal_area
from quietacre.acreage.equal_area import area_m2, measure, perimeter_m
from quietacre.errors import CRSMismatchError
from quietacre.units import ACRE_M2, MILE_M


def geodesic_square(lat, side_m, lon=-95.3):
    geod = Geodesic.WGS84
    east = geod.Direct(lat, lon, 90, side_m)
    corner = geod.Direct(east["lat2"], east["lon2"], 0, side_m)
    north = geod.Direct(lat, lon, 0, side_m)
    return [
        (lon, lat),
        (east["lon2"], east["lat2"]),
        (corner["lon2"], corner["lat2"]),
        (north["lon2"], north["lat2"]),
    ]


def geographiclib_m2(ring):
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring:
        polygon.AddPoint(lat, lon)
    return abs(polygon.Compute(reverse=False, sign=True)[2])


def apart_on_a_mile(lat):
    """Return by how much of itself a mile square is apart from geographiclib's."""
    ring = geodesic_square(lat, MILE_M)
    ours = area_m2(np.array([shapely.Polygon(ring)]))[0]
    return abs(ours / geographiclib_m2(ring) - 1)


@pytest.mark.parametrize("lat", range(30, 66, 5))
def test_mile_square_against_geographiclib(lat):
    assert apart_on_a_mile(lat) < 2e-10


@pytest.mark.parametrize("lat", [30, 49, 65])
def test_township_against_geographiclib(lat):
    ring = geodesic_square(lat, 6 * MILE_M)
    ours = area_m2(np.array([shapely.Polygon(ring)]))[0]
    assert ours == pytest.approx(geographiclib_m2(ring), rel=4e-9)


def precise_m2(ring):
    """Area by 40-digit sums over chords of each geodesic, extrapolated to no chord.

    Points of the geodesics come from geographiclib; a chord's sliver shrinks with
    the square of its length, so two cuts give the limit (Richardson).
    """
    coarse, fine = chord_sum_m2(ring, 4), chord_sum_m2(ring, 8)
    return abs(fine + (fine - coarse) / 3)


def chord_sum_m2(ring, pieces):
    mp = mpmath.mp.clone()
    mp.dps = 40
    a, f = mp.mpf(6378137), 1 / mp.mpf("298.257223563")
    e2 = f * (2 - f)
    e = mp.sqrt(e2)

    def ordinate(phi):
        s = mp.sin(phi)
        return a**2 * (1 - e2) / 2 * (s / (1 - e2 * s * s) + mp.atanh(e * s) / e)

    total = mp.mpf(0)
    for (lon1, lat1), (lon2, lat2) in zip(ring, ring[1:] + ring[:1], strict=True):
        line = Geodesic.WGS84.InverseLine(lat1, lon1, lat2, lon2)
        points = [(lon1, lat1)]
        for k in range(1, pieces):
            spot = line.Position(line.s13 * k / pieces)
            points.append((spot["lon2"], spot["lat2"]))
        points.append((lon2, lat2))
        rad = mp.pi / 180
        for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
            q = ordinate(mp.mpf(y1) * rad) + ordinate(mp.mpf(y2) * rad)
            total += q / 2 * (mp.mpf(x2) - mp.mpf(x1)) * rad
    return total


PLOT_ACRES = [0.1, 1.0, 20.0, 200.0]
PLOT_LAT = [26.0, 34.2, 49.0]


def apart_on_a_plot(acres, lat):
    """Return by how much of itself a plot is apart from the 40-digit sums."""
    rng = np.random.default_rng(int(acres * 10 + lat))
    angle = np.sort(rng.uniform(0, 2 * np.pi, 40))
    radius = np.sqrt(acres * ACRE_M2 / np.pi) * rng.uniform(0.7, 1.2, 40) / 111_200
    ring = [
        (float(-88 + r * np.cos(t) / np.cos(np.radians(lat))), float(lat + r * np.sin(t)))
        for t, r in zip(angle, radius, strict=True)
    ]
    ours = area_m2(np.array([shapely.Polygon(ring)]))[0]
    return abs(ours / float(precise_m2(ring)) - 1)


@pytest.mark.parametrize("acres", PLOT_ACRES)
@pytest.mark.parametrize("lat", PLOT_LAT)
def test_plots_against_high_precision(acres, lat):
    assert apart_on_a_plot(acres, lat) < 1e-9


def test_series_and_closed_form_agree(monkeypatch):
    ring = geodesic_square(41.0, 9_000)
    polygon = np.array([shapely.Polygon(ring).segmentize(0.01)])
    by_series = area_m2(polygon)[0]
    monkeypatch.setattr(equal_area, "SERIES_DEG", 0.0)
    assert area_m2(polygon)[0] == pytest.approx(by_series, rel=1e-11)


def square(x, y, size=0.01):
    return [(x, y), (x + size, y), (x + size, y + size), (x, y + size)]


def test_holes_and_parts_whatever_their_winding():
    outer, hole = square(-90, 35), square(-89.997, 35.003, 0.002)
    whole = area_m2(np.array([shapely.Polygon(outer)]))[0]
    gap = area_m2(np.array([shapely.Polygon(hole)]))[0]
    for ring in (hole, hole[::-1]):
        holed = shapely.Polygon(outer, [ring])
        pair = shapely.MultiPolygon([holed, shapely.Polygon(square(-89.9, 35))])
        ours = area_m2(np.array([holed, pair]))
        assert ours[0] == pytest.approx(whole - gap, rel=1e-13)
        assert ours[1] == pytest.approx(2 * whole - gap, rel=1e-11)


def test_antimeridian_plot_is_as_large_as_elsewhere():
    here = shapely.Polygon(square(10.0, 52.0))
    split = shapely.Polygon(
        [(179.995, 52), (-179.995, 52), (-179.995, 52.01), (179.995, 52.01)]
    )
    past = shapely.Polygon(square(179.995, 52.0))
    ours = area_m2(np.array([here, split, past]))
    assert ours[1] == pytest.approx(ours[0], rel=1e-11)
    assert ours[2] == pytest.approx(ours[0], rel=1e-11)


def test_ring_round_a_pole():
    lons = np.arange(0, 360, 1.0)
    cap = shapely.Polygon(np.column_stack([lons, np.full(360, -89.9)]))
    ring = list(zip(lons, np.full(360, -89.9), strict=True))
    assert area_m2(np.array([cap]))[0] == pytest.approx(geographiclib_m2(ring), rel=1e-9)


def test_small_and_large_rings_in_one_call():
    small, large = (
        shapely.Polygon(square(-90, 35, 1e-4)),
        shapely.Polygon(square(-90, 35, 3.0)),
    )
    together = area_m2(np.array([small, large]))
    assert together[0] == pytest.approx(area_m2(np.array([small]))[0], rel=1e-10)
    assert together[1] == pytest.approx(area_m2(np.array([large]))[0], rel=1e-14)


def test_empty_and_missing_are_zero():
    shapes = np.array(
        [shapely.Polygon(), None, shapely.Polygon(square(-90, 35))], dtype=object
    )
    ours = area_m2(shapes)
    assert ours[0] == ours[1] == 0.0
    assert ours[2] > 0
    assert perimeter_m(shapes)[:2].tolist() == [0.0, 0.0]
    for none in (np.array([], dtype=object), np.array([None, shapely.Polygon()])):
        assert area_m2(none).tolist() == [0.0] * len(none)
        assert perimeter_m(none).tolist() == [0.0] * len(none)


def test_chunks_change_nothing(monkeypatch):
    shapes = np.array([shapely.Point(-90, 35 + i / 9).buffer(0.004) for i in range(40)])
    whole = area_m2(shapes), perimeter_m(shapes)
    monkeypatch.setattr(equal_area, "CHUNK_VERTICES", 100)
    np.testing.assert_allclose(area_m2(shapes), whole[0], rtol=1e-13)
    np.testing.assert_allclose(perimeter_m(shapes), whole[1], rtol=1e-13)


def test_perimeter_of_several_parts_is_that_of_all_and_their_holes():
    rings = [geodesic_square(lat, 200.0) for lat in (33.0, 33.01)]
    hole = geodesic_square(33.0005, 20.0, -95.2995)
    parts = [shapely.Polygon(rings[0], [hole]), shapely.Polygon(rings[1])]
    both = shapely.MultiPolygon(parts)
    found = perimeter_m(np.array([parts[0], None, both, parts[1]]))
    # four sides of 200 m and, of the one, a hole of four of 20 m; the closing sides are
    # a little longer or shorter than those laid out
    assert found == pytest.approx([880.0, 0.0, 1680.0, 800.0], abs=0.02)
    assert found[2] == pytest.approx(found[0] + found[3], rel=1e-13)


def test_perimeter_is_geodesic():
    ring = geodesic_square(40, MILE_M)
    inverse = Geodesic.WGS84.Inverse
    by_hand = sum(
        inverse(a[1], a[0], b[1], b[0])["s12"]
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
    )
    assert perimeter_m(np.array([shapely.Polygon(ring)]))[0] == pytest.approx(
        by_hand, rel=1e-12
    )


def test_measure_keeps_the_index_and_wants_lonlat():
    frame = gpd.GeoDataFrame(
        geometry=[shapely.Polygon(square(-90, 35))], index=["x"], crs="EPSG:4326"
    )
    measured = measure(frame)
    pd.testing.assert_index_equal(measured.index, frame.index)
    assert measured.loc["x", "acres"] == pytest.approx(
        area_m2(frame.geometry.to_numpy())[0] / ACRE_M2
    )
    with pytest.raises(CRSMismatchError, match="EPSG:4326"):
        measure(frame.to_crs(6933))
