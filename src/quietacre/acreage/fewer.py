"""Lines and edges with fewer corners, however many there are to begin with.

GEOS simplifies a line by calling itself on each half; on a line like a comb, each tooth goes
one call deeper, and some ten thousand of them end the whole program. Long lines are
therefore cut in pieces first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: A line of so many corners is simplified at once. It is far below what GEOS can take.
MOST_AT_ONCE = 10_000
#: Corners of a piece of a longer line.
PIECE = 2_000
RING_LEAST = 4


def fewer_corners(shape: shapely.Geometry, tolerance: float) -> shapely.Geometry:
    """Return a shape with fewer corners, none of its edge moved farther than ``tolerance``.

    Parameters
    ----------
    shape : any kind, in metres or any other length. Each corner left is one of its own.
    tolerance : farthest that an edge may move, twice as far on a line of very many corners.

    Returns
    -------
    Geometry of the same kind. Polygons with very many corners may come back invalid: check.
    """
    if _most_in_one(shape) <= MOST_AT_ONCE:
        simple: shapely.Geometry = shapely.simplify(shape, tolerance)
        return simple
    if shape.geom_type == "Polygon":
        rings = [_fewer_of_ring(r, tolerance) for r in (shape.exterior, *shape.interiors)]
        return shapely.Polygon(rings[0], rings[1:])
    if shape.geom_type in ("LineString", "LinearRing"):
        return type(shape)(_fewer(shapely.get_coordinates(shape), tolerance))
    parts = [fewer_corners(part, tolerance) for part in shapely.get_parts(shape)]
    return type(shape)(parts)


def _most_in_one(shape: shapely.Geometry) -> int:
    """Return the corners of the longest line or ring, or a bound on it."""
    count = int(shapely.get_num_coordinates(shape))
    if count <= MOST_AT_ONCE:
        return count
    if not shape.geom_type.endswith("Polygon"):
        return max(map(shapely.get_num_coordinates, shapely.get_parts(shape)), default=0)
    rings = shapely.get_rings(shapely.get_parts(shape))
    return int(shapely.get_num_coordinates(rings).max(initial=0))


def _fewer_of_ring(ring: shapely.LinearRing, tolerance: float) -> FloatArray:
    xy = shapely.get_coordinates(ring)
    fewer = _fewer(xy, tolerance)
    return fewer if len(fewer) >= RING_LEAST else xy


def _fewer(xy: FloatArray, tolerance: float) -> FloatArray:
    """Return the corners of a line that are left, piece by piece, then of all at once."""
    if len(xy) > MOST_AT_ONCE:
        starts = range(0, len(xy) - 1, PIECE)
        pieces = [shapely.linestrings(xy[start : start + PIECE + 1]) for start in starts]
        fewer = shapely.simplify(pieces, tolerance, preserve_topology=False)
        parts = [shapely.get_coordinates(piece)[1:] for piece in fewer]
        xy = np.concatenate([xy[:1], *parts])
    if len(xy) > MOST_AT_ONCE:
        return xy
    left: FloatArray = shapely.get_coordinates(
        shapely.simplify(shapely.linestrings(xy), tolerance)
    )
    return left
