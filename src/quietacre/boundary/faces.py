"""Other ground that a recording goes round: a second loop, or between the way in and out.

What the fixes before and after a loop enclose is looked for among all of them together,
the way in and the way out as one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from quietacre.boundary.closing import (
    BRIDGE_SHARE,
    SAME_PLACE_M,
    deep_point,
    lap_m2,
    whole_pair,
)
from quietacre.boundary.error import T_95, edge_area_sd
from quietacre.boundary.plane import walked_m
from quietacre.boundary.two_laps import LEAST_SHARE, OVERLAP, THIN_M, enclosed
from quietacre.figures import figures_in
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: Half of the width at which ground between two ways is told from drift. [m]
HALF_WIDTH_M = 8.0
#: And from this share on where the two ways only cross, their ends lying far apart.
CROSSED_SHARE = 0.25
#: A loop of its own shuts the same ground in, of so many times its acres.
SAME_TIMES = (0.5, 2.0)
#: A loop inside of at least this share of the ground is a lap, not a patch.
MOST_INSIDE = 0.6
#: So much of it keeps off the edge.
MOST_CLEAR = 0.8
#: A piece of path shorter than this share of a lap holds no loop of its own.
APART_SHARE = 0.4
#: The two ends of a recording, this far apart, may still shut ground in. [m]
MOST_BRIDGED_M = 25.0

#: Below this, a hundredth of an acre is too coarse a step [ac], and so many decimals are told.
SMALL_AC, FINE_PLACES = 0.1, 3

#: What is said of other ground that a recording goes round, by how it lies.
OTHER_GROUND = {
    "alone": (
        "second-loop",
        "{label} also goes round about {other}{range} beside its {acres}, which is not "
        "counted; if that is a piece of ground of yours, cut it off in the recorder, as a walk "
        "of its own.",
    ),
    "between": (
        "loop-between",
        "{label} shuts in about {other} more between its way in and its way out, beside "
        "the {acres} counted; if that is your ground, walk round it by itself.",
    ),
    "inside": (
        "loop-inside",
        "{label} also goes round about {other} inside its {acres}, which is counted "
        "with them; if that is a patch to be kept, record it as a walk of its own and list it "
        "as an area, so that its ground is taken off.",
    ),
    "joined": (
        "loop-joined",
        "about {other} of the {acres} of {label} are a loop of their own that touches "
        "the rest at one place; if they are no part of it, cut them off in the recorder.",
    ),
    "divided": (
        "loop-divided",
        "{label} runs through its {acres} on the way in and on the way out, with about "
        "{other} on one side and {rest} on the other; if these are two pieces of "
        "ground, record each as a walk of its own.",
    ),
    "narrow": (
        "loop-narrow",
        "{label} comes near itself midway, with about {other} on one side and {rest} "
        "on the other; if one of them is no part of your ground, walk round the other alone.",
    ),
}

Where = Literal["alone", "between", "inside", "joined", "divided", "narrow"]


@dataclass(frozen=True)
class Face:
    """Other ground that a recording goes round, and how it lies. [m²]

    ``alone``: a loop of its own, before or after; ``between``: shut in by the way in
    and the way out together; ``inside``: within the first loop, and counted with it;
    ``joined``: beside the first loop, touching it, and counted with it; ``divided``: one
    side of a first loop that the way in and the way out run through; ``narrow``: one side of
    a first loop that comes near itself midway, and may be two. ``edge`` is the edge of a loop
    of its own. [m]
    """

    m2: float
    where: Where
    edge: shapely.Polygon | None = None


def told(face: Face, ground_m2: float, label: str, sigma_m: float) -> tuple[str, str]:
    """Return the code and the words of the note that tells of other ground.

    Parameters
    ----------
    face : other ground.
    ground_m2 : what the walk is read as. [m²]
    label : what to call the walk.
    sigma_m : how far a fix strays, one axis. [m]
    """
    code, text = OTHER_GROUND[face.where]
    half_m2 = 0.0 if face.edge is None else T_95 * edge_area_sd(face.edge, sigma_m)
    between = ac_said(max(face.m2 - half_m2, 0.0), face.m2 + half_m2, bare=True)
    return code, text.format(
        label=label,
        acres=ac_said(ground_m2),
        other=ac_said(face.m2, bare=face.where == "joined"),
        rest=ac_said(max(ground_m2 - face.m2, 0.0)),
        range=f" (between {between})" if half_m2 else "",
    )


def ac_said(*some_m2: float, bare: bool = False) -> str:
    """Return ground for a text, several as "1.20 and 3.41 ac": to a hundredth, below a tenth to a thousandth."""
    some_ac = [m2 / ACRE_M2 for m2 in some_m2]
    places = FINE_PLACES if min(some_ac) < SMALL_AC else None
    return figures_in("ac", some_ac, places, " and ", bare=bare)


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
    return tuple(f for f in seen if f.where != "between" or not same_ground(f, alone))


def same_ground(face: Face, alone: Sequence[Face]) -> bool:
    """Return whether a face is one of the loops that stand alone, told otherwise."""
    least, most = SAME_TIMES
    return any(least < face.m2 / own.m2 < most for own in alone)


def _loop_apart(piece: FloatArray, ground: shapely.Polygon) -> Face | None:
    """Return the loop that a piece of path makes by itself beside, or inside, the ground."""
    if len(piece) < 4:  # noqa: PLR2004 - three corners and a return
        return None
    pair = whole_pair(piece)
    if pair is None:
        return None
    deep = deep_point(piece[pair[0] : pair[1] + 1])
    if deep is None:
        return None
    if shapely.distance(ground, shapely.Point(deep[0])) > 0:
        lap = piece[pair[0] : pair[1] + 1]
        return Face(lap_m2(piece, pair), "alone", shapely.Polygon(lap))
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
    ground = shapely.make_valid(ground)  # an edge may all but touch itself
    for hole in map(shapely.make_valid, holes):
        if hole.area < least:
            continue
        if hole.intersection(ground).area < OVERLAP * min(hole.area, ground.area):
            faces.append(Face(float(hole.area), "between"))
    return faces
