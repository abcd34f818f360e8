"""Ground cut: split by a line, a hole, without other ground, clipped to a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.drawing.sheet import (
    Redrawn,
    Sheet,
    acres_words,
    feet_words,
    parts_of,
    redrawn,
    whole,
)
from quietacre.errors import BadInput
from quietacre.figures import in_words
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

#: A line that stops so little short of the edge is carried on to it. Ours. [m]
SHORT_M = 3.0 * FT_M
#: No piece of ground is smaller: one square foot. Ours. [m²]
LEAST_M2 = FT_M**2
LEAST_WORDS = in_words("a square foot", 1.0, "sq ft")
SOME = 2


def split(shape: shapely.Geometry, line: shapely.LineString) -> Redrawn:
    """Return the pieces that a line cuts ground into, the largest first.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    line : from edge to edge; it may bend, and cut more than once. [deg]

    Returns
    -------
    Redrawn
        Two pieces or more, which hold the acres that there were. Parts of the shape that
        the line does not meet stay with the largest piece.

    Raises
    ------
    BadInput
        The line crosses itself, ends inside, or does not cross the ground.
    """
    if not line.is_simple:
        raise BadInput("the line crosses itself", fix="draw it without a loop")
    sheet = Sheet([shape, line])
    ground = sheet.lay(shape)
    drawn, carried = _carried_on(sheet.lay(line), ground)
    pieces: list[shapely.Polygon] = []
    untouched: list[shapely.Polygon] = []
    for part in parts_of(ground):
        faces = _faces(part, drawn)
        if len(faces) < SOME:
            untouched.append(part)
        pieces += faces if len(faces) >= SOME else []
    if not pieces:
        raise BadInput(
            _why_not(drawn, ground), fix="draw it from one side of the ground to another"
        )
    pieces.sort(key=lambda piece: -piece.area)
    if pieces[-1].area < LEAST_M2:
        raise BadInput(
            f"the line cuts off less than {LEAST_WORDS}",
            fix="draw it farther from the corner",
        )
    made: list[shapely.Geometry] = [whole([pieces[0], *untouched]), *pieces[1:]]
    result = redrawn(sheet, made, [shape], 0.0, ())
    sizes = ", ".join(acres_words(acres) for acres in result.acres)
    lines = [f"split into {len(made)} pieces: {sizes}"]
    if carried:
        lines.append(
            f"the line stopped up to {feet_words(SHORT_M)} short, and is carried on"
        )
    if untouched:
        lines.append(
            f"{len(untouched)} of its parts the line does not meet; they stay with the largest piece"
        )
    return _with_words(result, lines)


def _with_words(result: Redrawn, lines: Sequence[str]) -> Redrawn:
    return Redrawn(
        result.pieces, result.acres, result.before_ac, result.moved_ac, tuple(lines)
    )


def _carried_on(
    line: shapely.LineString, ground: shapely.Geometry
) -> tuple[shapely.LineString, bool]:
    """Return a line whose ends reach over the edge where they stop just short of it."""
    xy = shapely.get_coordinates(line)
    carried = False
    for end, before in ((0, 1), (-1, -2)):
        point = shapely.Point(xy[end])
        if not ground.covers(point) or ground.boundary.distance(point) > SHORT_M:
            continue
        way = xy[end] - xy[before]
        on = ground.boundary.distance(point) == 0.0
        reach = 2.0 * SHORT_M / max(float(np.hypot(*way)), 1e-12)
        if on:
            continue
        carried = True
        more = xy[end] + way * reach
        xy = np.vstack([more, xy]) if end == 0 else np.vstack([xy, more])
    return shapely.LineString(xy), carried


def _faces(part: shapely.Polygon, line: shapely.LineString) -> list[shapely.Polygon]:
    """Return the pieces that a line cuts one polygon into."""
    lines = shapely.union_all([part.boundary, line])
    faces = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(lines))))
    inside = shapely.covers(part, shapely.point_on_surface(faces))
    return parts_of(shapely.GeometryCollection(list(faces[inside])))


def _why_not(line: shapely.LineString, ground: shapely.Geometry) -> str:
    if not line.intersects(ground):
        gap = feet_words(float(line.distance(ground)))
        return f"the line does not meet the ground; it is {gap} away"
    ends = shapely.points(shapely.get_coordinates(line)[[0, -1]])
    if shapely.contains_properly(ground, ends).any():
        return "the line ends inside the ground"
    return "the line does not cross the ground"


def hole(shape: shapely.Geometry, ring: shapely.Geometry) -> Redrawn:
    """Return ground with a hole in it.

    Parameters
    ----------
    shape, ring : polygons in longitude, latitude. [deg] Where the ring runs over the edge,
        ground is cut off the side, and that is said.

    Raises
    ------
    BadInput
        The ring lies outside, or nothing is left.
    """
    sheet = Sheet([shape, ring])
    ground, gone = sheet.lay(shape), sheet.lay(ring)
    _check_meets(ground, gone, "the ring")
    over = not shapely.contains_properly(ground, gone)
    left = ground.difference(gone)
    taken = ground.area - left.area
    lines = [f"{acres_words(taken / ACRE_M2)} taken out"]
    if over:
        lines.append(
            "the ring runs over the edge, so ground is cut off there and no hole made"
        )
    return _left(sheet, left, shape, taken, lines)


def without(shape: shapely.Geometry, others: Sequence[shapely.Geometry]) -> Redrawn:
    """Return ground without what other ground covers of it: a road through a plot.

    Raises
    ------
    BadInput
        They do not meet, or nothing is left.
    """
    sheet = Sheet([shape, *others])
    ground = sheet.lay(shape)
    gone = shapely.union_all([sheet.lay(one) for one in others])
    _check_meets(ground, gone, "the other ground")
    left = ground.difference(gone)
    taken = ground.area - left.area
    lines = [f"{acres_words(taken / ACRE_M2)} taken out where the other ground lies"]
    return _left(sheet, left, shape, taken, lines)


def clip(shape: shapely.Geometry, line: shapely.Geometry) -> Redrawn:
    """Return the ground that lies within a property line.

    Parameters
    ----------
    shape, line : polygons in longitude, latitude. [deg]

    Raises
    ------
    BadInput
        None of it lies within.
    """
    sheet = Sheet([shape, line])
    ground, inside = sheet.lay(shape), sheet.lay(line)
    left = ground.intersection(inside)
    if left.area <= CRUMB_SHARE * ground.area:
        raise BadInput(
            "nothing is left of it: all of it lies outside the property line",
            fix="check the line, or leave the piece as it is",
        )
    taken = ground.area - left.area
    if taken <= CRUMB_SHARE * ground.area:
        return redrawn(
            sheet, [ground], [shape], 0.0, ["all of it lies within the property line"]
        )
    lines = [f"{acres_words(taken / ACRE_M2)} outside the property line cut off"]
    return _left(sheet, left, shape, taken, lines)


#: Less than this of a piece is what rounding leaves.
CRUMB_SHARE = 1e-9


def _check_meets(ground: shapely.Geometry, other: shapely.Geometry, what: str) -> None:
    if ground.intersection(other).area <= CRUMB_SHARE * ground.area:
        raise BadInput(f"{what} lies outside the ground", fix="draw it inside the edge")


def _left(
    sheet: Sheet, left: shapely.Geometry, shape: shapely.Geometry, taken: float,
    lines: list[str],
) -> Redrawn:  # fmt: skip
    parts = [part for part in parts_of(left) if part.area >= LEAST_M2]
    crumbs = len(parts_of(left)) - len(parts)
    if not parts:
        raise BadInput("nothing is left of it", fix="draw so that some ground stays")
    if len(parts) > len(shapely.get_parts(shape)):
        lines.append(f"it is in {len(parts)} parts now")
    if crumbs:
        lines.append(f"{crumbs} crumbs of less than {LEAST_WORDS} left out")
    return redrawn(sheet, [whole(parts)], [shape], taken, lines)
