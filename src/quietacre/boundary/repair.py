"""Drawn polygons made valid, with a word on what was done and how much it changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.overlap import PAIRS, PAIRS_AN_AREA, heaped
from quietacre.boundary.strays import crumbs, far_corners, long_sides
from quietacre.errors import FileProblem
from quietacre.figures import figure
from quietacre.model import Note, doubt_level
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

HALF_TURN = 180.0
#: A ring that crosses itself more often is a scribble; sides looked at in one go.
MOST_CROSSINGS = 20_000
CROSSINGS_BATCH = 500
#: Rings of one shape that are looked at only when there are more.
MANY_RINGS = 1_000


def repair_all(
    geometries: NDArray[np.object_], names: Sequence[str], sources: Sequence[str]
) -> tuple[NDArray[np.object_], tuple[Note, ...]]:
    """Return valid polygons, and a note for each that had to change.

    Parameters
    ----------
    geometries : array, shape (n,), polygons in longitude, latitude. [deg]
    names, sources : shape (n,), for the notes.

    Returns
    -------
    array, shape (n,), and the notes. Valid input comes back as it is.
    """
    out = np.array(geometries, dtype=object)
    notes: list[Note] = []
    wide = shapely.bounds(out)
    wide = (
        np.nan_to_num(wide[:, 2] - wide[:, 0]) > HALF_TURN
        if len(out)
        else np.zeros(0, bool)
    )
    for row in np.flatnonzero(wide).tolist():
        out[row] = unwrap(out[row])
    _refuse_heaps(out, names, sources)
    notes += [*far_corners(out, names, sources), *long_sides(out, names, sources)]
    for row in np.flatnonzero(~shapely.is_valid(out)).tolist():
        out[row], note = repair(out[row], names[row], sources[row])
        notes.append(note)
    for row in _maybe_spiked(out).tolist():
        if not out[row].is_valid:
            continue
        trimmed, note_or_none = cut_spikes(out[row], names[row], sources[row])
        if note_or_none is not None:
            out[row] = trimmed
            notes.append(note_or_none)
    notes += crumbs(out, names, sources)
    return out, tuple(notes)


def refuse_empty(shape: shapely.Geometry, source: str, where: str) -> None:
    """Raise FileProblem for a shape that encloses no ground, where ground is needed."""
    if shape.is_empty:
        raise FileProblem(
            "encloses no ground (a hole as large as its edge, or corners on one line)",
            fix="draw it again",
            source=source,
            where=where,
        )


def unwrap(shape: shapely.Geometry) -> shapely.Geometry:
    """Return a polygon that crosses the antimeridian, its longitudes running on past 180.

    A ring that goes right round (a pole lies inside) is left alone. Holes stay in their edge.
    """

    def ring(coords: shapely.LinearRing) -> np.ndarray:
        xy: np.ndarray = shapely.get_coordinates(coords).copy()
        step = np.diff(xy[:, 0])
        turns = -360.0 * np.round(step / 360.0)
        if abs(step.sum() + turns.sum()) > HALF_TURN:
            return xy
        xy[1:, 0] += np.cumsum(turns)
        return xy

    def hole(coords: shapely.LinearRing, edge: np.ndarray) -> np.ndarray:
        xy = ring(coords)
        xy[:, 0] += 360.0 * np.round((edge[:, 0].mean() - xy[:, 0].mean()) / 360.0)
        return xy

    polygons = []
    for part in shapely.get_parts(shape):
        edge = ring(part.exterior)
        polygons.append(shapely.Polygon(edge, [hole(one, edge) for one in part.interiors]))
    return polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(polygons)


def repair(
    shape: shapely.Geometry, name: str, source: str
) -> tuple[shapely.Geometry, Note]:
    """Return one invalid polygon made valid, and the note that says how.

    A ring that crosses itself encloses every lobe; parts that overlap are merged.
    """
    reason = shapely.is_valid_reason(shape).partition("[")[0].strip().lower()
    parts = shapely.get_parts(shape)
    if len(set(shapely.to_wkb(shapely.normalize(parts)).tolist())) < len(parts):
        reason = "duplicate rings"
    sound = shapely.is_valid(parts)
    for part in parts[~sound]:
        _refuse_scribble(part, name, source)
    fixed = shapely.union_all([*parts[sound], *map(_lobes, parts[~sound])])
    before, after = area_m2(np.array([shape, fixed], dtype=object)) / ACRE_M2
    what = {
        "self-intersection": "its edge crosses itself; every part it encloses is counted",
        "ring self-intersection": "its edge touches itself; read as separate loops",
        "nested shells": "one part lies inside another; counted once",
        "hole lies outside shell": "a hole lies outside it; the hole was dropped",
        "holes are nested": "its holes overlap; merged",
        "duplicate rings": "a ring is drawn twice; counted once",
        "interior is disconnected": "a hole cuts it apart; read as separate parts",
    }.get(reason, f"it was not a valid polygon ({reason}); mended")
    point = shapely.point_on_surface(fixed)
    went = figure(before, "ac", 3, to=after, joined=" to ")
    return fixed, Note(
        "drawing-repaired",
        f"“{name}”: {what}",
        source=source,
        feature=name,
        lon=None if point.is_empty else point.x,
        lat=None if point.is_empty else point.y,
        more=f"Its area went from {went}; check it on the map, and "
        "redraw it if that is not what you meant.",
    )


def _refuse_heaps(
    shapes: NDArray[np.object_], names: Sequence[str], sources: Sequence[str]
) -> None:
    """Raise FileProblem for a shape whose many rings lie on one another."""
    for row in np.flatnonzero(
        shapely.get_num_coordinates(shapes) > 4 * MANY_RINGS
    ).tolist():
        rings = shapely.get_rings(shapely.get_parts(shapes[row]))
        if len(rings) > MANY_RINGS and heaped(rings):
            raise FileProblem(
                f"its {len(rings):,} rings lie on one another in more than "
                f"{PAIRS + PAIRS_AN_AREA * len(rings):,} pairs",
                fix="keep each piece of ground once",
                source=sources[row],
                where=names[row],
            )


def _refuse_scribble(part: shapely.Polygon, name: str, source: str) -> None:
    """Raise FileProblem for a ring that crosses itself more often than it can be mended."""
    xy = shapely.get_coordinates(part.exterior)
    sides = shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1))
    tree = shapely.STRtree(sides)
    crossings = 0
    for start in range(0, len(sides), CROSSINGS_BATCH):
        batch = sides[start : start + CROSSINGS_BATCH]
        crossings += tree.query(batch, predicate="crosses").shape[1]
        if crossings > 2 * MOST_CROSSINGS:
            raise FileProblem(
                f"its edge crosses itself more than {MOST_CROSSINGS:,} times",
                fix="draw it again",
                source=source,
                where=name,
            )


def _lobes(part: shapely.Polygon) -> shapely.Geometry:
    """Return all the ground a polygon's outer ring encloses, less its holes."""
    outer = shapely.Polygon(part.exterior)
    touching = shapely.is_valid_reason(outer).startswith("Ring Self-intersection")
    if touching:  # a hole drawn as part of the edge stays a hole
        shell = _polygons(shapely.make_valid(outer, method="linework"))
    else:  # even-odd reading would drop what a curl encloses twice
        shell = shapely.union_all(enclosed_faces(part.exterior))
    if not shell.is_empty and len(part.interiors):
        holes = shapely.union_all(
            [_polygons(shapely.make_valid(shapely.Polygon(h))) for h in part.interiors]
        )
        shell = shell.difference(holes)
    if not shell.is_empty:
        return shell
    made = shapely.make_valid(part, method="structure", keep_collapsed=False)
    return _polygons(made)


