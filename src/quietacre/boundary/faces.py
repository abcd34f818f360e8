"""Other ground that a recording goes round: a second loop, or between the way in and out.

The lap that closes best may be two loops in a row, or a plot together with the ground
between the way in and the way out. Such a lap comes near itself midway, and both halves
then enclose ground side by side. What the rest of the fixes enclose is looked for among
all of them together, the way in and the way out as one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from quietacre.boundary.closing import (
    BRIDGE_SHARE,
    SAME_PLACE_M,
    Path,
    best_pair,
    closings,
    deep_point,
    lap_m2,
    swept_m2,
)
from quietacre.boundary.plane import walked_m
from quietacre.boundary.repair import enclosed_faces
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: Half of the width at which ground between two ways is told from drift. [m]
HALF_WIDTH_M = 7.0
#: Other ground is looked for from this share of the first loop on.
LEAST_SHARE = 0.08
#: And from this share on where the two ways only cross, their ends lying far apart.
CROSSED_SHARE = 0.25
#: A lap comes near itself when it is this near, as a share of the smaller half's width.
NECK_SHARE, HALF_NECK_SHARE = 0.45, 0.4
#: So far from it its sides are apart, it being no wider than this share of that. [m]
OPENS_M, OPENS_SHARE = 25.0, 0.55
#: And no farther apart than this. [m]
NECK_M = 20.0
#: Each half must be this many times deeper than the two places are apart, and so deep. [m]
NECK_TIMES, LEAST_DEPTH_M = 0.7, 6.0
#: A path runs straight on when its headings over this much of it agree so. [m]
STRAIGHT_M, STRAIGHT_COS = 20.0, 0.85
#: And at a pinched neck so, over either of these.
PINCHED_COS, PINCHED_M = 0.5, (12.0, 20.0)
#: In and out by one lane lie no farther apart, so far off. [m]
ONE_LANE_M, LANE_AT_M = 10.0, (20.0, 35.0, 50.0)
#: Two loops walked in a row begin and end within this of one another. [m]
MEET_M = 40.0
#: Halves that overlap by more than this share are two laps, or one inside the other.
OVERLAP = 0.3
#: A loop inside of at least this share of the ground is a lap, not a patch.
MOST_INSIDE = 0.6
#: So much of it keeps off the edge.
MOST_CLEAR = 0.8
#: An end of the recording is this share of a lap, or less.
END_SHARE = 0.06
#: A piece of path shorter than this share of a lap holds no loop of its own.
APART_SHARE = 0.4
NODES = 160
#: Lines are thinned to this before they are made thick. [m]
THIN_M = 1.5
#: The two ends of a recording, this far apart, may still shut ground in. [m]
MOST_BRIDGED_M = 40.0

#: What is said of other ground that a recording goes round, by how it lies.
OTHER_GROUND = {
    "alone": (
        "second-loop",
        "{label} also goes round about {other:.2f} ac beside its {acres:.2f} ac, which is not "
        "counted; if that is a piece of ground of yours, cut it off in the recorder, as a walk "
        "of its own.",
    ),
    "between": (
        "loop-between",
        "{label} shuts in about {other:.2f} ac more between its way in and its way out, beside "
        "the {acres:.2f} ac counted; if that is your ground, walk round it by itself.",
    ),
    "inside": (
        "loop-inside",
        "{label} also goes round about {other:.2f} ac inside its {acres:.2f} ac, which is counted "
        "with them; if that is a patch to be kept, record it as a walk of its own and list it "
        "as an area, so that its ground is taken off.",
    ),
    "joined": (
        "loop-joined",
        "about {other:.2f} of the {acres:.2f} ac of {label} are a loop of their own that touches "
        "the rest at one place; if they are no part of it, cut them off in the recorder.",
    ),
    "divided": (
        "loop-divided",
        "{label} runs through its {acres:.2f} ac on the way in and on the way out, with about "
        "{other:.2f} ac on one side and {rest:.2f} ac on the other; if these are two pieces of "
        "ground, record each as a walk of its own.",
    ),
}

Where = Literal["alone", "between", "inside", "joined", "divided"]


@dataclass(frozen=True)
class Face:
    """Other ground that a recording goes round, and how it lies. [m²]

    ``alone``: a loop of its own, before or after; ``between``: shut in by the way in
    and the way out together; ``inside``: within the first loop, and counted with it;
    ``joined``: beside the first loop, touching it, and counted with it; ``divided``: one
    side of a first loop that the way in and the way out run through.
    """

    m2: float
    where: Where


def told(face: Face, ground_m2: float, label: str) -> tuple[str, str]:
    """Return the code and the words of the note that tells of other ground."""
    code, text = OTHER_GROUND[face.where]
    rest = max(ground_m2 - face.m2, 0.0) / ACRE_M2
    return code, text.format(
        label=label, acres=ground_m2 / ACRE_M2, other=face.m2 / ACRE_M2, rest=rest
    )


@dataclass(frozen=True)
class Halves:
    """A lap that comes near itself: positions of the inner half, and both halves [m²].

    ``at_end`` tells that one half was walked right before or right after the other.
    """

    inner: tuple[int, int]
    inner_m2: float
    outer_m2: float
    at_end: bool


def halves(xy: FloatArray, lap: tuple[int, int]) -> Halves | None:
    """Return the two loops side by side that a lap is made of, None when it is one.

    Parameters
    ----------
    xy : array, shape (n, 2), cleaned fixes. [m]
    lap : positions of its two ends.
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
    most = np.minimum(NECK_M, HALF_NECK_SHARE * np.sqrt(less))
    fits &= gap <= most
    # from a neck the sides go apart; those of a strip that drift pinched do not
    ahead, behind = path.place(at + OPENS_M), path.place(at - OPENS_M)
    opens = np.hypot(*(ahead[:, None] - behind[None, :]).transpose(2, 0, 1))
    fits &= gap <= OPENS_SHARE * opens
    if not fits.any():
        return None
    worth = np.where(fits, inner + outer - 2.0 * laps.gap * np.sqrt(less), -np.inf)
    i, j = np.unravel_index(int(np.argmax(worth)), worth.shape)
    first, last = (int(path.position[np.searchsorted(path.walked, at[k])]) for k in (i, j))
    if last - first < 3 or len(part) - (last - first) < 3:  # noqa: PLR2004 - a triangle
        return None
    if np.hypot(*(part[first] - part[last])) > most[i, j] + 0.5 * float(at[1]):
        return None  # the nodes lie where fixes were lost
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


