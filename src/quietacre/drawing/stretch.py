"""A stretch of an edge: between two places made straight, or led along a neighbor's edge."""

from __future__ import annotations

from dataclasses import dataclass
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
from quietacre.figures import AS_IT_IS, feet
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: A place so near to a corner is that corner. Ours. [m]
CORNER_M = 0.5 * FT_M
#: A place farther from the edge than this means another edge. Ours. [m]
REACH_M = 100.0 * FT_M
FEWEST_POINTS = 4


@dataclass(frozen=True)
class Loop:
    """A ring on the sheet, and how far round it each corner lies. [m]

    ``xy`` has shape (n + 1, 2), its first corner repeated last.
    """

    xy: FloatArray
    far: FloatArray

    @classmethod
    def of(cls, xy: FloatArray) -> Loop:
        """Return the loop of a closed ring's corners."""
        return cls(xy, np.r_[0.0, np.cumsum(np.hypot(*np.diff(xy, axis=0).T))])

    @property
    def length(self) -> float:
        """Return how long it is round. [m]"""
        return float(self.far[-1])

    def at(self, along: float) -> FloatArray:
        """Return the place so far round, shape (2,); a corner near it as it is."""
        along %= self.length
        near = int(np.argmin(np.abs(self.far - along)))
        if abs(self.far[near] - along) <= CORNER_EXACT_M:
            return np.asarray(self.xy[near])
        return np.array([np.interp(along, self.far, self.xy[:, k]) for k in (0, 1)])

    def between(self, start: float, end: float) -> FloatArray:
        """Return the corners met going forward from one place to another, ends left out."""
        span = (end - start) % self.length
        ahead = (self.far[:-1] - start) % self.length
        inside = (ahead > CORNER_EXACT_M) & (ahead < span - CORNER_EXACT_M)
        order = np.argsort(ahead[inside], kind="stable")
        return self.xy[:-1][inside][order]

    def path(self, start: float, end: float) -> FloatArray:
        """Return the way forward from one place to another, both ends included."""
        return np.vstack([self.at(start), self.between(start, end), self.at(end)])

    def shorter(self, start: float, end: float) -> FloatArray:
        """Return the shorter of both ways from one place to another."""
        if (end - start) % self.length <= self.length / 2.0:
            return self.path(start, end)
        return self.path(end, start)[::-1]

    def where(self, place: FloatArray) -> float:
        """Return how far round the nearest place of the loop lies; a corner near it first."""
        along = float(
            shapely.line_locate_point(shapely.LineString(self.xy), shapely.Point(place))
        )
        near = int(np.argmin(np.abs(self.far - along)))
        return float(self.far[near]) if abs(self.far[near] - along) <= CORNER_M else along


#: Places along a loop nearer than this are one. [m]
CORNER_EXACT_M = 1e-6


def loops_of(polygon: shapely.Polygon) -> list[Loop]:
    """Return the loops of a polygon on the sheet: its edge, then its holes."""
    return [
        Loop.of(shapely.get_coordinates(ring))
        for ring in (polygon.exterior, *polygon.interiors)
    ]


def straighten(
    shape: shapely.Geometry, start: tuple[float, float], end: tuple[float, float], *,
    long_way: bool = False,
) -> Redrawn:  # fmt: skip
    """Return ground whose edge runs straight between two places on it.

    It straightens a wavering stretch, and cuts off a notch or a spur.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    start, end : longitude and latitude near the edge; a corner within half a foot is taken.
    long_way : make the longer way round straight, not the shorter.

    Raises
    ------
    BadInput
        The places lie on two rings or far from the edge, or nothing would be left.
    """
    sheet = Sheet([shape, shapely.LineString([start, end])])
    ends = shapely.get_coordinates(sheet.lay(shapely.LineString([start, end])))
    parts = list(shapely.get_parts(sheet.lay(shape)))
    row, ring, loop = _ring_at(parts, ends)
    first, last = loop.where(ends[0]), loop.where(ends[1])
    ahead = (last - first) % loop.length
    if min(ahead, loop.length - ahead) <= CORNER_EXACT_M:
        raise BadInput("both places are one", fix="give two places on the edge, well apart")
    if (ahead > loop.length / 2.0) != long_way:
        first, last = last, first
    gone = loop.path(first, last)
    kept = np.vstack([loop.path(last, first), loop.at(last)])
    if len(kept) < FEWEST_POINTS:
        raise BadInput(
            "nothing would be left of it", fix="give places nearer to each other"
        )
    old = parts[row]
    parts[row] = _with_ring(old, ring, kept)
    moved = _moved_m2(old, parts[row])
    was, now = _length(gone), float(np.hypot(*(gone[-1] - gone[0])))
    change = parts[row].area - old.area
    lines = [
        f"{feet_words(was)} of its edge run straight now, {feet_words(now)}; {_gained(change)}"
    ]
    return redrawn(sheet, [whole(parts)], [shape], moved, lines)


def _ring_at(parts: list[shapely.Polygon], ends: FloatArray) -> tuple[int, int, Loop]:
    """Return part, ring and loop on which two places lie."""
    loops = [
        (row, number, loop)
        for row, part in enumerate(parts)
        for number, loop in enumerate(loops_of(part))
    ]
    lines = np.array([shapely.LinearRing(loop.xy) for _, _, loop in loops], dtype=object)
    away = np.array([shapely.distance(lines, shapely.Point(place)) for place in ends])
    first, last = away.argmin(axis=1)
    if away.min(axis=1).max() > REACH_M:
        gap = feet_words(float(away.min(axis=1).max()))
        raise BadInput(f"a place lies {gap} from the edge", fix="give places on the edge")
    if first != last:
        raise BadInput(
            "the places lie on two different rings", fix="give two places on the same edge"
        )
    return loops[int(first)]


