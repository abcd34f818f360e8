"""Which tracks of a file are which walks.

A file may hold a plan beside the walk, one walk in several tracks, several walks of one
edge, and walks of several pieces of ground. Routes are plans: they are read only when no
track can be. Tracks that follow one another in time and place are one walk when they close
together and not apart. Walks of the same ground are combined.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.closing import BRIDGE_SHARE
from quietacre.boundary.joining import by_segment, join_tracks, one_a_ground, without_copies
from quietacre.boundary.pieces import (
    DrawnLine,
    Recorded,
    Unread,
    Walked,
    called,
    drawn_ring,
    looks_drawn,
    ring_of,
    try_track,
)
from quietacre.errors import WalkRefused
from quietacre.figures import acres as acres_words
from quietacre.model import Note
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.boundary.walk import Walk
    from quietacre.model import Track


def read_tracks(tracks: Sequence[Track]) -> Recorded:
    """Return what the tracks and routes of one file are.

    Parameters
    ----------
    tracks : in the order of the file.
    """
    numbered = list(enumerate(tracks, 1))
    walks = [(number, track) for number, track in numbered if track.kind != "route"]
    routes = [(number, track) for number, track in numbered if track.kind == "route"]
    notes: list[Note] = []
    drawn: list[DrawnLine] = []
    unread: list[Unread] = []
    pieces: list[Walked] = []
    for number, track in without_copies(walks, notes):
        shape = drawn_ring(track)
        if shape is not None:
            drawn.append(DrawnLine(track, number, shape))
            continue
        one_walk = None if looks_drawn(track) else try_track(track, number)
        if one_walk is not None and (apart := by_segment(one_walk, track, number, notes)):
            pieces += apart
        elif isinstance(one_walk, Walked):
            pieces.append(one_walk)
        elif track.kind == "line" and (ring := ring_of(track)) is not None:
            drawn.append(DrawnLine(track, number, ring, one_walk))
        else:
            unread.append(Unread(track, number, one_walk or _open(track, number)))
    pieces, unread = join_tracks(pieces, unread, notes)
    walked = one_a_ground(pieces, notes)
    refused = tuple(unread)
    if walked or drawn:
        unread += [Unread(track, number, None) for number, track in routes]
    else:
        for number, track in routes:
            one_walk = try_track(track, number)
            if isinstance(one_walk, Walked):
                walked.append(replace(one_walk, planned=True))
            else:
                unread.append(Unread(track, number, one_walk))
    notes += _said_of(walked, drawn, unread, refused)
    return Recorded(tuple(walked), tuple(drawn), tuple(unread), tuple(notes))


def read_unread(unread: Unread) -> Walked:
    """Return the walk of a track or route that was set aside, when the person asks for it.

    Raises
    ------
    WalkRefused
        It cannot be read.
    """
    if unread.problem is not None:
        raise unread.problem
    walked = try_track(unread.track, unread.number)
    if isinstance(walked, WalkRefused):
        raise walked
    return replace(walked, planned=unread.track.kind == "route")


def file_walk(
    tracks: Sequence[Track],
    *,
    walked_inside_ft: float = 0.0,
    walked_outside_ft: float = 0.0,
    sky: str | None = None,
    source: str = "",
) -> Walk:
    """Return the walk of a file that holds one: of several, round the most ground, and said.

    Parameters are those of ``read_walk``.

    Raises
    ------
    WalkRefused
        No track closes into a loop that can be trusted.
    """
    recorded = read_tracks(tracks)
    if not recorded.walked:
        raise no_walk(recorded, source)
    best = most_ground(recorded.walked)
    walk = best.read(
        walked_inside_ft=walked_inside_ft, walked_outside_ft=walked_outside_ft, sky=sky
    )
    notes = [*walk.notes, *recorded.notes, *chosen_note(best, recorded.walked)]
    return replace(walk, notes=tuple(notes))


def no_walk(recorded: Recorded, source: str) -> WalkRefused:
    """Return why a file gives no walk: what is wrong with its first track."""
    for unread in recorded.unread:
        if unread.problem is not None:
            return unread.problem
    return WalkRefused(
        "holds no track",
        fix="record the edge as a track and export it",
        source=source or None,
    )


def most_ground(walked: Sequence[Walked]) -> Walked:
    """Return the piece that encloses the most."""
    return max(walked, key=lambda piece: piece.walk.acres)


def chosen_note(chosen: Walked, walked: Sequence[Walked]) -> tuple[Note, ...]:
    """Return the note that one of several loops was taken by its size, with the others."""
    if len(walked) < 2:  # noqa: PLR2004 - nothing to choose
        return ()
    others = ", ".join(
        f"“{piece.name or 'unnamed'}” {acres_words(piece.walk.acres)}"
        for piece in walked
        if piece is not chosen
    )
    text = (
        f"the file holds {len(walked)} loops; “{chosen.name or 'unnamed'}” encloses the most "
        f"and was taken (others: {others})."
    )
    source = chosen.tracks[0].source
    return (Note("track-chosen", text, "warning", source, chosen.name or None),)


def _open(track: Track, number: int) -> WalkRefused:
    return WalkRefused(
        "is an open line, which encloses nothing",
        fix="draw it as a polygon, or walk it all the way round",
        source=track.source,
        where=called(track, number),
    )


def _said_of(
    walked: Sequence[Walked],
    drawn: Sequence[DrawnLine],
    unread: Sequence[Unread],
    refused: Sequence[Unread],
) -> Iterator[Note]:
    """Yield notes on plans and on tracks that are not measured."""
    yield from map(_said_of_drawn, drawn)
    for piece in walked:
        if piece.planned:
            why = " ".join(
                f"{called(one.track, one.number)} {one.problem.what}." for one in refused
                if one.problem is not None
            )  # fmt: skip
            yield Note(
                "route-measured",
                f"{called(piece.tracks[0], piece.numbers[0])} is a plan, not a recorded walk; "
                f"its {acres_words(piece.walk.acres)} are those of the plan.",
                "warning",
                piece.tracks[0].source,
                piece.name or None,
                more=why,
            )
    if not walked and not drawn:
        return
    for one in unread:
        name = called(one.track, one.number)
        if one.problem is None:
            text = f"{name} is a plan and is not measured{_planned_acres(one.track)}; a walk is."
        else:
            text = f"{name} is not measured: it {one.problem.what}."
        yield Note(
            "track-not-measured", text, "caution", one.track.source, one.track.name or None
        )


def _said_of_drawn(line: DrawnLine) -> Note:
    """Return the note on a line that is measured as it is drawn."""
    name, track = called(line.track, line.number), line.track
    if line.refused is not None:
        acres = float(area_m2(np.array([line.shape], dtype=object))[0]) / ACRE_M2
        text = (
            f"{name} is no walk that can be trusted ({line.refused.what}); its ends meet, so "
            f"its {acres_words(acres)} are measured as drawn, without a ±."
        )
        return Note("line-as-drawn", text, "warning", track.source, track.name or None)
    gap = track.lon[0] != track.lon[-1] or track.lat[0] != track.lat[-1]
    return Note(
        "line-closed",
        f"{name} was drawn, not recorded; its ends meet, so it is measured as an area.",
        "caution" if gap else "info",
        track.source,
        track.name or None,
    )


def _planned_acres(track: Track) -> str:
    """Return the acres that a plan would enclose, for a note; "" where it encloses none."""
    ring = ring_of(track, most_gap=BRIDGE_SHARE)
    if ring is None or not ring.is_valid:
        return ""
    acres = float(area_m2(np.array([ring], dtype=object))[0]) / ACRE_M2
    return f" ({acres_words(acres)})"