def in_a_row(xy: FloatArray) -> Row | None:
    """Return two laps of different ground side by side, one walked after the other.

    Where their common side was walked twice, the outline of both closes better than either.
    Each must close by itself.
    """
    path = Path(xy)
    whole = float(path.walked[-1])
    if whole <= 0:
        return None
    at = np.linspace(0.0, whole, NODES + 1)
    laps = closings(path, at, at)
    # between two nodes the path may come nearer
    near = np.minimum(NECK_M, NECK_SHARE * np.sqrt(laps.ground)) + 0.5 * float(at[1])
    score = np.where((laps.gap <= near) & (laps.length > 0), laps.open_score(), 0.0)
    # the best lap that ends by each node, and the best that begins from it on
    until = np.maximum.accumulate(score.max(axis=0))
    since = np.maximum.accumulate(score.max(axis=1)[::-1])[::-1]
    both = np.where((until > 0) & (since > 0), until + since, 0.0)
    if both.max() <= 0:
        return None
    node = int(np.argmax(both))
    early = np.unravel_index(int(np.argmax(score[:, : node + 1])), (NODES + 1, node + 1))
    late = np.unravel_index(int(np.argmax(score[node:])), (NODES + 1 - node, NODES + 1))
    rows = [
        int(path.position[np.searchsorted(path.walked, at[k])])
        for k in (early[0], early[1], node + late[0], late[1])
    ]
    one, two = (rows[0], rows[1]), (rows[2], rows[3])
    if min(one[1] - one[0], two[1] - two[0]) < 3:  # noqa: PLR2004 - a triangle
        return None
    if np.ptp(xy[rows], axis=0).max() > MEET_M + float(at[1]):
        return None
    crossed, one_lane = _runs_through(path, float(at[early[0]]), float(at[late[1]]))
    if crossed and not one_lane:
        return None
    gap = max(laps.gap[early], laps.gap[node:][late])
    if not _beside(xy[slice(*one)], xy[slice(*two)], float(gap)):
        return None
    return Row(one, two, crossed)


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