def enclosed_faces(ring: shapely.LineString) -> NDArray[np.object_]:
    """Return every piece of ground a closed line encloses, however often it crosses itself."""
    edges = shapely.unary_union([shapely.LineString(ring)])
    faces: NDArray[np.object_] = shapely.get_parts(shapely.polygonize([edges]))
    return faces


def _polygons(shape: shapely.Geometry) -> shapely.Geometry:
    parts = shapely.get_parts(shape)
    flat = [q for p in parts for q in getattr(p, "geoms", [p]) if q.geom_type == "Polygon"]
    return shapely.union_all(flat) if flat else shapely.Polygon()


#: A spike is a corner whose two sides run back on each other within this angle [deg], each
#: more than so many times the usual side.
SPIKE_DEG, SPIKE_TIMES = 0.5, 5.0


def _maybe_spiked(shapes: NDArray[np.object_]) -> NDArray[np.int64]:
    """Return which polygons have a corner sharp enough to be a needle, all at once."""
    single = shapely.get_type_id(shapes) == shapely.GeometryType.POLYGON
    rows = np.flatnonzero(single & ~shapely.is_empty(shapes))
    if not len(rows):
        return rows
    xy, ring = shapely.get_coordinates(
        shapely.get_exterior_ring(shapes[rows]), return_index=True
    )
    last = np.flatnonzero(np.diff(ring, append=-1))
    first = np.r_[0, last[:-1] + 1]
    ahead = np.diff(xy, axis=0, append=xy[:1])
    ahead[:, 0] *= np.cos(np.radians(xy[:, 1]))
    ahead[last] = ahead[first]  # the closing point stands for the first
    back = -np.roll(ahead, 1, axis=0)
    length = np.hypot(*back.T) * np.hypot(*ahead.T)
    # twice the angle, so that the exact look below decides
    sharp = (back * ahead).sum(axis=1) > np.cos(np.radians(2 * SPIKE_DEG)) * length
    sharp[first] = False
    rows_found: NDArray[np.int64] = rows[np.unique(ring[sharp])]
    return rows_found


def cut_spikes(
    shape: shapely.Geometry, name: str, source: str
) -> tuple[shapely.Geometry, Note | None]:
    """Return the polygon without needles: corners that go out and come straight back."""
    if shape.geom_type != "Polygon" or shapely.get_num_coordinates(shape) < 6:  # noqa: PLR2004
        return shape, None
    xy = shapely.get_coordinates(shape.exterior)[:-1]
    scale = np.array([np.cos(np.radians(xy[:, 1].mean())), 1.0])
    flat = xy * scale
    back, ahead = np.roll(flat, 1, axis=0) - flat, np.roll(flat, -1, axis=0) - flat
    longer = np.hypot(*back.T), np.hypot(*ahead.T)
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = (back * ahead).sum(axis=1) / (longer[0] * longer[1])
    usual = np.median(longer[0])
    needle = (cosine > np.cos(np.radians(SPIKE_DEG))) & (
        np.minimum(*longer) > SPIKE_TIMES * usual
    )
    if not needle.any() or (~needle).sum() < 3:  # noqa: PLR2004 - a triangle
        return shape, None
    trimmed = shapely.Polygon(xy[~needle], shape.interiors)
    if not trimmed.is_valid:
        return shape, None
    before, after = area_m2(np.array([shape, trimmed], dtype=object)) / ACRE_M2
    at = xy[int(np.flatnonzero(needle)[0])]
    return trimmed, Note(
        "spike-cut",
        f"“{name}”: {int(needle.sum())} needle(s) in its edge were cut off; its area went "
        f"from {figure(before, 'ac', 3, to=after, joined=' to ')}.",
        level=doubt_level(before - after, after),
        source=source,
        feature=name,
        lon=float(at[0]),
        lat=float(at[1]),
    )
