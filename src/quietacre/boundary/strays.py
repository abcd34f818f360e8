"""Corners that lie far from the rest of their own edge: one wrong vertex in a drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.errors import one_line
from quietacre.figures import acres as acres_words
from quietacre.figures import feet
from quietacre.model import Note, doubt_level
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

#: A corner is doubted when its nearest neighbor is farther off than the rest of the ring is
#: wide, so many times; by the number of the ring's corners. Chosen on open data: see
#: tests/boundary/test_strays.py.
TIMES_OF_FEW = {4: 1.5, 5: 1.3}
TIMES = 1.15
#: The same for a ring that crosses itself, which no true edge does, and for one of four
#: corners of which one points inward, which few do.
TIMES_ODD = 0.8
#: A ring of fewer corners shows no shape to judge a corner by.
FEWEST = 4
#: The look at all rings together leaves so much room for rounding.
SLACK = 0.98
#: A ring that fills less of its convex hull has a corner that points inward.
INWARD_SHARE = 0.97
#: A side that turns by less goes straight on. [rad]
STRAIGHT_RAD = 1e-5
#: Corners of one ring that are looked for, the farthest first.
MOST_A_RING = 3
#: A corner that changes the acreage by less than this share is not worth a word.
WORTH_SAYING = 0.005
#: Less ground than this is no plot, and most often a wrong reference system. [ac]
LEAST_AC = 0.001
#: No side of a piece of ground is longer. [deg]
LONG_SIDE_DEG = 15.0
#: Length of a degree of latitude, good enough to say how far off a corner lies. [m]
DEGREE_M = 111_200.0


class _Stray(NamedTuple):
    """A corner (longitude, latitude), how far it lies from the next, and the ring without it."""

    lon: float
    lat: float
    away_deg: float
    rest: NDArray[np.float64]


def far_corners(
    shapes: NDArray[np.object_], names: Sequence[str], sources: Sequence[str]
) -> tuple[Note, ...]:
    """Return a note for each corner that lies far from the rest of its own ring.

    Parameters
    ----------
    shapes : array, shape (n,), polygons in longitude, latitude. [deg]
    names, sources : shape (n,), for the notes.

    Returns
    -------
    notes, each with the acres of the shape with the corner and without it. Its level is
    that of the difference.
    """
    parts, of_shape = shapely.get_parts(shapes, return_index=True)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    notes = []
    for ring in _doubtful(rings).tolist():
        row = int(of_shape[of_part[ring]])
        for stray in _strays(shapely.get_coordinates(rings[ring])[:-1]):
            note = _note(shapes[row], rings[ring], stray, names[row], sources[row])
            notes += [] if note is None else [note]
    return tuple(notes)


def crumbs(
    shapes: NDArray[np.object_], names: Sequence[str], sources: Sequence[str]
) -> tuple[Note, ...]:
    """Return a note for each shape of less than ``LEAST_AC``."""
    acres = area_m2(shapes) / ACRE_M2
    return tuple(
        Note(
            "hardly-any-acres",
            f"“{one_line(names[row])}” is {acres_words(acres[row], 6)}, which is no piece of ground; "
            "check its file's units and reference system.",
            source=sources[row],
            feature=names[row],
        )
        for row in np.flatnonzero(acres < LEAST_AC).tolist()
    )


def long_sides(
    shapes: NDArray[np.object_], names: Sequence[str], sources: Sequence[str]
) -> tuple[Note, ...]:
    """Return a note for each shape with a side of more than ``LONG_SIDE_DEG``.

    Lengths of a small drawing, read as degrees, come out as such shapes.
    """
    bounds = shapely.bounds(shapes)
    reach = np.nan_to_num(np.maximum(*(bounds[:, 2:] - bounds[:, :2]).T))
    notes = []
    for row in np.flatnonzero(reach > LONG_SIDE_DEG).tolist():
        xy, ring = shapely.get_coordinates(
            shapely.get_rings(shapely.get_parts(shapes[row])), return_index=True
        )
        step = np.abs(np.diff(xy, axis=0)[np.diff(ring) == 0])
        if step.max() <= LONG_SIDE_DEG:
            continue
        notes.append(
            Note(
                "side-very-long",
                f"“{one_line(names[row])}” has a side of {step.max():,.0f}°, which is no side of "
                "a piece of ground; if its coordinates are metres or feet, export it in WGS84 "
                "or with its reference system.",
                source=sources[row],
                feature=names[row],
            )
        )
    return tuple(notes)


def _doubtful(rings: NDArray[np.object_]) -> NDArray[np.int64]:
    """Return the rings in which a corner may lie far off, all at once: an exact look decides."""
    rows: NDArray[np.int64] = np.flatnonzero(shapely.get_num_coordinates(rings) > FEWEST)
    if not len(rows):
        return rows
    xy, first, shorter = _sides(rings[rows])
    width = np.maximum.reduceat(xy, first) - np.minimum.reduceat(xy, first)
    # side > T others and width <= others + side give side > width T / (1 + T)
    least = SLACK * TIMES_ODD / (1.0 + TIMES_ODD) * np.hypot(*width.T)
    rows = rows[np.maximum.reduceat(shorter, first) > least]
    if not len(rows):
        return rows
    xy, first, shorter = _sides(rings[rows])
    others = np.hypot(*(_largest_of_others(xy, first) + _largest_of_others(-xy, first)).T)
    rows_found: NDArray[np.int64] = rows[
        np.logical_or.reduceat(shorter > SLACK * TIMES_ODD * others, first)
    ]
    return rows_found


def _sides(
    rings: NDArray[np.object_],
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.float64]]:
    """Return points (n, 2) on one scale a ring, where each ring begins, each shorter side."""
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.flatnonzero(np.diff(ring, append=-1))
    first = np.r_[0, last[:-1] + 1]
    # one scale a ring, or its sides would lean
    xy[:, 0] *= np.repeat(np.cos(np.radians(xy[first, 1])), last - first + 1)
    side = np.hypot(*np.diff(xy, axis=0, append=xy[:1]).T)
    side[last] = side[first]  # the closing point stands for the first
    before = np.roll(side, 1)
    before[first] = side[last - 1]
    return xy, first, np.minimum(side, before)


def _largest_of_others(
    xy: NDArray[np.float64], first: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Return for each point the largest x and y among the other points of its ring, (n, 2).

    The closing point repeats the first, so both are looked past together.
    """
    count = np.diff(np.r_[first, len(xy)])
    largest = np.repeat(np.maximum.reduceat(xy, first), count, axis=0)
    at = xy == largest
    lower = np.repeat(np.maximum.reduceat(np.where(at, -np.inf, xy), first), count, axis=0)
    closing = first + count - 1
    at[closing] = False
    alone = np.repeat(np.add.reduceat(at.astype(int), first), count, axis=0) == 1
    at[closing] = at[first]
    return np.where(at & alone & np.isfinite(lower), lower, largest)


