"""The loop inside a walk: its laps, without the way in and the way out.

An interior point is taken from the largest ground the path encloses; the angle
swept round it counts the laps, whatever their direction, and a lap is the piece
between two passages that come back to the same place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: Ends this far apart are bridged, so that an unfinished lap still encloses ground.
BRIDGE_SHARE = 0.15
TURN = 2 * np.pi
#: A last lap counts when at least this much of it was walked.
PART_LAP = 0.7
#: Two places are the same when they are this near. [m]
SAME_PLACE_M = 15.0


@dataclass(frozen=True)
class Loop:
    """Laps of one edge, each as (start, stop) positions in the path, stop included.

    ``gap_m`` is the bridged gap of a lap that did not close, 0 when it did.
    ``part`` says that the last lap is only part of one.
    """

    laps: tuple[tuple[int, int], ...]
    gap_m: float
    part: bool


def find_loop(xy: FloatArray) -> Loop | None:
    """Return the laps of a path, None when it encloses nothing to trust.

    Parameters
    ----------
    xy : array, shape (n, 2), cleaned fixes. [m]
    """
    if len(xy) < 4:  # noqa: PLR2004 - three corners and a return
        return None
    length = float(np.hypot(*np.diff(xy, axis=0).T).sum())
    inside = _interior_point(xy, length)
    if inside is None:
        return None
    swept = np.unwrap(np.arctan2(xy[:, 1] - inside[1], xy[:, 0] - inside[0]))
    if swept[-1] < swept[0]:
        swept = 2 * swept[0] - swept
    laps = _laps(xy, swept)
    if laps is not None:
        return laps
    return _unfinished(xy, swept)


def _interior_point(xy: FloatArray, length: float) -> FloatArray | None:
    """Return a point well inside the largest ground the path encloses."""
    line = shapely.LineString(xy)
    gap = float(np.hypot(*(xy[0] - xy[-1])))
    lines = [line]
    if gap <= BRIDGE_SHARE * length:
        lines.append(shapely.LineString([xy[0], xy[-1]]))
    faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(lines)]))
    if not len(faces):
        return None
    solid = shapely.union_all([shapely.Polygon(f.exterior) for f in faces])
    # two laps leave slivers between them; they belong to the ground
    solid = solid.buffer(1.0).buffer(-1.0)
    parts = shapely.get_parts(solid)
    parts = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    if not len(parts):
        return None
    largest = parts[int(np.argmax(shapely.area(parts)))]
    if largest.area <= 0:
        return None
    deepest = shapely.get_coordinates(shapely.maximum_inscribed_circle(largest, 1.0))[0]
    return np.asarray(deepest, dtype=float)


def _laps(xy: FloatArray, swept: FloatArray) -> Loop | None:
    """Return full laps, starting where the path best meets itself a turn later."""
    rising = np.maximum.accumulate(swept)
    ends = np.searchsorted(rising, swept + TURN)
    starts = np.flatnonzero(ends < len(xy))
    if not len(starts):
        return None
    walked = np.r_[0.0, np.cumsum(np.hypot(*np.diff(xy, axis=0).T))]
    lap_gap = np.hypot(*(xy[starts] - xy[ends[starts]]).T)
    lap_length = walked[ends[starts]] - walked[starts]
    # twice the ground between the path and its chords, from running cross products
    cross = np.r_[0.0, np.cumsum(xy[:-1, 0] * xy[1:, 1] - xy[1:, 0] * xy[:-1, 1])]
    here, there = xy[starts], xy[ends[starts]]
    back = there[:, 0] * here[:, 1] - here[:, 0] * there[:, 1]
    ground = np.abs(cross[ends[starts]] - cross[starts] + back) / 2
    # A lap that cuts across, as a way in does, encloses less: its loss as a mean
    # inward shift; laps differ by a few percent anyhow. A spur out and back only adds
    # length. Begun early, a lap leaves the most walk to be used.
    lost = (0.93 * np.quantile(ground, 0.97) - ground) / np.maximum(lap_length, 1.0)
    cost = lap_gap + 30.0 * np.maximum(lost, 0.0)
    cost += 0.05 * (walked[starts] + lap_length)
    first = int(starts[int(np.argmin(cost))])
    laps: list[tuple[int, int]] = []
    begun = first
    while ends[begun] < len(xy):
        stop = _nearest(xy, begun, int(ends[begun]))
        if stop <= begun + 2:
            break
        laps.append((begun, stop))
        begun = stop
    if not laps:
        return None
    gap = float(np.hypot(*(xy[laps[0][0]] - xy[laps[0][1]])))
    if gap > max(SAME_PLACE_M, BRIDGE_SHARE * float(np.median(lap_length))):
        return None
    left = (swept[-1] - swept[begun]) / TURN
    part = bool(left >= PART_LAP)
    if part:
        laps.append((begun, len(xy) - 1))
    return Loop(tuple(laps), 0.0, part)


def _nearest(xy: FloatArray, start: int, around: int) -> int:
    """Return the fix near ``around`` that comes closest to fix ``start``."""
    reach = max(3, (around - start) // 12)
    low, high = max(start + 3, around - reach), min(len(xy), around + reach + 1)
    if low >= high:
        return around
    return low + int(np.argmin(np.hypot(*(xy[low:high] - xy[start]).T)))


def _unfinished(xy: FloatArray, swept: FloatArray) -> Loop | None:
    """Return the one lap of a path that stopped short, its gap bridged."""
    count = len(xy)
    if swept[-1] - swept[0] < PART_LAP * TURN:
        return None
    walked = np.r_[0.0, np.cumsum(np.hypot(*np.diff(xy, axis=0).T))]
    heads = np.unique(np.linspace(0, count // 3, 60).astype(int))
    tails = np.unique(np.linspace(2 * count // 3, count - 1, 60).astype(int))
    gap = np.hypot(
        xy[heads][:, None, 0] - xy[tails][None, :, 0],
        xy[heads][:, None, 1] - xy[tails][None, :, 1],
    )
    lap = walked[tails][None, :] - walked[heads][:, None]
    turned = (swept[tails][None, :] - swept[heads][:, None]) / TURN
    cost = np.where(turned >= PART_LAP, 3.0 * gap - lap, np.inf)
    i, j = np.unravel_index(int(np.argmin(cost)), cost.shape)
    if not np.isfinite(cost[i, j]) or gap[i, j] > BRIDGE_SHARE * lap[i, j]:
        return None
    return Loop(((int(heads[i]), int(tails[j])),), float(gap[i, j]), part=False)
