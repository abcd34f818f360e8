"""What acres are summed from, against the definition worked out in 40 digits.

Each sum over edges is multiplied by a derivative; one wrong by a sign or a power moves the
acres of a farm by more than any receiver does, and no single plot would show which.
"""

import geopandas as gpd
import mpmath
import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from quietacre.acreage.equal_area import area_m2, measure, perimeter_m
from quietacre.acreage.live import live_numbers
from quietacre.acreage.series import (
    SERIES_DEG,
    SERIES_POWERS,
    degree_m,
    series_coefficients,
)
from quietacre.units import ACRE_M2, FT_M

MP = mpmath.mp.clone()
MP.dps = 40
A = MP.mpf(6378137)
E2 = (1 / MP.mpf("298.257223563")) * (2 - 1 / MP.mpf("298.257223563"))
RAD = MP.pi / 180


def meridian(phi):
    return A * (1 - E2) / (1 - E2 * MP.sin(phi) ** 2) ** MP.mpf("1.5")


def normal(phi):
    return A / MP.sqrt(1 - E2 * MP.sin(phi) ** 2)


def ground(phi):
    """Return the slope of Q: what a radian by a radian is on the ground. [m²]"""
    return meridian(phi) * normal(phi) * MP.cos(phi)


LATITUDES = [-41.0, 12.5, 34.2, 49.0, 64.0]


@pytest.mark.parametrize("lat", LATITUDES)
def test_each_sum_is_multiplied_by_the_derivative_it_stands_for(lat):
    phi = MP.mpf(lat) * RAD
    q = [MP.diff(ground, phi, n) for n in range(4)]

    def along(p):
        return (normal(p) * MP.cos(p)) ** 2 * MP.sin(p) / 12

    def north(p):
        return meridian(p) ** 2 * MP.sin(p) / 4

    wanted = (
        q[0] * RAD**2,
        q[1] / 2 * RAD**3,
        q[2] / 6 * RAD**4,
        q[3] / 24 * RAD**5,
        (q[1] / 8 + north(phi)) * RAD**3,
        (q[2] / 8 + MP.diff(north, phi)) * RAD**4,
        along(phi) * RAD**3,
        MP.diff(along, phi) * RAD**4,
    )
    found = series_coefficients(np.array(lat))
    assert [float(one) for one in found] == pytest.approx(
        [float(one) for one in wanted], rel=1e-10
    )


@pytest.mark.parametrize("lat", LATITUDES)
def test_a_degree_is_as_long_as_the_ellipsoid_makes_it(lat):
    phi = MP.mpf(lat) * RAD
    wanted = (normal(phi) * MP.cos(phi) * RAD, meridian(phi) * RAD)
    assert [float(one) for one in degree_m(np.array(lat))] == pytest.approx(
        [float(one) for one in wanted], rel=1e-13
    )


def ring_about(lat, reach_deg, corners=400):
    """Return a ring of short edges about a place, wide and tall. [deg]"""
    turn = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    bent = reach_deg * (1 + 0.2 * np.sin(3 * turn))
    lon = -87.0 + bent * np.cos(turn) / np.cos(np.radians(lat))
    return np.column_stack([lon, lat + bent * np.sin(turn)])


def exact_m2(ring):
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring:
        polygon.AddPoint(lat, lon)
    return abs(polygon.Compute(reverse=False, sign=True)[2])


@pytest.mark.parametrize("lat", [-41.0, 34.2, 61.0])
@pytest.mark.parametrize("reach_deg", [0.001, 0.004, 0.02, 0.08, 0.12, 0.3, 0.9])
def test_ground_of_any_size_is_karneys_geodesic_area(lat, reach_deg):
    """From a plot to several counties: by the series below, by the closed form above."""
    ring = ring_about(lat, reach_deg)
    found = area_m2(np.array([shapely.Polygon(ring)]))[0]
    assert found == pytest.approx(exact_m2(ring), rel=2e-9 if reach_deg < 0.01 else 5e-11)


def test_which_way_a_ring_runs_and_where_it_begins_change_nothing():
    ring = ring_about(34.2, 0.3)
    turned = [ring, ring[::-1], np.roll(ring, 117, axis=0)]
    found = area_m2(np.array([shapely.Polygon(one) for one in turned]))
    assert found[1:] == pytest.approx([found[0]] * 2, rel=1e-13)


