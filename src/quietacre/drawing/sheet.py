"""A sheet that polygons are drawn on: local metres, with every corner's own degrees kept.

Edges are geodesics on the ground and straight lines on the sheet; over a mile the two lie a
hundredth of an inch apart. So a corner that an operation puts on an edge is brought back onto
the geodesic: both pieces of a split then hold exactly the ground there was. A corner that no
operation moved comes back with the digits it came with.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre import figures
from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame, sound
from quietacre.errors import BadInput
from quietacre.figures import feet, printed
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Lonlat = tuple[float, float]

#: A corner so near to an edge lies on it: overlays round to less. [m]
ON_EDGE_M = 1e-5
#: Parts smaller than this are what rounding leaves, and no ground. [m²]
CRUMB_M2 = 1e-7
#: A ring has at least so many corners, its first repeated.
FEWEST_POINTS = 4
#: More than this is no drawing of a hand. Ours.
MOST_CORNERS = 20_000
MOST_LAT_DEG, MOST_LON_DEG = 89.0, 540.0


@dataclass(frozen=True)
class Redrawn:
    """What an operation made.

    ``pieces`` are polygons or multipolygons in longitude, latitude [deg]; ``acres`` has the
    acres of each, ``before_ac`` those of all that went in; ``moved_ac`` is the ground that
    changed hands: taken in and given up. ``said`` are sentences for the person.
    """

    pieces: tuple[shapely.Geometry, ...]
    acres: tuple[float, ...]
    before_ac: float
    moved_ac: float
    said: tuple[str, ...]


def acres_of(shapes: Sequence[shapely.Geometry]) -> FloatArray:
    """Return the acres of polygons in longitude, latitude, shape (n,). [ac]"""
    return np.asarray(area_m2(np.array([*shapes, None], dtype=object))[:-1] / ACRE_M2)


#: The least ground that two decimals say. [ac]
LEAST_SAID_AC = 0.01


def acres_words(acres: float) -> str:
    """Return acres for a text; a little ground is never said as none."""
    text = figures.acres(acres)
    little = acres > 0 and printed(text) == printed(figures.acres(0.0))
    return f"less than {figures.acres(LEAST_SAID_AC)}" if little else text


def feet_words(length_m: float) -> str:
    """Return a length in metres as it is said, in feet."""
    return feet(length_m / FT_M)


def polygons_of(rings: object, what: str = "the piece") -> shapely.Geometry:
    """Return polygons told as rings of longitude and latitude.

    Parameters
    ----------
    rings : a list of polygons, each a list of rings, first the edge and then its holes; a
        ring is a list of [longitude, latitude], its first corner repeated or not. [deg]
    what : how to call it in messages.

    Raises
    ------
    BadInput
        It is no such list; a ring crosses itself or another.
    """
    if not isinstance(rings, (list, tuple)) or not rings:
        raise BadInput(f"{what} has no rings", fix="draw its edge")
    parts = []
    for polygon in rings:
        if not isinstance(polygon, (list, tuple)) or not polygon:
            raise BadInput(f"{what} has a part without rings", fix="draw its edge")
        made = [_ring(ring, what) for ring in polygon]
        parts.append(shapely.Polygon(made[0], made[1:]))
    if sum(map(shapely.get_num_coordinates, parts)) > MOST_CORNERS:
        raise BadInput(
            f"{what} has more than {MOST_CORNERS:,} corners", fix="draw it with fewer"
        )
    return sound_or_refused(
        parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts), what
    )


def line_of(points: object, what: str = "the line") -> shapely.LineString:
    """Return a line told as a list of [longitude, latitude]. [deg]

    Raises
    ------
    BadInput
        It is no such list, or has no length.
    """
    line = shapely.LineString(_positions(points, what, 2))
    if line.length == 0:
        raise BadInput(f"{what} has no length", fix="draw it from one place to another")
    return line


def place_of(point: object, what: str = "the place") -> Lonlat:
    """Return a place told as [longitude, latitude]. [deg]

    Raises
    ------
    BadInput
        It is no such place.
    """
    lon, lat = _positions([point], what, 1)[0].tolist()
    return lon, lat


def rings_of(shape: shapely.Geometry) -> list[list[list[Lonlat]]]:
    """Return polygons as lists of rings, no first corner repeated."""
    return [
        [[(x, y) for x, y in shapely.get_coordinates(ring)[:-1].tolist()]
         for ring in (part.exterior, *part.interiors)]
        for part in shapely.get_parts(shape)
    ]  # fmt: skip


def sound_or_refused(shape: shapely.Geometry, what: str) -> shapely.Geometry:
    """Return polygons that no ring of them crosses.

    Raises
    ------
    BadInput
        A ring crosses itself or another; the place is told.
    """
    if not shape.is_valid:
        why = shapely.is_valid_reason(shape)
        raise BadInput(
            f"{what} would cross itself ({why})", fix="draw it without crossing it"
        )
    return shape


def _ring(points: object, what: str) -> FloatArray:
    xy = _positions(points, what, 3)
    if not np.array_equal(xy[0], xy[-1]):
        xy = np.vstack([xy, xy[:1]])
    if len(xy) < FEWEST_POINTS:
        raise BadInput(
            f"{what} has a ring of fewer than three corners", fix="draw it round ground"
        )
    return xy


def _positions(points: object, what: str, fewest: int) -> FloatArray:
    try:
        xy = np.array(points, dtype=float)
    except (TypeError, ValueError):
        xy = np.zeros(0)
    if xy.ndim != 2 or xy.shape[1] != 2 or len(xy) < fewest:  # noqa: PLR2004 - lon, lat
        raise BadInput(
            f"{what} is no list of at least {fewest} places",
            fix="give [longitude, latitude]",
        )
    if not np.isfinite(xy).all() or (np.abs(xy) > (MOST_LON_DEG, MOST_LAT_DEG)).any():
        raise BadInput(
            f"{what} has a place that is none", fix="give longitude, then latitude"
        )
    return xy


class Sheet:
    """Polygons and lines laid on one local frame, and brought back from it."""

    def __init__(self, shapes: Iterable[shapely.Geometry]) -> None:
        """Lay out a frame around shapes in longitude, latitude. [deg]"""
        self.shapes = tuple(shapes)
        self.frame = LocalFrame.around(self.shapes)
        self._own: dict[Lonlat, Lonlat] = {}
        for shape in self.shapes:
            self._remember(shape)

    def lay(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a shape in local metres, its polygons valid there too. [m]"""
        laid: shapely.Geometry = sound(
            self.frame.to_local(np.array([shape], dtype=object))
        )[0]
        return laid

    def _remember(self, shape: shapely.Geometry) -> None:
        lonlat = shapely.get_coordinates(shape)
        xy = np.column_stack(self.frame.xy(*lonlat.T))
        for place, degrees in zip(xy.tolist(), lonlat.tolist(), strict=True):
            self._own.setdefault((place[0], place[1]), (degrees[0], degrees[1]))

    @cached_property
    def _edges(self) -> tuple[NDArray[np.object_], FloatArray, shapely.STRtree]:
        """Return every edge on the sheet, its two ends in degrees (n, 4), and their tree."""
        sides, ends = [], []
        for shape in self.shapes:
            if shape.geom_type not in ("Polygon", "MultiPolygon"):
                continue
            for ring in shapely.get_rings(shapely.get_parts(shape)):
                lonlat = shapely.get_coordinates(ring)
                xy = np.column_stack(self.frame.xy(*lonlat.T))
                sides.append(np.stack([xy[:-1], xy[1:]], axis=1))
                ends.append(np.hstack([lonlat[:-1], lonlat[1:]]))
        lines = shapely.linestrings(np.concatenate(sides)) if sides else np.zeros(0, object)
        return (
            lines,
            np.concatenate(ends) if ends else np.zeros((0, 4)),
            shapely.STRtree(lines),
        )

    def lift(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a shape of the sheet in longitude, latitude. [deg]

        Corners that lay on the sheet come back as they came; those on an edge lie on its
        geodesic.
        """
        return shapely.transform(shape, self._lifted)

    def _lifted(self, xy: FloatArray) -> FloatArray:
        if not len(xy):
            return xy
        lon, lat = self.frame.lonlat(xy[:, 0], xy[:, 1])
        out = np.column_stack([lon, lat])
        new = []
        for row, place in enumerate(map(tuple, xy.tolist())):
            if (known := self._own.get(place)) is not None:
                out[row] = known
            else:
                new.append(row)
        if new:
            self._onto_edges(xy, out, np.array(new))
        return out

    def _onto_edges(self, xy: FloatArray, out: FloatArray, rows: NDArray[np.int64]) -> None:
        """Bring new corners that lie on an edge onto its geodesic."""
        lines, ends, tree = self._edges
        if not len(lines):
            return
        points = shapely.points(xy[rows])
        near, which = tree.query_nearest(points, max_distance=ON_EDGE_M, all_matches=False)
        if not len(near):
            return
        from pyproj import Geod

        share = shapely.line_locate_point(lines[which], points[near], normalized=True)
        lon0, lat0, lon1, lat1 = ends[which].T
        geod = Geod(ellps="WGS84")
        ahead, _, length = geod.inv(lon0, lat0, lon1, lat1)
        lon, lat, _ = geod.fwd(lon0, lat0, ahead, length * share)
        # on the same side of the antimeridian as its edge
        out[rows[near], 0] = lon0 + (lon - lon0 + 180.0) % 360.0 - 180.0
        out[rows[near], 1] = lat


def parts_of(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """Return the polygons of a shape on the sheet that are ground, crumbs left out."""
    return [
        part for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and part.area > CRUMB_M2
    ]  # fmt: skip


def whole(parts: Sequence[shapely.Polygon]) -> shapely.Geometry:
    """Return polygons as one shape."""
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(list(parts))


def redrawn(
    sheet: Sheet, pieces: Sequence[shapely.Geometry], before: Sequence[shapely.Geometry],
    moved_m2: float, lines: Sequence[str],
) -> Redrawn:  # fmt: skip
    """Return what an operation made, its pieces brought back from the sheet.

    Parameters
    ----------
    pieces : on the sheet. [m]
    before : what went in, in longitude, latitude. [deg]

    Raises
    ------
    BadInput
        Nothing is left, or a ring would cross itself.
    """
    if not pieces or any(piece.is_empty for piece in pieces):
        raise BadInput("nothing is left of it", fix="draw so that some ground stays")
    lifted = tuple(
        sound_or_refused(sheet.lift(piece), "the piece so made") for piece in pieces
    )
    acres = tuple(acres_of(lifted).tolist())
    return Redrawn(
        lifted, acres, float(acres_of(before).sum()), moved_m2 / ACRE_M2, tuple(lines)
    )
