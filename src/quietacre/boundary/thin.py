"""Fewer vertices for the page and the phone, with a bound on the ground it changes."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.fewer import fewer_corners
from quietacre.acreage.frame import LocalFrame

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: Most that thinning may change an area, as a share of it.
MOST_CHANGE = 0.0005
#: How far thinning may move an edge or a line, on the page and the phone. [m]
THIN_M = 0.5


def thin(
    polygon: shapely.Polygon, *, tolerance_m: float, most_change: float = MOST_CHANGE
) -> shapely.Polygon:
    """Return a polygon with fewer vertices whose area is the same within a bound.

    Parameters
    ----------
    polygon : valid polygon in local metres.
    tolerance_m : farthest that the edge may move. [m]
    most_change : most that the area may change. [1]

    Returns
    -------
    Polygon, valid. The tolerance is halved until the bound holds; when none serves the
    polygon comes back as it is.
    """
    area = float(polygon.area)
    while tolerance_m > 1e-3:  # noqa: PLR2004 - a millimetre changes nothing worth having
        fewer = fewer_corners(polygon, tolerance_m)
        changed = abs(float(fewer.area) - area)
        if fewer.is_valid and not fewer.is_empty and changed <= most_change * area:
            return fewer
        tolerance_m /= 2.0
    return polygon


def thinned(
    shapes: NDArray[np.object_], tolerance_m: float = THIN_M
) -> NDArray[np.object_]:
    """Return shapes with as few vertices as a screen needs, areas within 0.05 %.

    Parameters
    ----------
    shapes : array, shape (n,), any kind, empty and None too, in longitude, latitude.
    tolerance_m : farthest that an edge or a line may move. [m]

    Returns
    -------
    array, shape (n,), in longitude, latitude; points as they are.
    """
    real = [shape for shape in shapes if shape is not None and not shape.is_empty]
    if not real:
        return shapes
    frame = LocalFrame.around(real)
    local = frame.to_local(shapes)
    out = np.empty(len(local), dtype=object)
    for row, shape in enumerate(local):
        out[row] = _thin_one(shape, tolerance_m)
    return frame.to_lonlat(out)


# the page and both files for the phone thin the same ground
@functools.lru_cache(maxsize=1 << 14)
def _thin_one(shape: shapely.Geometry, tolerance_m: float) -> shapely.Geometry:
    if shape is None or shape.is_empty or shape.geom_type.endswith("Point"):
        return shape
    if not shape.geom_type.endswith("Polygon"):
        return fewer_corners(shape, tolerance_m)
    parts = [thin(part, tolerance_m=tolerance_m) for part in shapely.get_parts(shape)]
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)
