"""The walks of one file: the records that say which of its tracks they are."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.combine import combine_walks
from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.intake.collect import CLOSING_SHARE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.boundary.walk import Walk
    from quietacre.model import Note, Track

#: A line of fewer points, or of points farther apart than this, was drawn. [m]
DRAWN_POINTS, DRAWN_STEP_M = 12, 15.0


@dataclass(frozen=True)
class Walked:
    """One piece of ground that was walked round, by one recording or several.

    ``tracks`` holds one track a walk of it, pieces joined; ``numbers`` are the places of
    the file's tracks in it, counted from 1; ``names`` are theirs; ``walk`` is how it reads
    without a hint. ``planned``: it is a route.
    """

    tracks: tuple[Track, ...]
    numbers: tuple[int, ...]
    names: tuple[str, ...]
    walk: Walk
    planned: bool = False

    @property
    def name(self) -> str:
        """Return the first name that is not blank."""
        return next((name for name in self.names if name), "")

    def read(
        self,
        *,
        walked_inside_ft: float = 0.0,
        walked_outside_ft: float = 0.0,
        sky: str | None = None,
    ) -> Walk:
        """Return the walk as ``read_walk`` does, by what the person knows of it."""
        if not walked_inside_ft and not walked_outside_ft and sky is None:
            return self.walk
        walks = [
            read_walk(
                [track],
                walked_inside_ft=walked_inside_ft,
                walked_outside_ft=walked_outside_ft,
                sky=sky,
            )
            for track in self.tracks
        ]
        return together(walks)


@dataclass(frozen=True)
class Unread:
    """A track that encloses nothing to be trusted, or a route beside a walk.

    ``problem`` says why; None for a route that nobody tried.
    """

    track: Track
    number: int
    problem: WalkRefused | None


@dataclass(frozen=True)
class DrawnLine:
    """A line whose ends meet, measured as it is drawn.

    ``refused`` says why it is no walk, where its points are as near as a recording's.
    """

    track: Track
    number: int
    shape: shapely.Polygon
    refused: WalkRefused | None = None


@dataclass(frozen=True)
class Recorded:
    """What the tracks of one file are; ``notes`` say what was joined and left out."""

    walked: tuple[Walked, ...]
    drawn: tuple[DrawnLine, ...]
    unread: tuple[Unread, ...]
    notes: tuple[Note, ...]


def called(track: Track, number: int) -> str:
    """Return what to call a track in a message: by its name, or its place in the file."""
    return f"{track.kind} “{track.name}”" if track.name else f"{track.kind} {number}"


def try_track(track: Track, number: int) -> Walked | WalkRefused:
    """Return a track as a walk, or why it is none, named by its place in the file."""
    try:
        walk = read_walk([track])
    except WalkRefused as problem:
        return WalkRefused(
            problem.what,
            fix=problem.fix,
            source=track.source,
            where=called(track, number),
        )
    return Walked((track,), (number,), (track.name,), walk)


def together(walks: Sequence[Walk]) -> Walk:
    """Return walks of one edge combined, named as one walk of one file."""
    walk = combine_walks(walks)
    return replace(walk, source=walks[0].source)


def looks_drawn(track: Track) -> bool:
    """Return whether a line has so few points, or so far apart, that nobody recorded it."""
    if track.kind != "line" or np.isfinite(track.time_s).any():
        return False
    xy = Plane.around(track.lon, track.lat).xy(track.lon, track.lat)
    steps = np.hypot(*np.diff(xy, axis=0).T)
    few = len(xy) < DRAWN_POINTS
    return bool(few or float(np.median(steps)) > DRAWN_STEP_M)


def drawn_ring(track: Track) -> shapely.Polygon | None:
    """Return the ground of a line that was drawn, None of a recording or an open line."""
    return ring_of(track) if looks_drawn(track) else None


def ring_of(track: Track, *, most_gap: float = CLOSING_SHARE) -> shapely.Polygon | None:
    """Return the ground of a line whose ends meet, but for a share of its length, as drawn."""
    if len(np.unique(np.column_stack([track.lon, track.lat]), axis=0)) < 3:  # noqa: PLR2004
        return None
    line = shapely.LineString(np.column_stack([track.lon, track.lat]))
    gap = float(np.hypot(track.lon[0] - track.lon[-1], track.lat[0] - track.lat[-1]))
    return shapely.Polygon(line.coords) if gap <= most_gap * line.length else None
