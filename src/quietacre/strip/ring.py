"""The strip on the ground: a ring of a given width outside a patch.

Buffers are made in a local metric frame centred on the patch. GEOS simplifies what
it buffers by about 1 % of the distance and draws arcs as chords inside them; the
patch is densified nowhere, the arcs are cut fine, and the tests measure the width on
the ground.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame, sound
from quietacre.errors import StripProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.units import ACRE_M2, FT_M, MILE_M

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Chords per quarter circle: the sagitta of 32 is 0.03 % of the width.
QUARTER_CHORDS = 32
#: Crumbs of the ring smaller than this are the rounding of an overlay. [m²]
CRUMB_M2 = 0.5
#: Stations along the edge stand at most this far apart. [m]
STATION_M = 3.0
#: No patch on foot has a longer edge; a strip round one would take hours to work out. [mi]
MOST_EDGE_MI = 200.0
#: A line of sight that runs this far through the patch looks across it. [m]
ACROSS_M = 0.5
#: A degree of latitude, at its shortest. [m]
M_DEG = 110_574.0
#: How far around a property its outside is drawn; beyond any patch of it. [deg]
BEYOND_DEG = 0.5


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
        The width is not more than zero, the patch is empty, or its edge is no edge that
        anybody walks.
    """
    if not width_ft > 0:
        raise StripProblem(
            f"a strip {figure(width_ft, 'ft', AS_IT_IS)} wide is none",
            fix="give a width above zero",
        )
    if patch.is_empty:
        raise StripProblem("there is no patch to go round", fix="give its edge")
    frame = LocalFrame.around([patch])
    local = sound(frame.to_local(np.array([patch], dtype=object)))[0]
    if local.length > MOST_EDGE_MI * MILE_M:
        raise StripProblem(
            f"the edge of the patch is {figure(local.length / MILE_M, 'miles', 0)} long, of "
            f"{shapely.get_num_coordinates(local):,} corners; the limit for a strip is "
            f"{figure(MOST_EDGE_MI, 'miles', 0)}",
            fix="draw its edge again, as one would walk it",
        )
    ring = local.buffer(width_ft * FT_M, quad_segs=QUARTER_CHORDS).difference(local)
    others = [shape for shape in (boundary, *keep_out) if shape is not None]
    moved = sound(frame.to_local(np.array(others, dtype=object)))
    if boundary is not None:
        ring = ring.intersection(moved[0])
        moved = moved[1:]
    if len(moved):
        ring = ring.difference(shapely.union_all(moved))
    # the way back from the frame is good to a millimetre: cut once more along the edge
    back = sound(frame.to_lonlat(np.array([_solid(ring)], dtype=object)))[0]
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


class Obstacle(NamedTuple):
    """What the strip cannot run over, and why. ``shape`` in degrees.

    ``setback_ft`` is ground that must stay free in front of it (climbing reach);
    ``hard`` ground fails wherever it lies inside the width.
    """

    reason: str
    shape: shapely.Geometry
    setback_ft: float = 0.0
    hard: bool = False


def beyond(boundary: shapely.Geometry) -> Obstacle:
    """Return the ground outside the property line as what stops a strip. [deg]"""
    around = shapely.box(*boundary.bounds).buffer(BEYOND_DEG, join_style="mitre")
    return Obstacle("property line", around.difference(boundary), 0.0, hard=True)


def within_reach(patch: shapely.Geometry, other: shapely.Geometry, reach_ft: float) -> bool:
    """Return False only when two shapes surely lie farther apart than that. [deg, ft]

    A box round the patch, too large rather than too small, is held against the other's.
    """
    west, south, east, north = patch.bounds
    high = 1.1 * reach_ft * FT_M / M_DEG
    # a degree of longitude is shortest at the end nearer the pole
    wide = high / math.cos(math.radians(min(max(abs(south), abs(north)), 89.9)))
    left, low, right, top = other.bounds
    if low > north + high or top < south - high:
        return False
    # either may be told on the far side of the date line
    return any(
        left + turn <= east + wide and right + turn >= west - wide
        for turn in (-360, 0, 360)
    )


class Weak(NamedTuple):
    """A stretch of the patch edge where the strip is thinner than asked. [deg, ft]"""

    line: shapely.LineString
    available_ft: float
    reason: str
    verdict: str


@dataclass(frozen=True)
class Stations:
    """Places along the edge, each with the width there is, its verdict and reason.

    ``lon``, ``lat`` [deg], ``available_ft`` [ft] (the asked width where nothing is in
    the way), ``verdict`` PASS, NARROW or FAIL and ``reason`` ("" on PASS): shape (n,).
    ``weak`` joins neighbours of one verdict and reason to lines.
    """

    lon: np.ndarray
    lat: np.ndarray
    available_ft: np.ndarray
    verdict: np.ndarray
    reason: np.ndarray
    weak: tuple[Weak, ...]

    def count(self, verdict: str) -> int:
        """Return how many stations have a verdict."""
        return int((self.verdict == verdict).sum())