def other_faces(
    xy: FloatArray, ends: tuple[int, int], ground: shapely.Polygon, lap_m: float
) -> tuple[Face, ...]:
    """Return other ground that the fixes before and after a loop go round, largest first.

    Parameters
    ----------
    xy : array, shape (n, 2), cleaned fixes. [m]
    ends : first and last position that is part of the loop.
    ground : what the loop encloses.
    lap_m : its length.
    """
    pieces = [xy[: ends[0] + 1], xy[ends[1] :]]
    faces: list[Face | None] = [
        _loop_apart(piece, ground)
        for piece in pieces
        if float(walked_m(piece)[-1]) > APART_SHARE * lap_m
    ]
    faces += _shut_in(pieces, ground)
    seen = sorted((face for face in faces if face is not None), key=lambda face: -face.m2)
    alone = [face for face in seen if face.where != "between"]
    # a loop of its own shuts the same ground in
    return tuple(
        face
        for face in seen
        if face in alone or not any(0.5 < face.m2 / own.m2 < 2.0 for own in alone)  # noqa: PLR2004
    )


def _loop_apart(piece: FloatArray, ground: shapely.Polygon) -> Face | None:
    """Return the loop that a piece of path makes by itself beside, or inside, the ground."""
    if len(piece) < 4:  # noqa: PLR2004 - three corners and a return
        return None
    pair = best_pair(piece)
    if pair is None:
        return None
    deep = deep_point(piece[pair[0] : pair[1] + 1])
    if deep is None:
        return None
    if shapely.distance(ground, shapely.Point(deep[0])) > 0:
        return Face(lap_m2(piece, pair), "alone")
    loop = enclosed(piece[pair[0] : pair[1] + 1])
    small = loop.area < MOST_INSIDE * ground.area and deep[1] > HALF_WIDTH_M
    edge = shapely.points(piece[pair[0] : pair[1] + 1])
    # a way across the plot and along its edge makes a loop too
    clear = shapely.distance(edge, ground.boundary) > HALF_WIDTH_M
    clear &= shapely.contains(ground, edge)
    if small and clear.mean() > MOST_CLEAR:
        return Face(float(loop.area), "inside")
    return None


def _crosses(
    line: shapely.LineString, ground: shapely.Polygon, edge: shapely.Geometry
) -> bool:
    """Return whether a way in or out runs across the ground, and not along its edge."""
    places = shapely.line_interpolate_point(line, np.arange(0.0, line.length, HALF_WIDTH_M))
    inside = places[shapely.contains(ground, places)]
    deep = int((shapely.distance(inside, edge) > HALF_WIDTH_M).sum())
    return deep * HALF_WIDTH_M > SAME_PLACE_M


def _shut_in(pieces: Sequence[FloatArray], ground: shapely.Polygon) -> list[Face]:
    """Return ground beside a loop that the way in and the way out shut in together.

    Lines are made ``HALF_WIDTH_M`` thick on both sides: what is narrower is drift, and
    a way that comes so near another is closed.
    """
    ways_m = sum(float(walked_m(piece)[-1]) for piece in pieces)
    if ways_m < (LEAST_SHARE * ground.area) ** 0.5:
        return []
    edge = ground.boundary.simplify(THIN_M)
    lines = [shapely.LineString(p).simplify(THIN_M) for p in pieces if len(p) > 1]
    if any(_crosses(line, ground, edge) for line in lines):
        return []
    begin, end = pieces[0][0], pieces[1][-1]
    near = min(max(SAME_PLACE_M, BRIDGE_SHARE * ways_m), MOST_BRIDGED_M)
    meet = bool(np.hypot(*(begin - end)) <= near)
    least = (LEAST_SHARE if meet else CROSSED_SHARE) * ground.area
    if meet:
        lines.append(shapely.LineString([begin, end]))
    # a plain look first: most ways in and out shut nothing in
    box = shapely.total_bounds(lines)
    if (box[2] - box[0]) * (box[3] - box[1]) < least:
        return []
    thick = shapely.union_all(shapely.buffer([*lines, edge], HALF_WIDTH_M, quad_segs=2))
    holes = [
        shapely.Polygon(ring).buffer(HALF_WIDTH_M, quad_segs=2)
        for part in shapely.get_parts(thick)
        for ring in part.interiors
        if shapely.Polygon(ring).area > 0.1 * least
    ]
    faces = []
    for hole in holes:
        if hole.area < least:
            continue
        if hole.intersection(ground).area < OVERLAP * min(hole.area, ground.area):
            faces.append(Face(float(hole.area), "between"))
    return faces
