"""Laps of one edge averaged to one ring, kept in step with one another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from quietacre.boundary import error
from quietacre.boundary.closing import swept_m2
from quietacre.boundary.loop import PART_LAP, Loop
from quietacre.boundary.lost import LOST_M, evenly_saved, over_lost
from quietacre.boundary.plane import beside_m, places_m, unit_vectors, walked_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

#: The ring has a point each so much of it. [m]
STEP_M = 2.0
#: Of fixes nearer to one another than this one is kept. [m]
TELLING_M = 0.5
#: Laps farther apart than this at a place are not the same edge there. [m]
SAME_EDGE_M = 25.0
#: Or this share of the plot's half-width, where that is less.
SAME_EDGE_SHARE = 0.8
#: And less than a lap is taken for the edge only so near to it. [m]
PIECE_M = 8.0
#: Or no farther than this many times its usual distance.
FAR_TIMES = 4.0
#: Pieces of edge are walked the same way when their headings agree at least so.
SAME_WAY_COS = 0.5
#: A lap's misclosure is shared out over about this much edge, as drift lasts. [m]
CLOSING_M = 25.0
#: A turn of at least this much between two fixes, this far apart and with less than this
#: share of it beside them, is a corner that was stepped over.
CORNER_DEG, CORNER_STEP_M, CORNER_BESIDE = 45.0, 2.5, 0.4
#: Fixes usually farther apart than this are seldom; a step so many times the usual one has
#: lost some between. [m]
SELDOM_M, SELDOM_TIMES = 10.0, 2.5
#: A turn of this much at one fix is a corner that it stands in.
ARC_DEG = 40.0
#: Another lap is kept in step with the edge over this much of it. [m]
IN_STEP_M = 15.0
#: A place so much farther off than the nearest is out of step. [m]
OUT_OF_STEP_M = 4.0


class Averaged(NamedTuple):
    """The mean ring of a walk's laps.

    ``ring`` has shape (n, 2) [m], without its repeated end; ``time_s`` is when each point
    was walked, shape (n,); ``apart_m`` how far another lap lies beside it at places, shape
    (k,), one of the other way round but for how far all of it does; ``laps`` on how many laps a point rests;
    ``each`` holds the whole laps one by one, the first among them.
    """

    ring: FloatArray
    time_s: FloatArray
    apart_m: FloatArray
    laps: float
    each: tuple[Lap, ...] = ()


class Lap(NamedTuple):
    """A whole lap as a ring, shape (n, 2) [m], and whether it was walked as the first was."""

    ring: FloatArray
    same_way: bool


class _Piece(NamedTuple):
    """A lap, or a piece of one, to be laid beside the first: its places and times.

    ``whole`` tells a lap; ``near_m`` is how near the edge it must keep; ``same_way`` that it
    was walked as the first was.
    """

    path: FloatArray
    time_s: FloatArray
    whole: bool
    near_m: float
    same_way: bool


def average(xy: FloatArray, when: FloatArray, loop: Loop) -> Averaged:
    """Return the mean ring of the laps of a path.

    The first lap's misclosure is spread near its ends, then every other piece is
    matched to it at each place along the edge and averaged there.

    Parameters
    ----------
    xy, when : arrays, shapes (n, 2) and (n,), places [m] and times [s] of the path.
    loop : its laps.
    """
    first, last = loop.laps[0]
    path, clock = xy[first : last + 1], when[first : last + 1]
    farthest = _farthest_filled(path, clock)
    base, base_times = _closed_lap(path, clock, loop.gap_m, farthest)
    total, weight = base.copy(), np.ones(len(base))
    hidden = over_lost(path, clock, walked_m(base))
    apart: list[FloatArray] = []
    each = [Lap(base, same_way=True)]
    chord = _chords(base, 10)
    normal = np.column_stack([chord[:, 1], -chord[:, 0]])
    for piece in _pieces(xy, when, loop, swept_m2(base)):
        beside = _beside(piece, base, chord, farthest)
        if beside is None:
            continue
        match, near, which_lap = beside
        if which_lap:
            off = ((match - base) * normal)[near].sum(axis=1)
            # the two ways round may keep to two sides of the edge: no drift, and told apart
            apart.append(off if piece.same_way else off - off.mean())
            if piece.whole:
                each.append(Lap(np.where(near[:, None], match, base), piece.same_way))
        # where the first lap has no fixes the others alone say where the edge is
        seen = near & hidden
        total[seen], weight[seen] = 0.0, 0.0
        hidden &= ~near
        total[near] += match[near]
        weight[near] += 1.0
    return Averaged(
        total / weight[:, None],
        base_times,
        np.concatenate(apart) if apart else np.array([]),
        float(np.mean(weight)),
        tuple(each),
    )


def _pieces(xy: FloatArray, when: FloatArray, loop: Loop, turns: float) -> list[_Piece]:
    """Return every lap and piece but the first, as walked the way that ``turns`` tells."""
    reach = min(SAME_EDGE_M, SAME_EDGE_SHARE * loop.depth_m)
    pieces = []
    for start, stop in loop.laps[1:]:
        path, clock = xy[start : stop + 1], when[start : stop + 1]
        same = swept_m2(path) * turns >= 0
        if not same:
            path, clock = path[::-1], -clock[::-1]  # walked the other way round
        pieces.append(_Piece(path, clock, whole=True, near_m=reach, same_way=same))
    # a way across the plot keeps beside the edge at first: little of a lap is little proof
    near = min(reach, PIECE_M) if loop.part_laps < PART_LAP else reach
    for start, stop in loop.parts:
        path, clock = xy[start : stop + 1], when[start : stop + 1]
        pieces.append(_Piece(path, clock, whole=False, near_m=near, same_way=True))
    return pieces


def _beside(
    piece: _Piece, base: FloatArray, chord: FloatArray, farthest: float
) -> tuple[FloatArray, Mask, bool] | None:
    """Return the place of a piece beside each point of the edge, and where it is the edge.

    The third value is whether it is beside enough of the edge to learn from. None when the
    piece goes nowhere.
    """
    path = _filled(piece.path, farthest)
    walked = walked_m(path)
    if walked[-1] <= 0:
        return None
    along, _ = beside_m(path, base)
    match = places_m(path, walked, along)
    ahead = unit_vectors(
        places_m(path, walked, along + 4.0) - places_m(path, walked, along - 4.0)
    )
    off = np.hypot(*(match - base).T)
    near = (off <= piece.near_m) & ((ahead * chord).sum(axis=1) > SAME_WAY_COS)
    near &= ~over_lost(piece.path, piece.time_s, along)
    if not piece.whole:
        near &= (along > 0) & (along < walked[-1])
    if near.any():  # much farther off than the piece usually is, it is a way in or out
        near &= off <= max(PIECE_M, FAR_TIMES * float(np.median(off[near])))
    rows = np.flatnonzero(near)
    if len(rows) <= 4:  # noqa: PLR2004 - too few to learn from
        return match, near, False
    steady = places_m(path, walked, _in_step(base, rows, along[rows], walked[-1]))
    # at a piece's end steps may run on where the edge does not
    kept = np.hypot(*(steady - base[rows]).T) - off[rows] < OUT_OF_STEP_M
    match[rows[kept]] = steady[kept]
    return match, near, True


def _in_step(
    base: FloatArray, rows: NDArray[np.int64], along: FloatArray, whole: float
) -> FloatArray:
    """Return places along a piece that keep step with the edge it follows. [m]

    The nearest place of another lap jumps at corners and where drift folds it; what it
    says over ``IN_STEP_M`` of edge does not.

    Parameters
    ----------
    base : array, shape (n, 2), the edge. [m]
    rows : array, shape (k,), the points of the edge that the piece follows.
    along : array, shape (k,), the nearest place along the piece to each. [m]
    whole : length of the piece. [m]
    """
    edge = walked_m(base)
    around = float(edge[-1] + np.hypot(*(base[0] - base[-1])))
    # how far the piece is behind the edge; the seam of the edge is no jump
    behind = np.unwrap(along - edge[rows], period=around)
    turns = np.round((edge[rows] + behind - along) / around)
    window = 2 * max(int(IN_STEP_M / around * len(base)), 1) + 1
    steady = np.median(_windows(behind, window, "edge"), axis=1)
    steady = _windows(steady, window, "symmetric").mean(axis=1)
    return np.asarray(np.clip(edge[rows] + steady - turns * around, 0.0, whole))


def _windows(
    values: FloatArray, window: int, beyond: Literal["edge", "symmetric"]
) -> FloatArray:
    """Return the odd number of values about each, shape (n, window).

    ``beyond`` is what stands beyond both ends, as ``numpy.pad`` calls it.
    """
    return sliding_window_view(np.pad(values, window // 2, mode=beyond), window)


def _chords(ring: FloatArray, reach: int) -> FloatArray:
    """Return the unit direction of the ring at each point, over ``reach`` points."""
    return unit_vectors(np.roll(ring, -reach, axis=0) - np.roll(ring, reach, axis=0))


def _closed_lap(
    lap: FloatArray, when: FloatArray, gap: float, farthest: float
) -> tuple[FloatArray, FloatArray]:
    """Return one lap as an evenly stepped ring without its repeated end, and times."""
    part = lap.copy()
    times = error.walking_times(part, when)
    if gap == 0.0:
        # the drift between start and end is shared out near both, across the edge only:
        # along it, stopping short or walking past the start is no error
        end, start = (
            part[-1] - part[-min(5, len(part))],
            part[min(4, len(part) - 1)] - part[0],
        )
        along = unit_vectors(end) + unit_vectors(start)
        across = unit_vectors(np.array([-along[1], along[0]]))
        miss = (part[0] - part[-1]) @ across * across
        walked = walked_m(part)
        pull = np.exp((walked - walked[-1]) / CLOSING_M) - np.exp(-walked / CLOSING_M)
        part += 0.5 * pull[:, None] * miss
    part, times = np.split(_filled(np.column_stack([part, times]), farthest), [2], axis=1)
    times = times[:, 0]
    closed = np.vstack([part, part[:1]]) if gap else part
    walked = walked_m(closed)
    if gap:
        times = np.r_[times, times[-1] + gap / error.PACE_M_S]
    keep = np.r_[True, np.diff(walked) > 0]
    walked, closed, times = walked[keep], closed[keep], times[keep]
    count = max(int(walked[-1] / STEP_M), 12)
    at = np.linspace(0.0, walked[-1], count, endpoint=False)
    # corners are kept: the walked fixes stay among the even steps, but for those so near
    # to the one before that they tell nothing of the edge
    tells = np.diff(np.floor(walked[:-1] / TELLING_M)) > 0
    at = np.unique(np.r_[at, walked[1:-1][tells]])
    return places_m(closed, walked, at), np.interp(at, walked, times)


def _farthest_filled(path: FloatArray, time_s: FloatArray) -> float:
    """Return between fixes how far apart a path is still drawn out. [m]

    Fixes that are seldom, and saved by time, turn anywhere between; others may be corners.
    """
    usual = float(np.median(np.hypot(*np.diff(path, axis=0).T)))
    if usual > SELDOM_M and evenly_saved(path, time_s):
        return max(LOST_M, SELDOM_TIMES * usual)
    return LOST_M


def _filled(path: FloatArray, farthest: float) -> FloatArray:
    """Return a path with what its fixes, every few seconds, cut off put back.

    Where the path turns between two fixes by ``CORNER_DEG`` and runs straight before
    and after, its two sides are drawn on until they meet. Elsewhere a chord becomes
    the arc that turns as the path does at its ends: one of its length times that turn
    rises by an eighth of both. Nothing is put between fixes ``farthest`` [m] apart or more.
    Columns after the first two, as times, are halved there.
    """
    step = np.diff(path[:, :2], axis=0)
    size = np.hypot(*step.T)
    if len(step) < 5:  # noqa: PLR2004 - two sides, the step between, and what lies beyond
        return path
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    turn = np.arctan2(cross, (step[:-1] * step[1:]).sum(axis=1))
    # step i runs from fix i to i + 1; it turns by turn[i - 1] at one end, turn[i] at the other
    i = np.arange(2, len(step) - 2)
    i = i[(size[i] > CORNER_STEP_M) & (size[i] < farthest)]
    one, two = turn[i - 1], turn[i]
    both = one + two
    seldom = farthest > LOST_M
    sharp = (
        np.full(len(i), not seldom)
        & (one * two > 0)
        & (np.abs(both) > np.radians(CORNER_DEG))
    )
    sharp &= np.abs(both) < np.radians(150.0)
    beyond = np.maximum(np.abs(turn[i - 2]), np.abs(turn[i + 1]))
    sharp &= beyond < CORNER_BESIDE * np.abs(both)
    between = 0.5 * (path[i] + path[i + 1])
    outward = np.column_stack([step[i, 1], -step[i, 0]])
    # where corner and bend cannot be told apart, both lose a twelfth of chord² times turn
    between[:, :2] += (both / (12.0 if seldom else 16.0))[:, None] * outward
    ahead = size[i] * np.sin(two) / np.where(sharp, np.sin(both), 1.0)
    between[sharp, :2] = (path[i, :2] + ahead[:, None] * unit_vectors(step[i - 1]))[sharp]
    # a corner is no arc, and neither are the sides that meet in it
    bent = np.maximum(np.abs(one), np.abs(two)) < (
        np.inf if seldom else np.radians(ARC_DEG)
    )
    corner = np.zeros(len(step) + 1, dtype=bool)
    corner[i[sharp]] = True
    bent &= ~(corner[i - 1] | corner[i + 1])
    kept = sharp | bent
    return np.insert(path, i[kept] + 1, between[kept], axis=0)