def edge_stations(
    patch: shapely.Geometry,
    width_ft: float,
    obstacles: Sequence[Obstacle],
    *,
    fail_below_ft: float = 0.0,
    step_m: float = STATION_M,
) -> Stations:
    """Return the width available at stations along the whole edge, holes included.

    Parameters
    ----------
    patch, width_ft : as for ``strip_ring``.
    obstacles : what cuts the strip. What lies across the patch itself does not count.
    fail_below_ft : a station with less than this fails; above it is narrow. [ft]
    step_m : most distance between stations along the edge. [m]
    """
    # of a thousand plots, only those that the strip can reach are looked at
    obstacles = [
        o for o in obstacles if within_reach(patch, o.shape, width_ft + o.setback_ft)
    ]
    frame = LocalFrame.around([patch])
    local = sound(frame.to_local(np.array([patch], dtype=object)))[0]
    shapes = sound(frame.to_local(np.array([o.shape for o in obstacles], dtype=object)))
    shapely.prepare(shapes)
    shapely.prepare(local)
    rings = [
        ring
        for polygon in shapely.get_parts(local)
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    parts, runs = [], []
    for ring in rings:
        count = max(math.ceil(ring.length / step_m), 8)
        at = np.linspace(0.0, ring.length, count, endpoint=False)
        points = shapely.line_interpolate_point(ring, at)
        free, nearest = _free(points, local, shapes, obstacles, width_ft)
        thin = free < width_ft - 0.15
        hard = np.array([False, *(o.hard for o in obstacles)])[nearest + 1]
        verdict = np.where(
            ~thin, "PASS", np.where(hard | (free < fail_below_ft - 0.15), "FAIL", "NARROW")
        )
        reason = np.array(["", *(o.reason for o in obstacles)], dtype=object)[
            np.where(thin, nearest + 1, 0)
        ]
        parts.append((points, np.where(thin, free, width_ft), verdict, reason))
        runs += _runs(points, free, verdict, reason)
    points, free, verdict, reason = (
        np.concatenate(column) for column in zip(*parts, strict=True)
    )
    xy = shapely.get_coordinates(points)
    lon, lat = frame.lonlat(xy[:, 0], xy[:, 1])
    lines = frame.to_lonlat(np.array([run.line for run in runs], dtype=object))
    weak = tuple(run._replace(line=line) for run, line in zip(runs, lines, strict=True))
    return Stations(lon, lat, free, verdict, reason, weak)


def _free(
    points: np.ndarray,
    patch: shapely.Geometry,
    shapes: np.ndarray,
    obstacles: Sequence[Obstacle],
    width_ft: float,
) -> tuple[np.ndarray, np.ndarray]:
    """Return the free width [ft] at each point and which obstacle ends it, -1 for none."""
    free = np.full(len(points), np.inf)
    nearest = np.full(len(points), -1)
    for number, (shape, obstacle) in enumerate(zip(shapes, obstacles, strict=True)):
        gap = shapely.distance(points, shape) / FT_M - obstacle.setback_ft
        near = np.flatnonzero(gap < width_ft)
        across = shapely.intersection(shapely.shortest_line(points[near], shape), patch)
        gap[near[shapely.length(across) > ACROSS_M]] = np.inf
        closer = gap < free
        free[closer] = np.maximum(gap[closer], 0.0)
        nearest[closer] = number
    return free, nearest


def _runs(
    points: np.ndarray, free_ft: np.ndarray, verdict: np.ndarray, reason: np.ndarray
) -> list[Weak]:
    """Return neighbouring stations of one verdict and reason, as lines in metres."""
    key = np.array([f"{v}\x1f{r}" for v, r in zip(verdict, reason, strict=True)])
    # begin at a change, so that no run is cut by where the ring starts
    first = int(np.argmax(key != np.roll(key, 1)))
    order = np.roll(np.arange(len(key)), -first)
    starts = [0, *(np.flatnonzero(key[order][1:] != key[order][:-1]) + 1), len(order)]
    out = []
    for start, end in itertools.pairwise(starts):
        rows = order[start:end]
        if verdict[rows[0]] == "PASS":
            continue
        # a station stands for the ground up to the next one
        on = np.append(rows, order[end % len(order)])
        line = shapely.LineString(shapely.get_coordinates(points[on]))
        out.append(
            Weak(line, float(free_ft[rows].min()), reason[rows[0]], str(verdict[rows[0]]))
        )
    return out


def ring_acres(
    patches: Sequence[shapely.Geometry] | np.ndarray, width_ft: float | np.ndarray
) -> np.ndarray:
    """Return the acres of the whole ring round each patch, nothing cut away.

    Parameters
    ----------
    patches : shape (n,), of one neighbourhood: a frame for all of them. [deg]
    width_ft : scalar or shape (n,). [ft]

    Notes
    -----
    The frame keeps area and a patch lies inside its own buffer, so the areas are
    subtracted instead of the shapes. The patches must be valid.
    """
    array = np.asarray(patches, dtype=object)
    local = LocalFrame.around(array).to_local(array)
    grown = shapely.buffer(local, np.asarray(width_ft) * FT_M, quad_segs=QUARTER_CHORDS)
    acres: np.ndarray = (shapely.area(grown) - shapely.area(local)) / ACRE_M2
    return acres


def lengths_ft(lines: Sequence[shapely.Geometry]) -> list[float]:
    """Return geodesic lengths of lines in longitude and latitude. [ft]"""
    from pyproj import Geod

    geod = Geod(ellps="WGS84")
    return [geod.geometry_length(line) / FT_M for line in lines]
