"""The loop inside a walk: its laps, without the way in and the way out.

Every pair of places where the path could close is scored: ground enclosed up, length
and closing distance down, opposite headings refused, so that neither a way in and out
nor two laps taken as one wins. The angle swept round a point deep inside then finds
the other laps, whatever their direction.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.boundary.plane import beside_m, places_m, walked_m
from quietacre.boundary.repair import enclosed_faces

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: A lap whose ends lie farther apart than this share of its length did not close.
BRIDGE_SHARE = 0.15
TURN = 2 * np.pi
#: A lap that came round by this share of a turn is whole.
WHOLE_TURN = 0.93
#: A last lap counts when at least this much of it was walked.
PART_LAP = 0.7
#: Less than this of a further lap is not averaged in.
LEAST_PART = 0.15
#: A way in or out shorter than this share of a lap holds no second loop.
APART_SHARE = 0.4
#: Two places are the same when they are this near. [m]
SAME_PLACE_M = 15.0
#: A fix this far from the lap has left the edge. [m]
LEFT_M = 20.0
#: Or this share of the plot's half-width, where that is less.
LEFT_SHARE = 0.5
#: Going another way than the edge for this much path is leaving it. [m]
ASTRAY_M = 25.0
#: And this cosine between the two ways is another way.
ALONG_COS = 0.3
#: Nodes of the thinned path whose pairs are scored, and their least spacing [m].
NODES = 200
NODE_M = 2.0
#: Enclosed ground counts against length to this power: 1 would let two laps tie with
#: one and legs that cross far away win, 2 would prefer any small round curl.
LENGTH_POWER = 1.05
#: Closing distance counts as this many times walked length.
GAP_TIMES = 6.0
#: Headings at the two ends of a lap may differ by at most this angle's cosine; each
#: unit that their cosine falls short of 1 counts as this much walked length [m].
HEADING_COS = -0.5
TURN_COSTS_M = 30.0
#: Ends that meet in a sharp corner are taken for a lap's when it encloses so many times
#: what any other does, and this share of its length squared (a needle of 15 degrees).
SHARP_TIMES, SHARP_SHARE = 2.0, 0.025
#: Headings are taken over this much path. [m]
HEADING_M = 8.0


@dataclass(frozen=True)
class Loop:
    """Laps of one edge, each as (start, stop) positions in the path, stop included.

    ``laps[0]`` is the lap that closes best; ``parts`` are the pieces of a lap before
    the first and after the last, ``part_laps`` how much of a lap they are together.
    ``gap_m`` is the bridged gap of a lap that did not close, 0 when it did;
    ``depth_m`` is how deep the deepest point inside the best lap lies; ``other_m2`` is
    the ground of a second loop, walked before or after and beside this one, 0 without.
    """

    laps: tuple[tuple[int, int], ...]
    gap_m: float
    parts: tuple[tuple[int, int], ...]
    part_laps: float
    depth_m: float
    other_m2: float = 0.0

    @property
    def counted(self) -> float:
        """Laps as told to a person: a last piece counts from ``PART_LAP`` on."""
        whole = float(len(self.laps))
        if self.part_laps < PART_LAP:
            return whole
        return whole + (1.0 if self.part_laps > 0.9 else round(self.part_laps, 1))  # noqa: PLR2004

    @property
    def ends(self) -> tuple[int, int]:
        """First and last position that is part of the edge."""
        every = (*self.laps, *self.parts)
        return min(a for a, _ in every), max(b for _, b in every)


def find_loop(xy: FloatArray) -> Loop | None:
    """Return the laps of a path, None when it encloses nothing to trust.

    Parameters
    ----------
    xy : array, shape (n, 2), cleaned fixes. [m]
    """
    if len(xy) < 4:  # noqa: PLR2004 - three corners and a return
        return None
    pair = _best_pair(xy)
    if pair is None:
        return None
    first, last = pair
    deep = _deep_point(xy[first : last + 1])
    if deep is None:
        return None
    inside, depth = deep
    swept = np.unwrap(np.arctan2(xy[:, 1] - inside[1], xy[:, 0] - inside[0]))
    if swept[last] < swept[first]:
        swept = -swept
    lap_m = float(walked_m(xy[first : last + 1])[-1])
    gap = float(np.hypot(*(xy[first] - xy[last])))
    bridged = gap if gap > max(SAME_PLACE_M, 0.03 * lap_m) else 0.0
    laps = [(first, last)]
    ring = np.vstack([xy[first : last + 1], xy[first : first + 1]])
    beside, apart = beside_m(ring, xy)
    away = apart > min(LEFT_M, depth)
    begin, end = first, last
    while (stop := _turn_later(xy, swept, away, end, 1)) is not None:
        laps.append((end, stop))
        end = stop
    while (start := _turn_later(xy, swept, away, begin, -1)) is not None:
        laps.append((start, begin))
        begin = start
    # a way in across a small plot must not pass for a piece of its edge
    stray = apart > min(LEFT_M, LEFT_SHARE * depth)
    astray = _astray(xy, ring, beside)
    parts, share = [], 0.0
    stop = end + _leaves(xy[end:], stray[end:], away[end:], astray[end:])
    start = begin - _leaves(
        xy[begin::-1], stray[begin::-1], away[begin::-1], astray[begin::-1]
    )
    for a, b in ((end, stop), (start, begin)):
        turned = (swept[b] - swept[a]) / TURN
        if turned >= LEAST_PART and b - a > 2:  # noqa: PLR2004 - a line to match
            parts.append((a, b))
            share += float(turned)
    found = Loop(tuple(laps), bridged, tuple(parts), share, depth)
    first, last = found.ends
    ground = shapely.Polygon(ring)
    long_enough = [
        piece
        for piece in (xy[: first + 1], xy[last:])
        if float(walked_m(piece)[-1]) > APART_SHARE * lap_m
    ]
    other = max((_loop_apart(piece, ground) for piece in long_enough), default=0.0)
    return replace(found, other_m2=other)


def _loop_apart(piece: FloatArray, ground: shapely.Polygon) -> float:
    """Return the ground [m²] that a piece of path encloses beside ``ground``, 0 without."""
    if len(piece) < 4:  # noqa: PLR2004 - three corners and a return
        return 0.0
    pair = _best_pair(piece)
    if pair is None:
        return 0.0
    deep = _deep_point(piece[pair[0] : pair[1] + 1])
    if deep is None or shapely.distance(ground, shapely.Point(deep[0])) == 0:
        return 0.0
    return lap_m2(piece, pair)


def lap_m2(xy: FloatArray, lap: tuple[int, int]) -> float:
    """Return about how much ground one lap of a path encloses. [m²]"""
    return float(shapely.area(shapely.polygons(xy[lap[0] : lap[1] + 1])))


def _leaves(
    xy: FloatArray,
    stray: NDArray[np.bool_],
    away: NDArray[np.bool_],
    astray: NDArray[np.bool_],
) -> int:
    """Return the last position of a path, followed from a lap's end, that is on the edge.

    Straying and coming back is drift; straying on until away is the way out. So is going
    another way than the edge for ``ASTRAY_M``: a way across the plot meets the edge again
    on its far side and must not pass for a piece of it.
    """
    far = np.flatnonzero(away)
    stop = len(away) - 1
    if len(far):
        kept = np.flatnonzero(~stray[: far[0]])
        stop = int(kept[-1]) if len(kept) else 0
    walked = walked_m(xy)
    on = np.flatnonzero(~astray)
    if not len(on):
        return 0
    gone = np.flatnonzero(np.diff(walked[on], prepend=0.0) > ASTRAY_M)
    last = (
        int(on[gone[0] - 1]) if len(gone) and gone[0] else 0 if len(gone) else int(on[-1])
    )
    return min(stop, last)


def _astray(xy: FloatArray, ring: FloatArray, beside: FloatArray) -> NDArray[np.bool_]:
    """Return where a path goes another way than the ring beside it, shape (n,)."""
    edge = walked_m(ring)

    def at(distance: FloatArray) -> FloatArray:
        return places_m(ring, edge, distance % edge[-1])

    along = at(beside + HEADING_M) - at(beside - HEADING_M)
    walked = walked_m(xy)
    own = places_m(xy, walked, walked + HEADING_M) - places_m(
        xy, walked, walked - HEADING_M
    )
    size = np.hypot(*along.T) * np.hypot(*own.T)
    return np.asarray((along * own).sum(axis=1) < ALONG_COS * size)


class _Path:
    """A path by distance walked: places, headings, ground swept."""

    def __init__(self, xy: FloatArray) -> None:
        walked = walked_m(xy)
        new = np.r_[True, np.diff(walked) > 0]
        self.position = np.flatnonzero(new)
        self.walked = walked[new]
        self.xy = xy[new]
        x, y = self.xy.T
        self._swept = np.r_[0.0, np.cumsum(x[:-1] * y[1:] - x[1:] * y[:-1])]

    def place(self, at: FloatArray) -> FloatArray:
        """Return the places at distances ``at``, shape (n, 2). [m]"""
        return places_m(self.xy, self.walked, at)

    def swept(self, at: FloatArray) -> FloatArray:
        """Return twice the ground swept about the origin up to ``at``, signed. [m²]"""
        i = np.clip(np.searchsorted(self.walked, at, side="right") - 1, 0, None)
        place = self.place(at)
        before = self.xy[i]
        return np.asarray(
            self._swept[i] + before[:, 0] * place[:, 1] - place[:, 0] * before[:, 1]
        )

    def near(self, at: float, reach: float) -> FloatArray:
        """Return the distances of fixes within ``reach`` of ``at``, one at least."""
        rows = np.flatnonzero(np.abs(self.walked - at) <= reach)
        if not len(rows):
            rows = np.array([int(np.argmin(np.abs(self.walked - at)))])
        return np.asarray(self.walked[rows])


class _Closings(NamedTuple):
    """Laps between places of a path, each of shape (begins, ends).

    ``score`` is 0 where the two ends cannot close a lap; ``cos`` is of the angle between
    the headings there; ``ground`` is what it encloses [m²], ``length`` and ``gap`` are in m.
    """

    score: FloatArray
    cos: FloatArray
    ground: FloatArray
    length: FloatArray
    gap: FloatArray

    def best(self, least_cos: float) -> tuple[int, int] | None:
        """Return the best lap whose headings differ by no more than an angle allows."""
        score = np.where(self.cos > least_cos, self.score, 0.0)
        a, b = np.unravel_index(int(np.argmax(score)), score.shape)
        # none closes, or there and back along a line
        if score[a, b] <= 0 or self.ground[a, b] < 0.004 * self.length[a, b] ** 2:
            return None
        return int(a), int(b)


def _closings(path: _Path, begin: FloatArray, end: FloatArray) -> _Closings:
    """Score every lap from one of ``begin`` to one of ``end``, distances walked [m]."""
    first, last = path.place(begin), path.place(end)
    ahead = path.place(begin + HEADING_M) - first
    behind = last - path.place(end - HEADING_M)
    ahead /= np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
    behind /= np.maximum(np.hypot(*behind.T), 1e-9)[:, None]
    length = end[None, :] - begin[:, None]
    gap = np.hypot(
        first[:, None, 0] - last[None, :, 0], first[:, None, 1] - last[None, :, 1]
    )
    chord = last[None, :, 0] * first[:, None, 1] - first[:, None, 0] * last[None, :, 1]
    ground = 0.5 * np.abs(path.swept(end)[None, :] - path.swept(begin)[:, None] + chord)
    cos = ahead @ behind.T
    fits = length > 4 * NODE_M
    fits &= gap <= np.minimum(np.maximum(SAME_PLACE_M, BRIDGE_SHARE * length), 0.5 * length)
    cost = length + GAP_TIMES * gap + TURN_COSTS_M * (1.0 - cos)
    score = np.where(fits, ground / np.maximum(cost, 1.0) ** LENGTH_POWER, 0.0)
    return _Closings(score, cos, ground, length, gap)


def _best_pair(xy: FloatArray) -> tuple[int, int] | None:
    """Return the two positions between which the path makes one good lap."""
    path = _Path(xy)
    whole = float(path.walked[-1])
    if whole <= 0:
        return None
    at = np.linspace(0.0, whole, int(np.clip(whole / NODE_M, 12, NODES)) + 1)
    laps = _closings(path, at, at)
    least_cos = HEADING_COS
    found, sharp = laps.best(least_cos), laps.best(-2.0)
    if sharp is not None and sharp != found and _begins_in_a_corner(laps, sharp, found):
        found, least_cos = sharp, -2.0
    if found is None:
        return None
    begin, end = (path.near(float(at[k]), float(at[1])) for k in found)
    fine = _closings(path, begin, end)
    score = np.where(fine.cos > least_cos, fine.score, 0.0)
    i, j = np.unravel_index(int(np.argmax(score)), score.shape)
    first, last = (
        int(path.position[np.searchsorted(path.walked, d)]) for d in (begin[i], end[j])
    )
    return (first, last) if last - first >= 3 else None  # noqa: PLR2004 - a triangle


def _begins_in_a_corner(
    laps: _Closings, sharp: tuple[int, int], other: tuple[int, int] | None
) -> bool:
    """Return whether a lap that ends against the way it began is one, and no there and back.

    Whoever begins in a sharp corner of a plot comes back so. Such a lap must close, enclose
    far more than any other does, and be no needle.
    """
    if other is not None and laps.ground[sharp] < SHARP_TIMES * laps.ground[other]:
        return False
    stout = laps.ground[sharp] >= SHARP_SHARE * laps.length[sharp] ** 2
    return bool(stout and laps.gap[sharp] <= SAME_PLACE_M)


def _deep_point(lap: FloatArray) -> tuple[FloatArray, float] | None:
    """Return a point deep inside the ground a lap encloses, and how deep it lies [m]."""
    ring = shapely.LinearRing(lap)
    faces = enclosed_faces(ring)
    if not len(faces):
        return None
    largest = faces[int(np.argmax(shapely.area(faces)))]
    tolerance = max(0.05 * float(largest.area) ** 0.5, 0.05)
    radius = shapely.maximum_inscribed_circle(largest.simplify(tolerance / 2), tolerance)
    return np.asarray(shapely.get_coordinates(radius)[0]), float(radius.length)


def _turn_later(
    xy: FloatArray, swept: FloatArray, away: NDArray[np.bool_], start: int, way: int
) -> int | None:
    """Return where the path is back at ``start`` one turn later (or earlier), if it is."""
    ahead = swept[start:] if way > 0 else swept[start::-1]
    turned = way * (ahead - swept[start])
    full = np.flatnonzero(turned >= WHOLE_TURN * TURN)
    if not len(full):
        return None
    most = min(int(full[0] * 1.08) + 3, len(ahead) - 1)
    least = max(int(full[0] * 0.92), 3)
    rows = start + way * np.arange(least, most + 1)
    near = int(rows[int(np.argmin(np.hypot(*(xy[rows] - xy[start]).T)))])
    between = away[min(start, near) : max(start, near) + 1]
    # another loop about the same middle is not a lap of this edge
    return near if between.mean() < 0.2 else None  # noqa: PLR2004 - a detour is forgiven
