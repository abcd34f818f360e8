"""Where a path closes into a lap.

Every pair of places where it could is scored: ground enclosed up, length and closing
distance down, opposite headings refused, so that neither a way in and out nor two laps
taken as one wins.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.boundary.plane import places_m, unit_vectors, walked_m
from quietacre.boundary.repair import enclosed_faces

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: A lap whose ends lie farther apart than this share of its length did not close.
BRIDGE_SHARE = 0.15
#: Two places are the same when they are this near. [m]
SAME_PLACE_M = 15.0
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
ANY_COS = -np.inf
TURN_COSTS_M = 30.0
#: Ends that meet in a sharp corner are taken for a lap's when it encloses so many times
#: what any other does, and this share of its length squared (a needle of 15 degrees).
SHARP_TIMES, SHARP_SHARE = 2.0, 0.025
#: A lap round another that scores at least this share of it, closes, and encloses from so many
#: to so many times its ground, is the same loop, told whole; it begins and ends no farther than
#: so within it. [m]
AS_GOOD, MORE_TIMES, WITHIN_M = 0.8, (1.1, 2.0), 8.0
#: Headings are taken over this much path. [m]
HEADING_M = 8.0


def lap_m2(xy: FloatArray, lap: tuple[int, int]) -> float:
    """Return about how much ground one lap of a path encloses. [m²]"""
    return float(shapely.area(shapely.polygons(xy[lap[0] : lap[1] + 1])))


def swept_m2(xy: FloatArray) -> float:
    """Return the ground a closed path encloses, negative where it runs clockwise. [m²]"""
    x, y = xy.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


class Path:
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
        i = np.searchsorted(self.walked, at, side="right") - 1
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


class Closings(NamedTuple):
    """Laps between places of a path, each of shape (begins, ends).

    ``score`` is 0 where the two ends cannot close a lap; ``cos`` is of the angle between
    the headings there; ``ground`` is what it encloses [m²], ``signed`` the same, negative
    where it was walked clockwise; ``length`` and ``gap`` are in m.
    """

    score: FloatArray
    cos: FloatArray
    ground: FloatArray
    length: FloatArray
    gap: FloatArray
    signed: FloatArray

    def open_score(self) -> FloatArray:
        """Return the score of each lap whatever the headings at its ends."""
        cost = np.maximum(self.length + GAP_TIMES * self.gap, 1.0)
        return np.asarray(self.ground / cost**LENGTH_POWER)

    def best(self, least_cos: float) -> tuple[int, int] | None:
        """Return the best lap whose headings differ by no more than an angle allows."""
        score = np.where(self.cos > least_cos, self.score, 0.0)
        a, b = np.unravel_index(int(np.argmax(score)), score.shape)
        # none closes, or there and back along a line
        if score[a, b] <= 0 or self.ground[a, b] < 0.004 * self.length[a, b] ** 2:
            return None
        return int(a), int(b)


def closings(path: Path, begin: FloatArray, end: FloatArray) -> Closings:
    """Score every lap from one of ``begin`` to one of ``end``, distances walked [m]."""
    first, last = path.place(begin), path.place(end)
    ahead = unit_vectors(path.place(begin + HEADING_M) - first)
    behind = unit_vectors(last - path.place(end - HEADING_M))
    length = end[None, :] - begin[:, None]
    gap = np.hypot(
        first[:, None, 0] - last[None, :, 0], first[:, None, 1] - last[None, :, 1]
    )
    chord = last[None, :, 0] * first[:, None, 1] - first[:, None, 0] * last[None, :, 1]
    signed = 0.5 * (path.swept(end)[None, :] - path.swept(begin)[:, None] + chord)
    ground = np.abs(signed)
    cos = ahead @ behind.T
    fits = length > 4 * NODE_M
    fits &= gap <= np.minimum(np.maximum(SAME_PLACE_M, BRIDGE_SHARE * length), 0.5 * length)
    cost = length + GAP_TIMES * gap + TURN_COSTS_M * (1.0 - cos)
    score = np.zeros_like(cost)
    score[fits] = ground[fits] / cost[fits] ** LENGTH_POWER
    return Closings(score, cos, ground, length, gap, signed)


def best_pair(xy: FloatArray) -> tuple[int, int] | None:
    """Return the two positions between which the path makes one good lap."""
    path = Path(xy)
    whole = float(path.walked[-1])
    at = np.linspace(0.0, whole, int(np.clip(whole / NODE_M, 12, NODES)) + 1)
    laps = closings(path, at, at)
    least_cos = HEADING_COS
    best, sharp = laps.best(least_cos), laps.best(ANY_COS)
    if sharp is not None and sharp != best and _begins_in_a_corner(laps, sharp, best):
        best, least_cos = sharp, ANY_COS
    if best is None:
        return None
    begin, end = (path.near(float(at[k]), float(at[1])) for k in best)
    fine = closings(path, begin, end)
    score = np.where(fine.cos > least_cos, fine.score, 0.0)
    i, j = np.unravel_index(int(np.argmax(score)), score.shape)
    first, last = (
        int(path.position[np.searchsorted(path.walked, d)]) for d in (begin[i], end[j])
    )
    return (first, last) if last - first >= 3 else None  # noqa: PLR2004 - a triangle


def whole_pair(xy: FloatArray) -> tuple[int, int] | None:
    """Return the two positions of one good lap, with all of it that closes nearly as well.

    Drift pinches a small loop, so that a part of it closes best. Of the laps round that
    part, the one of most ground is the loop.
    """
    pair = best_pair(xy)
    if pair is None:
        return None
    path = Path(xy)
    first, last = np.interp(pair, path.position, path.walked)
    at = np.linspace(0.0, path.walked[-1], NODES + 1)
    begins = np.r_[first, at[at <= first + WITHIN_M]]
    ends = np.r_[last, at[at >= last - WITHIN_M]]
    laps = closings(path, begins, ends)
    as_good = laps.score >= AS_GOOD * laps.score[0, 0]
    times = laps.ground / laps.ground[0, 0]
    as_good &= (times >= MORE_TIMES[0]) & (times <= MORE_TIMES[1])
    as_good &= laps.gap <= SAME_PLACE_M
    if not as_good.any():
        return pair
    ground = laps.ground * as_good
    i, j = np.unravel_index(int(np.argmax(ground)), ground.shape)
    a, b = (
        int(path.position[np.searchsorted(path.walked, d)]) for d in (begins[i], ends[j])
    )
    return (a, b) if b - a >= 3 else pair  # noqa: PLR2004 - a triangle


def _begins_in_a_corner(
    laps: Closings, sharp: tuple[int, int], other: tuple[int, int] | None
) -> bool:
    """Return whether a lap that ends against the way it began is one, and no there and back.

    Whoever begins in a sharp corner of a plot comes back so. Such a lap must close, enclose
    far more than any other does, and be no needle.
    """
    if other is not None and laps.ground[sharp] < SHARP_TIMES * laps.ground[other]:
        return False
    stout = laps.ground[sharp] >= SHARP_SHARE * laps.length[sharp] ** 2
    return bool(stout and laps.gap[sharp] <= SAME_PLACE_M)


def deep_point(lap: FloatArray) -> tuple[FloatArray, float] | None:
    """Return a point deep inside the ground a lap encloses, and how deep it lies [m]."""
    ring = shapely.LinearRing(lap)
    faces = enclosed_faces(ring)
    if not len(faces):
        return None
    largest = faces[int(np.argmax(shapely.area(faces)))]
    tolerance = max(0.05 * float(largest.area) ** 0.5, 0.05)
    radius = shapely.maximum_inscribed_circle(largest.simplify(tolerance / 2), tolerance)
    return np.asarray(shapely.get_coordinates(radius)[0]), float(radius.length)
