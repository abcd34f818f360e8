"""Tracks of one file that belong together: copies, pieces of one walk, walks of one edge."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.boundary.pieces import (
    Unread,
    Walked,
    called,
    looks_drawn,
    together,
    try_track,
)
from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.figures import acres, feet
from quietacre.intake.collect import CLOSING_SHARE
from quietacre.model import Note
from quietacre.units import m_to_ft

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from quietacre.model import Track

    FloatArray = NDArray[np.float64]

#: The next track of one walk begins this near to where the one before ended [m], and so
#: soon after [min]; without times, nearer. Ours.
NEXT_M, NEXT_MIN, NEXT_UNTIMED_M = 60.0, 60.0, 25.0
#: Two walks that share this part of the larger went round the same ground.
SAME_GROUND = 0.7
#: And a piece of one walk is at least this part of its edge, within this share of its
#: length, or this far [m], looked at in so many places.
LEAST_PART, BESIDE_SHARE, BESIDE_M, EDGE_PLACES = 0.1, 0.1, 20.0, 200
#: A piece that closes alone is joined where this many times its ground is enclosed.
MORE_GROUND = 1.1
#: Of more tracks in a row than this all are tried together, or fewer of them.
MOST_PARTS = 8
#: So many runs of tracks are tried as one walk.
MOST_TRIES = 200


def without_copies(
    tracks: Sequence[tuple[int, Track]], notes: list[Note]
) -> Iterator[tuple[int, Track]]:
    """Yield tracks but for copies of one recording; the copy with times is kept."""
    first: dict[tuple[bytes, bytes], int] = {}
    kept: dict[int, Track] = {}
    for number, track in tracks:
        key = (np.round(track.lon, 6).tobytes(), np.round(track.lat, 6).tobytes())
        same = first.setdefault(key, number)
        if same == number:
            kept[number] = track
            continue
        if np.isfinite(track.time_s).all() and not np.isfinite(kept[same].time_s).all():
            kept[same] = replace(track, name=kept[same].name or track.name)
        notes.append(
            Note(
                "recording-repeated",
                f"{called(track, number)} repeats {called(kept[same], same)} to the point; it "
                "is read once.",
                "caution",
                track.source,
                track.name or None,
            )
        )
    yield from kept.items()


def _follows(one: Track, two: Track) -> tuple[float, float] | None:
    """Return how far [m] and how long after [min] a track the next begins, if it follows."""
    lon, lat = np.array([one.lon[-1], two.lon[0]]), np.array([one.lat[-1], two.lat[0]])
    ends = Plane.around(lon, lat).xy(lon, lat)
    far_m = float(np.hypot(*(ends[1] - ends[0])))
    wait_min = float(two.time_s[0] - one.time_s[-1]) / 60.0
    if np.isfinite(wait_min):
        good = far_m <= NEXT_M and -1.0 <= wait_min <= NEXT_MIN
    else:
        good = far_m <= NEXT_UNTIMED_M
    return (far_m, wait_min) if good else None


def _one_track(parts: Sequence[Track]) -> Track:
    """Return several tracks, none of them empty, as one, each a segment of it."""
    name = next((part.name for part in parts if part.name), "")
    numbers = []
    before = 0
    for part in parts:
        numbers.append(part.segment + before)
        before = int(numbers[-1].max()) + 1
    return replace(
        parts[0],
        name=name,
        lon=np.concatenate([part.lon for part in parts]),
        lat=np.concatenate([part.lat for part in parts]),
        time_s=np.concatenate([part.time_s for part in parts]),
        segment=np.concatenate(numbers),
        hdop=_told_of_all([part.hdop for part in parts], parts),
        satellites=_told_of_all([part.satellites for part in parts], parts),
        height_m=_told_of_all([part.height_m for part in parts], parts),
    )


def _told_of_all(
    values: Sequence[FloatArray | None], parts: Sequence[Track]
) -> FloatArray | None:
    """Return what tracks tell of each fix in one array, NaN for a track that tells nothing."""
    if all(one is None for one in values):
        return None
    return np.concatenate(
        [
            np.full(len(part.lon), np.nan) if one is None else one
            for one, part in zip(values, parts, strict=True)
        ]
    )


class _Loose(NamedTuple):
    """A track that may be a piece of a walk: what it encloses alone [ac], and how well."""

    number: int
    track: Track
    acres: float
    whole: bool


def join_tracks(
    pieces: list[Walked], unread: list[Unread], notes: list[Note]
) -> tuple[list[Walked], list[Unread]]:
    """Return pieces and leftovers with tracks that close together only made one."""
    loose = _in_order(pieces, unread)
    goes_on = [_follows(a.track, b.track) is not None for a, b in itertools.pairwise(loose)]
    made: list[Walked] = []
    start = tries = 0
    while start < len(loose):
        stop = start + 1
        while stop < len(loose) and goes_on[stop - 1]:
            stop += 1
        taken = 1
        for end in _ends(start, stop):
            run = loose[start:end]
            if tries >= MOST_TRIES or all(one.whole for one in run):
                continue
            tries += 1
            joined = _close_together(run)
            if joined is not None:
                made.append(joined)
                notes.append(_joined_note(joined, [one.track for one in run]))
                taken = end - start
                break
        start += taken
    if tries >= MOST_TRIES:
        notes.append(_too_many_note(loose))
    used = {number for piece in made for number in piece.numbers}
    pieces = [p for p in pieces if not used.intersection(p.numbers)] + made
    pieces.sort(key=lambda piece: piece.numbers)
    return pieces, [u for u in unread if u.number not in used]


def _ends(start: int, stop: int) -> list[int]:
    """Return where a run of tracks that follow one another may end: all of it, then fewer."""
    fewer = range(min(stop - 1, start + MOST_PARTS), start + 1, -1)
    return [stop, *fewer] if stop - start > 1 else []


def _too_many_note(loose: Sequence[_Loose]) -> Note:
    return Note(
        "joins-untried",
        f"{len(loose):,} tracks follow one another in so many ways that not all were tried as "
        "one walk; join those of one walk in the recorder.",
        "warning",
        loose[0].track.source,
    )


def _in_order(pieces: Sequence[Walked], unread: Sequence[Unread]) -> list[_Loose]:
    """Return the tracks that may go on in one another, as they were recorded."""
    loose = [_Loose(one.number, one.track, 0.0, whole=False) for one in unread]
    numbers = Counter(piece.numbers[0] for piece in pieces)
    loose += [
        _Loose(
            piece.numbers[0], piece.tracks[0], piece.walk.acres,
            whole="gap-bridged" not in {note.code for note in piece.walk.notes},
        )
        for piece in pieces if numbers[piece.numbers[0]] == 1
    ]  # fmt: skip
    loose = [one for one in loose if len(one.track.lon) > 1]
    if all(np.isfinite(one.track.time_s).all() for one in loose):
        return sorted(loose, key=lambda one: float(one.track.time_s[0]))
    return sorted(loose, key=lambda one: one.number)


def _close_together(run: Sequence[_Loose]) -> Walked | None:
    """Return tracks in a row as one walk, when that encloses more than any of them alone.

    Each must be a part of its edge: the way home from a loop is none.
    """
    parts = [one.track for one in run]
    track = _one_track(parts)
    if looks_drawn(track):
        return None
    try:
        walk = read_walk([track])
    except WalkRefused:
        return None
    # a way across the plot may close a piece of a walk by chance
    least = MORE_GROUND if any(one.whole for one in run) else 1.0 - CLOSING_SHARE
    if walk.acres < least * max(one.acres for one in run):
        return None
    plane = Plane.around(track.lon, track.lat)
    edge = shapely.LinearRing(plane.local(walk.polygon).exterior.coords)
    places = shapely.line_interpolate_point(
        edge, np.arange(EDGE_PLACES) / EDGE_PLACES, normalized=True
    )
    reach = min(BESIDE_SHARE * float(edge.length), BESIDE_M)
    for part in parts:
        path = shapely.LineString(plane.xy(part.lon, part.lat))
        beside = shapely.distance(path, places) <= reach
        if path.length > CLOSING_SHARE * edge.length and beside.mean() < LEAST_PART:
            return None
    numbers = tuple(one.number for one in run)
    return Walked((track,), numbers, tuple(part.name for part in parts), walk)


def _joined_note(joined: Walked, parts: Sequence[Track]) -> Note:
    names = ", ".join(
        called(part, number) for part, number in zip(parts, joined.numbers, strict=True)
    )
    steps = [_follows(one, two) for one, two in itertools.pairwise(parts)]
    far_m = max(step[0] for step in steps if step is not None)
    waits = [step[1] for step in steps if step is not None and np.isfinite(step[1])]
    later = f" and {max(waits):.0f} min" if waits else ""
    return Note(
        "tracks-joined",
        f"{names} are read as one walk of {acres(joined.walk.acres)}",
        "caution",
        parts[0].source,
        joined.name or None,
        more=f"each begins where the one before ends, {feet(m_to_ft(far_m))}{later} apart at most, "
        "and they close together.",
    )


def by_segment(
    joined: Walked | WalkRefused, track: Track, number: int, notes: list[Note]
) -> list[Walked]:
    """Return a track's segments as walks of their own, when it goes round several grounds.

    Empty unless the track cannot be read whole, or leaves out a second loop, and two of its
    segments at least go round ground apart from each other.
    """
    if isinstance(joined, Walked) and "second-loop" not in {
        n.code for n in joined.walk.notes
    }:
        return []
    segments = np.unique(track.segment)
    if len(segments) < 2:  # noqa: PLR2004 - nothing to part
        return []
    pieces, left = [], 0
    for one in segments:
        rows = track.segment == one
        piece = replace(
            track.fixes(rows), segment=np.zeros(int(rows.sum()), dtype=np.int64)
        )
        read = try_track(piece, number)
        if isinstance(read, Walked):
            pieces.append(read)
        else:
            left += 1
    if len(_groups(pieces)) < 2:  # noqa: PLR2004 - one piece of ground
        return []
    sizes = ", ".join(acres(piece.walk.acres) for piece in pieces)
    rest = f"; {left} more do not close and are not measured" if left else ""
    notes.append(
        Note(
            "segments-apart",
            f"{called(track, number)} goes round {len(pieces)} pieces of ground in its segments, "
            f"which are read apart ({sizes}){rest}.",
            "caution",
            track.source,
            track.name or None,
        )
    )
    return pieces


def one_a_ground(pieces: Sequence[Walked], notes: list[Note]) -> list[Walked]:
    """Return one piece for each piece of ground; walks of the same edge are combined."""
    return [
        group[0] if len(group) == 1 else _one_of(group, notes) for group in _groups(pieces)
    ]


def _groups(pieces: Sequence[Walked]) -> list[list[Walked]]:
    """Return pieces by the ground that they go round, in order."""
    groups: list[list[Walked]] = []
    for piece in pieces:
        home = next((group for group in groups if _same_ground(group[0], piece)), None)
        if home is None:
            groups.append([piece])
        else:
            home.append(piece)
    return groups


def _same_ground(one: Walked, two: Walked) -> bool:
    first, second = one.walk.polygon, two.walk.polygon
    if not shapely.intersects(shapely.box(*first.bounds), shapely.box(*second.bounds)):
        return False
    shared = shapely.intersection(first, second).area
    return bool(shared >= SAME_GROUND * max(first.area, second.area))


def _one_of(group: Sequence[Walked], notes: list[Note]) -> Walked:
    """Return walks of one edge as one piece of ground."""
    tracks = tuple(track for piece in group for track in piece.tracks)
    numbers = tuple(number for piece in group for number in piece.numbers)
    names = tuple(name for piece in group for name in piece.names)
    apart = _apart_in_time(tracks)
    if apart:
        walk = together([piece.walk for piece in group])
    else:  # perhaps one walk, saved twice: its ± is not made narrower
        best = max(group, key=lambda piece: len(piece.tracks[0].lon))
        walk, tracks = best.walk, best.tracks
    sizes = ", ".join(
        f"{called(p.tracks[0], p.numbers[0])} {acres(p.walk.acres)}" for p in group
    )
    how = (
        f"combined to {acres(walk.acres)}"
        if apart
        else f"perhaps one recording saved twice, so {acres(walk.acres)} is taken alone"
    )
    notes.append(
        Note(
            "walked-again",
            f"{len(group)} tracks go round the same ground ({sizes})",
            "caution",
            group[0].tracks[0].source,
            next((name for name in names if name), None),
            more=f"{how}.",
        )
    )
    return Walked(tracks, numbers, names, walk)


def _apart_in_time(tracks: Sequence[Track]) -> bool:
    """Return whether tracks were surely recorded one after another."""
    spans = []
    for track in tracks:
        if not np.isfinite(track.time_s).all():
            return False
        spans.append((float(track.time_s.min()), float(track.time_s.max())))
    spans.sort()
    return all(one[1] <= two[0] for one, two in itertools.pairwise(spans))
