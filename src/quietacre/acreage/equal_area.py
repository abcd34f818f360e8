"""True area and perimeter of polygons on the WGS84 ellipsoid.

A ring's area is the contour integral of the authalic ordinate Q over
longitude. With the ring's first vertex as origin, m the latitude of an edge's
midpoint above it and Δλ, Δφ the edge's extent,

    ∮ Q dλ = Σ Δλ · [Q' m + Q'' m²/2 + Q''' m³/6 + …  + Δφ²/8 · (Q'' + Q''' m)]
             + Σ Δλ sin φ · [(N cos φ Δλ)²/12 + (M Δφ)²/4]

The second sum is the sliver between the edge drawn straight in (λ, Q) and the
geodesic; it follows from Clairaut's relation and the first two derivatives of
a geodesic at its midpoint. Every power of m and Δ is summed over a ring before
it meets the ring's own coefficients, so a vertex costs a few multiplications
and no trigonometry. Rings beyond field size use the closed form of Q, and
rings with very long edges or round a pole go to pyproj's geodesic routine.

References
----------
.. [1] Snyder, "Map Projections: A Working Manual", USGS Professional Paper
   1395, 1987, p. 16 (the authalic ordinate q).
.. [2] Karney, "Algorithms for geodesics", Journal of Geodesy 87, 2013.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.series import (
    RAD,
    SERIES_DEG,
    WGS84_A_M,
    WGS84_E,
    WGS84_E2,
    series_coefficients,
)
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Iterator

    import geopandas as gpd
    import pandas as pd
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    IntArray = NDArray[np.int64]

#: Vertices worked on at a time: a few arrays of this length stay in cache.
CHUNK_VERTICES = 65_536
#: Span below which the fourth power adds less than 1e-13. [deg]
CUBIC_DEG = 0.01
#: Longest edge for which the mid-edge sliver holds to parts in 1e9. [deg]
LONG_EDGE_DEG = 0.1


def area_m2(geometries: NDArray[np.object_]) -> FloatArray:
    """Return the geodesic area of polygons in longitude and latitude.

    Parameters
    ----------
    geometries : array, shape (n,), of shapely Polygon or MultiPolygon
        WGS84 longitude, latitude. [deg] Direction and start of the rings do
        not matter; holes are taken off whatever way they are wound. Longitudes
        may run on past ±180.

    Returns
    -------
    array, shape (n,). [m²] 0.0 for empty geometries and None.

    Notes
    -----
    Edges are geodesics. A ring round a pole encloses the smaller side.
    """
    geometries = np.asarray(geometries, dtype=object)
    total = np.zeros(len(geometries))
    types = shapely.get_type_id(geometries)
    simple = (types == shapely.GeometryType.POLYGON) & (
        shapely.get_num_interior_rings(geometries) == 0
    )
    simple &= ~shapely.is_empty(geometries)
    where = np.flatnonzero(simple)
    if len(where):
        total[where] = _areas_by_chunk(geometries[where])
    rest = np.flatnonzero(~simple)
    if len(rest):
        total[rest] = _areas_with_holes(geometries[rest])
    return total


def _areas_with_holes(geometries: NDArray[np.object_]) -> FloatArray:
    """Return areas of polygons with holes and of multipolygons, shape (n,)."""
    parts, owner = shapely.get_parts(geometries, return_index=True)
    polygonal = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    parts, owner = parts[polygonal], owner[polygonal]
    rings, part_of = shapely.get_rings(parts, return_index=True)
    if not len(rings):
        return np.zeros(len(geometries))
    ring_area = _areas_by_chunk(rings)
    is_shell = np.r_[True, part_of[1:] != part_of[:-1]]
    signed = np.where(is_shell, ring_area, -ring_area)
    total: FloatArray = np.bincount(
        owner[part_of], weights=signed, minlength=len(geometries)
    ).astype(float)
    return total


def _areas_by_chunk(rings: NDArray[np.object_]) -> FloatArray:
    """Return unsigned areas of single-ring geometries, a cacheful at a time."""
    out = np.empty(len(rings))
    for part, xy, count in _chunks(rings):
        out[part] = ring_areas_m2(xy[:, 0], xy[:, 1], count)
    return out


def _chunks(
    rings: NDArray[np.object_],
) -> Iterator[tuple[slice, FloatArray, IntArray]]:
    """Yield which rings, their coordinates (v, 2) and vertex counts, a cacheful each."""
    count = shapely.get_num_coordinates(rings)
    chunk = np.cumsum(count) // CHUNK_VERTICES
    begins = np.flatnonzero(np.diff(chunk, prepend=-1)).tolist()
    for start, stop in pairwise([*begins, len(rings)]):
        part = slice(start, stop)
        yield part, shapely.get_coordinates(rings[part]), count[part]


def ring_areas_m2(lon: FloatArray, lat: FloatArray, count: IntArray) -> FloatArray:
    """Return the unsigned area of closed rings laid end to end.

    Parameters
    ----------
    lon, lat : arrays, shape (v,). [deg]
    count : array, shape (r,), vertices of each ring, first vertex repeated last.

    Returns
    -------
    array, shape (r,). [m²]
    """
    last = np.cumsum(count) - 1
    first = last - count + 1
    lat0 = lat[first]
    # Edge i runs from vertex i to i + 1; the one that leaves a ring is emptied.
    d_lon = np.empty_like(lon)
    np.subtract(lon[1:], lon[:-1], out=d_lon[:-1])
    d_lon[last] = 0.0
    d_lat = np.empty_like(lat)
    np.subtract(lat[1:], lat[:-1], out=d_lat[:-1])
    d_lat[last] = 0.0
    mid = lat - np.repeat(lat0, count)
    mid += 0.5 * d_lat

    span = max(mid.max(), -mid.min())
    longest = max(d_lon.max(), -d_lon.min(), d_lat.max(), -d_lat.min())
    if span <= SERIES_DEG and longest <= LONG_EDGE_DEG:
        return np.abs(_series_area(lat0, first, d_lon, d_lat, mid, span))
    return _large_area(lon, lat, count, first, d_lon, d_lat)


def _series_area(
    lat0: FloatArray,
    first: IntArray,
    d_lon: FloatArray,
    d_lat: FloatArray,
    mid: FloatArray,
    span: float,
) -> FloatArray:
    """Return signed ring areas from sums over edges, shape (r,). [m²]"""

    def ring_sum(values: FloatArray) -> FloatArray:
        return np.add.reduceat(values, first)

    work = d_lon * mid
    t1 = ring_sum(work)
    work *= mid
    t2 = ring_sum(work)
    work *= mid
    t3 = ring_sum(work)
    t4 = np.zeros_like(t3)
    if span > CUBIC_DEG:
        work *= mid
        t4 = ring_sum(work)
    np.multiply(d_lat, d_lat, out=work)
    work *= d_lon
    e0 = ring_sum(work)
    work *= mid
    e1 = ring_sum(work)
    np.multiply(d_lon, d_lon, out=work)
    work *= d_lon
    g0 = ring_sum(work)
    work *= mid
    g1 = ring_sum(work)

    sums = np.array([t1, t2, t3, t4, e0, e1, g0, g1])
    return np.asarray((np.array(series_coefficients(lat0)) * sums).sum(axis=0))


def _large_area(
    lon: FloatArray,
    lat: FloatArray,
    count: IntArray,
    first: IntArray,
    d_lon: FloatArray,
    d_lat: FloatArray,
) -> FloatArray:
    """Return unsigned ring areas by the closed form of Q, shape (r,). [m²]"""
    phi = lat * RAD
    sin = np.sin(phi)
    s0 = np.repeat(sin[first], count)
    delta = phi - np.repeat(phi[first], count)
    # sin φ − sin φ0 without cancellation, then Q − Q0 from it
    rise = 2.0 * np.cos(phi - 0.5 * delta) * np.sin(0.5 * delta)
    w, w0 = 1.0 - WGS84_E2 * sin * sin, 1.0 - WGS84_E2 * s0 * s0
    q = rise * (1.0 + WGS84_E2 * sin * s0) / (w * w0)
    q += np.arctanh(WGS84_E * rise / (1.0 - WGS84_E2 * sin * s0)) / WGS84_E
    q *= 0.5 * WGS84_A_M**2 * (1.0 - WGS84_E2)
    mean_q = q.copy()
    mean_q[:-1] += q[1:]
    mean_q *= 0.5
    phi_mid = phi + 0.5 * d_lat * RAD
    sin_m, cos_m = np.sin(phi_mid), np.cos(phi_mid)
    w_m = 1.0 - WGS84_E2 * sin_m * sin_m
    sliver = (
        WGS84_A_M**2
        * sin_m
        * (
            (cos_m * d_lon * RAD) ** 2 / (12.0 * w_m)
            + ((1.0 - WGS84_E2) * d_lat * RAD) ** 2 / (4.0 * w_m**3)
        )
    )
    area = np.abs(np.add.reduceat(d_lon * RAD * (mean_q + sliver), first))
    turns = np.add.reduceat(d_lon, first)
    longest = np.maximum.reduceat(np.maximum(np.abs(d_lon), np.abs(d_lat)), first)
    for ring in np.flatnonzero((np.abs(turns) > 1.0) | (longest > LONG_EDGE_DEG)):
        part = slice(first[ring], first[ring] + count[ring])
        area[ring] = _geodesic_area(lon[part], lat[part])
    return area


def _geodesic_area(lon: FloatArray, lat: FloatArray) -> float:
    """Return one ring's area by pyproj, which takes the smaller side of the globe. [m²]"""
    from pyproj import Geod

    geod = Geod(ellps="WGS84")
    return abs(float(geod.polygon_area_perimeter(lon[:-1], lat[:-1])[0]))