def _strays(xy: NDArray[np.float64]) -> Iterator[_Stray]:
    """Yield the corners of one ring (n, 2) that lie far from the others, the farthest first."""
    scale = np.array([np.cos(np.radians(xy[:, 1].mean())), 1.0])
    xy = xy[(np.diff(xy, axis=0, append=xy[:1]) != 0).any(axis=1)]
    for _ in range(MOST_A_RING):
        flat = xy * scale
        corners = _corners(flat)
        if corners < FEWEST:
            return
        at, away, across = _farthest(flat)
        if away <= _times(flat, corners) * across:
            return
        rest = np.delete(xy, at, axis=0)
        yield _Stray(float(xy[at, 0]), float(xy[at, 1]), away, rest)
        xy = rest


def _corners(flat: NDArray[np.float64]) -> int:
    """Return how many points of a ring (n, 2) are corners, not points of a straight side."""
    before, after = flat - np.roll(flat, 1, axis=0), np.roll(flat, -1, axis=0) - flat
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0],
        (before * after).sum(axis=1),
    )
    return int((np.abs(turn) > STRAIGHT_RAD).sum())


def _times(flat: NDArray[np.float64], corners: int) -> float:
    """Return how many widths of the others a corner of this ring (n, 2) may stand off."""
    ring = shapely.LinearRing(flat)
    inward = shapely.Polygon(ring).area < INWARD_SHARE * shapely.convex_hull(ring).area
    if not ring.is_simple or (corners == FEWEST and inward):
        return TIMES_ODD
    return TIMES_OF_FEW.get(corners, TIMES)


def _farthest(flat: NDArray[np.float64]) -> tuple[int, float, float]:
    """Return the corner that stands out most, its distance to the next, and the others' width."""
    best = (0, 0.0, np.inf)
    # only a corner at the end of the bounds can be far from all others
    ends = {int(i) for column in flat.T for i in (column.argmin(), column.argmax())}
    for at in ends:
        rest = np.delete(flat, at, axis=0)
        away = float(np.hypot(*(rest - flat[at]).T).min())
        across = float(np.hypot(*np.ptp(rest, axis=0)))
        if away * best[2] > best[1] * across or best[1] == 0.0:
            best = (at, away, across)
    return best


def _note(
    shape: shapely.Geometry, ring: shapely.LinearRing, stray: _Stray, name: str, source: str
) -> Note | None:
    """Return the note on one corner, None when it hardly moves the acreage."""
    parts = []
    for part in shapely.get_parts(shape):
        outer, *holes = (
            stray.rest if line.equals(ring) else shapely.get_coordinates(line)
            for line in (part.exterior, *part.interiors)
        )
        parts.append(shapely.Polygon(outer, holes))
    # a ring that crosses itself has no plain area
    now_m2, without_m2 = area_m2(
        shapely.make_valid(np.array([shape, shapely.MultiPolygon(parts)], dtype=object))
    )
    share = abs(without_m2 - now_m2) / max(min(now_m2, without_m2), 1e-9)
    if share < WORTH_SAYING:
        return None
    return Note(
        "corner-far",
        f"“{one_line(name)}”: the corner at {stray.lat:.5f}, {stray.lon:.5f} lies "
        f"{feet(stray.away_deg * DEGREE_M / FT_M)} from the next one, farther than the rest of "
        "its edge is wide",
        level=doubt_level(share),
        source=source,
        feature=name,
        lon=stray.lon,
        lat=stray.lat,
        more=f"With it the acreage is {acres_words(now_m2 / ACRE_M2, bare=True)}, without it "
        f"{acres_words(without_m2 / ACRE_M2, bare=True)}; mend it if it does not belong there.",
    )
