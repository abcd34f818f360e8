"""The strip on the ground: a ring of a given width outside a patch.

Buffers are made in a local metric frame centred on the patch. GEOS simplifies what
it buffers by about 1 % of the distance and draws arcs as chords inside them; the
patch is densified nowhere, the arcs are cut fine, and the tests measure the width on
the ground.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.errors import StripProblem
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Chords per quarter circle: the sagitta of 32 is 0.03 % of the width.
QUARTER_CHORDS = 32
#: Crumbs of the ring smaller than this are the rounding of an overlay. [m²]
CRUMB_M2 = 0.5


def strip_ring(
    patch: shapely.Geometry,
    width_ft: float,
    *,
    boundary: shapely.Geometry | None = None,
    keep_out: Sequence[shapely.Geometry] = (),
) -> shapely.Geometry:
    """Return the strip round a patch, in longitude and latitude.

    Parameters
    ----------
    patch : polygon or multipolygon, holes included: clearings inside the vine get
        their strip too. [deg]
    width_ft : width on the ground, measured outward from the edge. [ft]
    boundary : the strip is cut back to this. [deg]
    keep_out : the strip is cut back from these (water, keep-out areas, roads). [deg]

    Returns
    -------
    Polygon or MultiPolygon. [deg] It shares no area with the patch; empty when
    nothing of it fits.

    Raises
    ------
    StripProblem
        The width is not more than zero, or the patch is empty.
    """
    if not width_ft > 0:
        raise StripProblem(
            f"a strip {width_ft:g} ft wide is none", fix="give a width above zero"
        )
    if patch.is_empty:
        raise StripProblem("there is no patch to go round", fix="give its edge")
    frame = LocalFrame.around([patch])
    local = frame.to_local(np.array([patch], dtype=object))[0]
    ring = local.buffer(width_ft * FT_M, quad_segs=QUARTER_CHORDS).difference(local)
    others = [shape for shape in (boundary, *keep_out) if shape is not None]
    moved = frame.to_local(np.array(others, dtype=object))
    if boundary is not None:
        ring = ring.intersection(moved[0])
        moved = moved[1:]
    if len(moved):
        ring = ring.difference(shapely.union_all(moved))
    # the way back from the frame is good to a millimetre: cut once more along the edge
    back = frame.to_lonlat(np.array([_solid(ring)], dtype=object))[0]
    out: shapely.Geometry = _polygonal(back.difference(patch))
    return out


def _solid(shape: shapely.Geometry) -> shapely.Geometry:
    """Return the polygons of an overlay in metres, without lines, points and crumbs."""
    return _polygonal(shape, CRUMB_M2)


def _polygonal(shape: shapely.Geometry, least_area: float = 0.0) -> shapely.Geometry:
    parts = [
        part
        for piece in shapely.get_parts(shape)
        for part in shapely.get_parts(piece)
        if part.geom_type == "Polygon" and part.area > least_area
    ]
    if not parts:
        return shapely.Polygon()
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def weak_lines(
    patch: shapely.Geometry,
    width_ft: float,
    obstacles: Sequence[tuple[str, shapely.Geometry]],
    *,
    step_m: float = 3.0,
) -> list[tuple[shapely.LineString, float, str]]:
    """Return stretches of the patch edge where the strip is thinner than asked.

    Parameters
    ----------
    patch, width_ft : as for ``strip_ring``.
    obstacles : what cuts the strip, as (reason, geometry). [deg]
    step_m : distance between stations along the edge. [m]

    Returns
    -------
    list of (line along the edge [deg], least width there [ft], reason).
    """
    if not obstacles:
        return []
    frame = LocalFrame.around([patch])
    local = frame.to_local(np.array([patch], dtype=object))[0]
    shapes = frame.to_local(np.array([shape for _, shape in obstacles], dtype=object))
    want = width_ft * FT_M
    found = []
    for polygon in shapely.get_parts(local):
        for ring in (polygon.exterior, *polygon.interiors):
            count = max(int(ring.length / step_m), 8)
            at = np.linspace(0.0, ring.length, count, endpoint=False)
            points = shapely.line_interpolate_point(ring, at)
            gap = np.array([shapely.distance(points, shape) for shape in shapes])
            nearest, width = gap.argmin(axis=0), gap.min(axis=0)
            found += _runs(
                points, width, nearest, want, [reason for reason, _ in obstacles]
            )
    lines = frame.to_lonlat(np.array([line for line, _, _ in found], dtype=object))
    return [
        (line, width / FT_M, reason)
        for line, (_, width, reason) in zip(lines, found, strict=True)
    ]


def _runs(
    points: np.ndarray,
    width: np.ndarray,
    nearest: np.ndarray,
    want: float,
    reasons: Sequence[str],
) -> list[tuple[shapely.LineString, float, str]]:
    """Return neighbouring stations that are too thin for one reason, as lines."""
    thin = width < want - 0.05
    if not thin.any():
        return []
    key = np.where(thin, nearest, -1)
    # begin at a change, so that no run is cut by where the ring starts
    changes = np.flatnonzero(key != np.roll(key, 1))
    first = int(changes[0]) if len(changes) else 0
    order = np.roll(np.arange(len(key)), -first)
    out = []
    start = 0
    for i in range(1, len(order) + 1):
        if i < len(order) and key[order[i]] == key[order[start]]:
            continue
        rows = order[start:i]
        if key[rows[0]] >= 0:
            xy = shapely.get_coordinates(points[rows])
            if len(xy) == 1:
                after = shapely.get_coordinates(points[order[i % len(order)]])[0]
                xy = np.vstack([xy, after])
            out.append(
                (shapely.LineString(xy), float(width[rows].min()), reasons[key[rows[0]]])
            )
        start = i
    return out


def lengths_ft(lines: Sequence[shapely.LineString]) -> list[float]:
    """Return geodesic lengths of lines in longitude and latitude. [ft]"""
    from pyproj import Geod

    geod = Geod(ellps="WGS84")
    return [geod.geometry_length(line) / FT_M for line in lines]
