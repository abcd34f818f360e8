"""Rings of fixes as polygons that are valid, in metres and in degrees."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from quietacre.boundary.repair import enclosed_faces

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from quietacre.boundary.plane import Plane

    FloatArray = NDArray[np.float64]

#: Lobes of a ring this near are one, tried in turn until most of it holds together. [m]
BRIDGES_M = (0.3, 1.0, 2.5, 5.0)
MOST_OF_IT = 0.9
#: Slits this narrow may be closed to keep a ring valid, tried in turn. [m]
SLITS_M = (0.001, 0.01, 0.1, 0.5)


def valid_ring(ring: FloatArray) -> shapely.Polygon | None:
    """Return the ring as a valid polygon: nonzero winding, no pinched-off crumbs."""
    polygon = shapely.Polygon(ring)
    if polygon.is_valid:
        return polygon
    faces = enclosed_faces(polygon.exterior)
    if not len(faces):
        return None
    merged = shapely.union_all(faces)
    # lobes that the drift pinched apart are bridged, so that half a plot is not lost
    for reach in BRIDGES_M:
        bridged = merged.buffer(reach, quad_segs=2).buffer(-reach, quad_segs=2)
        largest = _largest(bridged)
        if largest.area > MOST_OF_IT * merged.area:
            break
    holes = [h for h in largest.interiors if shapely.Polygon(h).area > 0.02 * largest.area]
    return shapely.Polygon(largest.exterior, holes)


def on_ground(polygon_xy: shapely.Polygon, plane: Plane) -> shapely.Polygon:
    """Return a polygon in longitude, latitude, valid there too.

    Where two sides all but touch, rounding to degrees can make them cross; the slit
    between them is closed then, and the largest part kept where a neck comes apart by it.
    """
    polygon = plane.ground(polygon_xy)
    for reach in SLITS_M:
        if polygon.is_valid:
            break
        closed = polygon_xy.buffer(reach, quad_segs=2).buffer(-reach, quad_segs=2)
        polygon = plane.ground(_largest(closed))
    return polygon if polygon.is_valid else _largest(shapely.make_valid(polygon))


def _largest(shape: shapely.Geometry) -> shapely.Polygon:
    parts: list[shapely.Polygon] = [
        part
        for some in shapely.get_parts(shape)
        for part in shapely.get_parts(some)
        if part.geom_type == "Polygon"
    ]
    return max(parts, key=lambda part: part.area)
