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

#: A line of so many corners is simplified at once, a longer one in pieces of as many. It is
#: far below what GEOS can take.
MOST_AT_ONCE = 10_000
#: A triangle with its first corner again.
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
    if shapely.get_num_coordinates(shape) <= MOST_AT_ONCE:
        at_once: shapely.Geometry = shapely.simplify(shape, tolerance)
        return at_once
    if shape.geom_type == "Polygon":
        rings = [fewer_corners(r, tolerance) for r in (shape.exterior, *shape.interiors)]
        return shapely.Polygon(rings[0], rings[1:])
    if shape.geom_type in ("LineString", "LinearRing"):
        fewer = _in_pieces(shapely.get_coordinates(shape), tolerance)
        if shape.geom_type == "LinearRing" and len(fewer) < RING_LEAST:
            return shape
        return type(shape)(fewer)
    parts = [fewer_corners(part, tolerance) for part in shapely.get_parts(shape)]
    return type(shape)(parts)


def _in_pieces(xy: FloatArray, tolerance: float) -> FloatArray:
    """Return the corners of a line that are left, piece by piece, then of all at once."""
    starts = range(0, len(xy) - 1, MOST_AT_ONCE)
    pieces = [shapely.linestrings(xy[s : s + MOST_AT_ONCE + 1]) for s in starts]
    fewer = shapely.simplify(pieces, tolerance, preserve_topology=False)
    parts = [shapely.get_coordinates(piece)[1:] for piece in fewer]
    left: FloatArray = np.concatenate([xy[:1], *parts])
    if len(left) > MOST_AT_ONCE:
        return left
    simple = shapely.simplify(shapely.linestrings(left), tolerance)
    return np.asarray(shapely.get_coordinates(simple))
