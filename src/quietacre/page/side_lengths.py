"""The sides of a piece of ground: the few corners and lengths that a field sheet shows."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.acreage.fewer import fewer_corners
from quietacre.units import FT_M

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from quietacre.acreage.frame import LocalFrame

    FloatArray = NDArray[np.float64]

#: More lengths than this round one field cannot be read at a glance.
MOST_SIDES = 8
#: A bend smaller than this share of the field's size is not a corner.
FIRST_SHARE = 0.02


class Sides(NamedTuple):
    """Corners and lengths of an outline, in order round it.

    ``lon``, ``lat`` shape (n,) corners [deg]; ``length_ft`` shape (n,) from each corner
    to the next, **along the edge** [ft], so that they add up to the outline's length;
    ``east_ft``, ``north_ft`` how far the ground reaches [ft].
    """

    lon: FloatArray
    lat: FloatArray
    length_ft: FloatArray
    east_ft: float
    north_ft: float


def sides(
    shape: shapely.Geometry, frame: LocalFrame, *, most: int = MOST_SIDES
) -> Sides | None:
    """Return the corners of the largest part's outer edge and the lengths between them.

    Parameters
    ----------
    shape : polygon or multipolygon, EPSG:4326.
    frame : where lengths are taken; centred on the property.
    most : most corners wanted, at least 3.

    Returns
    -------
    Sides, or None for an empty shape.
    """
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    if not parts:
        return None
    local = frame.to_local(np.array(parts, dtype=object))
    largest = local[int(np.argmax(shapely.area(local)))]
    xy = shapely.get_coordinates(largest.exterior)[:-1]
    if len(xy) < 3:  # noqa: PLR2004 - a ring without area
        return None
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))])
    whole = along[-1] + float(np.hypot(*(xy[0] - xy[-1])))
    corners = _corners(xy, most)
    at = along[corners]
    lengths = np.diff(np.concatenate([at, [at[0] + whole]]))
    lon, lat = frame.lonlat(xy[corners, 0], xy[corners, 1])
    west, south, east, north = largest.bounds
    return Sides(
        lon, lat, lengths / FT_M, float(east - west) / FT_M, float(north - south) / FT_M
    )


def _corners(xy: FloatArray, most: int) -> NDArray[np.int64]:
    """Return which points of a ring are its corners, at most ``most`` of them."""
    # start at a point farthest from the middle: it is a corner whatever the rest is
    first = int(np.argmax(np.hypot(*(xy - xy.mean(axis=0)).T)))
    turned = np.roll(xy, -first, axis=0)
    ring = shapely.linestrings(np.vstack([turned, turned[:1]]))
    size = float(np.hypot(*np.ptp(xy, axis=0)))
    share = FIRST_SHARE
    while True:
        fewer = shapely.get_coordinates(fewer_corners(ring, share * size))[:-1]
        if len(fewer) <= most or share > 1.0:
            break
        share *= 1.2
    known = {tuple(point): number for number, point in enumerate(map(tuple, turned))}
    corners = sorted({known[tuple(point)] for point in fewer})
    return np.sort((np.array(corners) + first) % len(xy))
