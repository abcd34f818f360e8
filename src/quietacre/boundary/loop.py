"""The loop inside a walk: its laps, without the way in and the way out.

Every pair of places where the path could close is scored: ground enclosed up, length
and closing distance down, opposite headings refused, so that neither a way in and out
nor two laps taken as one wins. The angle swept round a point deep inside then finds
the other laps, whatever their direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.plane import walked_m
from quietacre.boundary.repair import enclosed_faces

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: A lap whose ends lie farther apart than this share of its length did not close.
BRIDGE_SHARE = 0.15
TURN = 2 * np.pi
#: A last lap counts when at least this much of it was walked.
PART_LAP = 0.7
#: Less than this of a further lap is not averaged in.
LEAST_PART = 0.15
#: Two places are the same when they are this near. [m]
SAME_PLACE_M = 15.0
#: A fix this far from the lap has left the edge. [m]
LEFT_M = 20.0
#: Nodes of the thinned path whose pairs are scored, and their least spacing [m].
NODES = 450
NODE_M = 2.0
#: Enclosed ground counts against length to this power: 1 would let two laps tie with
#: one and legs that cross far away win, 2 would prefer any small round curl.
LENGTH_POWER = 1.1
#: Closing distance counts as this many times walked length.
GAP_TIMES = 6.0
#: Headings at the two ends of a lap may differ by at most this angle's cosine.
HEADING_COS = -0.5


@dataclass(frozen=True)
class Loop:
    """Laps of one edge, each as (start, stop) positions in the path, stop included.

    ``laps[0]`` is the lap that closes best; ``parts`` are the pieces of a lap before
    the first and after the last, ``part_laps`` how much of a lap they are together.
    ``gap_m`` is the bridged gap of a lap that did not close, 0 when it did.
    """

    laps: tuple[tuple[int, int], ...]
    gap_m: float
    parts: tuple[tuple[int, int], ...]
    part_laps: float

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
    inside = _deep_point(xy[first : last + 1])
    if inside is None:
        return None
    swept = np.unwrap(np.arctan2(xy[:, 1] - inside[1], xy[:, 0] - inside[0]))
    if swept[last] < swept[first]:
        swept = -swept
    lap_m = float(np.hypot(*np.diff(xy[first : last + 1], axis=0).T).sum())
    gap = float(np.hypot(*(xy[first] - xy[last])))
    bridged = gap if gap > max(SAME_PLACE_M, 0.03 * lap_m) else 0.0
    laps = [(first, last)]
    edge = shapely.LinearRing(xy[first : last + 1])
    shapely.prepare(edge)
    away = ~shapely.dwithin(edge, shapely.points(xy), LEFT_M)
    begin, end = first, last
    while (stop := _turn_later(xy, swept, away, end, 1)) is not None:
        laps.append((end, stop))
        end = stop
    while (start := _turn_later(xy, swept, away, begin, -1)) is not None:
        laps.append((start, begin))
        begin = start
    parts, share = [], 0.0
    far = np.flatnonzero(away[end:])
    stop = end + int(far[0]) - 1 if len(far) else len(xy) - 1
    far = np.flatnonzero(away[: begin + 1])
    start = int(far[-1]) + 1 if len(far) else 0
    for a, b in ((end, stop), (start, begin)):
        turned = (swept[b] - swept[a]) / TURN
        if turned >= LEAST_PART and b - a > 2:  # noqa: PLR2004 - a line to match
            parts.append((a, b))
            share += float(turned)
    return Loop(tuple(laps), bridged, tuple(parts), share)


def _best_pair(xy: FloatArray) -> tuple[int, int] | None:
    """Return the two positions between which the path makes one good lap."""
    walked = walked_m(xy)
    if walked[-1] <= 0:
        return None
    count = int(np.clip(walked[-1] / NODE_M, 12, NODES)) + 1
    at = np.linspace(0.0, walked[-1], count)
    rise = np.r_[True, np.diff(walked) > 0]
    node = np.column_stack([np.interp(at, walked[rise], xy[rise, k]) for k in (0, 1)])
    reach = max(1, round(8.0 / (at[1] - at[0])))
    i = np.arange(count)
    head = node[np.minimum(i + reach, count - 1)] - node[np.maximum(i - reach, 0)]
    head /= np.maximum(np.hypot(*head.T), 1e-9)[:, None]
    cross = np.r_[0.0, np.cumsum(node[:-1, 0] * node[1:, 1] - node[1:, 0] * node[:-1, 1])]
    x, y = node.T
    length = at[None, :] - at[:, None]
    gap = np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :])
    back = x[None, :] * y[:, None] - x[:, None] * y[None, :]
    ground = 0.5 * np.abs(cross[None, :] - cross[:, None] + back)
    limit = np.maximum(SAME_PLACE_M, BRIDGE_SHARE * length)
    fits = (length > 4 * NODE_M) & (gap <= limit) & (gap <= 0.5 * length)
    fits &= head @ head.T > HEADING_COS
    if not fits.any():
        return None
    score = np.zeros_like(ground)
    score[fits] = ground[fits] / (length[fits] + GAP_TIMES * gap[fits]) ** LENGTH_POWER
    a, b = np.unravel_index(int(np.argmax(score)), score.shape)
    if ground[a, b] < 0.004 * length[a, b] ** 2:  # there and back along a line
        return None
    first = int(np.argmin(np.abs(walked - at[a])))
    last = int(np.argmin(np.abs(walked - at[b])))
    return (first, last) if last - first >= 3 else None  # noqa: PLR2004 - a triangle


def _deep_point(lap: FloatArray) -> FloatArray | None:
    """Return a point deep inside the ground a lap encloses."""
    ring = shapely.LinearRing(lap)
    faces = enclosed_faces(ring)
    if not len(faces):
        return None
    largest = faces[int(np.argmax(shapely.area(faces)))]
    tolerance = max(0.02 * float(largest.area) ** 0.5, 0.05)
    deepest = shapely.get_coordinates(
        shapely.maximum_inscribed_circle(largest.simplify(tolerance / 2), tolerance)
    )
    return np.asarray(deepest[0], dtype=float)


def _turn_later(
    xy: FloatArray, swept: FloatArray, away: NDArray[np.bool_], start: int, way: int
) -> int | None:
    """Return where the path is back at ``start`` one turn later (or earlier), if it is."""
    ahead = swept[start:] if way > 0 else swept[start::-1]
    turned = way * (ahead - swept[start])
    full = np.flatnonzero(turned >= 0.97 * TURN)
    if not len(full):
        return None
    most = min(int(full[0] * 1.08) + 3, len(ahead) - 1)
    least = max(int(full[0] * 0.92), 3)
    rows = start + way * np.arange(least, most + 1)
    near = int(rows[int(np.argmin(np.hypot(*(xy[rows] - xy[start]).T)))])
    between = away[min(start, near) : max(start, near) + 1]
    # another loop about the same middle is not a lap of this edge
    return near if between.mean() < 0.2 else None  # noqa: PLR2004 - a detour is forgiven
