"""Two laps of one recording: walked one after the other, or halves at a neck of one lap.

The lap that closes best may be two loops in a row, or a plot together with the ground
between the way in and the way out. Such a lap comes near itself midway, and both halves
then enclose ground side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.closing import SAME_PLACE_M, Closings, Path, closings, swept_m2
from quietacre.boundary.lost import LOST_M, LOST_TIMES
from quietacre.boundary.repair import enclosed_faces

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: Other ground is looked for from this share of the first loop on.
LEAST_SHARE = 0.08
#: A lap comes near itself when it is this near, as a share of the smaller half's width.
NECK_SHARE = 0.45
#: So far from it its sides are apart, it being no wider than this share of that. [m]
OPENS_M, OPENS_SHARE = 25.0, 0.55
#: And no farther apart than this. [m]
NECK_M = 20.0
#: Two laps that together make the outline, to within this share of its ground, may each close
#: so wide, as a share of its width and [m].
MAKE_UP, OUTLINE_NECK = 0.15, (0.6, 30.0)
#: Two halves lie at a neck that is no wider than this share of the smaller one's width, and
#: this [m]; and perhaps at one so wide.
NECK, WIDE_NECK = (0.4, NECK_M), (0.55, 35.0)
#: Each half must be this many times deeper than the two places are apart, and so deep. [m]
NECK_TIMES, LEAST_DEPTH_M = 0.7, 6.0
#: A path runs straight on when its headings over this much of it agree so. [m]
STRAIGHT_M, STRAIGHT_COS = 20.0, 0.85
#: And at a pinched neck so, over either of these.
PINCHED_COS, PINCHED_M = 0.5, (12.0, 20.0)
#: In and out by one lane lie no farther apart, so far off. [m]
ONE_LANE_M, LANE_AT_M = 10.0, (20.0, 35.0, 50.0)
#: Halves that overlap by more than this share are two laps, or one inside the other.
OVERLAP = 0.3
#: An end of the recording is this share of a lap, or less.
END_SHARE = 0.06
NODES = 160
#: Lines are thinned to this before they are made thick. [m]
THIN_M = 1.5


@dataclass(frozen=True)
class Halves:
    """A lap that comes near itself: positions of the inner half, and both halves [m²].

    ``at_end`` tells that one half was walked right before or right after the other.
    """

    inner: tuple[int, int]
    inner_m2: float
    outer_m2: float
    at_end: bool


def halves(
    xy: FloatArray, lap: tuple[int, int], neck: tuple[float, float] = NECK
) -> Halves | None:
    """Return the two loops side by side that a lap is made of, None when it is one.

    Parameters
    ----------
    xy : array, shape (n, 2), cleaned fixes. [m]
    lap : positions of its two ends.
    neck : how near it must come to itself, as a share of the smaller half's width and [m].
    """
    part = xy[lap[0] : lap[1] + 1]
    path = Path(part)
    whole = float(path.walked[-1])
    at = np.linspace(0.0, whole, NODES + 1)
    laps = closings(path, at, at)
    inner, outer = np.abs(laps.signed), np.abs(swept_m2(part) - laps.signed)
    less, more = np.minimum(inner, outer), np.maximum(inner, outer)
    fits = (laps.length > 0) & (less >= LEAST_SHARE * more)
    # between two nodes the path may come nearer
    gap = np.maximum(laps.gap - 0.5 * float(at[1]), 0.0)
    most = np.minimum(neck[1], neck[0] * np.sqrt(less))
    fits &= gap <= most
    # from a neck the sides go apart; those of a strip that drift pinched do not
    ahead, behind = path.place(at + OPENS_M), path.place(at - OPENS_M)
    opens = np.hypot(*(ahead[:, None] - behind[None, :]).transpose(2, 0, 1))
    fits &= gap <= OPENS_SHARE * opens
    if not fits.any():
        return None
    score = (inner + outer) * (1.0 - laps.gap / np.sqrt(np.maximum(less, 1.0)))
    score = np.where(fits, score, -np.inf)
    i, j = np.unravel_index(int(np.argmax(score)), score.shape)
    first, last = (int(path.position[np.searchsorted(path.walked, at[k])]) for k in (i, j))
    if last - first < 3 or len(part) - (last - first) < 3:  # noqa: PLR2004 - a triangle
        return None
    # sparse fixes lie off the nodes too
    apart = np.hypot(*(part[first] - part[last]))
    if apart > most[i, j] + 0.5 * float(at[1]) and _lost_at(path, at[[i, j]]):
        return None
    rest = np.vstack([part[: first + 1], part[last:]])
    if _pinched(path, at[[i, j]]):
        return None
    if not _beside(part[first : last + 1], rest, float(laps.gap[i, j])):
        return None
    ends = at[i], whole - at[j]
    return Halves(
        inner=(lap[0] + first, lap[0] + last),
        inner_m2=float(inner[i, j]),
        outer_m2=float(outer[i, j]),
        at_end=bool(min(ends) < max(END_SHARE * whole, SAME_PLACE_M)),
    )


@dataclass(frozen=True)
class Row:
    """Two laps of different ground, one walked after the other, by positions in the path.

    ``crossed`` tells that they may as well be one plot that was crossed on the way in and
    on the way out: the path runs straight through where the two meet.
    """

    one: tuple[int, int]
    two: tuple[int, int]
    crossed: bool


def in_a_row(xy: FloatArray, best_m2: float) -> Row | None:
    """Return two laps of different ground, one walked after the other, near or far apart.

    Where their common side was walked twice, the outline of both closes better than either;
    so may one of them with the ground that the way between shuts in. Each must close by
    itself; two that make up the outline may do so less well, for drift opens both where
    they meet.

    Parameters
    ----------
    xy : array, shape (n, 2), cleaned fixes. [m]
    best_m2 : ground of the lap that closes best. A crumb of it is no lap. [m²]
    """
    path = Path(xy)
    whole = float(path.walked[-1])
    if whole <= 0:
        return None
    at = np.linspace(0.0, whole, NODES + 1)
    laps = closings(path, at, at)
    for share, most_m, together in ((NECK_SHARE, NECK_M, False), (*OUTLINE_NECK, True)):
        # between two nodes the path may come nearer
        near = np.minimum(most_m, share * np.sqrt(laps.ground)) + 0.5 * float(at[1])
        fits = (laps.gap <= near) & (laps.length > 0)
        fits &= laps.ground >= LEAST_SHARE * best_m2
        best_two = _best_two(np.where(fits, laps.open_score(), 0.0))
        if best_two is None:
            continue
        both_m2 = sum(float(laps.ground[lap]) for lap in best_two)
        if together and abs(both_m2 / best_m2 - 1) > MAKE_UP:
            continue
        row = _row(xy, path, at, laps, best_two)
        if row is not None:
            return row
    return None


def _best_two(score: FloatArray) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Return the two laps, one after the other, whose scores together are best, by nodes."""
    # the best lap that ends by each node, and the best that begins from it on
    until = np.maximum.accumulate(score.max(axis=0))
    since = np.maximum.accumulate(score.max(axis=1)[::-1])[::-1]
    both = np.where((until > 0) & (since > 0), until + since, 0.0)
    if both.max() <= 0:
        return None
    node, count = int(np.argmax(both)), len(score)
    a, b = np.unravel_index(int(np.argmax(score[:, : node + 1])), (count, node + 1))
    c, d = np.unravel_index(int(np.argmax(score[node:])), (count - node, count))
    return (int(a), int(b)), (node + int(c), int(d))