def _with_ring(polygon: shapely.Polygon, number: int, xy: FloatArray) -> shapely.Polygon:
    """Return a polygon with another ring in place of one: 0 is its edge."""
    rings = [
        shapely.get_coordinates(ring) for ring in (polygon.exterior, *polygon.interiors)
    ]
    rings[number] = xy
    made = shapely.Polygon(rings[0], rings[1:])
    if not made.is_valid:
        raise BadInput("the edge would cross itself", fix="give other places on the edge")
    if made.area <= 0:
        raise BadInput(
            "nothing would be left of it", fix="give places nearer to each other"
        )
    return made


def _length(path: FloatArray) -> float:
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def _moved_m2(old: shapely.Geometry, new: shapely.Geometry) -> float:
    return float(shapely.symmetric_difference(old, new).area)


def _gained(change_m2: float) -> str:
    word = "more" if change_m2 > 0 else "less"
    return f"{acres_words(abs(change_m2) / ACRE_M2)} {word}"


def trim(
    shape: shapely.Geometry, *, spur_ft: float = 0.0, notch_ft: float = 0.0
) -> Redrawn:
    """Return ground without spurs and notches narrower than so much.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    spur_ft : what sticks out and is narrower is cut off. [ft]
    notch_ft : what runs in and is narrower is filled. [ft]

    Raises
    ------
    BadInput
        No width is given, or nothing would be left.
    """
    if not (spur_ft > 0 or notch_ft > 0):
        raise BadInput(
            "no width is given", fix="say how narrow a spur or a notch is, in feet"
        )
    sheet = Sheet([shape])
    old = new = sheet.lay(shape)
    lines = []
    if spur_ft > 0:
        gone = _narrow(new, new.intersection(_opened(new, spur_ft * FT_M)), spur_ft)
        new = new.difference(shapely.union_all(gone)) if gone else new
        lines.append(
            _counted(gone, "spur", f"narrower than {feet(spur_ft, AS_IT_IS)} cut off")
        )
    if notch_ft > 0:
        gone = _narrow(_closed(new, notch_ft * FT_M), new, notch_ft)
        new = shapely.union_all([new, *gone])
        lines.append(
            _counted(gone, "notch", f"narrower than {feet(notch_ft, AS_IT_IS)} filled")
        )
    parts = parts_of(new)
    if not parts:
        raise BadInput("nothing would be left of it", fix="give a smaller width")
    return redrawn(sheet, [whole(parts)], [shape], _moved_m2(old, new), lines)


def _counted(gone: list[shapely.Geometry], word: str, what: str) -> str:
    if not gone:
        return f"no {word} {what.rpartition(' ')[0]}"
    plural = word if len(gone) == 1 else f"{word}es" if word.endswith("ch") else f"{word}s"
    acres = sum(one.area for one in gone) / ACRE_M2
    return f"{len(gone)} {plural} {what}, {acres_words(acres)}"


#: Corners stay sharp up to this many times the width.
MITRE = 4.0


def _opened(shape: shapely.Geometry, width_m: float) -> shapely.Geometry:
    less = shapely.buffer(shape, -width_m / 2.0, join_style="mitre", mitre_limit=MITRE)
    return shapely.buffer(less, width_m / 2.0, join_style="mitre", mitre_limit=MITRE)


def _closed(shape: shapely.Geometry, width_m: float) -> shapely.Geometry:
    more = shapely.buffer(shape, width_m / 2.0, join_style="mitre", mitre_limit=MITRE)
    return shapely.buffer(more, -width_m / 2.0, join_style="mitre", mitre_limit=MITRE)


def _narrow(
    large: shapely.Geometry, small: shapely.Geometry, width_ft: float
) -> list[shapely.Geometry]:
    """Return what lies between two shapes and is more than the crumbs of their corners.

    A spur is longer than it is wide, so it holds more than half its width squared.
    """
    least = 0.5 * (width_ft * FT_M) ** 2
    return [part for part in parts_of(large.difference(small)) if part.area >= least]


def strip_along(line: shapely.LineString, width_ft: float) -> Redrawn:
    """Return the ground of a line with a width: a road, a lane, a firebreak.

    Parameters
    ----------
    line : its middle, in longitude, latitude. [deg]
    width_ft : across it. [ft]

    Raises
    ------
    BadInput
        The width is none, or the line is no longer than that.
    """
    if not width_ft > 0:
        raise BadInput("the width is nothing", fix="give it in feet, above 0")
    sheet = Sheet([line])
    laid = sheet.lay(line)
    ground = shapely.buffer(
        laid, width_ft * FT_M / 2.0, cap_style="flat", join_style="mitre", mitre_limit=MITRE
    )
    if laid.length < width_ft * FT_M:
        raise BadInput(
            f"the line is {feet_words(laid.length)} long and {feet(width_ft, AS_IT_IS)} wide",
            fix="draw it longer, or narrower",
        )
    made = redrawn(sheet, [whole(parts_of(ground))], [], 0.0, ())
    line_text = f"{feet_words(laid.length)} long, {feet(width_ft, AS_IT_IS)} wide, {acres_words(made.acres[0])}"
    return Redrawn(made.pieces, made.acres, 0.0, 0.0, (line_text,))
