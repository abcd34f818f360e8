"""Pieces of ground joined along the edge they share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.drawing.sheet import (
    CRUMB_M2,
    Redrawn,
    Sheet,
    acres_words,
    feet_words,
    parts_of,
    redrawn,
    whole,
)
from quietacre.errors import BadInput
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: Edges nearer than this are one: files that keep an inch of a corner. Ours. [m]
SAME_M = 0.03
#: Pieces share at least so much of an edge, or they touch in a corner only. Ours. [m]
LEAST_SHARED_M = 0.01
FEWEST = 2


def join(shapes: Sequence[shapely.Geometry]) -> Redrawn:
    """Return pieces of ground as one.

    Parameters
    ----------
    shapes : two or more, polygons in longitude, latitude, that share an edge or overlap.
        [deg] A corner of one that lies on the edge of another is put into that edge, so
        that no sliver stays between.

    Raises
    ------
    BadInput
        Pieces do not touch; the gap is told.
    """
    if len(shapes) < FEWEST:
        raise BadInput("there is one piece to join", fix="name another")
    sheet = Sheet(shapes)
    laid = [sheet.lay(shape) for shape in shapes]
    fitted = _fitted(laid)
    _check_touch(fitted)
    union = _without_slivers(shapely.union_all(fitted), fitted)
    parts = parts_of(union)
    double = sum(shape.area for shape in laid) - union.area
    result = redrawn(sheet, [whole(parts)], shapes, 0.0, ())
    lines = [f"{len(shapes)} pieces joined, {acres_words(result.acres[0])}"]
    if double > SAME_M * union.length:
        lines.append(
            f"{acres_words(double / ACRE_M2)} lay in more than one of them, and count once now"
        )
    return Redrawn(result.pieces, result.acres, result.before_ac, 0.0, tuple(lines))


def joins(shapes: Sequence[shapely.Geometry]) -> bool:
    """Return whether pieces of ground can be joined: they share an edge, or overlap."""
    sheet = Sheet(shapes)
    try:
        _check_touch(_fitted([sheet.lay(shape) for shape in shapes]))
    except BadInput:
        return False
    return True


def _fitted(laid: Sequence[shapely.Geometry]) -> list[shapely.Geometry]:
    """Return shapes whose edges hold each other's corners where these lie on them.

    A corner within ``SAME_M`` of an earlier shape's corner takes its place.
    """
    fitted: list[shapely.Geometry] = []
    for shape in laid:
        one = shape
        for row, other in enumerate(fitted):
            if one.distance(other) > SAME_M:
                continue
            one = _onto_corners(one, other)
            fitted[row] = _with_corners(other, shapely.get_coordinates(one))
            one = _with_corners(one, shapely.get_coordinates(fitted[row]))
        fitted.append(one)
    return fitted


def _onto_corners(shape: shapely.Geometry, other: shapely.Geometry) -> shapely.Geometry:
    """Return a shape whose corners take the place of another's that they all but lie on."""
    corners = np.unique(shapely.get_coordinates(other), axis=0)
    tree = shapely.STRtree(shapely.points(corners))

    def moved(xy: FloatArray) -> FloatArray:
        out = xy.copy()
        mine, theirs = tree.query_nearest(
            shapely.points(xy), max_distance=SAME_M, all_matches=False
        )
        # a corner that both have stays both's: nothing else is drawn to it
        had = set(map(tuple, xy.tolist()))
        free = np.array([tuple(c) not in had for c in corners[theirs].tolist()], dtype=bool)
        out[mine[free]] = corners[theirs[free]]
        return out

    made: shapely.Geometry = shapely.transform(shape, moved)
    return made if made.is_valid else shape


def _with_corners(shape: shapely.Geometry, corners: FloatArray) -> shapely.Geometry:
    """Return a shape that has others' corners in its edge, where they lie on it."""
    points = shapely.points(np.unique(corners, axis=0))
    made = [
        shapely.Polygon(
            _ring_with(part.exterior, points),
            [_ring_with(ring, points) for ring in part.interiors],
        )
        for part in shapely.get_parts(shape)
    ]
    fitted = whole(made)
    return fitted if fitted.is_valid else shape


def _ring_with(ring: shapely.LinearRing, points: NDArray[np.object_]) -> FloatArray:
    """Return the corners of a ring with those points put in that lie on its edge."""
    xy = shapely.get_coordinates(ring)
    near = points[shapely.dwithin(points, ring, SAME_M)]
    at_corner = shapely.distance(near, shapely.multipoints(xy)) <= SAME_M
    near = near[~at_corner]
    if not len(near):
        return np.asarray(xy)
    along = shapely.line_locate_point(ring, near)
    far = np.r_[0.0, np.cumsum(np.hypot(*np.diff(xy, axis=0).T))]
    order = np.argsort(along)
    after = np.searchsorted(far, along[order], "right")
    return np.insert(np.asarray(xy), after, shapely.get_coordinates(near[order]), axis=0)


def _check_touch(shapes: Sequence[shapely.Geometry]) -> None:
    """Raise when some pieces share no edge with the rest."""
    together, rest = [shapes[0]], list(shapes[1:])
    while rest:
        touching = [one for one in rest if any(_share(one, other) for other in together)]
        if not touching:
            gap = min(float(one.distance(other)) for one in rest for other in together)
            how = (
                "touch in a corner only" if gap <= SAME_M
                else f"do not touch; {feet_words(gap)} lie between them"
            )  # fmt: skip
            raise BadInput(
                f"the pieces {how}",
                fix="let the edge of one follow the other's first, then join them",
            )
        together += touching
        rest = [one for one in rest if one not in touching]


def _share(one: shapely.Geometry, other: shapely.Geometry) -> bool:
    if one.distance(other) > 0.0:
        return False
    if one.intersection(other).area > CRUMB_M2:
        return True
    return bool(one.boundary.intersection(other.boundary).length > LEAST_SHARED_M)


def _without_slivers(
    union: shapely.Geometry, pieces: Sequence[shapely.Geometry]
) -> shapely.Geometry:
    """Return a union without the slits that edges within ``SAME_M`` leave between them.

    A thin hole that one of its pieces had stays.
    """
    had = [
        shapely.Polygon(ring)
        for part in shapely.get_parts(pieces)
        for ring in part.interiors
        if _is_slit(ring)
    ]
    made = [
        shapely.Polygon(
            part.exterior,
            [
                ring
                for ring in part.interiors
                if not _is_slit(ring)
                or any(shapely.Polygon(ring).equals(hole) for hole in had)
            ],
        )
        for part in parts_of(union)
    ]
    return whole(made)


def _is_slit(ring: shapely.LinearRing) -> bool:
    return bool(shapely.Polygon(ring).area <= SAME_M * ring.length / FEWEST)