def _row(
    xy: FloatArray,
    path: Path,
    at: FloatArray,
    laps: Closings,
    spans: tuple[tuple[int, int], tuple[int, int]],
) -> Row | None:
    """Return two laps by positions in the path, None when they are no ground side by side."""
    one, two = (
        tuple(int(path.position[np.searchsorted(path.walked, at[k])]) for k in lap)
        for lap in spans
    )
    if min(one[1] - one[0], two[1] - two[0]) < 3:  # noqa: PLR2004 - a triangle
        return None
    crossed, one_lane = _runs_through(path, float(at[spans[0][0]]), float(at[spans[1][1]]))
    if crossed and not one_lane:
        return None
    gap = max(float(laps.gap[lap]) for lap in spans)
    if not _beside(xy[slice(*one)], xy[slice(*two)], gap):
        return None
    return Row((one[0], one[1]), (two[0], two[1]), crossed)


def _runs_through(path: Path, begin: float, end: float) -> tuple[bool, bool]:
    """Return whether a path runs straight on where it comes to two laps and leaves them.

    Whoever crosses a plot on the way in, and back over it on the way out, draws the outline
    of two; who walks round two begins and ends where they meet, and mostly turns there. The
    second value is whether it comes and goes by one lane.
    """
    if begin < STRAIGHT_M or path.walked[-1] - end < STRAIGHT_M:
        return False, True
    at = np.array([begin, end])
    here = path.place(at)
    before, after = here - path.place(at - STRAIGHT_M), path.place(at + STRAIGHT_M) - here
    size = np.hypot(*before.T) * np.hypot(*after.T)
    straight = bool(((before * after).sum(axis=1) > STRAIGHT_COS * size).all())
    off = np.array(LANE_AT_M)
    lanes = path.place(begin - off) - path.place(end + off)
    ends = float(np.hypot(*(path.xy[0] - path.xy[-1])))
    return straight, bool(np.hypot(*lanes.T).max() <= ONE_LANE_M or ends <= SAME_PLACE_M)


def _lost_at(path: Path, at: FloatArray) -> bool:
    """Return whether any of these places lies where fixes were lost, between two far apart."""
    steps = np.diff(path.walked)
    row = np.clip(np.searchsorted(path.walked, at, side="right") - 1, 0, len(steps) - 1)
    return bool((steps[row] > max(LOST_TIMES * float(np.median(steps)), LOST_M)).any())


def _pinched(path: Path, at: FloatArray) -> bool:
    """Return whether a neck is two sides of one plot that drift brought near one another.

    Both run straight on there, against one another.
    """
    here = path.place(at)
    for reach in PINCHED_M:
        before, after = here - path.place(at - reach), path.place(at + reach) - here
        size = np.hypot(*before.T) * np.hypot(*after.T)
        straight = ((before * after).sum(axis=1) > PINCHED_COS * size).all()
        way = before + after
        if straight and way[0] @ way[1] < -PINCHED_COS * np.prod(np.hypot(*way.T)):
            return True
    return False


def _beside(one: FloatArray, two: FloatArray, gap_m: float) -> bool:
    """Return whether two laps enclose two pieces of ground to speak of, side by side."""
    both = [enclosed(lap) for lap in (one, two)]
    areas = sorted(float(shape.area) for shape in both)
    if areas[0] < LEAST_SHARE * areas[1] or areas[0] <= 0:
        return False
    if both[0].intersection(both[1]).area > OVERLAP * areas[0]:
        return False
    deep = max(NECK_TIMES * gap_m, LEAST_DEPTH_M)
    thin = [shape.simplify(THIN_M) for shape in both]
    return not any(shape.buffer(-deep, quad_segs=2).is_empty for shape in thin)


def enclosed(lap: FloatArray) -> shapely.Geometry:
    """Return all the ground that one lap encloses."""
    polygon = shapely.Polygon(lap)
    if polygon.is_valid:
        return polygon
    return shapely.union_all(enclosed_faces(shapely.LinearRing(lap)))