# the numbers that the desk's page works with


@pytest.mark.parametrize("lat", LATITUDES)
def test_the_page_sums_the_acres_that_the_build_prints(lat):
    numbers = live_numbers(lat)
    ring = ring_about(lat, 0.002, 12)
    d_lon, d_lat = (np.roll(ring, -1, axis=0) - ring).T
    mid = ring[:, 1] + d_lat / 2 - numbers.lat_deg
    acres = abs(
        sum(by * (d_lon**i * d_lat**j * mid**k).sum() for i, j, k, by in numbers.terms)
    )
    assert acres == pytest.approx(exact_m2(ring) / ACRE_M2, rel=1e-8)
    assert numbers.reach_deg == SERIES_DEG
    assert [one[:3] for one in numbers.terms] == list(SERIES_POWERS)


@pytest.mark.parametrize("off_deg", [-0.15, -0.02, 0.1, 0.15])
def test_the_page_knows_a_degree_anywhere_in_its_reach(off_deg):
    numbers = live_numbers(34.2)
    east, north = (
        sum(c * off_deg**k for k, c in enumerate(coefficients))
        for coefficients in (numbers.east_ft, numbers.north_ft)
    )
    wanted = [float(one) / FT_M for one in degree_m(np.array(34.2 + off_deg))]
    assert [east, north] == pytest.approx(wanted, rel=1e-11)


def test_a_square_of_a_furlong_has_its_perimeter():
    geod = Geodesic.WGS84
    corners = [(-87.0, 34.0)]
    for azimuth in (90, 0, 270):
        last = geod.Direct(corners[-1][1], corners[-1][0], azimuth, 201.168)
        corners.append((last["lon2"], last["lat2"]))
    (found,) = perimeter_m(np.array([shapely.Polygon(corners)]))
    assert found / FT_M == pytest.approx(4 * 660, abs=0.02)


def test_the_sums_named_for_the_page_are_those_that_an_area_is_made_of():
    """Each power of Δλ, Δφ and m with its coefficient, summed over a ring's edges, is its area."""
    rng = np.random.default_rng(5)
    most = np.zeros(len(SERIES_POWERS))
    for lat0 in (-62.0, 0.4, 33.2, 71.0):
        turn = np.sort(rng.uniform(0, 2 * np.pi, 40))
        # so large that each of the sums moves the area
        radius = rng.uniform(0.05, 0.07, 40)
        lon, lat = -86.3 + radius * np.cos(turn), lat0 + radius * np.sin(turn)
        ring = shapely.Polygon(np.column_stack([lon, lat]))
        lon, lat = shapely.get_coordinates(ring).T
        d_lon, d_lat = np.diff(lon), np.diff(lat)
        mid = lat[:-1] + d_lat / 2 - lat[0]
        by = series_coefficients(np.asarray(lat[0]))
        sums = [(d_lon**i * d_lat**j * mid**k).sum() for i, j, k in SERIES_POWERS]
        parts = np.array([float(one) for one in by]) * sums
        assert abs(parts.sum()) == pytest.approx(
            float(area_m2(np.array([ring]))[0]), rel=1e-12
        )
        most = np.maximum(most, np.abs(parts) / np.abs(parts.sum()))
    assert (most > 2e-12).all(), "a sum that moves nothing anywhere is not held"


def test_acres_and_feet_round_of_a_square_of_a_tenth_of_a_mile():
    """A square whose sides are 528 ft: 6.4 acres, 2,112 ft round."""
    east, north = (float(one) for one in degree_m(np.asarray(33.2)))
    half = 264 * FT_M
    square = shapely.box(
        -half / east, 33.2 - half / north, half / east, 33.2 + half / north
    )
    told = measure(gpd.GeoDataFrame(geometry=[square], index=["a"], crs="EPSG:4326"))
    assert told.loc["a", "acres"] == pytest.approx(6.4, rel=1e-6)
    assert told.loc["a", "perimeter_ft"] == pytest.approx(2112, rel=1e-6)
