"""The loop inside a walk: its laps, without the way in and the way out.

Every pair of places where the path could close is scored: ground enclosed up, length
and closing distance down, opposite headings refused, so that neither a way in and out
nor two laps taken as one wins. The angle swept round a point deep inside then finds
the other laps, whatever their direction.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.closing import (
    HEADING_M,
    SAME_PLACE_M,
    best_pair,
    deep_point,
    lap_m2,
)
from quietacre.boundary.faces import Face, other_faces, same_ground
from quietacre.boundary.plane import beside_m, places_m, walked_m
from quietacre.boundary.two_laps import NECK_M, WIDE_NECK, Row, enclosed, halves, in_a_row

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

TURN = 2 * np.pi
#: A lap that came round by this share of a turn is whole.
WHOLE_TURN = 0.93
#: A last lap counts when at least this much of it was walked.
PART_LAP = 0.7
#: Less than this of a further lap is not averaged in.
LEAST_PART = 0.15
#: How often a lap may turn out to be two, and the walker may turn round.
MOST_HALVES, MOST_TURNS = 3, 2
#: A lap of more ground than this many times that of two in a row is a third.
MOST_OF_BOTH = 1.4
#: A second loop of at least this share of the first makes a walk two areas.
TWO_LOOPS = 0.2
#: A side of a lap at a wide neck is said when it is at least this share of the lap.
LEAST_NARROW = 0.15
#: A fix this far from the lap has left the edge. [m]
LEFT_M = 20.0
#: Or this share of the plot's half-width, where that is less.
LEFT_SHARE = 0.5
#: Going another way than the edge for this much path is leaving it. [m]
ASTRAY_M = 25.0
#: And this cosine between the two ways is another way.
ALONG_COS = 0.3


@dataclass(frozen=True)
class Loop:
    """Laps of one edge, each as (start, stop) positions in the path, stop included.

    ``laps[0]`` is the lap that closes best; ``parts`` are the pieces of a lap before
    the first and after the last, ``part_laps`` how much of a lap they are together.
    ``gap_m`` is the bridged gap of a lap that did not close, 0 when it did;
    ``depth_m`` is how deep the deepest point inside the best lap lies; ``others`` is
    other ground that the path goes round, largest first.
    """

    laps: tuple[tuple[int, int], ...]
    gap_m: float
    parts: tuple[tuple[int, int], ...]
    part_laps: float
    depth_m: float
    others: tuple[Face, ...] = ()

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
    pair = best_pair(xy)
    if pair is None:
        return None
    (first, last), joined = _one_of_two(xy, pair)
    lap = xy[first : last + 1]
    deep = deep_point(lap)
    if deep is None:
        return None
    inside, depth = deep
    swept = np.unwrap(np.arctan2(xy[:, 1] - inside[1], xy[:, 0] - inside[0]))
    if swept[last] < swept[first]:
        swept = -swept
    lap_m = float(walked_m(lap)[-1])
    gap = float(np.hypot(*(xy[first] - xy[last])))
    bridged = gap if gap > max(SAME_PLACE_M, 0.03 * lap_m) else 0.0
    ring = np.vstack([lap, lap[:1]])
    beside, apart = beside_m(ring, xy)
    away = apart > min(LEFT_M, depth)
    laps = _all_laps(xy, swept, away, (first, last))
    begin, end = min(a for a, _ in laps), max(b for _, b in laps)
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
    loop = Loop(tuple(laps), bridged, tuple(parts), share, depth)
    others = other_faces(xy, loop.ends, enclosed(ring), lap_m)
    joined = tuple(_told_whole(face, others) for face in joined)
    row = [face for face in joined if face.where == "alone"]
    others = tuple(face for face in others if not same_ground(face, row))
    return replace(loop, others=(*joined, *others))


def _told_whole(face: Face, others: tuple[Face, ...]) -> Face:
    """Return a loop that stands alone with the most ground that is found of it.

    Of two in a row the smaller is known from its nodes alone, and often in part.
    """
    if face.where != "alone":
        return face
    same = [one for one in others if one.where == "alone" and same_ground(one, [face])]
    return max([face, *same], key=lambda one: one.m2)


def _one_of_two(
    xy: FloatArray, lap: tuple[int, int]
) -> tuple[tuple[int, int], tuple[Face, ...]]:
    """Return the one lap meant by a lap that may be two side by side, and what it joins.

    Of two walked one after the other it is the larger; of one walked in the middle of the
    other it is that one, unless it is a small curl of the edge. At a wide neck it stays one,
    and both sides are told.
    """
    row = in_a_row(xy, lap_m2(xy, lap))
    if row is not None:
        small, large = sorted((row.one, row.two), key=lambda one: lap_m2(xy, one))
        small_m2, large_m2 = lap_m2(xy, small), lap_m2(xy, large)
        third = lap_m2(xy, lap) >= MOST_OF_BOTH * (small_m2 + large_m2)
        if not third or _cut_up(xy, lap, row):
            if row.crossed:
                return lap, (Face(small_m2, "divided"),)
            edge = shapely.Polygon(xy[small[0] : small[1] + 1])
            return _closed_near(xy, *large), (Face(small_m2, "alone", edge),)
    for _ in range(MOST_HALVES):
        both = halves(xy, lap)
        if both is None:
            break
        first, last = both.inner
        if not both.at_end and both.inner_m2 < TWO_LOOPS * both.outer_m2:
            return lap, (Face(both.inner_m2, "joined"),)
        if both.at_end and both.inner_m2 < both.outer_m2:
            early = first - lap[0] < lap[1] - last
            first, last = (last, lap[1]) if early else (lap[0], first)
        lap = _closed_near(xy, first, last)
    else:
        return lap, ()
    wide = halves(xy, lap, WIDE_NECK)
    if wide is None or min(wide.inner_m2, wide.outer_m2) < LEAST_NARROW * lap_m2(xy, lap):
        return lap, ()
    return lap, (Face(min(wide.inner_m2, wide.outer_m2), "narrow"),)


def _cut_up(xy: FloatArray, lap: tuple[int, int], row: Row) -> bool:
    """Return whether a lap is made of pieces of two in a row, and of the way between them.

    It begins within one of them and ends within the other; or it does either, and does not
    close.
    """
    begins = row.one[0] < lap[0] < row.one[1] < lap[1]
    ends = lap[0] < row.two[0] < lap[1] < row.two[1]
    wide = float(np.hypot(*(xy[lap[0]] - xy[lap[1]]))) > NECK_M
    return (begins and ends) or (wide and (begins or ends))


def _closed_near(xy: FloatArray, first: int, last: int) -> tuple[int, int]:
    """Return where a lap between about these two positions closes best."""
    walked = walked_m(xy)
    start, stop = np.searchsorted(
        walked, [walked[first] - SAME_PLACE_M, walked[last] + SAME_PLACE_M]
    ).tolist()
    pair = best_pair(xy[start:stop])
    return (first, last) if pair is None else (start + pair[0], start + pair[1])


def _all_laps(
    xy: FloatArray, swept: FloatArray, away: NDArray[np.bool_], lap: tuple[int, int]
) -> list[tuple[int, int]]:
    """Return every lap of the edge, the given one first, whichever way round it was walked."""
    laps = [lap]
    begin, end = lap
    for sign in (1.0, -1.0) * MOST_TURNS:
        while (stop := _turn_later(xy, sign * swept, away, end, 1)) is not None:
            laps.append((end, stop))
            end = stop
        while (start := _turn_later(xy, sign * swept, away, begin, -1)) is not None:
            laps.append((start, begin))
            begin = start
    return laps


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
