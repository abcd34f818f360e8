"""An edge that follows a neighbor's where it runs within a stated distance of it."""

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
from quietacre.drawing.stretch import CORNER_EXACT_M, FEWEST_POINTS, Loop, loops_of
from quietacre.errors import BadInput
from quietacre.figures import AS_IT_IS, feet
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: A stretch is led along a neighbor's edge only where that keeps within so many times the
#: stated distance of it: else the neighbor turns away in between. Ours.
STRAYS = 1.5
#: Nearer than this two edges are one already. [m]
SAME_M = 1e-4
#: Quarter circles of a buffer are drawn with so many sides.
FINE = 16
#: Ground moved by less than this is none. [m²]
LEAST_M2 = 1e-3
ALL_OF_IT = 2


def follow(
    shape: shapely.Geometry, others: Sequence[shapely.Geometry], within_ft: float
) -> Redrawn:
    """Return ground whose edge is a neighbor's wherever it ran near it.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    others : the neighbors, or the property line; polygons likewise.
    within_ft : how near counts as the same edge. [ft]

    Returns
    -------
    Redrawn
        ``moved_ac`` is the ground taken in and given up by it; both are said.

    Raises
    ------
    BadInput
        No neighbor is so near, or the edge would cross itself.
    """
    if not within_ft > 0:
        raise BadInput("the distance is nothing", fix="give it in feet, above 0")
    if not others:
        raise BadInput("there is no neighbor to follow", fix="name another piece of ground")
    sheet = Sheet([shape, *others])
    old = sheet.lay(shape)
    reach = within_ft * FT_M
    near = [
        loop
        for other in others
        for part in shapely.get_parts(sheet.lay(other))
        for loop in loops_of(part)
        if old.boundary.distance(shapely.LinearRing(loop.xy)) <= reach
    ]
    if not near:
        gap = min(
            float(old.boundary.distance(sheet.lay(other).boundary)) for other in others
        )
        raise BadInput(
            f"no neighbor's edge lies within {feet(within_ft, AS_IT_IS)}; the nearest is "
            f"{feet_words(gap)} away", fix="give a larger distance",
        )  # fmt: skip
    parts, moved = [], 0.0
    for part in shapely.get_parts(old):
        rings = []
        for loop in loops_of(part):
            xy = loop.xy
            for target in near:
                xy, length = _led_along(xy, target, reach)
                moved += length
            rings.append(xy)
        parts.append(_polygon(rings, within_ft))
    new = whole(parts_of(shapely.GeometryCollection(parts)))
    return redrawn(sheet, [new], [shape], _area(old, new), _words(old, new, moved))


def _words(old: shapely.Geometry, new: shapely.Geometry, moved_m: float) -> list[str]:
    taken, given = new.difference(old).area, old.difference(new).area
    if taken + given <= LEAST_M2:
        return ["it follows its neighbors already; no ground moved"]
    return [
        f"{feet_words(moved_m)} of its edge follow a neighbor's now; {acres_words((taken + given) / ACRE_M2)} "
        f"moved: {acres_words(taken / ACRE_M2)} taken in, {acres_words(given / ACRE_M2)} given up"
    ]


def _area(old: shapely.Geometry, new: shapely.Geometry) -> float:
    moved = float(shapely.symmetric_difference(old, new).area)
    return moved if moved > LEAST_M2 else 0.0


def _polygon(rings: list[FloatArray], within_ft: float) -> shapely.Polygon:
    if any(len(ring) < FEWEST_POINTS for ring in rings):
        raise BadInput("nothing would be left of it", fix="give a smaller distance")
    made = shapely.Polygon(rings[0], rings[1:])
    if not made.is_valid:
        raise BadInput(
            f"with {feet(within_ft, AS_IT_IS)} the edge would cross itself",
            fix="give a smaller distance",
        )
    return made


def _led_along(xy: FloatArray, target: Loop, reach: float) -> tuple[FloatArray, float]:
    """Return a ring led along another where it runs within reach, and how much of it was. [m]"""
    line = shapely.LinearRing(target.xy)
    zone = shapely.buffer(line, reach, quad_segs=FINE)
    loop = Loop.of(xy)
    ring = shapely.LinearRing(xy)
    if shapely.covers(zone, ring):
        return _all_of_it(loop, target, reach)
    spans = _spans(loop, ring, zone)
    if not spans:
        return xy, 0.0
    out: list[FloatArray] = []
    moved = 0.0
    for number, (start, end) in enumerate(spans):
        after = spans[(number + 1) % len(spans)][0]
        path = loop.path(start, end)
        instead = _instead(path, target, line, reach)
        moved += 0.0 if instead is None else (end - start) % loop.length
        out.append(path if instead is None else instead)
        out.append(loop.between(end, after))
    made = _closed(np.vstack(out))
    return made, moved


def _spans(
    loop: Loop, ring: shapely.LinearRing, zone: shapely.Geometry
) -> list[tuple[float, float]]:
    """Return where a ring runs inside a zone, from and to how far round it. [m]"""
    inside = shapely.get_parts(shapely.line_merge(ring.intersection(zone)))
    spans = []
    for piece in inside:
        if piece.geom_type != "LineString" or piece.length <= CORNER_EXACT_M:
            continue
        ends = shapely.get_coordinates(piece)
        middle = shapely.line_interpolate_point(piece, 0.5, normalized=True)
        start, mid, end = (
            float(shapely.line_locate_point(ring, point))
            for point in (shapely.Point(ends[0]), middle, shapely.Point(ends[-1]))
        )
        ahead = (mid - start) % loop.length <= (end - start) % loop.length
        spans.append((start, end) if ahead else (end, start))
    spans.sort()
    return spans


def _instead(
    path: FloatArray, target: Loop, line: shapely.LinearRing, reach: float
) -> FloatArray | None:
    """Return the way along a neighbor's edge in place of a path; None where it strays.

    Its ends stay where the path runs farther off than an edge that is the same already.
    """
    ends = [
        float(shapely.line_locate_point(line, shapely.Point(xy))) for xy in path[[0, -1]]
    ]
    way = target.shorter(*ends)
    if len(way) < ALL_OF_IT or _length(way) <= CORNER_EXACT_M:
        return None
    along, new = shapely.LineString(path), shapely.LineString(way)
    if shapely.hausdorff_distance(along, new, densify=0.1) > STRAYS * reach:
        return None
    head = path[:1] if np.hypot(*(path[0] - way[0])) > SAME_M else path[:0]
    tail = path[-1:] if np.hypot(*(path[-1] - way[-1])) > SAME_M else path[:0]
    return np.vstack([head, way, tail])


def _length(path: FloatArray) -> float:
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def _all_of_it(loop: Loop, target: Loop, reach: float) -> tuple[FloatArray, float]:
    """Return the neighbor's whole ring for one that lies along all of it."""
    mine, theirs = shapely.LinearRing(loop.xy), shapely.LinearRing(target.xy)
    if shapely.hausdorff_distance(mine, theirs, densify=0.1) > STRAYS * reach:
        raise BadInput(
            "all of the edge lies within that distance of a neighbor's, and does not follow it",
            fix="give a smaller distance",
        )
    return target.xy.copy(), loop.length


def _closed(xy: FloatArray) -> FloatArray:
    """Return a ring's corners without doubles, the first repeated last."""
    step = np.hypot(*(xy - np.roll(xy, 1, axis=0)).T)
    kept = xy[step > CORNER_EXACT_M]
    return np.vstack([kept, kept[:1]]) if len(kept) else kept
