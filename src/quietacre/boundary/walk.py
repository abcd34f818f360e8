"""A recorded walk to a boundary with its ±; several walks of one edge to one.

Clean the fixes, find the laps, average them, offset if the walker kept to one
side, and say how far off the acreage may be.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary import clean, error
from quietacre.boundary.closing import lap_m2, swept_m2
from quietacre.boundary.faces import told
from quietacre.boundary.loop import PART_LAP, TWO_LOOPS, Loop, find_loop
from quietacre.boundary.lost import LOST_M, chords_over_lost, lost_share, over_lost
from quietacre.boundary.plane import Plane, beside_m, places_m, walked_m
from quietacre.boundary.repair import enclosed_faces
from quietacre.boundary.span import too_far
from quietacre.errors import WalkRefused
from quietacre.model import Note
from quietacre.units import ACRE_M2, FT_M, m_to_ft

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from quietacre.model import Track

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

STEP_M = 2.0
#: Of fixes nearer to one another than this one is kept. [m]
TELLING_M = 0.5
#: A longer recording is read at every second, third … fix: spacing hardly matters to
#: the area, while the time to read grows with its square.
MOST_FIXES = 6_000
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
#: A turn of this much at one fix is a corner that it stands in.
ARC_DEG = 40.0
#: Another lap is kept in step with the edge over this much of it. [m]
IN_STEP_M = 15.0
#: A place so much farther off than the nearest is out of step. [m]
OUT_OF_STEP_M = 4.0
#: Other ground is said from this share of the loop on.
SECOND_LOOP = 0.09
#: So are so many fixes set aside as jumps, or before and after the loop, by their share.
MANY_JUMPS, MOSTLY_WAY = 0.2, 0.4
#: Lost fixes may hide at most this share of a loop.
MOST_LOST = 0.18
#: Drift curls no deeper than this, and over less than this share of a path. [m]
CURL_M, CURL_SHARE = 8.0, 0.2
MIN_AREA_M2 = 8.0
#: Lobes of a ring this near are one, tried in turn until most of it holds together. [m]
BRIDGES_M = (0.3, 1.0, 2.5, 5.0)
MOST_OF_IT = 0.9
#: Slits this narrow may be closed to keep a ring valid, tried in turn. [m]
SLITS_M = (0.001, 0.01, 0.1, 0.5)
#: A half-width above this share of the area is no answer.
HOPELESS = 0.75
WIDE_PCT = 15.0
#: Two walks whose areas differ by more than this many standard deviations disagree.
DISAGREE_SD = 3.0
#: Of three or more, one this many of its deviations off the middle one counts for less.
OUT_OF_LINE_SD = 1.5
MITRE_LIMIT = 3.0
#: Pieces that moving the edge in cuts off, of no more than this share together, are crumbs.
CRUMBS = 0.005
#: An edge moved so far that the acres change by more than this factor is doubted.
MUCH_MOVED = 2.0


class _Interval(NamedTuple):
    """An acreage and its 95 % interval, named as in ``Walk``."""

    acres: float
    acres_low: float
    acres_high: float
    half_width_pct: float


def _interval(area: float, sd_m2: float) -> _Interval:
    """Return the interval of an area and its standard deviation. [m²]"""
    half = error.T_95 * sd_m2
    return _Interval(
        acres=area / ACRE_M2,
        acres_low=max(area - half, 0.0) / ACRE_M2,
        acres_high=(area + half) / ACRE_M2,
        half_width_pct=100.0 * half / area,
    )


@dataclass(frozen=True)
class Walk:
    """A boundary read from a walk.

    ``polygon`` and ``band`` (the 95 % band of the edge) are in longitude, latitude;
    acres are international; ``sigma_m`` is how far a fix strays, per axis;
    ``removed`` counts fixes left out by cause; ``kept_*`` and ``removed_*`` are the
    fixes themselves [deg], ``removed_cause`` their causes.
    """

    polygon: shapely.Geometry
    acres: float
    acres_low: float
    acres_high: float
    half_width_pct: float
    method: str
    laps: float
    removed: Mapping[str, int]
    sigma_m: float
    advice: tuple[str, ...]
    notes: tuple[Note, ...]
    band: shapely.Geometry | None
    kept_lon: FloatArray
    kept_lat: FloatArray
    removed_lon: FloatArray
    removed_lat: FloatArray
    removed_cause: tuple[str, ...]
    source: str = ""
    name: str = ""
    area_sd_m2: float = field(default=0.0)

    def to_dict(self) -> dict[str, Any]:
        """Return how the walk was read, for JSON."""
        return {
            "laps": self.laps,
            "removed": dict(self.removed),
            "sigma_m": self.sigma_m,
            "advice": list(self.advice),
            "method": self.method,
        }


def read_walk(
    tracks: Sequence[Track],
    *,
    walked_inside_ft: float = 0.0,
    walked_outside_ft: float = 0.0,
    sky: str | None = None,
    source: str = "",
) -> Walk:
    """Return the boundary of one file's walk.

    Parameters
    ----------
    tracks : the file's tracks and routes; each is a candidate, the loop that encloses
        the most ground is taken and the choice is noted.
    walked_inside_ft, walked_outside_ft : how far inside or outside the true edge the
        walker kept. [ft]
    sky : "open", "canopy" or None, a hint of the receiver's error.
    source : what to call the file when it holds no track.

    Returns
    -------
    Walk

    Raises
    ------
    WalkRefused
        No track closes into a loop that can be trusted.
    """
    if not tracks:
        raise WalkRefused(
            "holds no track",
            fix="record the edge as a track and export it",
            source=source or None,
        )
    read: list[Walk] = []
    refused: list[WalkRefused] = []
    for track in tracks:
        try:
            read.append(_read_track(track, sky))
        except WalkRefused as problem:
            refused.append(problem)
    if not read:
        raise refused[0]
    best = max(read, key=lambda walk: walk.acres)
    if len(read) > 1:
        others = ", ".join(
            f"“{w.name or 'unnamed'}” {w.acres:.2f} ac" for w in read if w is not best
        )
        best = replace(
            best,
            notes=(
                *best.notes,
                Note(
                    "track-chosen",
                    f"the file holds {len(read)} loops; “{best.name or 'unnamed'}” "
                    f"encloses the most and was taken (others: {others}).",
                    level="caution",
                    source=best.source,
                ),
            ),
        )
    offset_ft = walked_inside_ft - walked_outside_ft
    return _offset(best, offset_ft) if offset_ft else best


def _read_track(track: Track, sky: str | None) -> Walk:
    label = f"{track.kind} “{track.name}”" if track.name else track.kind

    def refuse(what: str, fix: str) -> WalkRefused:
        return WalkRefused(what, fix=fix, source=track.source, where=label)

    if len(track.lon) < 4:  # noqa: PLR2004 - a triangle and its return
        raise refuse(
            f"has only {len(track.lon)} points",
            "walk the edge again with the recorder set to every few seconds",
        )
    plane = Plane.around(track.lon, track.lat)
    far = too_far(plane.xy(track.lon, track.lat))
    if far is not None:
        raise refuse(
            f"is {far.across_mi:,.0f} miles across; fix {far.fix + 1:,} lies "
            f"{far.jump_mi:,.0f} miles from the one before it, at {track.lat[far.fix]:.5f}, "
            f"{track.lon[far.fix]:.5f}",
            "cut the recording there, or give the one that goes round the area",
        )
    track = _in_time_order(track, plane)
    raw = plane.xy(track.lon, track.lat)
    cause = np.full(len(raw), "", dtype=object)
    times = _ordered(track.time_s)
    doubled = clean.repeats(raw)
    cause[doubled] = "repeat"
    rows = np.flatnonzero(~doubled)
    rows = rows[:: -(-len(rows) // MOST_FIXES) or 1]
    fixes_read = len(rows)
    bad = clean.spikes(raw[rows], times[rows], track.segment[rows])
    cause[rows[bad]] = "spike"
    rows = rows[~bad]
    group = clean.stops(raw[rows], times[rows])
    xy, when = clean.merge_stops(raw[rows], times[rows], group)
    members = np.bincount(group)
    cause[rows[(members[group] > 1)]] = "stop"
    loop = find_loop(xy)
    if loop is None or _only_a_curl(xy, loop):
        raise refuse(
            "does not close into a loop",
            "walk all the way round, back to where you began, and record it again",
        )
    ground_m2 = lap_m2(xy, loop.laps[0])
    alone = max((face.m2 for face in loop.others if face.where == "alone"), default=0.0)
    if alone > TWO_LOOPS * ground_m2:
        raise refuse(
            f"goes round two pieces of ground, of about {ground_m2 / ACRE_M2:.2f} and "
            f"{alone / ACRE_M2:.2f} ac",
            "cut it in two in the recorder, and list each under its own area",
        )
    first, last = loop.ends
    path_of_row = group  # position in xy of each kept row
    cause[rows[(path_of_row < first) & (cause[rows] == "")]] = "way in"
    cause[rows[(path_of_row > last) & (cause[rows] == "")]] = "way out"
    ring, ring_times, apart, laps = _average(xy, when, loop)
    polygon_xy = _valid(ring)
    if polygon_xy is None or polygon_xy.area < MIN_AREA_M2:
        raise refuse(
            "encloses no ground to speak of",
            "walk round the area, not along it, and record it again",
        )
    lost = lost_share(xy, when, loop.laps[0], loop.gap_m)
    if lost > MOST_LOST and laps < 1.5:  # noqa: PLR2004 - a second lap covers the hole
        raise refuse(
            f"lost its signal over {100 * lost:.0f} % of the loop",
            "walk the edge again, two laps or on a day of better reception",
        )
    seen, looks = error.sigma_from_laps(apart) if len(apart) else (None, 0.0)
    sigma = error.blend_sigma(sky, seen, looks)
    sd = sigma * error.unit_area_sd(ring, ring_times) / laps**0.5
    sd = error.widened(sd, sigma, polygon_xy.area)
    sd = float(
        np.hypot(sd + 0.25 * loop.gap_m**2, chords_over_lost(xy, when, loop.laps[0]) / laps)
    )
    if error.T_95 * sd > HOPELESS * polygon_xy.area:
        raise refuse(
            "encloses so little for its length that its acreage cannot be trusted",
            "walk round the area, not along it, two or more laps, and record it again",
        )
    return _finish(
        track,
        plane,
        polygon_xy,
        sd,
        sigma,
        laps,
        loop,
        cause,
        xy[first : last + 1],
        label,
        fixes_read,
    )


def _only_a_curl(xy: FloatArray, loop: Loop) -> bool:
    """Return whether a loop is no more than drift makes of a path that does not close."""
    first, last = loop.laps[0]
    walked = walked_m(xy)
    lap_m = float(walked[last] - walked[first])
    return loop.depth_m < CURL_M and lap_m < CURL_SHARE * float(walked[-1])


def _in_time_order(track: Track, plane: Plane) -> Track:
    """Return the track in the order of its times, when that is how it was walked.

    Recorders write pieces of a track out of order; a clock that was set while walking
    looks the same. The shorter path is the one that was walked.
    """
    if not np.isfinite(track.time_s).all() or (np.diff(track.time_s) >= 0).all():
        return track
    order = np.argsort(track.time_s, kind="stable")
    xy = plane.xy(track.lon, track.lat)
    if walked_m(xy[order])[-1] >= walked_m(xy)[-1]:
        return track
    return replace(
        track,
        lon=track.lon[order],
        lat=track.lat[order],
        time_s=track.time_s[order],
        segment=track.segment[order],
    )


def _ordered(time_s: FloatArray) -> FloatArray:
    """Return times that rise from fix to fix, or none at all when they run backwards."""
    if not np.isfinite(time_s).all() or (np.diff(time_s) < 0).any():
        return np.full(len(time_s), np.nan)
    # fixes of one second follow one another within it
    _, first, count = np.unique(time_s, return_index=True, return_counts=True)
    place = np.arange(len(time_s)) - np.repeat(first, count)
    return np.asarray(time_s + place / np.repeat(count, count))


def _average(
    xy: FloatArray, when: FloatArray, loop: Loop
) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    """Return the mean ring, its times, how far laps lie apart, and how many it rests on.

    The first lap's misclosure is spread near its ends, then every other piece is
    matched to it at each place along the edge and averaged there.
    """
    base, base_times = _closed_lap(xy, when, loop.laps[0], gap=loop.gap_m)
    total = base.copy()
    weight = np.ones(len(base))
    first, last = loop.laps[0]
    hidden = over_lost(xy[first : last + 1], when[first : last + 1], walked_m(base))
    apart: list[FloatArray] = []
    chord = _chords(base, 10)
    normal = np.column_stack([chord[:, 1], -chord[:, 0]])
    whole, turns = len(loop.laps) - 1, swept_m2(base)
    reach = min(SAME_EDGE_M, SAME_EDGE_SHARE * loop.depth_m)
    for number, (start, stop) in enumerate((*loop.laps[1:], *loop.parts)):
        path, clock = xy[start : stop + 1], when[start : stop + 1]
        if number < whole and swept_m2(path) * turns < 0:
            path, clock = path[::-1], -clock[::-1]  # walked the other way round
        piece = _filled(path)
        walked = walked_m(piece)
        if walked[-1] <= 0:
            continue
        along, _ = beside_m(piece, base)
        match = places_m(piece, walked, along)
        ahead: FloatArray = places_m(piece, walked, along + 4.0) - places_m(
            piece, walked, along - 4.0
        )
        ahead /= np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
        # a way across the plot keeps beside the edge at first: little of a lap is little proof
        doubtful = number >= whole and loop.part_laps < PART_LAP
        off = np.hypot(*(match - base).T)
        near = off <= (min(reach, PIECE_M) if doubtful else reach)
        near &= (ahead * chord).sum(axis=1) > SAME_WAY_COS
        near &= ~over_lost(path, clock, along)
        if number >= whole:
            near &= (along > 0) & (along < walked[-1])
        if near.any():  # much farther off than the piece usually is, it is a way in or out
            near &= off <= max(PIECE_M, FAR_TIMES * float(np.median(off[near])))
        rows = np.flatnonzero(near)
        if len(rows) > 4:  # noqa: PLR2004 - too few to learn from
            steady = places_m(piece, walked, _in_step(base, rows, along[rows], walked[-1]))
            # at a piece's end steps may run on where the edge does not
            kept = np.hypot(*(steady - base[rows]).T) - off[rows] < OUT_OF_STEP_M
            match[rows[kept]] = steady[kept]
            apart.append(((match - base) * normal)[rows].sum(axis=1))
        # where the first lap has no fixes the others alone say where the edge is
        seen = near & hidden
        total[seen], weight[seen] = 0.0, 0.0
        hidden &= ~near
        total[near] += match[near]
        weight[near] += 1.0
    ring = total / weight[:, None]
    laps = float(np.mean(weight))
    return ring, base_times, np.concatenate(apart) if apart else np.array([]), laps


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
    from scipy.ndimage import median_filter, uniform_filter1d  # slow to load, as above

    edge = walked_m(base)
    around = float(edge[-1] + np.hypot(*(base[0] - base[-1])))
    # how far the piece is behind the edge; the seam of the edge is no jump
    behind = np.unwrap(along - edge[rows], period=around)
    turns = np.round((edge[rows] + behind - along) / around)
    window = 2 * max(int(IN_STEP_M / around * len(base)), 1) + 1
    steady = uniform_filter1d(median_filter(behind, window, mode="nearest"), window)
    return np.asarray(np.clip(edge[rows] + steady - turns * around, 0.0, whole))


def _chords(ring: FloatArray, reach: int) -> FloatArray:
    """Return the unit direction of the ring at each point, over ``reach`` points."""
    chord = np.roll(ring, -reach, axis=0) - np.roll(ring, reach, axis=0)
    size: FloatArray = np.hypot(*chord.T)
    return np.asarray(chord / np.maximum(size, 1e-9)[:, None])


def _closed_lap(
    xy: FloatArray, when: FloatArray, lap: tuple[int, int], *, gap: float
) -> tuple[FloatArray, FloatArray]:
    """Return one lap as an evenly stepped ring without its repeated end, and times."""
    part = xy[lap[0] : lap[1] + 1].copy()
    times = error.walking_times(part, when[lap[0] : lap[1] + 1])
    if gap == 0.0:
        # the drift between start and end is shared out near both, across the edge only:
        # along it, stopping short or walking past the start is no error
        end, start = (
            part[-1] - part[-min(5, len(part))],
            part[min(4, len(part) - 1)] - part[0],
        )
        along = end / max(np.hypot(*end), 1e-9) + start / max(np.hypot(*start), 1e-9)
        across = np.array([-along[1], along[0]]) / max(np.hypot(*along), 1e-9)
        miss = (part[0] - part[-1]) @ across * across
        walked = walked_m(part)
        pull = np.exp((walked - walked[-1]) / CLOSING_M) - np.exp(-walked / CLOSING_M)
        part += 0.5 * pull[:, None] * miss
    part, times = np.split(_filled(np.column_stack([part, times])), [2], axis=1)
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
    told = np.diff(np.floor(walked[:-1] / TELLING_M), prepend=-1.0) > 0
    at = np.unique(np.r_[at, walked[:-1][told]])
    return places_m(closed, walked, at), np.interp(at, walked, times)


def _filled(path: FloatArray) -> FloatArray:
    """Return a path with what its fixes, every few seconds, cut off put back.

    Where the path turns between two fixes by ``CORNER_DEG`` and runs straight before
    and after, its two sides are drawn on until they meet. Elsewhere a chord becomes
    the arc that turns as the path does at its ends: one of its length times that turn
    rises by an eighth of both. Columns after the first two, as times, are halved there.
    """
    step = np.diff(path[:, :2], axis=0)
    size = np.hypot(*step.T)
    if len(step) < 5:  # noqa: PLR2004 - two sides, the step between, and what lies beyond
        return path
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    turn = np.arctan2(cross, (step[:-1] * step[1:]).sum(axis=1))
    # step i runs from fix i to i + 1; it turns by turn[i - 1] at one end, turn[i] at the other
    i = np.arange(2, len(step) - 2)
    i = i[(size[i] > CORNER_STEP_M) & (size[i] < LOST_M)]
    one, two = turn[i - 1], turn[i]
    both = one + two
    sharp = (one * two > 0) & (np.abs(both) > np.radians(CORNER_DEG))
    sharp &= np.abs(both) < np.radians(150.0)
    beyond = np.maximum(np.abs(turn[i - 2]), np.abs(turn[i + 1]))
    sharp &= beyond < CORNER_BESIDE * np.abs(both)
    between = 0.5 * (path[i] + path[i + 1])
    outward = np.column_stack([step[i, 1], -step[i, 0]])
    between[:, :2] += (both / 16.0)[:, None] * outward
    ahead = size[i] * np.sin(two) / np.where(sharp, np.sin(both), 1.0)
    along = step[i - 1] / np.maximum(size[i - 1], 1e-9)[:, None]
    between[sharp, :2] = (path[i, :2] + ahead[:, None] * along)[sharp]
    # a corner is no arc, and neither are the sides that meet in it
    bent = np.maximum(np.abs(one), np.abs(two)) < np.radians(ARC_DEG)
    corner = np.zeros(len(step) + 1, dtype=bool)
    corner[i[sharp]] = True
    bent &= ~(corner[i - 1] | corner[i + 1])
    kept = sharp | bent
    return np.insert(path, i[kept] + 1, between[kept], axis=0)


def _valid(ring: FloatArray) -> shapely.Polygon | None:
    """Return the ring as a valid polygon: nonzero winding, no pinched-off crumbs."""
    polygon = shapely.Polygon(ring)
    if polygon.is_valid:
        return polygon
    faces = enclosed_faces(polygon.exterior)
    if not len(faces):
        return None
    merged = shapely.union_all(faces)
    # lobes that the drift pinched apart are bridged, so that half a plot is not lost
    for reach in BRIDGES_M:
        bridged = merged.buffer(reach, quad_segs=2).buffer(-reach, quad_segs=2)
        parts = shapely.get_parts(bridged)
        parts = [p for p in parts if p.geom_type == "Polygon" and p.is_valid]
        if not parts:
            return None
        largest = max(parts, key=lambda p: p.area)
        if largest.area > MOST_OF_IT * merged.area:
            break
    holes = [h for h in largest.interiors if shapely.Polygon(h).area > 0.02 * largest.area]
    return shapely.Polygon(largest.exterior, holes)


def _on_ground(polygon_xy: shapely.Polygon, plane: Plane) -> shapely.Geometry:
    """Return a polygon in longitude, latitude, valid there too.

    Where two sides all but touch, rounding to degrees can make them cross; the slit
    between them is closed then.
    """
    polygon = plane.ground(polygon_xy)
    for reach in SLITS_M:
        if polygon.is_valid:
            break
        closed = polygon_xy.buffer(reach, quad_segs=2).buffer(-reach, quad_segs=2)
        polygon = plane.ground(closed)
    return polygon


def _finish(
    track: Track,
    plane: Plane,
    polygon_xy: shapely.Polygon,
    sd_m2: float,
    sigma: float,
    laps: float,
    loop: Loop,
    cause: NDArray[np.object_],
    kept_xy: FloatArray,
    label: str,
    fixes_read: int,
) -> Walk:
    polygon = _on_ground(polygon_xy, plane)
    area = float(area_m2(np.array([polygon], dtype=object))[0])
    interval = _interval(area, sd_m2)
    half_pct = interval.half_width_pct
    band = _band(polygon_xy, sigma, laps, plane)
    notes = []
    middle = polygon.representative_point()
    note = functools.partial(
        Note, source=track.source, feature=track.name, lon=middle.x, lat=middle.y
    )
    if loop.gap_m > 0:
        notes.append(
            note(
                "gap-bridged",
                f"{label} stops {m_to_ft(loop.gap_m):.0f} ft short of where it began; closed "
                "with a straight line, and the ± made wider for it.",
            )
        )
    large = [face for face in loop.others if face.m2 >= SECOND_LOOP * area]
    notes += [note(*told(face, area, label)) for face in large]
    jumps = int((cause == "spike").sum())
    ways = int(np.isin(cause, ("way in", "way out")).sum())
    for share, count, what in (
        (MANY_JUMPS, jumps, "set aside as jumps"),
        (MOSTLY_WAY, ways, "a way in or out"),
    ):
        if count > share * fixes_read:
            notes.append(
                note(
                    "much-set-aside",
                    f"{label}: {count:,} of the {fixes_read:,} fixes read are {what}; if they go round "
                    "another piece of ground, record it as a track of its own.",
                )
            )
    notes += _wide(half_pct, middle, track.source, track.name)
    out = np.array([c not in ("", "stop") for c in cause])
    kept = plane.lonlat(kept_xy)
    names, counts = np.unique(cause[cause != ""].astype(str), return_counts=True)
    return Walk(
        polygon=polygon,
        **interval._asdict(),
        method="one loop" if loop.counted == 1 else f"{loop.counted:g} laps averaged",
        laps=loop.counted,
        removed={str(n): int(c) for n, c in zip(names, counts, strict=True)},
        sigma_m=sigma,
        advice=_advice(half_pct, laps),
        notes=tuple(notes),
        band=band,
        kept_lon=kept[:, 0],
        kept_lat=kept[:, 1],
        removed_lon=track.lon[out],
        removed_lat=track.lat[out],
        removed_cause=tuple(str(c) for c in cause[out]),
        source=track.source,
        name=track.name,
        area_sd_m2=sd_m2,
    )


def _band(
    polygon_xy: shapely.Polygon, sigma: float, laps: float, plane: Plane
) -> shapely.Geometry:
    """Return the 95 % band of the edge: where the true line probably lies."""
    reach = 1.96 * sigma / laps**0.5
    ring = polygon_xy.exterior.simplify(0.2 * reach)
    return plane.ground(ring.buffer(reach, quad_segs=4))


def _wide(
    half_pct: float, middle: shapely.Point, source: str, name: str
) -> tuple[Note, ...]:
    """Return the warning of an acreage that is known poorly, when it is."""
    if half_pct <= WIDE_PCT:
        return ()
    text = f"the acreage is known only to ± {half_pct:.0f} %."
    return (Note("wide-interval", text, "warning", source, name, middle.x, middle.y),)


def _without_wide(notes: Sequence[Note]) -> list[Note]:
    """Return notes without what they say of an interval that holds no longer."""
    return [note for note in notes if note.code != "wide-interval"]


def _advice(half_pct: float, laps: float) -> tuple[str, ...]:
    advice = []
    if half_pct > 5.0:  # noqa: PLR2004 - a bag in twenty
        better = half_pct * (laps / (laps + 1.0)) ** 0.5
        advice.append(
            f"One more lap would bring ± {half_pct:.0f} % to about ± {better:.0f} %; on "
            "another day it helps at least as much."
        )
    return tuple(advice)


def _offset(walk: Walk, offset_ft: float) -> Walk:
    """Return the walk with its edge moved out (positive) or in, corners kept."""
    lon, lat = shapely.get_coordinates(walk.polygon).T
    plane = Plane.around(lon, lat)
    local = plane.local(walk.polygon)
    # smooth first: a mitred offset would turn every wiggle of the walk into a horn
    moved = local.simplify(0.6).buffer(
        offset_ft * FT_M, join_style="mitre", mitre_limit=MITRE_LIMIT
    )
    if moved.is_empty:
        raise WalkRefused(
            f"nothing is left of the area after moving its edge {abs(offset_ft):g} ft",
            fix="check walked_inside_ft and walked_outside_ft",
            source=walk.source or None,
        )
    moved, crumbs = _largest(moved, walk)
    polygon = _on_ground(moved, plane)
    area = float(area_m2(np.array([polygon], dtype=object))[0])
    band = walk.band
    if band is not None:
        ring = plane.local(polygon).exterior
        reach = 1.96 * walk.sigma_m / max(walk.laps, 1.0) ** 0.5
        band = plane.ground(ring.buffer(reach, quad_segs=4))
    side = "inside" if offset_ft > 0 else "outside"
    doubt: tuple[Note, ...] = ()
    if not 1.0 / MUCH_MOVED < area / ACRE_M2 / walk.acres < MUCH_MOVED:
        doubt = (
            Note(
                "edge-moved-far",
                f"moving the edge {abs(offset_ft):g} ft made {area / ACRE_M2:.2f} ac out of the "
                f"{walk.acres:.2f} ac walked; check walked_{side}_ft.",
                source=walk.source,
                feature=walk.name,
            ),
        )
    interval = _interval(area, walk.area_sd_m2)
    # the same feet of error weigh otherwise on more or less ground
    half_pct, middle = interval.half_width_pct, polygon.representative_point()
    return replace(
        walk,
        polygon=polygon,
        **interval._asdict(),
        advice=_advice(half_pct, walk.laps),
        notes=(
            *_without_wide(walk.notes),
            *doubt,
            *crumbs,
            *_wide(half_pct, middle, walk.source, walk.name),
        ),
        method=f"{walk.method}, walked {abs(offset_ft):g} ft {side} the edge",
        band=band,
    )


def _largest(
    moved: shapely.Geometry, walk: Walk
) -> tuple[shapely.Polygon, tuple[Note, ...]]:
    """Return the largest part of a moved edge, and the note of the others when they count."""
    parts = sorted(shapely.get_parts(moved), key=lambda part: part.area)
    largest = parts.pop()
    left_m2 = sum(part.area for part in parts)
    if left_m2 < CRUMBS * largest.area:
        return largest, ()
    text = (
        f"moving the edge in cuts off {len(parts)} piece(s) of {left_m2 / ACRE_M2:.2f} ac from "
        f"the {largest.area / ACRE_M2:.2f} ac that are kept; they are not counted."
    )
    return largest, (Note("edge-moved-apart", text, source=walk.source, feature=walk.name),)


def _refuse_copies(walks: Sequence[Walk]) -> None:
    """Raise WalkRefused when one recording is given twice: it would halve the ± for nothing."""
    seen: dict[bytes, str] = {}
    for walk in walks:
        key = walk.kept_lon.tobytes() + walk.kept_lat.tobytes()
        if key in seen:
            raise WalkRefused(
                f"is the same recording as {seen[key]}",
                fix="list it once; the ± of two walks holds for two walks only",
                source=walk.source or None,
            )
        seen[key] = walk.source or "one before it"


def combine_walks(walks: Sequence[Walk]) -> Walk:
    """Return one boundary from several walks of the same edge.

    Each counts by the inverse of its variance, and for less the farther it strays from
    the middle one of three or more. The walk with the smallest variance gives the course
    of the edge, which the others pull to the weighted mean; a walk whose area disagrees
    is named in a note.

    Raises
    ------
    WalkRefused
        The walks do not lie on the same ground, or one recording is given twice.
    """
    if len(walks) == 1:
        return walks[0]
    _refuse_copies(walks)
    ordered = sorted(walks, key=lambda walk: walk.area_sd_m2)
    base = ordered[0]
    areas = np.array([walk.acres * ACRE_M2 for walk in ordered])
    sds = np.array([max(walk.area_sd_m2, 1e-6) for walk in ordered])
    weights = 1.0 / sds**2
    if len(ordered) > 2:  # noqa: PLR2004 - of two, neither is the middle one
        # after Huber: one that strays from the middle one counts for less
        strays = np.abs(areas - np.median(areas)) / sds
        weights *= np.minimum(1.0, OUT_OF_LINE_SD / np.maximum(strays, 1e-9))
    weights /= weights.sum()
    lon, lat = shapely.get_coordinates(base.polygon.exterior).T
    plane = Plane.around(lon, lat)

    base_xy = plane.local(base.polygon)
    ring = shapely.get_coordinates(base_xy.exterior)[:-1]
    points = shapely.points(ring)
    total = ring * weights[0]
    for walk, weight in zip(ordered[1:], weights[1:], strict=True):
        other = plane.local(walk.polygon)
        shared = other.intersection(base_xy).area
        if shared < 0.5 * min(other.area, base_xy.area):
            raise WalkRefused(
                f"does not lie on the same ground as {base.source}",
                fix="list only walks of the same edge under one area",
                source=walk.source,
            )
        edge = other.exterior
        match = shapely.get_coordinates(
            shapely.line_interpolate_point(edge, shapely.line_locate_point(edge, points))
        )
        total += match * weight
    polygon_xy = _valid(total)
    if polygon_xy is None:
        raise WalkRefused(
            "the walks do not combine", fix="list them apart", source=base.source
        )
    polygon = _on_ground(polygon_xy, plane)
    area = float(areas @ weights)
    drawn = float(area_m2(np.array([polygon], dtype=object))[0])
    # the polygon is stretched a hair so that it holds the weighted mean acreage
    stretch = (area / drawn) ** 0.5
    centre = polygon_xy.centroid
    polygon_xy = shapely.transform(
        polygon_xy, lambda c: (c - [centre.x, centre.y]) * stretch + [centre.x, centre.y]
    )
    polygon = _on_ground(polygon_xy, plane)
    sd = float((1.0 / (1.0 / sds**2).sum()) ** 0.5)
    notes = _without_wide([note for walk in ordered for note in walk.notes])
    middle = polygon.representative_point()
    for walk, own, own_sd in zip(ordered, areas, sds, strict=True):
        if abs(own - area) > DISAGREE_SD * float(np.hypot(own_sd, sd)):
            notes.append(
                Note(
                    "walk-disagrees",
                    f"{walk.source} says {walk.acres:.2f} ac where the walks together say "
                    f"{area / ACRE_M2:.2f}; look at it on the map, or leave it out.",
                    source=walk.source,
                    lon=middle.x,
                    lat=middle.y,
                )
            )
    interval = _interval(area, sd)
    notes += _wide(interval.half_width_pct, middle, base.source, base.name)
    laps = sum(walk.laps for walk in ordered)
    sigma = float(np.average([walk.sigma_m for walk in ordered], weights=weights))
    removed: dict[str, int] = {}
    for walk in ordered:
        for cause, count in walk.removed.items():
            removed[cause] = removed.get(cause, 0) + count
    return Walk(
        polygon=polygon,
        **interval._asdict(),
        method=f"{len(ordered)} walks combined",
        laps=laps,
        removed=removed,
        sigma_m=sigma,
        advice=_advice(interval.half_width_pct, laps),
        notes=tuple(notes),
        band=_band(polygon_xy, sigma, laps, plane),
        kept_lon=np.concatenate([walk.kept_lon for walk in ordered]),
        kept_lat=np.concatenate([walk.kept_lat for walk in ordered]),
        removed_lon=np.concatenate([walk.removed_lon for walk in ordered]),
        removed_lat=np.concatenate([walk.removed_lat for walk in ordered]),
        removed_cause=tuple(c for walk in ordered for c in walk.removed_cause),
        source=", ".join(walk.source for walk in ordered),
        name=base.name,
        area_sd_m2=sd,
    )