def perimeter_m(geometries: NDArray[np.object_]) -> FloatArray:
    """Return geodesic boundary lengths, holes included.

    Parameters
    ----------
    geometries : array, shape (n,), of shapely Polygon or MultiPolygon. [deg]

    Returns
    -------
    array, shape (n,). [m] 0.0 for empty geometries and None.
    """
    from pyproj import Geod

    geometries = np.asarray(geometries, dtype=object)
    # get_rings passes over what has several parts
    parts, whose = shapely.get_parts(geometries, return_index=True)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    if not len(rings):
        return np.zeros(len(geometries))
    owner = whose[of_part]
    geod = Geod(ellps="WGS84")
    out = np.zeros(len(geometries))
    for part, xy, count in _chunks(rings):
        length = np.zeros(len(xy))
        _, _, length[:-1] = geod.inv(xy[:-1, 0], xy[:-1, 1], xy[1:, 0], xy[1:, 1])
        length[np.cumsum(count) - 1] = 0.0
        ring_of = np.repeat(owner[part], count)
        out += np.bincount(ring_of, weights=length, minlength=len(geometries))
    return out


def measure(areas: gpd.GeoDataFrame) -> pd.DataFrame:
    """Return acres and perimeter of every row.

    Parameters
    ----------
    areas : GeoDataFrame, shape (n, …), polygons in EPSG:4326.

    Returns
    -------
    DataFrame, shape (n, 2), index of ``areas``
        acres : international acres. [ac]
        perimeter_ft : international feet. [ft]

    Raises
    ------
    CRSMismatchError
        The frame has no reference system, or another than EPSG:4326.
    """
    import pandas as pd

    from quietacre.frames import check_lonlat

    check_lonlat(areas)
    shapes = areas.geometry.to_numpy()
    return pd.DataFrame(
        {
            "acres": area_m2(shapes) / ACRE_M2,
            "perimeter_ft": perimeter_m(shapes) / FT_M,
        },
        index=areas.index,
    )
