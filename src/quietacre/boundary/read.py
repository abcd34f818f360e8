"""A recorded walk to a boundary with its ±.

Clean the fixes, find the laps, average them, move the edge if the walker kept to one
side, and say how far off the acreage may be.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary import clean, error
from quietacre.boundary.average import Averaged, average
from quietacre.boundary.closing import lap_m2
from quietacre.boundary.differ import differ_note, holding, lap_acres, ways_round
from quietacre.boundary.faces import ac_said, told
from quietacre.boundary.level import level_note
from quietacre.boundary.loop import TWO_LOOPS, Loop, find_loop
from quietacre.boundary.lost import lost_share
from quietacre.boundary.margin import Margin, Told, margin_of, sky_note
from quietacre.boundary.move import move_edge
from quietacre.boundary.plane import Plane, walked_m
from quietacre.boundary.ring import on_ground, valid_ring
from quietacre.boundary.span import too_far
from quietacre.boundary.walk import Walk, advised, band_of, interval_of
from quietacre.boundary.why import total_sd_m2
from quietacre.errors import WalkRefused
from quietacre.figures import acres, feet, figure
from quietacre.model import Note
from quietacre.units import ACRE_M2, m_to_ft

if TYPE_CHECKING:
    from collections.abc import Sequence

    import shapely
    from numpy.typing import NDArray

    from quietacre.model import Track

    FloatArray = NDArray[np.float64]

#: A longer recording is read at every second, third … fix: spacing hardly matters to
#: the area, while the time to read grows with its square.
MOST_FIXES = 6_000
#: Other ground is said from this share of the loop on.
SECOND_LOOP = 0.09
#: So are so many fixes set aside as jumps, or before and after the loop, by their share.
MANY_JUMPS, MOSTLY_WAY = 0.2, 0.4
#: Lost fixes may hide at most this share of a loop.
MOST_LOST = 0.18
#: Drift curls no deeper than this, and over less than this share of a path. [m]
CURL_M, CURL_SHARE = 8.0, 0.2
MIN_AREA_M2 = 8.0
#: A half-width above this share of the area is no answer.
HOPELESS = 0.75


@dataclass(frozen=True)
class _Fixes:
    """The fixes of a track, cleaned.

    ``xy`` and ``when`` are the path, shapes (n, 2) [m] and (n,) [s]; ``rows`` are the fixes
    it was made of and ``position`` the position of each in it; ``cause`` says of every fix
    of the track why it was left out, "" where it was not; ``read`` is how many were looked at.
    """

    track: Track
    plane: Plane
    xy: FloatArray
    when: FloatArray
    rows: NDArray[np.int64]
    position: NDArray[np.int64]
    cause: NDArray[np.object_]
    read: int


def _label(track: Track) -> str:
    """Return what a track is called in a message."""
    return f"{track.kind} “{track.name}”" if track.name else track.kind


def _refusal(track: Track, what: str, fix: str) -> WalkRefused:
    return WalkRefused(what, fix=fix, source=track.source, where=_label(track))


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
    best = _largest(read)
    offset_ft = walked_inside_ft - walked_outside_ft
    return move_edge(best, offset_ft) if offset_ft else best


def _largest(read: Sequence[Walk]) -> Walk:
    """Return the walk that encloses the most, and say so where there are others."""
    best = max(read, key=lambda walk: walk.acres)
    if len(read) == 1:
        return best
    others = ", ".join(
        f"“{w.name or 'unnamed'}” {acres(w.acres)}" for w in read if w is not best
    )
    note = Note(
        "track-chosen",
        f"the file holds {len(read)} loops; “{best.name or 'unnamed'}” "
        f"encloses the most and was taken (others: {others}).",
        level="caution",
        source=best.source,
    )
    return replace(best, notes=(*best.notes, note))


def _read_track(track: Track, sky: str | None) -> Walk:
    fixes = _cleaned(track)
    loop = _loop_of(fixes)
    mean = average(fixes.xy, fixes.when, loop)
    polygon_xy = valid_ring(mean.ring)
    if polygon_xy is None or polygon_xy.area < MIN_AREA_M2:
        raise _refusal(
            track,
            "encloses no ground to speak of",
            "walk round the area, not along it, and record it again",
        )
    lost = lost_share(fixes.xy, fixes.when, loop.laps[0], loop.gap_m)
    if lost > MOST_LOST and mean.laps < 1.5:  # noqa: PLR2004 - a second lap covers the hole
        raise _refusal(
            track,
            f"lost its signal over {100 * lost:.0f} % of the loop",
            "walk the edge again, two laps or on a day of better reception",
        )
    margin = margin_of(fixes.xy, fixes.when, loop, mean, polygon_xy, _told_of(fixes, sky))
    if error.T_95 * margin.drift_sd_m2 > HOPELESS * polygon_xy.area:
        raise _refusal(
            track,
            "encloses so little for its length that its acreage cannot be trusted",
            "walk round the area, not along it, two or more laps, and record it again",
        )
    return _answer(fixes, loop, mean, polygon_xy, margin)


def _cleaned(track: Track) -> _Fixes:
    """Return the fixes of a track without repeats, jumps and milling about."""
    if len(track.lon) < 4:  # noqa: PLR2004 - a triangle and its return
        raise _refusal(
            track,
            f"has only {len(track.lon)} points",
            "walk the edge again with the recorder set to every few seconds",
        )
    plane = Plane.around(track.lon, track.lat)
    far = too_far(plane.xy(track.lon, track.lat))
    if far is not None:
        raise _refusal(
            track,
            f"is {figure(far.across_mi, 'miles')} across; fix {far.fix + 1:,} lies "
            f"{figure(far.jump_mi, 'miles')} from the one before it, at {track.lat[far.fix]:.5f}, "
            f"{track.lon[far.fix]:.5f}",
            "cut the recording there, or give the one that goes round the area",
        )
    track = _in_time_order(track, plane)
    raw, times = plane.xy(track.lon, track.lat), clean.ordered(track.time_s)
    cause = np.full(len(raw), "", dtype=object)
    doubled = clean.repeats(raw)
    cause[doubled] = "repeat"
    rows = np.flatnonzero(~doubled)
    rows = rows[:: -(-len(rows) // MOST_FIXES)]
    count = len(rows)
    bad = clean.spikes(raw[rows], times[rows], track.segment[rows])
    cause[rows[bad]] = "spike"
    rows = rows[~bad]
    group = clean.stops(raw[rows], times[rows])
    xy, when = clean.merge_stops(raw[rows], times[rows], group)
    cause[rows[np.bincount(group)[group] > 1]] = "stop"
    return _Fixes(track, plane, xy, when, rows, group, cause, count)


def _loop_of(fixes: _Fixes) -> Loop:
    """Return the laps of a cleaned track.

    Raises
    ------
    WalkRefused
        It does not close, or goes round two pieces of ground.
    """
    loop = find_loop(fixes.xy)
    if loop is None or _only_a_curl(fixes.xy, loop):
        raise _refusal(
            fixes.track,
            "does not close into a loop",
            "walk all the way round, back to where you began, and record it again",
        )
    ground_m2 = lap_m2(fixes.xy, loop.laps[0])
    alone = max((face.m2 for face in loop.others if face.where == "alone"), default=0.0)
    if alone > TWO_LOOPS * ground_m2:
        raise _refusal(
            fixes.track,
            f"goes round two pieces of ground, of about {ac_said(ground_m2, alone)}",
            "cut it in two in the recorder, and list each under its own area",
        )
    return loop


def _edge_heights(fixes: _Fixes, loop: Loop) -> tuple[FloatArray, FloatArray | None]:
    """Return the places [m] and the heights [m] of the fixes on the edge."""
    first, last = loop.ends
    rows = fixes.rows[(fixes.position >= first) & (fixes.position <= last)]
    height = fixes.track.height_m
    xy = fixes.plane.xy(fixes.track.lon[rows], fixes.track.lat[rows])
    return xy, None if height is None else height[rows]


def _told_of(fixes: _Fixes, sky: str | None) -> Told:
    """Return what the file says of its errors, and the person."""
    track = fixes.track

    def usual(values: FloatArray | None) -> float:
        finite = np.array([]) if values is None else values[np.isfinite(values)]
        return float(np.median(finite)) if len(finite) else float("nan")

    return Told(
        fixes.cause == "spike",
        sky,
        usual(track.hdop),
        usual(track.satellites),
        planned=track.kind == "route",
    )


def _answer(
    fixes: _Fixes,
    loop: Loop,
    mean: Averaged,
    polygon_xy: shapely.Polygon,
    margin: Margin,
) -> Walk:
    """Return the walk that a polygon and its ± make."""
    track, plane, laps = fixes.track, fixes.plane, mean.laps
    first, last = loop.ends
    cause, rows = fixes.cause.copy(), fixes.rows
    free = cause[rows] == ""
    cause[rows[(fixes.position < first) & free]] = "way in"
    cause[rows[(fixes.position > last) & free]] = "way out"
    polygon = on_ground(polygon_xy, plane)
    area = float(area_m2(np.array([polygon], dtype=object))[0])
    terms = holding(polygon_xy.area / ACRE_M2, lap_acres(mean), margin.terms)
    sigma, sd_m2 = margin.sigma_m, total_sd_m2(terms)
    readings = ways_round(mean, plane)
    lap_sd_ac = margin.drift_sd_m2 * laps**0.5 / ACRE_M2
    interval = interval_of(area, sd_m2)
    out = np.array([c not in ("", "stop") for c in cause])
    kept = plane.lonlat(fixes.xy[first : last + 1])
    removed = _counted(cause)
    middle = polygon.representative_point()
    walk = Walk(
        polygon=polygon,
        **interval._asdict(),
        method="one loop" if loop.counted == 1 else f"{loop.counted:g} laps averaged",
        laps=loop.counted,
        removed=removed,
        sigma_m=sigma,
        advice=(),
        notes=(
            *_notes(fixes, loop, area, removed, middle, sigma),
            *sky_note(margin, interval, track, middle),
            *level_note(*_edge_heights(fixes, loop), track, middle),
            *differ_note(
                readings,
                [lap_sd_ac / one.laps**0.5 for one in readings],
                source=track.source,
                name=track.name,
                middle=middle,
            ),
        ),
        band=band_of(polygon_xy, sigma, laps, plane),
        kept_lon=kept[:, 0],
        kept_lat=kept[:, 1],
        removed_lon=track.lon[out],
        removed_lat=track.lat[out],
        removed_cause=tuple(str(c) for c in cause[out]),
        source=track.source,
        name=track.name,
        area_sd_m2=sd_m2,
        terms=terms,
        readings=readings,
        sky=margin.sky,
        blocked=margin.blocked,
    )
    return advised(walk, laps)


def _counted(cause: np.ndarray) -> dict[str, int]:
    """Return how many fixes were left out for each cause."""
    names, counts = np.unique(cause[cause != ""].astype(str), return_counts=True)
    return {str(n): int(c) for n, c in zip(names, counts, strict=True)}


def _notes(
    fixes: _Fixes, loop: Loop, area: float, removed: dict[str, int], middle: shapely.Point,
    sigma_m: float,
) -> list[Note]:  # fmt: skip
    """Return what a person must know of a walk: what was bridged, left out, set aside."""
    label = _label(fixes.track)
    note = functools.partial(
        Note,
        source=fixes.track.source,
        feature=fixes.track.name,
        lon=middle.x,
        lat=middle.y,
    )
    notes = []
    if loop.gap_m > 0:
        notes.append(
            note(
                "gap-bridged",
                f"{label} stops {feet(m_to_ft(loop.gap_m))} short of where it began; closed "
                "with a straight line, and the ± made wider for it.",
            )
        )
    large = [face for face in loop.others if face.m2 >= SECOND_LOOP * area]
    notes += [note(*told(face, area, label, sigma_m)) for face in large]
    ways = removed.get("way in", 0) + removed.get("way out", 0)
    for share, count, what in (
        (MANY_JUMPS, removed.get("spike", 0), "set aside as jumps"),
        (MOSTLY_WAY, ways, "a way in or out"),
    ):
        if count > share * fixes.read:
            notes.append(
                note(
                    "much-set-aside",
                    f"{label}: {count:,} of the {fixes.read:,} fixes read are {what}; if they "
                    "go round another piece of ground, record it as a track of its own.",
                )
            )
    return notes


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
    return track.fixes(order)
